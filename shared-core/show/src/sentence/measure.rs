//! Quantities found and required, in words.

use sponson_readiness::answer::{Mark, Measure, Required};
use sponson_readiness::standard::MarkDay;

use crate::clean::clean;
use crate::context::Context;
use crate::units::print;
use crate::words;

/// A quantity in the county's units.
#[must_use]
pub fn measure_text(measure: &Measure, ctx: &Context) -> String {
    match measure {
        Measure::GaugePa(pa) => print::pressure(*pa, ctx.units),
        Measure::Slack => "slack".to_owned(),
        Measure::Count(number) => number.to_string(),
        Measure::SpanMs(ms) => print::span(*ms),
        Measure::EngineS(s) => print::engine(*s),
        Measure::Date(date) => date.to_string(),
        Measure::Mark(read) => mark_text(*read),
        Measure::MassG(g) => print::mass(i64::try_from(*g).unwrap_or(i64::MAX), ctx.units),
        Measure::VolumeMl(ml) => print::volume(*ml, ctx.units),
        Measure::Mix(0) => "unmixed petrol".to_owned(),
        Measure::Mix(parts) => format!("petrol mixed {parts}:1"),
        Measure::PowerW(w) => print::power(*w, ctx.units),
        Measure::Persons(number) => print::count(i64::from(*number), "person"),
        Measure::SpeedMmS(mm_s) => print::speed(*mm_s),
        Measure::Moment(at) => ctx.local(*at),
        Measure::FreeAirMl(ml) => print::litres(*ml),
        Measure::NotLooked(why) => words::not_applicable(*why).to_owned(),
        Measure::Word(word) => clean(word),
        Measure::Said(said) => super::disagreement::said_text(*said),
        Measure::Leak(rate) => super::rule::leak::rate_text(rate, ctx),
        Measure::Sides(sides) => {
            let sides: Vec<String> = sides.iter().map(|side| measure_text(side, ctx)).collect();
            sides.join(" / ")
        }
    }
}

/// A mark that names no day, and how it was read: `marked 2026-02: good through its last day, a
/// setting of the county`.
pub(super) fn mark_text(read: Mark) -> String {
    let what = match (read.is_making, read.mark.month) {
        (false, Some(_)) => "good through its",
        (false, None) => "a year alone, good through its",
        (true, Some(_)) => "its life counts from the month's",
        (true, None) => "a year alone, its life counts from a month's",
    };
    let day = match read.day {
        MarkDay::LastDay => "last day",
        MarkDay::FirstDay => "first day",
    };
    let verb = if read.is_making { "made" } else { "marked" };
    let mark = print::date_mark(read.mark);
    format!("{verb} {mark}: {what} {day}, a setting of the county")
}

/// What is required: `at least 2.50 psi`, `from 2.50 psi to 3.50 psi`, `at most 7 days`.
#[must_use]
pub fn required_text(required: &Required, ctx: &Context) -> String {
    let low = required.low.as_ref().map(|low| measure_text(low, ctx));
    let high = required.high.as_ref().map(|high| measure_text(high, ctx));
    match (low, high) {
        (Some(low), Some(high)) if low == high => low,
        (Some(low), Some(high)) => format!("from {low} to {high}"),
        (Some(low), None) => format!("at least {low}"),
        (None, Some(high)) => format!("at most {high}"),
        (None, None) => "nothing stated".to_owned(),
    }
}

/// A pressure that stands beside another: in pascal as well when rounding would hide which of
/// the two is the larger.
pub(super) fn pressure_beside(pa: i64, other: i64, ctx: &Context) -> String {
    let shown = print::pressure(pa, ctx.units);
    if other != pa && print::pressure(other, ctx.units) == shown {
        return format!("{shown} ({pa} Pa)");
    }
    shown
}
