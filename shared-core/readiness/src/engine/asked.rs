//! The question as judged: what was not given is assumed, and said to be.

use std::collections::BTreeSet;

use super::Question;
use crate::answer::{Asked, AskerClock, Assumed};
use crate::standard::Policy;

/// Fills in what a question leaves open from the county's settings.
#[must_use]
pub fn asked(policy: &Policy, question: &Question) -> Asked {
    let mut assumed = aboard(question);
    if question.mission.is_none() {
        assumed.insert(Assumed::Mission);
    }
    let air_mc = question.air_mc.unwrap_or_else(|| {
        assumed.insert(Assumed::Air);
        policy.air_mc
    });
    let water_mc = question.water_mc.unwrap_or_else(|| {
        assumed.insert(Assumed::Water);
        air_mc
    });
    let elevation_mm = question.elevation_mm.unwrap_or_else(|| {
        assumed.insert(Assumed::Elevation);
        policy.elevation_mm
    });
    Asked {
        as_of: question.as_of,
        now: question.now,
        mission: question.mission.clone(),
        air_mc,
        water_mc,
        elevation_mm,
        crew: question.crew,
        people: question.people.clone(),
        assumed,
        clock: AskerClock::NotDoubted,
    }
}

/// What is not given of crew and people.
fn aboard(question: &Question) -> BTreeSet<Assumed> {
    let crew = match (question.crew.count, question.crew.mass_g) {
        (None, _) => Some(Assumed::Crew),
        (Some(_), None) => Some(Assumed::CrewWeight),
        (Some(_), Some(_)) => None,
    };
    let is_open = question.people.iter().any(|party| party.mass_g.is_none());
    let people = is_open.then_some(Assumed::PeopleWeight);
    crew.into_iter().chain(people).collect()
}
