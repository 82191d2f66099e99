//! Whom the craft can bring home: persons and persons' mass and total mass, whichever binds; in how
//! many trips those who were asked about, and in whose life jackets.
//!
//! Gathers what a plate, a question and what is aboard say; `crate::load` reckons. No formula: an
//! inflatable is outside those of 33 CFR 183.

mod jackets;
mod weighed;

use super::facts::Facts;
use super::kit::Stores;
use super::sides::trusted;
use crate::answer::{
    Action, CountedBy, Effect, Finding, Homeward, Limit, Load, LoadLimit, Measure, Rule, Subject,
};
use crate::event::{Plate, Severity};
use crate::load::{PlateCounts, Room, Size, groups, mass_left_g, rooms, seats_of, tightest, trips};
use crate::standard::CraftClass;

/// Seats for the crew of the question, and how its people come home.
pub(super) fn check(
    facts: &Facts<'_>,
    stores: &Stores<'_>,
    found: &mut Vec<Finding>,
) -> Option<Load> {
    let plate = plate(facts);
    let counted = plate_counts(facts);
    let weighed = weighed::weighed(facts, stores, &plate);
    let lines = rooms(&plate, counted.counts, &weighed);
    let policy = &facts.county.policy;
    let Some(binds) = tightest(&lines, policy.person_mass_g).map(|room| room.binds) else {
        found.push(unknown(facts));
        return None;
    };
    // Heads alone are unsafe: a plate counts a person at far less than a rescuer in gear.
    if plate.persons_mass_g.is_none() && plate.total_mass_g.is_none() {
        found.push(unknown(facts));
    }
    over(&lines, found);
    let child_g = policy.load.sizes.mass_g(Size::Child, policy.person_mass_g);
    Some(Load {
        crew: weighed.crew,
        crew_mass_g: weighed::crew_mass_g(facts),
        seats: seats_of(&lines, policy.person_mass_g),
        child_seats: seats_of(&lines, child_g),
        mass_left_g: mass_left_g(&lines),
        binds,
        plate_counts: (plate.persons_mass_g.is_some() && plate.total_mass_g.is_none())
            .then_some(counted),
        homeward: homeward(facts, stores, &lines, found),
        lines,
        counted: weighed.counted,
    })
}

/// Each line that crew, kit and motor alone are too much for.
fn over(lines: &[Room], found: &mut Vec<Finding>) {
    for room in lines.iter().filter(|room| room.is_over()) {
        let finding = Finding::own(
            Rule::LoadOver,
            Severity::Restrictive,
            Effect::NotReady,
            Subject::Craft,
        )
        .measured(measure(room.binds, room.loaded))
        .at_most(measure(room.binds, room.limit));
        found.push(finding);
    }
}

fn measure(line: LoadLimit, number: u64) -> Measure {
    match line {
        LoadLimit::Persons => Measure::Persons(u32::try_from(number).unwrap_or(u32::MAX)),
        LoadLimit::PersonsMass | LoadLimit::TotalMass => Measure::MassG(number),
    }
}

/// Without the masses of a plate nobody can be promised a seat; that the people asked about can
/// come home is then shown by nothing.
fn unknown(facts: &Facts<'_>) -> Finding {
    let effect = if facts.asked.people.is_empty() {
        Effect::Limit(Limit::CrewOnly)
    } else {
        Effect::Unproven
    };
    Finding::own(Rule::PlateUnknown, Severity::Major, effect, Subject::Craft)
        .needing(Action::RecordPlate, None)
}

/// How the people asked about come home, and what stands against it.
fn homeward(
    facts: &Facts<'_>,
    stores: &Stores<'_>,
    lines: &[Room],
    found: &mut Vec<Finding>,
) -> Option<Homeward> {
    let policy = &facts.county.policy;
    let groups = groups(
        &facts.asked.people,
        &policy.load.sizes,
        policy.person_mass_g,
        facts.standard.load.lying_seats,
    );
    if groups.is_empty() {
        return None;
    }
    let heads = lines.iter().find(|room| room.binds == LoadLimit::Persons);
    let heads = heads.map(|room| u32::try_from(room.left().max(0)).unwrap_or(u32::MAX));
    let mass_g = mass_left_g(lines).map(|left_g| u64::try_from(left_g).unwrap_or(0));
    let packed = trips(&groups, heads, mass_g);
    let behind: u32 = packed.left_behind.iter().sum();
    if behind > 0 {
        let finding = Finding::own(
            Rule::PeopleLeftBehind,
            Severity::Restrictive,
            Effect::NotReady,
            Subject::Craft,
        )
        .measured(Measure::Persons(behind));
        found.push(finding);
    }
    let count = u32::try_from(packed.trips.len()).unwrap_or(u32::MAX);
    if count > 1 {
        let finding = Finding::own(
            Rule::TripsNeeded,
            Severity::Minor,
            Effect::Limit(Limit::Trips(count)),
            Subject::Craft,
        )
        .measured(Measure::Count(count))
        .at_most(Measure::Count(1));
        found.push(finding);
    }
    let jackets = jackets::check(facts, stores, &groups, &packed, found);
    Some(Homeward {
        groups,
        packed,
        jackets,
    })
}

/// The plate as registered; where sides differ, the smaller of each line.
pub(super) fn plate(facts: &Facts<'_>) -> Plate {
    let smaller = |one: Option<u64>, other: Option<u64>| match (one, other) {
        (Some(one), Some(other)) => Some(one.min(other)),
        (one, other) => one.or(other),
    };
    let fewer = |one: Option<u32>, other: Option<u32>| match (one, other) {
        (Some(one), Some(other)) => Some(one.min(other)),
        (one, other) => one.or(other),
    };
    trusted(&facts.record.craft)
        .map(|side| side.value.plate)
        .fold(facts.registered.plate, |least, plate| Plate {
            persons: fewer(least.persons, plate.persons),
            persons_mass_g: smaller(least.persons_mass_g, plate.persons_mass_g),
            total_mass_g: smaller(least.total_mass_g, plate.total_mass_g),
            power_w: fewer(least.power_w, plate.power_w),
            motor_mass_g: fewer(least.motor_mass_g, plate.motor_mass_g),
        })
}

/// What the plate's weight of persons counts: persons alone where every side has persons, motor and
/// gear on a line of their own; else as the boat standard says; else the worse, save for the boats
/// whose plate 33 CFR 183.25 makes to have both.
fn plate_counts(facts: &Facts<'_>) -> CountedBy {
    let mut plates = trusted(&facts.record.craft).map(|side| side.value.plate);
    let has_both = facts.registered.plate.total_mass_g.is_some()
        && plates.all(|plate| plate.total_mass_g.is_some());
    if has_both {
        return CountedBy {
            counts: PlateCounts::Persons,
            is_assumed: false,
        };
    }
    let by_class = match facts.standard.class {
        CraftClass::FlatBottom => PlateCounts::Persons,
        CraftClass::Inflatable | CraftClass::RigidInflatable | CraftClass::Raft => {
            PlateCounts::PersonsMotorGear
        }
    };
    let said = facts.standard.load.plate_counts;
    CountedBy {
        counts: said.unwrap_or(by_class),
        is_assumed: said.is_none(),
    }
}
