//! What comes due as a calendar: an event for each visit, with what it does in its description, or
//! one for each thing.
//!
//! An event is known by the thing that it is about, never by its day: of a visit the first thing of
//! it. So it keeps its UID when a day moves, and once a thing is done its event goes on to the next
//! time. What no visit does has an event of its own.

use sponson_readiness::ahead::{Ahead, DueItem, On, Planned, Visit, What, WhyNoVisit};
use sponson_readiness::moment::Moment;

use super::{Calendar, Day};
use crate::ahead::{
    bring_text, due_text, listed, long_day, many, on_text, station, visit_time, what_text,
    when_text,
};
use crate::context::Context;
use crate::table::short_number;
use crate::{caution, json};

/// What has an event.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Of {
    /// Each visit.
    #[default]
    Visits,
    /// Each thing that comes due.
    Things,
}

/// Numbers of craft in a headline; of more only how many.
const NUMBERS_MAX: usize = 4;

/// The largest SEQUENCE (RFC 5545, 3.3.8: an integer of 31 bits).
const SEQUENCE_MAX: u64 = 2_147_483_647;

/// The calendar of what comes due. `log_size` is the size of the county log that it rests on: it only
/// grows, and so does what tells a program that an event was told anew.
#[must_use]
pub fn due(ahead: &Ahead, of: Of, (at, log_size): (Moment, u64), ctx: &Context) -> Calendar {
    let visits = ahead.visits.iter();
    let planned = visits.filter_map(|it| visit(it, ahead, ctx));
    let alone = ahead.due.iter().filter(|it| is_alone(it));
    let days = match of {
        Of::Visits => planned
            .chain(alone.map(|it| thing(it, ahead, ctx)))
            .collect(),
        Of::Things => {
            let things = ahead.due.iter().filter(|it| !is_with_the_checks(it));
            things.map(|it| thing(it, ahead, ctx)).collect()
        }
    };
    Calendar {
        name: "What comes due".to_owned(),
        about: format!(
            "Rescue craft: what comes due until {}. {}",
            long_day(ahead.until, ahead.from),
            caution()
        ),
        at,
        sequence: u32::try_from(log_size.min(SEQUENCE_MAX)).unwrap_or(u32::MAX),
        days,
    }
}

fn is_with_the_checks(item: &DueItem) -> bool {
    item.planned == Planned::Not(WhyNoVisit::WithTheChecks)
}

fn is_alone(item: &DueItem) -> bool {
    matches!(item.planned, Planned::Not(_)) && !is_with_the_checks(item)
}

fn visit(visit: &Visit, ahead: &Ahead, ctx: &Context) -> Option<Day> {
    let items = visit.items.iter().filter_map(|at| ahead.due.get(*at));
    let items: Vec<&DueItem> = items.collect();
    let first = items.first()?;
    let mut numbers: Vec<String> = Vec::new();
    for item in &items {
        let number = short_number(&item.number);
        if !numbers.contains(&number) {
            numbers.push(number);
        }
    }
    let craft = if numbers.len() > NUMBERS_MAX {
        format!("{} craft", numbers.len())
    } else {
        listed(&numbers)
    };
    let place = station(Some(visit.station), ahead, ctx);
    let mut lines: Vec<String> = items.iter().map(|item| due_text(item)).collect();
    lines.push(visit_time(visit));
    lines.extend(Some(bring_text(&visit.bring)).filter(|text| !text.is_empty()));
    lines.push(caution().to_owned());
    Some(Day {
        uid: format!("visit.{}", known_by(first)),
        day: visit.day,
        summary: format!("{place}: {} due, {craft}", many(items.len(), "thing")),
        lines,
        place,
    })
}

fn thing(item: &DueItem, ahead: &Ahead, ctx: &Context) -> Day {
    let (on, what) = (on_text(item), what_text(item));
    Day {
        uid: format!("due.{}", known_by(item)),
        day: item.due,
        summary: format!("{on}: {what}"),
        lines: vec![when_text(item), item.source.clone(), caution().to_owned()],
        place: station(item.station, ahead, ctx),
    }
}

/// What a thing is known by, whatever its day: what it is, on what, and the how-manieth from now.
/// Units of kit are known by the date that they carry.
fn known_by(item: &DueItem) -> String {
    let what = json::what_id(&item.what).replace('_', "-");
    let of = match &item.what {
        What::Inspection(line) => format!(".{line}"),
        What::KitDate { item: line, .. } => format!(".{line}.{}", item.due),
        What::WaiverEnds(event) => format!(".{event}"),
        What::Requalification | What::CylinderLife | What::GearLife(_) | What::SealTag => {
            String::new()
        }
    };
    let on = match &item.on {
        On::Craft(id) | On::Gear(id, _) | On::Bag(id, _) => id,
    };
    format!("{what}{of}.{on}.{}@sponson", item.round)
}

#[cfg(test)]
mod tests;
