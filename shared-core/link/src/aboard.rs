//! Crew and people of a question, from messages and back.

use sponson_proto::answer::v1 as wire;
use sponson_readiness::load::{CREW_MAX, CrewAsked, PEOPLE_MASS_MAX_G, PEOPLE_MAX, Party, Size};

use crate::refusal::Refusal;

/// The crew; what is absent is assumed later.
pub(crate) fn crew(crew: Option<&wire::CrewAsked>) -> Result<CrewAsked, Refusal> {
    let crew = crew.copied().unwrap_or_default();
    if let Some(count) = crew.count.filter(|count| !(1..=CREW_MAX).contains(count)) {
        return Err(Refusal::field(
            format!("crew is {count}; from 1 to {CREW_MAX} are allowed"),
            "give how many go with the craft",
        ));
    }
    mass("crew", crew.mass_g)?;
    Ok(CrewAsked {
        count: crew.count,
        mass_g: crew.mass_g,
    })
}

/// The people to bring home.
pub(crate) fn people(people: &[wire::People]) -> Result<Vec<Party>, Refusal> {
    let all = people
        .iter()
        .fold(0_u32, |all, one| all.saturating_add(one.count));
    if all > PEOPLE_MAX || people.len() > PEOPLE_MAX as usize {
        return Err(Refusal::field(
            format!("people are {all}; at most {PEOPLE_MAX} are reckoned at once"),
            "ask for some of them",
        ));
    }
    people.iter().map(party).collect()
}

fn party(one: &wire::People) -> Result<Party, Refusal> {
    let size = Size::ALL.iter().find(|size| size.id() == one.size);
    let size = size.copied().ok_or_else(|| {
        let words: Vec<&str> = Size::ALL.iter().map(|size| size.id()).collect();
        Refusal::field(
            format!("people: a size is '{}'", sponson_show::clean(&one.size)),
            format!("give one of {}", words.join(", ")),
        )
    })?;
    mass("people", one.mass_g)?;
    Ok(Party {
        size,
        lying: one.lying,
        count: one.count,
        mass_g: one.mass_g,
    })
}

fn mass(field: &str, mass_g: Option<u64>) -> Result<(), Refusal> {
    match mass_g {
        Some(mass_g) if !(1..=PEOPLE_MASS_MAX_G).contains(&mass_g) => Err(Refusal::field(
            format!("{field}: a person weighs {mass_g} g; at most {PEOPLE_MASS_MAX_G} g are taken"),
            "look at the number and its unit",
        )),
        Some(_) | None => Ok(()),
    }
}

/// The crew as it was given; nothing when it was not.
pub(crate) fn crew_to_wire(crew: CrewAsked) -> Option<wire::CrewAsked> {
    (crew != CrewAsked::default()).then_some(wire::CrewAsked {
        count: crew.count,
        mass_g: crew.mass_g,
    })
}

/// People as they were given.
pub(crate) fn people_to_wire(party: &Party) -> wire::People {
    wire::People {
        size: party.size.id().to_owned(),
        lying: party.lying,
        count: party.count,
        mass_g: party.mass_g,
    }
}
