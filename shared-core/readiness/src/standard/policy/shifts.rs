//! Which crew was on: the `[shifts]` table of the county's policy.
//!
//! Absent, a day has two shifts, day and night, of 12 h from 07:00 by the county's clock. That, and
//! counting by one clock all year, is common practice, no source: where clocks change in summer a
//! reading within that hour of a change of shift may be counted to the other one.

use chrono::{DateTime, NaiveDate};
use serde::Deserialize;

use crate::moment::Moment;
use crate::standard::StandardError;
use crate::standard::quantity::Spot;

/// Milliseconds of a minute.
const MINUTE_MS: i64 = 60_000;

/// The crew shifts of a county.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShiftPolicy {
    /// Names in the order in which they follow each other; a name may come more than once in a
    /// turn. Default day, night.
    pub names: Vec<String>,
    /// Day on which the first of them begins. Default 1970-01-01.
    pub first_day: NaiveDate,
    /// When it begins on that day, minutes after midnight. Default 07:00.
    pub starts_min: u32,
    /// How long each is, seconds. Default 12 h.
    pub each_s: u32,
    /// Whether the policy says so; else it is by day and night.
    pub is_stated: bool,
}

impl ShiftPolicy {
    /// Name of the shift that was on.
    #[must_use]
    pub fn at(&self, moment: Moment, utc_offset_min: i32) -> &str {
        let midnight = self.first_day.and_time(chrono::NaiveTime::MIN).and_utc();
        let offset_ms = (i64::from(utc_offset_min) - i64::from(self.starts_min)) * MINUTE_MS;
        let since_ms = moment
            .plus_ms(offset_ms)
            .since(Moment(midnight.timestamp_millis()));
        let turn = since_ms.div_euclid(i64::from(self.each_s) * 1_000);
        let count = i64::try_from(self.names.len()).unwrap_or(1).max(1);
        let place = usize::try_from(turn.rem_euclid(count)).unwrap_or(0);
        self.names.get(place).map_or("", String::as_str)
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawShifts {
    names: Vec<String>,
    first_day: String,
    starts: String,
    each: String,
}

/// As [`ShiftPolicy`] says of a policy without the table.
pub(super) fn by_day_and_night() -> ShiftPolicy {
    ShiftPolicy {
        names: vec!["day".to_owned(), "night".to_owned()],
        first_day: DateTime::UNIX_EPOCH.date_naive(),
        starts_min: 7 * 60,
        each_s: 12 * 3_600,
        is_stated: false,
    }
}

/// Most names in one turn: a turn of 12 weeks of 12-hour shifts has 168.
const NAMES_MAX: usize = 168;

impl RawShifts {
    pub(super) fn checked(&self) -> Result<ShiftPolicy, StandardError> {
        let at = |field| Spot {
            place: "policy [shifts]",
            field,
        };
        let is_name = |name: &String| !name.trim().is_empty() && name.chars().count() <= 40;
        if self.names.is_empty() || self.names.len() > NAMES_MAX || !self.names.iter().all(is_name)
        {
            let limit = "give from 1 to 168 names of 1 to 40 characters, in the order in which the \
                         shifts follow each other";
            return Err(at("names").refuse(&self.names.join(", "), limit));
        }
        let first_day = NaiveDate::parse_from_str(&self.first_day, "%Y-%m-%d");
        let first_day = first_day.map_err(|_| {
            at("first_day").refuse(&self.first_day, "give a day, for example 2026-01-05")
        })?;
        let starts_min = clock(&self.starts).ok_or_else(|| {
            at("starts").refuse(&self.starts, "give a time of day, for example 07:00")
        })?;
        let each_s = at("each").time_s(&self.each)?;
        if !(3_600..=7 * 86_400).contains(&each_s) {
            return Err(at("each").refuse(&self.each, "give from 1 h to 168 h"));
        }
        Ok(ShiftPolicy {
            names: self
                .names
                .iter()
                .map(|name| name.trim().to_owned())
                .collect(),
            first_day,
            starts_min,
            each_s,
            is_stated: true,
        })
    }
}

/// Minutes after midnight of `07:00`.
fn clock(text: &str) -> Option<u32> {
    let (hours, minutes) = text.trim().split_once(':')?;
    let is_two = |part: &str| part.len() == 2 && part.bytes().all(|b| b.is_ascii_digit());
    if !is_two(hours) || !is_two(minutes) {
        return None;
    }
    let (hours, minutes): (u32, u32) = (hours.parse().ok()?, minutes.parse().ok()?);
    (hours < 24 && minutes < 60).then_some(hours * 60 + minutes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standard::Policy;

    /// 2026-03-02 is a Monday.
    const MONDAY_MS: i64 = 1_772_409_600_000;

    fn raw() -> RawShifts {
        RawShifts {
            names: ["A", "B", "A", "C"].map(str::to_owned).to_vec(),
            first_day: "2026-03-02".to_owned(),
            starts: "07:30".to_owned(),
            each: "24 h".to_owned(),
        }
    }

    #[test]
    fn the_shift_that_was_on_changes_at_its_hour_by_the_countys_clock() {
        let shifts = raw().checked().expect("shifts");
        let hours = |hours: i64, minutes: i64| Moment(MONDAY_MS + (hours * 60 + minutes) * 60_000);
        for (moment, offset_min, wanted) in [
            (hours(7, 30), 0, "A"),
            (hours(7, 29), 0, "C"),
            (hours(31, 29), 0, "A"),
            (hours(31, 30), 0, "B"),
            (hours(79, 30), 0, "C"),
            (hours(103, 30), 0, "A"),
            (hours(12, 30), -300, "A"),
            (hours(12, 29), -300, "C"),
            (hours(-1_000 * 96 + 8, 0), 0, "A"),
        ] {
            assert_eq!(shifts.at(moment, offset_min), wanted, "{moment:?}");
        }
    }

    #[test]
    fn a_policy_without_shifts_goes_by_day_and_night() {
        let policy = Policy::parse(Policy::default_text()).expect("the policy");
        let shifts = policy.shifts;
        assert!(!shifts.is_stated);
        for (hour, wanted) in [(6, "night"), (7, "day"), (18, "day"), (19, "night")] {
            let at = Moment(MONDAY_MS + hour * 3_600_000);
            assert_eq!(shifts.at(at, 0), wanted, "{hour}");
        }
    }

    #[test]
    fn what_cannot_be_a_shift_is_refused_by_its_field() {
        let refused = |change: &dyn Fn(&mut RawShifts)| {
            let mut shifts = raw();
            change(&mut shifts);
            shifts.checked().expect_err("refused").to_string()
        };
        assert!(refused(&|raw| raw.names.clear()).contains("names"));
        assert!(refused(&|raw| raw.first_day = "2026-02-30".to_owned()).contains("first_day"));
        assert!(refused(&|raw| raw.starts = "7:30".to_owned()).contains("starts"));
        assert!(refused(&|raw| raw.starts = "24:00".to_owned()).contains("starts"));
        assert!(refused(&|raw| raw.each = "10 min".to_owned()).contains("each"));
    }
}
