//! The county's settings for leaks and hold tests, from the `[leak]` and `[hold]` tables of its
//! policy.
//!
//! A policy that was signed before a setting existed stands for its default. Each default is said
//! here with its source, or that it has none.

use serde::Deserialize;

use crate::answer::Basis;
use crate::leak::{HoldLimit, HoldRule, JudgedBy};
use crate::standard::quantity::Spot;
use crate::standard::{HoldSort, RuleEffect, StandardError};

/// Where the limits of a leak and of the 24-hour test come from.
const ARMY: &str = "TM 5-1940-321-13&P p. 5-35 and 5-36: more than 30 mbar in 24 h, after \
                    temperature, is a case for a leak test";

/// Settings for leaks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeakPolicy {
    /// A part that loses more than this in 24 h wants a leak test, pascal. Default 30 mbar:
    /// TM 5-1940-321-13&P p. 5-36. The RIB trade allows 20 % a day, which is looser.
    pub limit_pa: i64,
    /// What such a part does to the craft: note, limit (top up before power), unproven or
    /// not-ready. Default limit: agency, no source.
    pub over_limit: RuleEffect,
    /// Readings without air between them from which a leak counts as known. Default 3: common
    /// practice, no source; two readings make a line that nothing checks.
    pub known_readings: u32,
    /// Readings over a shorter time say nothing of a leak, milliseconds. Default 12 h: common
    /// practice, no source; 5 mbar of a gauge in 12 h are 10 mbar a day.
    pub least_ms: i64,
    /// How much warmer than at either reading a bay may have been between them, milli-kelvin: where
    /// that brings a part to its relief setting, nothing is fitted. Default 5 °C: common practice,
    /// no source.
    pub bay_swing_mk: i32,
    /// One chamber fell and its neighbour rose by this at least: air went through the baffle,
    /// pascal. Default 10 mbar, twice what a gauge may be off: common practice, no source.
    pub baffle_pa: i64,
    /// What a leaking baffle does. Default unproven: go and look, with the valves shut.
    pub baffle: RuleEffect,
    /// A gauge that changed by no more than this while the bay changed by `still_span_mk` never
    /// moves, pascal. Default 5 mbar, what a gauge may be off: common practice, no source.
    pub still_pa: i64,
    /// See `still_pa`, milli-kelvin. Default 5 °C, which moves a tube by 22 mbar.
    pub still_span_mk: i32,
    /// What such readings do. Default note.
    pub still: RuleEffect,
}

/// Settings for hold tests.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HoldPolicy {
    /// The 24-hour test. Default 24 to 30 h, 30 mbar: TM 5-1940-321-13&P p. 5-35 and 5-36.
    pub day: HoldRule,
    /// The working-pressure test. Default 1 to 4 h, 5 %: IMO A.761(18), written for life rafts.
    pub hour: HoldRule,
}

impl HoldPolicy {
    /// The rule of a test.
    #[must_use]
    pub const fn rule(&self, sort: HoldSort) -> &HoldRule {
        match sort {
            HoldSort::Day => &self.day,
            HoldSort::Hour => &self.hour,
        }
    }

    /// Which test one of so many seconds is.
    #[must_use]
    pub const fn sort(&self, duration_s: u32) -> HoldSort {
        if duration_s >= self.day.least_s {
            HoldSort::Day
        } else {
            HoldSort::Hour
        }
    }

    /// Where the limit of a test comes from, as far as it is the default.
    #[must_use]
    pub const fn source(sort: HoldSort) -> (Basis, &'static str) {
        match sort {
            HoldSort::Day => (Basis::Trade, ARMY),
            HoldSort::Hour => (
                Basis::Trade,
                "IMO A.761(18): at working pressure for 1 h, at most 5 % lost; written for life \
                 rafts",
            ),
        }
    }
}

impl LeakPolicy {
    /// Where the limit comes from, as far as it is the default.
    pub const SOURCE: (Basis, &'static str) = (Basis::Trade, ARMY);
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawLeak {
    limit_per_day: String,
    over_limit: RuleEffect,
    known_readings: u32,
    least_time: String,
    bay_swing: String,
    baffle_change: String,
    baffle: RuleEffect,
    still_within: String,
    still_while: String,
    still: RuleEffect,
}

impl Default for RawLeak {
    fn default() -> Self {
        Self {
            limit_per_day: "30 mbar".to_owned(),
            over_limit: RuleEffect::Limit,
            known_readings: 3,
            least_time: "12 h".to_owned(),
            bay_swing: "5 °C".to_owned(),
            baffle_change: "10 mbar".to_owned(),
            baffle: RuleEffect::Unproven,
            still_within: "5 mbar".to_owned(),
            still_while: "5 °C".to_owned(),
            still: RuleEffect::Note,
        }
    }
}

impl RawLeak {
    pub(super) fn checked(&self) -> Result<LeakPolicy, StandardError> {
        let at = |field| Spot {
            place: "policy [leak]",
            field,
        };
        if !(2..=16).contains(&self.known_readings) {
            let value = self.known_readings.to_string();
            return Err(at("known_readings").refuse(&value, "give from 2 to 16 readings"));
        }
        let least_ms = i64::from(at("least_time").time_s(&self.least_time)?) * 1000;
        if least_ms < 3_600_000 {
            return Err(at("least_time").refuse(&self.least_time, "give at least 1 h"));
        }
        let span = |field, text: &str| {
            let mk = at(field).spread_mk(text)?;
            Ok(i32::try_from(mk).unwrap_or(i32::MAX))
        };
        Ok(LeakPolicy {
            limit_pa: at("limit_per_day").pressure_pa(&self.limit_per_day)?,
            over_limit: of_a_part(at("over_limit"), self.over_limit)?,
            known_readings: self.known_readings,
            least_ms,
            bay_swing_mk: span("bay_swing", &self.bay_swing)?,
            baffle_pa: at("baffle_change").pressure_pa(&self.baffle_change)?,
            baffle: of_a_part(at("baffle"), self.baffle)?,
            still_pa: at("still_within").pressure_pa(&self.still_within)?,
            still_span_mk: span("still_while", &self.still_while)?,
            still: of_a_part(at("still"), self.still)?,
        })
    }
}

/// An effect that a part can have by itself.
fn of_a_part(spot: Spot<'_>, effect: RuleEffect) -> Result<RuleEffect, StandardError> {
    let (word, fits) = match effect {
        RuleEffect::Note | RuleEffect::Limit | RuleEffect::Unproven | RuleEffect::NotReady => {
            ("", true)
        }
        RuleEffect::NoPower => ("no-power", false),
        RuleEffect::DaylightOnly => ("daylight-only", false),
        RuleEffect::CrewOnly => ("crew-only", false),
        RuleEffect::NotForMission => ("not-for-mission", false),
    };
    if fits {
        return Ok(effect);
    }
    Err(spot.refuse(
        word,
        "give note, limit (top up before power), unproven or not-ready",
    ))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawHold {
    day_least: String,
    day_most: String,
    day_loss: String,
    hour_least: String,
    hour_most: String,
    hour_loss_percent: u32,
    linear_per_degree: String,
    judged_by: JudgedBy,
    gain: String,
}

impl Default for RawHold {
    fn default() -> Self {
        Self {
            day_least: "24 h".to_owned(),
            day_most: "30 h".to_owned(),
            day_loss: "30 mbar".to_owned(),
            hour_least: "1 h".to_owned(),
            hour_most: "4 h".to_owned(),
            hour_loss_percent: 5,
            linear_per_degree: "4 mbar".to_owned(),
            judged_by: JudgedBy::Linear,
            gain: "10 mbar".to_owned(),
        }
    }
}

impl RawHold {
    pub(super) fn checked(&self) -> Result<HoldPolicy, StandardError> {
        let at = |field| Spot {
            place: "policy [hold]",
            field,
        };
        if !(1..=50).contains(&self.hour_loss_percent) {
            let value = self.hour_loss_percent.to_string();
            return Err(at("hour_loss_percent").refuse(&value, "give from 1 to 50"));
        }
        let rule = |least, most, limit| HoldRule {
            least_s: least,
            most_s: most,
            limit,
            linear_pa_per_k: 0,
            judged_by: self.judged_by,
            gain_pa: 0,
        };
        let seconds = |field, text: &str| at(field).time_s(text);
        let day = rule(
            seconds("day_least", &self.day_least)?,
            seconds("day_most", &self.day_most)?,
            HoldLimit::Pa(at("day_loss").pressure_pa(&self.day_loss)?),
        );
        let hour = rule(
            seconds("hour_least", &self.hour_least)?,
            seconds("hour_most", &self.hour_most)?,
            HoldLimit::PerMille(self.hour_loss_percent * 10),
        );
        in_order(at("day_most"), &self.day_most, day)?;
        in_order(at("hour_most"), &self.hour_most, hour)?;
        if hour.least_s >= day.least_s {
            let limit = "the working-pressure test is the shorter one: give less than day_least";
            return Err(at("hour_least").refuse(&self.hour_least, limit));
        }
        let linear_pa_per_k = at("linear_per_degree").pressure_pa(&self.linear_per_degree)?;
        let gain_pa = at("gain").pressure_pa(&self.gain)?;
        let with = |rule| HoldRule {
            linear_pa_per_k,
            gain_pa,
            ..rule
        };
        Ok(HoldPolicy {
            day: with(day),
            hour: with(hour),
        })
    }
}

fn in_order(spot: Spot<'_>, text: &str, rule: HoldRule) -> Result<(), StandardError> {
    if rule.least_s > 0 && rule.least_s <= rule.most_s {
        return Ok(());
    }
    Err(spot.refuse(
        text,
        "the least time is above 0, and the most is not less than the least",
    ))
}
