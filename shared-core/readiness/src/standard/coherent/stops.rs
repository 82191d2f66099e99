//! What must agree between the stops of a sheet and its other lines: every id is there, nothing
//! stands at two stops.

use std::collections::BTreeSet;

use super::{text, word};
use crate::standard::quantity::Spot;
use crate::standard::{Also, BAG_STOP, RESERVED_STOPS, SheetStop, Standard, StandardError};

/// Most stops of a sheet: twice the parts that a boat of this size is looked at by.
const STOPS_MAX: usize = 40;

/// What earlier stops name.
#[derive(Default)]
struct Named<'a> {
    stops: BTreeSet<&'a str>,
    parts: BTreeSet<&'a str>,
    lines: BTreeSet<&'a str>,
    also: BTreeSet<Also>,
}

/// Refuses stops that name what is not there, or twice.
pub(super) fn check(standard: &Standard) -> Result<(), StandardError> {
    if standard.stops.len() > STOPS_MAX {
        let spot = Spot {
            place: "sheet",
            field: "stop",
        };
        let count = format!("{} stops", standard.stops.len());
        return Err(spot.refuse(&count, "give at most 40: join those that lie together"));
    }
    let mut named = Named::default();
    let mut stops = standard.stops.iter();
    stops.try_for_each(|stop| one(standard, stop, &mut named))
}

fn one<'a>(
    standard: &Standard,
    stop: &'a SheetStop,
    named: &mut Named<'a>,
) -> Result<(), StandardError> {
    let at = |field| Spot {
        place: stop.id.as_str(),
        field,
    };
    word(at("id"), stop.id.as_str())?;
    text(at("label"), &stop.label)?;
    let id = stop.id.as_str();
    if RESERVED_STOPS.contains(&id) || id.starts_with(BAG_STOP) {
        let limit = "arriving, rest, faults and what begins with bag- are stops that every walk \
                     has: give another id";
        return Err(at("id").refuse(id, limit));
    }
    if !named.stops.insert(id) {
        return Err(at("id").refuse(id, "two stops have this id: rename one"));
    }
    if stop.parts.is_empty() && stop.lines.is_empty() && stop.also.is_empty() {
        let limit = "a stop at which nothing is looked at: name parts, lines or also, or drop it";
        return Err(at("parts").refuse("none", limit));
    }
    for part in &stop.parts {
        let known = standard.parts.iter().any(|line| line.id == *part);
        let first = named.parts.insert(part.as_str());
        each(at("parts"), part.as_str(), known, first)?;
    }
    for line in &stop.lines {
        let item = standard.items.iter().any(|known| known.id == *line);
        let question = standard.questions.iter().any(|known| known.id == *line);
        let first = named.lines.insert(line.as_str());
        each(at("lines"), line.as_str(), item || question, first)?;
    }
    for also in &stop.also {
        each(at("also"), also.word(), true, named.also.insert(*also))?;
    }
    Ok(())
}

fn each(spot: Spot<'_>, id: &str, known: bool, first: bool) -> Result<(), StandardError> {
    if !known {
        let limit = match spot.field {
            "parts" => "must be a part of this sheet: add it or correct it",
            _ => "must be a question or an item of this sheet: add it or correct it",
        };
        return Err(spot.refuse(id, limit));
    }
    if !first {
        let limit = "is looked at twice on the walk: leave it at one stop";
        return Err(spot.refuse(id, limit));
    }
    Ok(())
}
