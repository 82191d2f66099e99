//! One boat that was registered twice: once the lead says so, its records are judged as one, and
//! what is recorded of either has seen both.

use std::collections::BTreeSet;

use sponson_log::ids::{EventId, SubjectId};
use sponson_proto::event::v1::{self as wire, Kind, SubjectType};
use sponson_proto::store::v1::ChunkSource;
use sponson_readiness::answer::{CountyAnswer, Differ, Rule};
use sponson_replica::NewEvent;

use crate::asking::question;
use crate::county::{
    CRAFT, DAY, MINUTE, MOTOR, NORTH, Placed, SOUTH, START, craft_registered, event, fault, found,
    join, north, reading, sign_off, south, stranger, sync,
};

const TWIN: SubjectId = SubjectId::from_bytes([0xc2; 16]);
const BEGUN: i64 = START + DAY;

/// The same, about the second registration.
fn of_twin(event: NewEvent) -> NewEvent {
    NewEvent {
        subjects: vec![(TWIN, SubjectType::Craft)],
        ..event
    }
}

fn same_as() -> NewEvent {
    let payload = wire::SameAs {
        one: CRAFT.to_bytes(),
        other: TWIN.to_bytes(),
    };
    NewEvent {
        subjects: vec![(CRAFT, SubjectType::Craft), (TWIN, SubjectType::Craft)],
        ..event(Kind::SameAs, &payload)
    }
}

struct Twice {
    county: Placed,
    north: Placed,
    south: Placed,
    leak: EventId,
    tear: EventId,
}

impl Twice {
    /// Each station registers the boat, reads a gauge and writes down a fault.
    fn begun() -> Self {
        let mut county = found();
        let mut north = join(north());
        let mut south = join(south());
        for station in [&mut north, &mut south] {
            sync(station, &mut county, BEGUN);
        }
        north.append(craft_registered("4-1", NORTH), BEGUN + MINUTE);
        north.append(reading(26_000), BEGUN + 2 * MINUTE);
        let leak = north.append(fault("leak"), BEGUN + 3 * MINUTE);
        south.append(of_twin(craft_registered("41", SOUTH)), BEGUN + MINUTE);
        south.append(of_twin(reading(18_000)), BEGUN + 2 * MINUTE);
        let tear = south.append(of_twin(fault("tear")), BEGUN + 3 * MINUTE);
        let mut twice = Self {
            county,
            north,
            south,
            leak,
            tear,
        };
        twice.meet(BEGUN + 10 * MINUTE);
        twice
    }

    fn meet(&mut self, unix_ms: i64) {
        for _ in 0..2 {
            sync(&mut self.north, &mut self.county, unix_ms);
            sync(&mut self.south, &mut self.county, unix_ms);
        }
    }

    /// What all three say, without who was heard when.
    fn answer(&mut self, unix_ms: i64) -> CountyAnswer {
        let asked = question(unix_ms);
        let answer = self.county.replica.ask(&asked);
        let bytes = self.county.record_bytes();
        for station in [&mut self.north, &mut self.south] {
            let said = station.replica.ask(&asked);
            assert_eq!(said.craft, answer.craft);
            assert_eq!(said.disagreements, answer.disagreements);
            assert_eq!(station.record_bytes(), bytes);
        }
        answer
    }
}

fn differ(answer: &CountyAnswer) -> BTreeSet<Differ> {
    answer.disagreements.iter().map(|one| one.differ).collect()
}

#[test]
fn both_records_are_judged_as_one_craft_and_settled_as_one() {
    let mut twice = Twice::begun();
    let asked = BEGUN + 20 * MINUTE;
    assert_eq!(twice.answer(asked).craft.len(), 2);
    twice.north.append(same_as(), BEGUN + 12 * MINUTE);
    twice.meet(BEGUN + 13 * MINUTE);

    let answer = twice.answer(asked);
    let [craft] = answer.craft.as_slice() else {
        panic!("{:#?}", answer.craft);
    };
    let faults = craft.why.iter().filter(|it| it.rule == Rule::FaultOpen);
    assert_eq!(faults.count(), 2, "{:#?}", craft.why);
    assert!(craft.why.iter().any(|it| it.rule == Rule::SameAs));
    assert_eq!(craft.stations.len(), 2);
    let expected = [Differ::Readings, Differ::PlacedTwice, Differ::Number];
    assert_eq!(differ(&answer), BTreeSet::from(expected));

    // Whoever reads the gauge of the one has seen what was read of the other.
    twice.south.append(reading(25_000), BEGUN + 14 * MINUTE);
    twice
        .north
        .append(sign_off(twice.tear), BEGUN + 14 * MINUTE);
    twice.meet(BEGUN + 15 * MINUTE);
    let answer = twice.answer(asked);
    let expected = [Differ::PlacedTwice, Differ::Number];
    assert_eq!(differ(&answer), BTreeSet::from(expected));
    let open = twice.county.replica.catalogue().entries;
    let open: BTreeSet<EventId> = open
        .iter()
        .flat_map(|entry| entry.faults.iter().map(|fault| fault.event))
        .collect();
    assert_eq!(open, BTreeSet::from([twice.leak]));
}

#[test]
fn it_is_found_by_either_number_under_one_id() {
    let mut twice = Twice::begun();
    twice.south.append(same_as(), BEGUN + 12 * MINUTE);
    let entries = twice.south.replica.catalogue().entries;
    let craft = entries.iter().filter(|it| it.kind == SubjectType::Craft);
    let named: BTreeSet<(&str, SubjectId)> = craft.map(|it| (it.number.as_str(), it.id)).collect();
    assert_eq!(named, BTreeSet::from([("4-1", CRAFT), ("41", CRAFT)]));
}

#[test]
fn what_is_fitted_to_the_one_is_on_the_other() {
    let mut twice = Twice::begun();
    twice.north.append(same_as(), BEGUN + 12 * MINUTE);
    twice.meet(BEGUN + 13 * MINUTE);
    let registered = wire::GearRegistered {
        number: "M1".to_owned(),
        r#type: wire::GearType::Motor as i32,
        station: SOUTH.to_bytes(),
        ..wire::GearRegistered::default()
    };
    let fitted = wire::Fitted {
        gear: MOTOR.to_bytes(),
        craft: TWIN.to_bytes(),
        part: "motor".to_owned(),
    };
    let about = |subjects: &[(SubjectId, SubjectType)], event: NewEvent| NewEvent {
        subjects: subjects.to_vec(),
        ..event
    };
    let motor = (MOTOR, SubjectType::Gear);
    let events = [
        about(&[motor], event(Kind::GearRegistered, &registered)),
        about(
            &[motor, (TWIN, SubjectType::Craft)],
            event(Kind::Fitted, &fitted),
        ),
    ];
    for one in events {
        twice.south.append(one, BEGUN + 14 * MINUTE);
    }
    twice.meet(BEGUN + 15 * MINUTE);
    let answer = twice.answer(BEGUN + 20 * MINUTE);
    let why = &answer.craft[0].why;
    assert!(
        why.iter().all(|it| it.rule != Rule::GearMissing),
        "{why:#?}"
    );
}

#[test]
fn withdrawn_they_are_two_again_and_before_it_they_were() {
    let mut twice = Twice::begun();
    let joined = twice.north.append(same_as(), BEGUN + 30 * MINUTE);
    twice.meet(BEGUN + 31 * MINUTE);
    let (then, now) = (BEGUN + 20 * MINUTE, BEGUN + 40 * MINUTE);
    assert_eq!(twice.answer(now).craft.len(), 1);
    let mut earlier = question(then);
    earlier.now = question(now).now;
    assert_eq!(twice.south.replica.ask(&earlier).craft.len(), 2);

    let withdrawn = wire::Correction {
        original: joined.to_bytes(),
        r#type: wire::CorrectionType::Withdrawn as i32,
        ..wire::Correction::default()
    };
    let withdrawn = NewEvent {
        subjects: same_as().subjects,
        ..event(Kind::Correction, &withdrawn)
    };
    twice.south.append(withdrawn, BEGUN + 32 * MINUTE);
    twice.meet(BEGUN + 33 * MINUTE);
    assert_eq!(twice.answer(now).craft.len(), 2);
}

#[test]
fn nobody_joins_two_craft_who_may_not() {
    let mut twice = Twice::begun();
    let mut stranger = join(stranger());
    sync(&mut stranger, &mut twice.county, BEGUN + 11 * MINUTE);
    stranger.append(same_as(), BEGUN + 12 * MINUTE);
    let brought =
        twice
            .county
            .replica
            .keep(stranger.events(), ChunkSource::Carry, BEGUN + 13 * MINUTE);
    assert_eq!(brought.expect("the store is whole").new.len(), 1);
    twice.meet(BEGUN + 14 * MINUTE);
    assert_eq!(twice.answer(BEGUN + 20 * MINUTE).craft.len(), 2);
}
