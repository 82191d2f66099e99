//! How much one round carries, from what the link carried before.

/// A first round: 10 s on a link of 13 kbit/s, and little to repeat when it is cut.
pub const FIRST: usize = 16 * 1024;

/// The least: eight events of 500 bytes; below, the round trip costs more than what it carries.
pub const LEAST: usize = 4 * 1024;

/// The most: an eighth of the usual 4 MiB limit of one message, so that one event of the greatest
/// length on top, and both directions at once, still fit.
pub const MOST: usize = 512 * 1024;

/// What one round should take, milliseconds: a cut then costs about so long, no more.
const ROUND_MS: u64 = 10_000;

/// At most so many times as much as the round before: 16 KiB reach 512 KiB in three rounds, and one
/// lucky burst does not ask minutes of a slow link.
const GROWTH_MAX: usize = 4;

/// Bytes of one direction of the next round.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ChunkSize(usize);

impl Default for ChunkSize {
    fn default() -> Self {
        Self(FIRST)
    }
}

impl ChunkSize {
    /// Bytes.
    #[must_use]
    pub const fn bytes(self) -> usize {
        self.0
    }

    /// Learns from a round that carried so many bytes up and down.
    ///
    /// The fuller direction decides: when both are full, each gets its share of the 10 s. A round
    /// that carried less than half a chunk within its time says more of the round trip than of the
    /// link, and teaches nothing.
    #[must_use]
    pub fn after(self, up: usize, down: usize, elapsed_ms: u64) -> Self {
        let carried = up.max(down);
        if carried < self.0 / 2 && elapsed_ms <= ROUND_MS {
            return self;
        }
        let carried = u64::try_from(carried).unwrap_or(u64::MAX);
        let in_round = carried.saturating_mul(ROUND_MS) / elapsed_ms.max(1);
        let in_round = usize::try_from(in_round).unwrap_or(MOST);
        let most = MOST.min(self.0.saturating_mul(GROWTH_MAX));
        Self(in_round.clamp(LEAST, most))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chunk_follows_what_the_link_carries_in_ten_seconds() {
        let check = |chunk: usize, up, down, elapsed_ms, want: usize| {
            let next = ChunkSize(chunk).after(up, down, elapsed_ms);
            assert_eq!(next.bytes(), want, "{chunk} {up} {down} {elapsed_ms}");
        };
        // 16 KiB in 10 s is just right; in 20 s twice too much.
        check(FIRST, FIRST, 0, 10_000, FIRST);
        check(FIRST, 0, FIRST, 20_000, FIRST / 2);
        // A fast link: four times at once, never more than the most.
        check(FIRST, FIRST, 100, 10, FIRST * 4);
        check(MOST, MOST, MOST, 0, MOST);
        // A slow one: never less than the least.
        check(LEAST, 100, 100, 600_000, LEAST);
        // Little carried quickly says nothing; little carried slowly does.
        check(MOST, 300, 300, 900, MOST);
        check(MOST, 3_000, 300, 30_000, LEAST);
        check(FIRST, usize::MAX, usize::MAX, 1, FIRST * 4);
    }
}
