//! Leaks of chambers and hold tests in plain words.

use sponson_readiness::answer::LeakRate;
use sponson_readiness::chambers::{ChamberCurve, ChamberLeaks, Height, Leaking, WhyNotKnown};
use sponson_readiness::engine::HoldNothing;
use sponson_readiness::event::ReadingMoment;
use sponson_readiness::holds_done::{HoldTested, LossCourse, LossSaid};
use sponson_readiness::leak::{Cut, HoldFault, HoldVerdict, NotFitted};
use sponson_readiness::read_back::Happened;
use sponson_readiness::standard::HoldSort;

use super::gauges::gauge_text;
use super::rule::leak::rate_text;
use crate::context::Context;
use crate::units::print;

/// For which temperatures the days are told.
#[must_use]
pub fn leaks_asked_text(leaks: &ChamberLeaks, ctx: &Context) -> String {
    use sponson_readiness::answer::Assumed;
    let air = print::temperature(leaks.air_mc, ctx.units);
    let water = print::temperature(leaks.water_mc, ctx.units);
    let assumed = match (
        leaks.assumed.contains(&Assumed::Air),
        leaks.assumed.contains(&Assumed::Water),
    ) {
        (true, _) => " (assumed: none was given)",
        (false, true) => " (the water as the air: none was given)",
        (false, false) => "",
    };
    format!("At a launch with air of {air} and water of {water}{assumed}.")
}

/// The first lines.
#[must_use]
pub fn leaks_summary(leaks: &ChamberLeaks) -> String {
    let soft = leaks
        .leaking
        .iter()
        .filter(|one| one.rate.below_on.is_some());
    let dated = soft.count();
    let (losing, holding, open) = (
        leaks.leaking.len(),
        leaks.holding.len(),
        leaks.not_known.len(),
    );
    if losing + holding + open == 0 {
        return "No chamber is known here.".to_owned();
    }
    let over = leaks.leaking.iter().filter(|one| one.is_over).count();
    format!(
        "{losing} of {} lose air, {over} of them more than they may; the day on which they are too \
         soft is known of {dated}. {holding} hold. Of {open} it is not known.",
        print::count(
            i64::try_from(losing + holding + open).unwrap_or(i64::MAX),
            "chamber"
        )
    )
}

/// When a chamber is too soft.
#[must_use]
pub fn soft_on_text(one: &Leaking, leaks: &ChamberLeaks, ctx: &Context) -> String {
    match (one.rate.below_on, one.height) {
        (Some(day), _) => {
            let today = print::local_day(leaks.as_of, ctx.utc_offset_min);
            let between = between_days(&one.rate);
            if day.to_string() <= today {
                format!("too soft since {day}{between}")
            } else {
                format!("too soft on {day}{between}")
            }
        }
        (None, Height::ChangedSince) => {
            "day not known: air came or went since, and nobody read the gauge".to_owned()
        }
        (None, Height::Stands) => "not within ten years".to_owned(),
    }
}

fn between_days(rate: &LeakRate) -> String {
    match rate.below_between {
        (Some(first), Some(last)) => format!(" (95 % between {first} and {last})"),
        (Some(first), None) => format!(" (not before {first}; how long after is not known)"),
        (None, Some(_) | None) => " (the readings give no interval)".to_owned(),
    }
}

/// How fast, by how many readings.
#[must_use]
pub fn leak_rate_text(rate: &LeakRate, ctx: &Context) -> String {
    rate_text(rate, ctx)
}

/// Why a leak is not known.
#[must_use]
pub fn why_not_known_text(why: WhyNotKnown) -> String {
    match why {
        WhyNotKnown::Rolled => "kept rolled".to_owned(),
        WhyNotKnown::NotFitted(NotFitted::NoReading) => {
            "no reading whose temperature is known".to_owned()
        }
        WhyNotKnown::NotFitted(NotFitted::OneReading) => {
            "no two readings without air, a repair or the relief valve between them".to_owned()
        }
        WhyNotKnown::NotFitted(NotFitted::OneMoment) => "readings of one moment only".to_owned(),
        WhyNotKnown::NotFitted(NotFitted::Slack) => "it was slack when it was read".to_owned(),
        WhyNotKnown::TooShort { over_ms, least_ms } => format!(
            "readings over {} only; {} are needed",
            print::span(over_ms),
            print::span(least_ms)
        ),
        WhyNotKnown::FewReadings { readings, least } => format!(
            "{} only; from {least} on it counts as known",
            print::count(i64::from(readings), "reading")
        ),
    }
}

/// What a hold test came to, by which rule.
#[must_use]
pub fn hold_tested_text(test: &HoldTested, ctx: &Context) -> String {
    let say = |pa| print::pressure(pa, ctx.units);
    let told = &test.told;
    let span = print::span(i64::from(test.test.duration_s) * 1_000);
    let lost = lost_text(told.lost_pa, ctx);
    let figures = format!(
        "{} to {} in {span}, {lost} after temperature, {} allowed",
        say(test.test.start.gauge_pa),
        say(test.test.end.gauge_pa),
        say(told.limit_pa)
    );
    let rules = format!(
        "by the linear rule {}, by the gas law {}",
        lost_text(told.lost_linear_pa, ctx),
        lost_text(told.lost_gas_pa, ctx)
    );
    let agree = if told.agree {
        ""
    } else {
        ": they do not agree"
    };
    let verdict = match (test.nothing, told.verdict) {
        (Some(why), _) => format!("proves nothing: {}", nothing_text(why)),
        (None, HoldVerdict::Passed) => "held".to_owned(),
        (None, HoldVerdict::TestForLeaks) => "lost too much: test for leaks".to_owned(),
        (None, HoldVerdict::ProvesNothing(_)) => "proves nothing".to_owned(),
    };
    let entered = match (test.entered_passed, test.nothing.is_none(), told.verdict) {
        (true, true, HoldVerdict::TestForLeaks) => "; it was entered as passed",
        (false, true, HoldVerdict::Passed) => "; it was entered as failed",
        _ => "",
    };
    format!("{verdict}: {figures} ({rules}{agree}){entered}")
}

/// Which test it is.
#[must_use]
pub const fn hold_sort_text(sort: HoldSort) -> &'static str {
    match sort {
        HoldSort::Day => "24-hour test",
        HoldSort::Hour => "one-hour test",
    }
}

const fn nothing_text(why: HoldNothing) -> &'static str {
    match why {
        HoldNothing::Fault(HoldFault::TooShort) => "it was ended too soon",
        HoldNothing::Fault(HoldFault::TooLong) => "it went on for longer than such a test does",
        HoldNothing::Fault(HoldFault::Gained) => "the part gained air",
        HoldNothing::Implausible => "the gauge belongs to another sort of part",
        HoldNothing::BegunSoft => "it began below the part's least",
        HoldNothing::NotTested => "not every part was tested",
    }
}

fn lost_text(pa: i64, ctx: &Context) -> String {
    let size = print::pressure(pa.saturating_abs(), ctx.units);
    if pa < 0 {
        format!("{size} gained")
    } else {
        format!("{size} lost")
    }
}

/// How the losses of a chamber went from test to test.
#[must_use]
pub fn losses_text(course: &LossCourse, ctx: &Context) -> String {
    let losses = course.losses.iter();
    let losses: Vec<String> = losses
        .map(|(_, pa)| print::pressure_number(*pa, ctx.units))
        .collect();
    let unit = print::pressure_unit(ctx.units);
    let said = match course.said {
        LossSaid::Grows => "loses more from test to test",
        LossSaid::Shrinks => "loses less from test to test",
        LossSaid::NoTrend => "no trend shows",
        LossSaid::TooFew => "too few tests for a trend",
    };
    format!("{said}: lost {} {unit}", losses.join(", "))
}

/// What happened to a chamber, and with which gauge.
#[must_use]
pub fn happened_text(happened: &Happened) -> String {
    let shown = match happened {
        Happened::Cut(_, Cut::AirAdded) => return "air added".to_owned(),
        Happened::Cut(_, Cut::AirLetOut) => return "air let out".to_owned(),
        Happened::Cut(_, Cut::Inflated) => return "inflated anew".to_owned(),
        Happened::Cut(_, Cut::Repaired) => return "repaired".to_owned(),
        Happened::Read(shown) => shown,
    };
    let moment = match shown.past.reading.moment {
        ReadingMoment::AsFound => "as found",
        ReadingMoment::AsLeft => "as left",
    };
    if shown.gauge_number.is_empty() {
        return moment.to_owned();
    }
    format!("{moment}, {}", gauge_text(&shown.gauge_number))
}

/// How a chamber stands by its readings.
#[must_use]
pub fn stands_text(curve: &ChamberCurve, ctx: &Context) -> String {
    match (&curve.rate, curve.not_known) {
        (Some(rate), _) => {
            let day = rate.below_on.map_or_else(String::new, |day| {
                format!("; below its least on {day}{}", between_days(rate))
            });
            format!("loses {}{day}", leak_rate_text(rate, ctx))
        }
        (None, Some(why)) => format!("what it loses is not known: {}", why_not_known_text(why)),
        (None, None) => "holds: it fell by no more than a gauge may be off".to_owned(),
    }
}
