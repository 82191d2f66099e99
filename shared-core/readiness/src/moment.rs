//! Moments and the interval in which an event happened.

/// A moment: milliseconds since 1970-01-01T00:00:00Z.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moment(pub i64);

impl Moment {
    /// Milliseconds from `earlier` to `self`; negative when `earlier` is later.
    #[must_use]
    pub const fn since(self, earlier: Self) -> i64 {
        self.0.saturating_sub(earlier.0)
    }

    /// The moment so many milliseconds later.
    #[must_use]
    pub const fn plus_ms(self, ms: i64) -> Self {
        Self(self.0.saturating_add(ms))
    }
}

/// How far a claimed time may lie outside its interval and still be read as the nearer end.
///
/// A device clock that runs a minute fast and syncs at once would otherwise lose its claim. No
/// rule counts in less than an hour, so two minutes (1/30 of it) change no answer.
pub const CLOCK_TOLERANCE_MS: i64 = 120_000;

/// When an event happened, as far as anybody can show.
///
/// From the county checkpoint that the device held to the time at which the county stored the
/// event. The claimed time counts when it lies inside; else only the interval, and every rule
/// takes the end that is worse for the craft.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Interval {
    /// Time of the newest county checkpoint that the device held; none before its first.
    pub early: Option<Moment>,
    /// When the county stored it; none while it has not.
    pub late: Option<Moment>,
    /// What the device, or for a late entry the person, said.
    pub claimed: Moment,
}

impl Interval {
    /// The earliest moment at which the event can have happened: proof ages from here.
    #[must_use]
    pub fn earliest(&self, now: Moment) -> Moment {
        self.believed(now)
            .unwrap_or_else(|| self.early.unwrap_or(Moment(i64::MIN)))
    }

    /// The latest moment at which it can have happened: holds and cures run from here.
    #[must_use]
    pub fn latest(&self, now: Moment) -> Moment {
        self.believed(now)
            .unwrap_or_else(|| self.late.unwrap_or(now))
    }

    /// The claimed time, when nothing known contradicts it.
    #[must_use]
    pub fn believed(&self, now: Moment) -> Option<Moment> {
        let early = self.early.unwrap_or(Moment(i64::MIN));
        let late = self.late.unwrap_or(now);
        let plausible = self.claimed >= early.plus_ms(-CLOCK_TOLERANCE_MS)
            && self.claimed <= late.plus_ms(CLOCK_TOLERANCE_MS);
        plausible.then(|| self.claimed.max(early).min(late.max(early)))
    }
}
