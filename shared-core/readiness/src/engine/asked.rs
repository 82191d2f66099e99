//! The question as judged: what was not given is assumed, and said to be.

use std::collections::BTreeSet;

use super::Question;
use crate::answer::{Asked, AskerClock, Assumed};
use crate::standard::Policy;

/// Fills in what a question leaves open from the county's settings.
#[must_use]
pub fn asked(policy: &Policy, question: &Question) -> Asked {
    // The question has no crew: every answer reckons with the standard's least crew.
    let mut assumed = BTreeSet::from([Assumed::Crew]);
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
        assumed,
        clock: AskerClock::NotDoubted,
    }
}
