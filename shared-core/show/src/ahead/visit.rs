//! A visit in words: the day, the station, how much is done, what to bring.

use sponson_readiness::ahead::{Ahead, Material, Visit};

use super::{day, many, station};
use crate::clean::clean;
use crate::context::Context;
use crate::units::print;

const MINUTE_MS: i64 = 60_000;

/// Day, station and how many things, for the head of a visit.
#[must_use]
pub fn visit_head(visit: &Visit, ahead: &Ahead, ctx: &Context) -> String {
    let at = station(Some(visit.station), ahead, ctx);
    let things = many(visit.items.len(), "thing");
    format!("{} at {at}: {things}", day(visit.day))
}

/// How long it takes, and from which day on the same things could be done together.
#[must_use]
pub fn visit_time(visit: &Visit) -> String {
    let known = i64::from(visit.minutes) * MINUTE_MS;
    let takes = match (visit.minutes, visit.minutes_not_known) {
        (0, _) => "how long it takes is not known".to_owned(),
        (_, 0) => format!("takes about {}", print::span(known)),
        (_, others) => format!(
            "takes about {} and {others} without a known time",
            print::span(known)
        ),
    };
    if visit.not_before < visit.day {
        format!("{takes}; can be any day from {}", day(visit.not_before))
    } else {
        takes
    }
}

/// What to bring; empty when nothing is.
#[must_use]
pub fn bring_text(bring: &[Material]) -> String {
    let all = bring.iter();
    let all: Vec<String> = all
        .map(|one| format!("{} {}", one.count, clean(&one.label)))
        .collect();
    if all.is_empty() {
        return String::new();
    }
    format!("bring {}", all.join(", "))
}
