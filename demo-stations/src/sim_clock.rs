//! The scenario's clock: stands still until the scenario moves it. Each device may be off by a
//! little, as real ones are.

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use sponson_replica::Now;

/// True time in the scenario, shared by all.
#[derive(Clone, Debug)]
pub struct SimClock {
    unix_ms: Arc<AtomicI64>,
    utc_offset_min: i32,
}

/// When every device of the scenario was started: monotonic time counts from here.
const STARTED_MS: i64 = 1_767_225_600_000; // 2026-01-01T00:00:00Z

impl SimClock {
    /// A clock that stands at a moment, in a place with this offset from UTC.
    #[must_use]
    pub fn at(unix_ms: i64, utc_offset_min: i32) -> Self {
        Self {
            unix_ms: Arc::new(AtomicI64::new(unix_ms)),
            utc_offset_min,
        }
    }

    /// Moves it; it never goes back.
    pub fn move_to(&self, unix_ms: i64) {
        self.unix_ms.fetch_max(unix_ms, Ordering::SeqCst);
    }

    /// Moves it on.
    pub fn pass(&self, ms: i64) {
        self.unix_ms.fetch_add(ms, Ordering::SeqCst);
    }

    /// True time, milliseconds since 1970.
    #[must_use]
    pub fn unix_ms(&self) -> i64 {
        self.unix_ms.load(Ordering::SeqCst)
    }

    /// Offset of local time from UTC, minutes.
    #[must_use]
    pub const fn utc_offset_min(&self) -> i32 {
        self.utc_offset_min
    }

    /// What the clocks of a device show that runs `fast_ms` ahead of true time.
    #[must_use]
    pub fn read(&self, boot_id: [u8; 16], fast_ms: i64) -> Now {
        let unix_ms = self.unix_ms();
        Now {
            unix_ms: unix_ms + fast_ms,
            utc_offset_min: self.utc_offset_min,
            boot_id,
            monotonic_ms: u64::try_from(unix_ms - STARTED_MS).unwrap_or(0),
        }
    }
}

/// A moment as commands take it, to the second.
#[must_use]
pub fn rfc3339(unix_ms: i64) -> String {
    chrono::DateTime::from_timestamp_millis(unix_ms)
        .map(|moment| moment.format("%Y-%m-%dT%H:%M:%SZ").to_string())
        .unwrap_or_default()
}
