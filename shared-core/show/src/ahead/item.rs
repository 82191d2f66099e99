//! One thing that comes due, in words: what, on what, when, and why no visit does it.

use sponson_readiness::ahead::{
    Ahead, By, CountedFrom, DueItem, NotKnown, Often, On, Planned, Reached, Standing, UseNotKnown,
    What, WhyNoVisit, WhyNotKnown,
};
use sponson_readiness::dates::Day;
use sponson_readiness::event::GearKind;
use sponson_readiness::standard::Every;

use super::{about_day, day};
use crate::clean::clean;
use crate::table::{label_or, short_number};
use crate::units::print;

/// What comes due, without its craft.
#[must_use]
pub fn what_text(item: &DueItem) -> String {
    let label = clean(&item.label);
    match &item.what {
        What::Inspection(line) => label_or(&item.label, line.as_str()),
        What::KitDate {
            item: line,
            count,
            mark,
        } => {
            let label = label_or(&item.label, line.as_str());
            let marked = mark.as_ref().map_or_else(String::new, |mark| {
                let of = if mark.is_making { "made" } else { "marked" };
                format!(", {of} {}", print::date_mark(mark.mark))
            });
            match count {
                1 => format!("{label}: 1 runs out{marked}"),
                count => format!("{label}: {count} run out{marked}"),
            }
        }
        What::Requalification => format!("cylinder {label}: to be tested again"),
        What::CylinderLife => format!("cylinder {label}: to be retired"),
        What::GearLife(kind) => format!("{} {label}: end of its service life", gear(*kind)),
        What::WaiverEnds(_) => format!("{label}: its waiver ends, to be repaired by then"),
        What::SealTag => format!("{label}: date on its seal, to be counted"),
    }
}

/// On what it is: the number of the craft, and of gear or a bag beside it where the words of
/// [`what_text`] do not name that.
#[must_use]
pub fn on_text(item: &DueItem) -> String {
    let number = short_number(&item.number);
    let beside = match &item.on {
        On::Craft(_) => return number,
        On::Gear(_, beside) => short_number(beside),
        On::Bag(_, beside) => format!("bag {}", short_number(beside)),
    };
    let named = beside == number || clean(&item.label).contains(&beside);
    if named {
        number
    } else {
        format!("{number}, {beside}")
    }
}

/// When it is due.
#[must_use]
pub fn when_text(item: &DueItem) -> String {
    match (item.standing, item.by) {
        (Standing::NeverDone, _) => "never done, or nothing shows it: now".to_owned(),
        (Standing::Failed, _) => "failed: put right and done again, now".to_owned(),
        (
            Standing::Overdue {
                since,
                days,
                engine_s,
            },
            _,
        ) => overdue(since, days, engine_s),
        (Standing::InTime, By::EngineHours) => by_its_own_use(item),
        (Standing::InTime, By::Calendar | By::Now) => format!("by {}", day(item.due)),
    }
}

fn overdue(since: Option<Day>, days: Option<i64>, engine_s: Option<u64>) -> String {
    let since = since.map(|since| match days {
        Some(days) => format!(
            "{} overdue, since {}",
            print::count(days, "day"),
            day(since)
        ),
        None => format!("overdue since {}", day(since)),
    });
    let engine = engine_s.map(|s| format!("{} over", print::engine(s)));
    match (since, engine) {
        (Some(since), Some(engine)) => format!("{since}; {engine}"),
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => "overdue".to_owned(),
    }
}

/// The expected day of engine hours with its interval.
fn by_its_own_use(item: &DueItem) -> String {
    let expected = about_day(item.due);
    match item.between {
        None => format!("about {expected}, by its own use"),
        Some((first, Some(last))) => {
            let (first, last) = (about_day(first), about_day(last));
            format!("about {expected} (between {first} and {last}), by its own use")
        }
        Some((first, None)) => {
            let first = about_day(first);
            format!("about {expected} (not before {first}, and it may never come), by its own use")
        }
    }
}

/// Why no visit does it, or what the day is counted from; empty when there is nothing to say.
#[must_use]
pub fn plan_text(item: &DueItem) -> String {
    let mut said: Vec<String> = Vec::new();
    if let Planned::Not(why) = item.planned {
        said.push(
            match why {
                WhyNoVisit::StationNotKnown => "no visit: its station is not known",
                WhyNoVisit::WithTheChecks => "done with the boat checks",
                WhyNoVisit::ToBeDecided => "to be decided, not done on the craft",
            }
            .to_owned(),
        );
    }
    if item.round > 1 {
        said.push(match item.counted_from {
            CountedFrom::LastDone(_) | CountedFrom::Marked | CountedFrom::Nothing => {
                format!("round {} from now", item.round)
            }
            CountedFrom::ExpectedDone(_) => {
                format!(
                    "round {} from now, if the one before is done on its day",
                    item.round
                )
            }
        });
    }
    if item.used_hard {
        said.push("sooner, since it was used hard".to_owned());
    }
    said.join("; ")
}

/// All of one item in a line: craft, what, when.
#[must_use]
pub fn due_text(item: &DueItem) -> String {
    let plan = plan_text(item);
    let gap = if plan.is_empty() { "" } else { "; " };
    let (on, what, when) = (on_text(item), what_text(item), when_text(item));
    format!("{on}: {what}: {when}{gap}{plan}")
}

/// Something that is done with the boat checks.
#[must_use]
pub fn often_text(often: &Often) -> String {
    let label = match &often.inspection {
        None => "full boat check".to_owned(),
        Some(line) => label_or(&often.label, line.as_str()),
    };
    let next = match often.owed {
        true => "owed now".to_owned(),
        false => format!("next by {}", day(often.next)),
    };
    let (number, every) = (short_number(&often.number), every_text(often.every));
    format!("{number}: {label}, {every}: {next}, {}", times(often.times))
}

fn times(times: u32) -> String {
    match times {
        1 => "once in this time".to_owned(),
        times => format!("{times} times in this time"),
    }
}

/// An interval of the calendar.
pub(crate) fn every_text(every: Every) -> String {
    match every {
        Every::Days(1) => "every day".to_owned(),
        Every::Days(days) => format!("every {days} days"),
        Every::Months(1) => "every month".to_owned(),
        Every::Months(months) => format!("every {months} months"),
    }
}

/// Something whose day nobody can tell, and why.
#[must_use]
pub fn not_known_text(one: &NotKnown) -> String {
    let left = one
        .left_s
        .map_or_else(String::new, |s| format!(" in {}", print::engine(s)));
    let why = match one.why {
        WhyNotKnown::NoMeter => "no meter was noted when it was last done".to_owned(),
        WhyNotKnown::Use(why) => use_not_known(why),
    };
    let label = label_or(&one.label, one.inspection.as_str());
    format!("{}: {label}: due{left}; {why}", short_number(&one.number))
}

fn use_not_known(why: UseNotKnown) -> String {
    match why {
        UseNotKnown::NotRead => "its meter was not read often enough to tell its use".to_owned(),
        UseNotKnown::TooShort(days) => {
            let days = print::count(i64::from(days), "day");
            format!("its meter readings cover only {days}, too few to tell its use")
        }
        UseNotKnown::NotRun => "it did not run between its meter readings".to_owned(),
    }
}

/// The readings that an expected day is reckoned from.
#[must_use]
pub(crate) fn use_text(reached: &Reached) -> String {
    let of = reached.of;
    format!(
        "{} in {} of readings, ran in {} of {} stretches between them",
        print::engine(of.run_s),
        print::count(i64::from(of.days), "day"),
        of.ran,
        of.stretches
    )
}

/// A kind of numbered gear.
pub(crate) const fn gear(kind: GearKind) -> &'static str {
    match kind {
        GearKind::Motor => "motor",
        GearKind::FuelTank => "fuel tank",
        GearKind::FuelLine => "fuel line",
        GearKind::Cylinder => "cylinder",
        GearKind::InflatableFloor => "inflatable floor",
        GearKind::Pump => "pump",
        GearKind::Gauge => "gauge",
        GearKind::Radio => "radio",
        GearKind::Trailer => "trailer",
        GearKind::Battery => "battery",
        GearKind::BreathingSet => "breathing set",
    }
}

/// The items that no visit does.
pub(crate) fn without_visit(ahead: &Ahead) -> impl Iterator<Item = &DueItem> {
    let due = ahead.due.iter();
    due.filter(|item| matches!(item.planned, Planned::Not(_)))
}
