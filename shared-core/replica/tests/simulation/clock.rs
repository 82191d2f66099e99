//! The clock of a device: what it says when it is really another time.

use sponson_replica::Now;

pub(crate) const SECOND: i64 = 1_000;
pub(crate) const MINUTE: i64 = 60 * SECOND;
pub(crate) const HOUR: i64 = 60 * MINUTE;
pub(crate) const DAY: i64 = 24 * HOUR;
pub(crate) const YEAR: i64 = 365 * DAY;

/// 2027-03-01T08:00:00Z, when every simulated county begins.
pub(crate) const START: i64 = 1_803_888_000_000;

/// A device's clock.
#[derive(Clone, Debug)]
pub(crate) struct DeviceClock {
    device: u8,
    boots: u8,
    booted_at: i64,
    says: Says,
    /// Whether it was right all the time so far.
    pub(crate) always_right: bool,
    /// Whether it was ever ahead by so little that the time comes to where it stood.
    pub(crate) was_ahead_by_days: bool,
}

#[derive(Clone, Copy, Debug)]
enum Says {
    /// The true time and so much more.
    Off(i64),
    /// Its battery is flat: it counts from 1970 at every start.
    From1970,
}

impl DeviceClock {
    pub(crate) const fn new(device: u8) -> Self {
        Self {
            device,
            boots: 0,
            booted_at: START,
            says: Says::Off(0),
            always_right: true,
            was_ahead_by_days: false,
        }
    }

    pub(crate) const fn now(&self, true_now: i64) -> Now {
        let up = true_now - self.booted_at;
        let mut boot_id = [0; 16];
        boot_id[0] = self.device;
        boot_id[1] = self.boots;
        Now {
            unix_ms: match self.says {
                Says::Off(off) => true_now + off,
                Says::From1970 => up,
            },
            utc_offset_min: 0,
            boot_id,
            monotonic_ms: up.unsigned_abs(),
        }
    }

    pub(crate) const fn boot(&mut self, true_now: i64) {
        self.boots = self.boots.wrapping_add(1);
        self.booted_at = true_now;
    }

    /// Its battery went flat.
    pub(crate) const fn dies(&mut self) {
        self.says = Says::From1970;
        self.always_right = false;
    }

    /// Somebody set it so much wrong.
    pub(crate) const fn is_off(&mut self, off: i64) {
        self.says = Says::Off(off);
        self.always_right = false;
        self.was_ahead_by_days |= off > 0 && off < YEAR;
    }

    /// Somebody set it right.
    pub(crate) const fn set_right(&mut self) {
        self.says = Says::Off(0);
    }
}
