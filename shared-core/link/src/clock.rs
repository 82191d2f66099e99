//! The device's clocks and its source of random bytes, handed in from the edge.
//!
//! Everything in this crate that ends up in an event, a reply or a file reads them through these
//! two types. Timeouts alone use the timer of the runtime.

use std::fmt;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Instant;

use sponson_replica::Now;

use crate::steady::Steady;

/// The clocks of a device.
#[derive(Clone)]
pub struct Clock {
    read: Arc<dyn Fn() -> Now + Send + Sync>,
    steady: Option<Arc<Mutex<Steady>>>,
}

impl fmt::Debug for Clock {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Clock")
    }
}

impl Clock {
    /// Takes a function that reads the clocks.
    #[must_use]
    pub fn new(read: impl Fn() -> Now + Send + Sync + 'static) -> Self {
        Self {
            read: Arc::new(read),
            steady: None,
        }
    }

    /// The same clocks, for a service whose time others go by: a step of them is not followed (`steady.rs`).
    #[must_use]
    pub fn steady(self) -> Self {
        Self {
            steady: Some(Arc::default()),
            ..self
        }
    }

    /// By how much the wall clock was set while nobody followed it, milliseconds; none when it
    /// stands where it was counted on.
    #[must_use]
    pub fn jumped_ms(&self) -> Option<i64> {
        let steady = self.steady.as_ref()?;
        let steady = steady.lock().unwrap_or_else(PoisonError::into_inner);
        steady.jumped_ms()
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
        let now = (self.read)();
        let Some(steady) = &self.steady else {
            return now;
        };
        let mut steady = steady.lock().unwrap_or_else(PoisonError::into_inner);
        steady.read(now)
    }
}

/// A start of this machine, or of this process where the machine does not say.
enum Start {
    /// The machine names its start and counts from it, time asleep included.
    Kernel { boot_id: [u8; 16] },
    /// Counted here. Not every system's timer runs on while the machine sleeps.
    Counted(Mutex<Counted>),
}

/// A start that this process counts from.
struct Counted {
    boot_id: [u8; 16],
    at: Instant,
    /// Wall time less counted time when last read, milliseconds.
    apart_ms: i64,
}

/// Wall time may run ahead of the count by so much before the count is begun again: then the
/// machine slept, or its clock was set, and nothing shows which.
const COUNT_BEHIND_MAX_MS: i64 = 60_000;

impl Start {
    fn of_this_machine() -> Self {
        let kernel = std::fs::read_to_string("/proc/sys/kernel/random/boot_id")
            .ok()
            .and_then(|text| read_boot_id(&text));
        // Both or neither: a monotonic time belongs to the start that its boot id names.
        match kernel.filter(|_| kernel_uptime_ms().is_some()) {
            Some(boot_id) => Self::Kernel { boot_id },
            None => Self::Counted(Mutex::new(Counted::begin(unix_ms_now()))),
        }
    }

    fn now(&self) -> Now {
        let local = chrono::Local::now();
        let unix_ms = local.timestamp_millis();
        let (boot_id, monotonic_ms) = match self {
            Self::Kernel { boot_id } => (*boot_id, kernel_uptime_ms().unwrap_or_default()),
            Self::Counted(counted) => {
                let mut counted = counted.lock().unwrap_or_else(PoisonError::into_inner);
                let since = counted.at.elapsed().as_millis();
                counted.read(unix_ms, u64::try_from(since).unwrap_or(u64::MAX))
            }
        };
        Now {
            unix_ms,
            utc_offset_min: local.offset().local_minus_utc() / 60,
            boot_id,
            monotonic_ms,
        }
    }
}

impl Counted {
    fn begin(unix_ms: i64) -> Self {
        Self {
            boot_id: Entropy::system().draw(),
            at: Instant::now(),
            apart_ms: unix_ms,
        }
    }

    /// The start and the count since, at a wall time; begins again when the count fell behind.
    fn read(&mut self, unix_ms: i64, since_ms: u64) -> ([u8; 16], u64) {
        let counted = i64::try_from(since_ms).unwrap_or(i64::MAX);
        let apart_ms = unix_ms.saturating_sub(counted);
        if apart_ms.saturating_sub(self.apart_ms) > COUNT_BEHIND_MAX_MS {
            *self = Self::begin(unix_ms);
            return (self.boot_id, 0);
        }
        self.apart_ms = self.apart_ms.max(apart_ms);
        (self.boot_id, since_ms)
    }
}

fn unix_ms_now() -> i64 {
    chrono::Local::now().timestamp_millis()
}

fn kernel_uptime_ms() -> Option<u64> {
    let text = std::fs::read_to_string("/proc/uptime").ok()?;
    read_uptime_ms(&text)
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
    fn a_count_that_fell_behind_the_wall_clock_begins_again() {
        let mut counted = Counted::begin(0);
        let first = counted.boot_id;
        assert_eq!(counted.read(5_000, 5_000), (first, 5_000));
        // Set back: the count goes on, and shows it.
        assert_eq!(counted.read(-900_000, 6_000), (first, 6_000));
        // A minute asleep is within what clocks differ by; an hour is not.
        assert_eq!(counted.read(67_000, 7_000), (first, 7_000));
        let (other, since) = counted.read(3_700_000, 8_000);
        assert!(other != first && since == 0);
    }

    #[test]
    fn the_system_clock_runs_forward_within_one_start() {
        let clock = Clock::system();
        let (first, second) = (clock.now(), clock.now());
        assert_eq!(first.boot_id, second.boot_id);
        assert!(second.monotonic_ms >= first.monotonic_ms);
    }
}
