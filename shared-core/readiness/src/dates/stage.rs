//! How far an interval is: in time, due soon, within its grace, over. By days and by engine hours,
//! whichever is worse.

/// Stages of an interval, better ones first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// Nothing to do yet.
    InTime,
    /// Due soon, or today.
    Soon,
    /// Past due, within the grace.
    Grace,
    /// Past due and past the grace.
    Over,
}

/// How far past due: negative before it, none where that interval has no part.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PastDue {
    /// Days.
    pub days: Option<i64>,
    /// Engine time by the meter, seconds.
    pub engine_s: Option<i64>,
}

/// When an interval is due soon, and how long after it is still let be.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Margins {
    /// Days before the due day.
    pub soon_days: u32,
    /// Days after it.
    pub grace_days: u32,
    /// Engine time before, seconds.
    pub soon_engine_s: u64,
}

impl PastDue {
    /// Whichever comes first. Grace is a matter of days: past due by engine hours has none.
    #[must_use]
    pub fn stage(self, margins: Margins) -> Stage {
        let by_day = self.days.map_or(Stage::InTime, |days| {
            if days > i64::from(margins.grace_days) {
                Stage::Over
            } else if days > 0 {
                Stage::Grace
            } else if days >= -i64::from(margins.soon_days) {
                Stage::Soon
            } else {
                Stage::InTime
            }
        });
        let soon_s = i64::try_from(margins.soon_engine_s).unwrap_or(i64::MAX);
        let by_engine = self.engine_s.map_or(Stage::InTime, |over_s| {
            if over_s > 0 {
                Stage::Over
            } else if over_s >= -soon_s {
                Stage::Soon
            } else {
                Stage::InTime
            }
        });
        by_day.max(by_engine)
    }
}

#[cfg(test)]
mod tests {
    use super::{Margins, PastDue, Stage};

    /// An outboard manual p. 36: every 100 h or 12 months, whichever first. 96 h and 11 months: due
    /// soon; 97 h and 13 months: overdue.
    #[test]
    fn whichever_comes_first() {
        let margins = Margins {
            soon_days: 31,
            grace_days: 0,
            soon_engine_s: 10 * 3_600,
        };
        for (days, hours, stage) in [
            (-30, -4, Stage::Soon),
            (31, -3, Stage::Over),
            (-32, -11, Stage::InTime),
            (-32, -10, Stage::Soon),
            (-32, 0, Stage::Soon),
            (-32, 1, Stage::Over),
            (0, -11, Stage::Soon),
            (1, -11, Stage::Over),
        ] {
            let past = PastDue {
                days: Some(days),
                engine_s: Some(hours * 3_600),
            };
            assert_eq!(past.stage(margins), stage, "{days} days, {hours} h");
        }
        let graced = Margins {
            grace_days: 7,
            ..margins
        };
        let day = |days| PastDue {
            days: Some(days),
            engine_s: None,
        };
        assert_eq!(day(7).stage(graced), Stage::Grace);
        assert_eq!(day(8).stage(graced), Stage::Over);
        assert_eq!(PastDue::default().stage(graced), Stage::InTime);
    }
}
