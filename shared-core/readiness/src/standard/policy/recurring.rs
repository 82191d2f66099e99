//! The county's settings for what keeps failing and what is proposed about it: the `[recurring]`
//! table of its policy. Nothing of it decides whether a craft is ready.
//!
//! A policy that was signed before a setting existed stands for its default. All defaults are common
//! practice, no source: the lead decides.

use serde::Deserialize;

use crate::answer::Basis;
use crate::event::Severity;
use crate::standard::StandardError;
use crate::standard::quantity::Spot;

/// What keeps failing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RecurringPolicy {
    /// Two spots on one part, side and face this near are the same place, millimetres. Default 1 ft.
    pub same_place_mm: u32,
    /// Whether classes of fault are told apart at a place. Default: any class.
    pub same_class: SamePlace,
    /// Fewer faults are too few to say anything of. Default 3.
    pub few: u32,
    /// Rate at which false alarms are held, millionths. Default 10 %.
    pub false_alarms_ppm: u32,
    /// More than usual from this share of the usual on, thousandths. Default 1500.
    pub more_milli: u32,
    /// Level of intervals, millionths. Default 95 %.
    pub interval_ppm: u32,
    /// Level of the tests for a trend, millionths. Default 5 %.
    pub trend_ppm: u32,
    /// Faults of a group from which a trend is looked for. Default 6.
    pub trend_least: u32,
    /// What is proposed.
    pub what_to_do: WhatToDo,
}

/// From when on something is proposed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WhatToDo {
    /// Repairs at a place that did not hold: repair again while it is open. Default 1.
    pub repair_again_after: u32,
    /// So many within `maker_within_days`: send to the maker. Default 2.
    pub maker_after: u32,
    /// Default 730.
    pub maker_within_days: u32,
    /// So many within `take_out_within_days`: take out of service. Default 2.
    pub take_out_after: u32,
    /// Default 365.
    pub take_out_within_days: u32,
    /// Of faults at least as bad as this. Default restrictive.
    pub take_out_severity: Severity,
    /// So many within `condemn_within_days`: condemn. Default 4.
    pub condemn_after: u32,
    /// Default 1095.
    pub condemn_within_days: u32,
    /// A batch or model apart from the rest with so many faults: hold everywhere. Default 5.
    pub hold_faults: u32,
    /// On so many craft, or pieces of gear. Default 3.
    pub hold_units: u32,
    /// Apart from the rest at this rate of false alarms, millionths. Default 2 %: stricter than what
    /// is only told, since a hold takes craft from the county.
    pub hold_apart_ppm: u32,
}

impl RecurringPolicy {
    /// Where the settings come from, as far as they are the defaults.
    pub const SOURCE: (Basis, &'static str) = (
        Basis::Agency,
        "common practice, no source: the lead decides",
    );
}

/// Which faults at one spot are the same place failing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum SamePlace {
    /// Of any class.
    Any,
    /// Of the same class.
    Same,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "lowercase")]
enum HowBad {
    Disabling,
    Restrictive,
    Major,
    Minor,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawRecurring {
    same_place_within: String,
    same_class: SamePlace,
    few: u32,
    false_alarms_percent: u32,
    more_percent: u32,
    interval_percent: u32,
    trend_percent: u32,
    trend_least: u32,
    repair_again_after: u32,
    maker_after: u32,
    maker_within: String,
    take_out_after: u32,
    take_out_within: String,
    take_out_severity: HowBad,
    condemn_after: u32,
    condemn_within: String,
    hold_faults: u32,
    hold_units: u32,
    hold_apart_percent: u32,
}

impl Default for RawRecurring {
    fn default() -> Self {
        Self {
            same_place_within: "1 ft".to_owned(),
            same_class: SamePlace::Any,
            few: 3,
            false_alarms_percent: 10,
            more_percent: 150,
            interval_percent: 95,
            trend_percent: 5,
            trend_least: 6,
            repair_again_after: 1,
            maker_after: 2,
            maker_within: "730 days".to_owned(),
            take_out_after: 2,
            take_out_within: "365 days".to_owned(),
            take_out_severity: HowBad::Restrictive,
            condemn_after: 4,
            condemn_within: "1095 days".to_owned(),
            hold_faults: 5,
            hold_units: 3,
            hold_apart_percent: 2,
        }
    }
}

impl RawRecurring {
    /// Reads the settings.
    ///
    /// # Errors
    ///
    /// [`StandardError`] names the field, the value and what is allowed.
    pub(super) fn checked(&self) -> Result<RecurringPolicy, StandardError> {
        let percent = |field, value, least, most, limit| {
            Ok(within(field, value, least, most, limit)? * 10_000)
        };
        Ok(RecurringPolicy {
            same_place_mm: at("same_place_within").apart_mm(&self.same_place_within)?,
            same_class: self.same_class,
            few: within("few", self.few, 1, 20, "give from 1 to 20 faults")?,
            false_alarms_ppm: percent(
                "false_alarms_percent",
                self.false_alarms_percent,
                1,
                50,
                "give from 1 to 50 percent",
            )?,
            more_milli: 10
                * within(
                    "more_percent",
                    self.more_percent,
                    101,
                    1000,
                    "give from 101 to 1000 percent of the usual",
                )?,
            interval_ppm: percent(
                "interval_percent",
                self.interval_percent,
                50,
                99,
                "give from 50 to 99 percent",
            )?,
            trend_ppm: percent(
                "trend_percent",
                self.trend_percent,
                1,
                20,
                "give from 1 to 20 percent",
            )?,
            // Three faults are the fewest of which an order can be said at all.
            trend_least: within(
                "trend_least",
                self.trend_least,
                3,
                50,
                "give from 3 to 50 faults",
            )?,
            what_to_do: self.what_to_do()?,
        })
    }

    fn what_to_do(&self) -> Result<WhatToDo, StandardError> {
        let failures = |field, value| within(field, value, 1, 20, "give from 1 to 20 repairs");
        Ok(WhatToDo {
            repair_again_after: failures("repair_again_after", self.repair_again_after)?,
            maker_after: failures("maker_after", self.maker_after)?,
            maker_within_days: days("maker_within", &self.maker_within)?,
            take_out_after: failures("take_out_after", self.take_out_after)?,
            take_out_within_days: days("take_out_within", &self.take_out_within)?,
            take_out_severity: match self.take_out_severity {
                HowBad::Disabling => Severity::Disabling,
                HowBad::Restrictive => Severity::Restrictive,
                HowBad::Major => Severity::Major,
                HowBad::Minor => Severity::Minor,
            },
            condemn_after: failures("condemn_after", self.condemn_after)?,
            condemn_within_days: days("condemn_within", &self.condemn_within)?,
            hold_faults: within(
                "hold_faults",
                self.hold_faults,
                2,
                100,
                "give from 2 to 100",
            )?,
            hold_units: within(
                "hold_units",
                self.hold_units,
                1,
                100,
                "give from 1 to 100 craft",
            )?,
            hold_apart_ppm: 10_000
                * within(
                    "hold_apart_percent",
                    self.hold_apart_percent,
                    1,
                    50,
                    "give from 1 to 50 percent",
                )?,
        })
    }
}

const fn at(field: &'static str) -> Spot<'static> {
    Spot {
        place: "policy [recurring]",
        field,
    }
}

fn within(
    field: &'static str,
    value: u32,
    least: u32,
    most: u32,
    limit: &str,
) -> Result<u32, StandardError> {
    if (least..=most).contains(&value) {
        return Ok(value);
    }
    Err(at(field).refuse(&value.to_string(), limit))
}

fn days(field: &'static str, text: &str) -> Result<u32, StandardError> {
    match at(field).days(text)? {
        0 => Err(at(field).refuse(text, "give at least 1 day")),
        days => Ok(days),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standard::Policy;

    fn policy(text: &str) -> Result<RecurringPolicy, StandardError> {
        Policy::parse(text).map(|policy| policy.recurring)
    }

    #[test]
    fn a_policy_without_the_table_stands_for_what_comes_with_the_program() {
        let text = Policy::default_text();
        let from = text.find("[recurring]").expect("the table");
        let to = text[from + 1..]
            .find("\n[")
            .map_or(text.len(), |end| from + 1 + end);
        let without = format!("{}{}", &text[..from], &text[to..]);
        assert_eq!(policy(&without), policy(text));
        assert!(policy(text).is_ok());
    }

    fn check(from: &str, to: &str, refused: &str) {
        let text = Policy::default_text();
        assert!(text.contains(from), "{from}");
        let said = policy(&text.replace(from, to)).expect_err(to).to_string();
        assert!(said.contains(refused), "{said}");
    }

    #[test]
    fn what_cannot_be_is_refused_with_what_is_allowed() {
        check("few = 3", "few = 0", "from 1 to 20 faults");
        check("hold_units = 3", "hold_units = 0", "from 1 to 100 craft");
        check("\"730 days\"", "\"0 days\"", "at least 1 day");
        check("within = \"1 ft\"", "within = \"1 mi\"", "0 to 5 m");
        check(
            "alarms_percent = 10",
            "alarms_percent = 0",
            "1 to 50 percent",
        );
        check("\"restrictive\"", "\"bad\"", "take_out_severity");
    }
}
