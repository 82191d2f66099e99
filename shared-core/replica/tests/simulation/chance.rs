//! Everything that is left to chance, from one seed.

/// A stream of numbers (SplitMix64, Steele, Lea and Flood 2014; constants from memory).
#[derive(Clone, Debug)]
pub(crate) struct Chance(u64);

impl Chance {
    pub(crate) const fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// Below `limit`, which is at least 1. Small limits only: the leaning of a remainder is nothing.
    pub(crate) fn below(&mut self, limit: u64) -> u64 {
        self.next() % limit.max(1)
    }

    /// From `least` on, below `limit`.
    pub(crate) fn between(&mut self, least: i64, limit: i64) -> i64 {
        let span = u64::try_from(limit - least).expect("least stands before the limit");
        least + i64::try_from(self.below(span)).expect("a small number")
    }

    /// A position in a list of this length.
    pub(crate) fn index(&mut self, length: usize) -> usize {
        let length = u64::try_from(length).expect("a short list");
        usize::try_from(self.below(length)).expect("a position in a short list")
    }

    /// Once in so many times.
    pub(crate) fn one_in(&mut self, times: u64) -> bool {
        self.below(times) == 0
    }

    /// One of a list; none of an empty one.
    pub(crate) fn pick<'a, T>(&mut self, list: &'a [T]) -> Option<&'a T> {
        if list.is_empty() {
            return None;
        }
        list.get(self.index(list.len()))
    }

    /// One of a list by its weight.
    pub(crate) fn weighed<T: Copy>(&mut self, list: &[(u64, T)]) -> T {
        let whole = list.iter().map(|(weight, _)| weight).sum();
        let mut left = self.below(whole);
        for (weight, thing) in list {
            if left < *weight {
                return *thing;
            }
            left -= weight;
        }
        unreachable!("what is left is below the sum of the weights")
    }
}
