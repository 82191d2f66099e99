//! The crew of a candidate: whoever asked named it, or its station said what it can raise.
//!
//! Silence is 'not known'. Of disputed stations the worse counts.

use super::Given;
use crate::answer::{CraftAnswer, CrewKnown, CrewToGo};
use crate::engine::people::crews_of;
use crate::ids::SubjectId;

pub(super) fn to_go(given: &Given<'_>, craft: &CraftAnswer) -> CrewToGo {
    let least = craft.crew_least;
    let asked = given.asked.crew.count;
    let known = match asked {
        Some(count) if count >= least => CrewKnown::AsAsked,
        Some(count) => CrewKnown::Short { persons: count },
        None => {
            let stations = craft.stations.iter();
            let known = stations.map(|station| of_station(given, *station, least));
            known
                .max_by_key(|known| known.doubt())
                .unwrap_or(CrewKnown::NotKnown)
        }
    };
    CrewToGo {
        least,
        goes: asked.unwrap_or(least),
        known,
    }
}

fn of_station(given: &Given<'_>, station: SubjectId, least: u32) -> CrewKnown {
    let Some(said) = crews_of(given.county.records, station, given.asked.as_of) else {
        return CrewKnown::NotKnown;
    };
    match said.persons {
        _ if said.crews == 0 => CrewKnown::Short { persons: 0 },
        Some(persons) if persons < least => CrewKnown::Short { persons },
        persons => CrewKnown::Enough {
            crews: said.crews,
            persons,
            until: said.until,
        },
    }
}
