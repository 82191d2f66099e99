//! The device's clocks and its source of random bytes, handed in from the edge.
//!
//! Everything in this crate that ends up in an event, a reply or a file reads them through these
//! two types. Timeouts alone use the timer of the runtime.

use std::fmt;
use std::sync::Arc;
use std::time::Instant;

use sponson_replica::Now;

/// The clocks of a device.
#[derive(Clone)]
pub struct Clock(Arc<dyn Fn() -> Now + Send + Sync>);

impl fmt::Debug for Clock {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Clock")
    }
}

impl Clock {
    /// Takes a function that reads the clocks.
    #[must_use]
    pub fn new(read: impl Fn() -> Now + Send + Sync + 'static) -> Self {
        Self(Arc::new(read))
    }

    /// The clocks of this machine.
    #[must_use]
    pub fn system() -> Self {
        let start = Start::of_this_machine();
        Self::new(move || start.now())
    }

    /// Reads them.
    #[must_use]
    pub fn now(&self) -> Now {
        (self.0)()
    }
}

/// When this machine and this process started.
struct Start {
    boot_id: [u8; 16],
    uptime_ms: u64,
    at: Instant,
}

impl Start {
    fn of_this_machine() -> Self {
        let kernel = std::fs::read_to_string("/proc/sys/kernel/random/boot_id")
            .ok()
            .and_then(|text| read_boot_id(&text));
        let uptime = std::fs::read_to_string("/proc/uptime")
            .ok()
            .and_then(|text| read_uptime_ms(&text));
        // Both or neither: a monotonic time belongs to the start that its boot id names.
        let (boot_id, uptime_ms) = kernel.zip(uptime).unwrap_or_else(|| {
            let mut drawn = [0; 16];
            Entropy::system().fill(&mut drawn);
            (drawn, 0)
        });
        Self {
            boot_id,
            uptime_ms,
            at: Instant::now(),
        }
    }

    fn now(&self) -> Now {
        let local = chrono::Local::now();
        let since = u64::try_from(self.at.elapsed().as_millis()).unwrap_or(u64::MAX);
        Now {
            unix_ms: local.timestamp_millis(),
            utc_offset_min: local.offset().local_minus_utc() / 60,
            boot_id: self.boot_id,
            monotonic_ms: self.uptime_ms.saturating_add(since),
        }
    }
}

/// Reads a boot id as the kernel writes it: hexadecimal with hyphens.
fn read_boot_id(text: &str) -> Option<[u8; 16]> {
    let digits: String = text.trim().chars().filter(|c| *c != '-').collect();
    let bytes = data_encoding::HEXLOWER_PERMISSIVE
        .decode(digits.as_bytes())
        .ok()?;
    bytes.try_into().ok()
}

/// Reads the first number of `/proc/uptime`: seconds and hundredths.
fn read_uptime_ms(text: &str) -> Option<u64> {
    let (seconds, hundredths) = text.split_whitespace().next()?.split_once('.')?;
    let seconds: u64 = seconds.parse().ok()?;
    let hundredths: u64 = hundredths.parse().ok()?;
    seconds.checked_mul(1000)?.checked_add(hundredths * 10)
}

/// A source of random bytes.
#[derive(Clone)]
pub struct Entropy(Fill);

type Fill = Arc<dyn Fn(&mut [u8]) + Send + Sync>;

impl fmt::Debug for Entropy {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Entropy")
    }
}

impl Entropy {
    /// Takes a function that fills a slice.
    #[must_use]
    pub fn new(fill: impl Fn(&mut [u8]) + Send + Sync + 'static) -> Self {
        Self(Arc::new(fill))
    }

    /// The random bytes of this machine.
    ///
    /// # Panics
    /// Filling panics when the system gives no random bytes: no key may be made then.
    #[must_use]
    pub fn system() -> Self {
        Self::new(|bytes| getrandom::fill(bytes).expect("the system gives random bytes"))
    }

    /// Fills a slice.
    pub fn fill(&self, bytes: &mut [u8]) {
        (self.0)(bytes);
    }

    /// Draws so many bytes.
    #[must_use]
    pub fn draw<const N: usize>(&self) -> [u8; N] {
        let mut bytes = [0; N];
        self.fill(&mut bytes);
        bytes
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kernel_texts_are_read() {
        let id = read_boot_id("01020304-0506-0708-090a-0b0c0d0e0f10\n");
        assert_eq!(
            id,
            Some([1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16])
        );
        assert_eq!(read_boot_id("01020304"), None);
        assert_eq!(read_uptime_ms("12.34 99.00\n"), Some(12_340));
        assert_eq!(read_uptime_ms(""), None);
    }

    #[test]
    fn the_system_clock_runs_forward_within_one_start() {
        let clock = Clock::system();
        let (first, second) = (clock.now(), clock.now());
        assert_eq!(first.boot_id, second.boot_id);
        assert!(second.monotonic_ms >= first.monotonic_ms);
    }
}
