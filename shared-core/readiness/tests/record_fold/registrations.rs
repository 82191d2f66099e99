//! What registering, renumbering, condemning and inspecting leave in a record.

use sponson_readiness::event::{CraftRegistered, Payload, Place, Plate, SubjectKind};
use sponson_readiness::ids::{LineId, SubjectId};
use sponson_readiness::record::Inspection;

use crate::desk::{BAG, CRAFT, county, subject, values};

const STATION: SubjectId = subject(11);

/// A thing registered under a number is found under it, at the place.
fn check(thing: (SubjectId, SubjectKind), payload: Payload, number: &str, at: Place) {
    let (mut crew, _, _) = county();
    crew.writes_about(&[thing], payload);
    let record = crew.record_of(thing);
    assert_eq!(record.number.single().expect("one number").value, number);
    assert_eq!(record.place.single().expect("one place").value.at, at);
}

fn craft(number: &str) -> Payload {
    Payload::CraftRegistered(CraftRegistered {
        number: number.to_owned(),
        model: "inflatable-14".into(),
        station: STATION,
        plate: Plate::default(),
        fabric: String::new(),
        batch: String::new(),
    })
}

fn bag(craft: Option<SubjectId>) -> Payload {
    Payload::BagRegistered {
        number: "B 7".to_owned(),
        station: STATION,
        craft,
    }
}

#[test]
fn a_registered_thing_has_its_number_and_place() {
    check(CRAFT, craft("Boat 4"), "Boat 4", Place::Station(STATION));
    check(BAG, bag(None), "B 7", Place::Station(STATION));
    check(BAG, bag(Some(CRAFT.0)), "B 7", Place::Craft(CRAFT.0));
    let shelf = Payload::ShelfRegistered {
        number: "S 1".to_owned(),
        station: STATION,
    };
    check(
        (subject(5), SubjectKind::Shelf),
        shelf,
        "S 1",
        Place::Station(STATION),
    );
}

#[test]
fn a_new_number_replaces_the_registered_one_and_not_the_registration() {
    let (mut crew, _, _) = county();
    crew.writes(craft("Boat 4"));
    crew.writes(Payload::NumberChanged {
        number: "Boat 9".to_owned(),
    });
    let record = crew.record();
    assert_eq!(values(&record.number, Clone::clone), ["Boat 9"]);
    assert_eq!(
        record
            .craft
            .single()
            .expect("one registration")
            .value
            .number,
        "Boat 4"
    );
}

#[test]
fn a_bag_registered_with_a_craft_leaves_the_craft_its_own_number() {
    let (mut crew, _, _) = county();
    crew.writes(craft("Boat 4"));
    crew.writes_about(&[BAG, CRAFT], bag(Some(CRAFT.0)));
    assert_eq!(values(&crew.record().number, Clone::clone), ["Boat 4"]);
}

#[test]
fn condemned_stays_condemned() {
    let (mut crew, _, mut lead) = county();
    crew.writes(Payload::Condemned);
    crew.meets(&mut lead);
    lead.writes(craft("Boat 4"));
    assert_eq!(lead.record().condemned.len(), 1);
}

#[test]
fn inspections_of_writers_apart_are_sides() {
    let (mut crew, mut far, _) = county();
    let hull = |passed| Payload::InspectionDone {
        inspection: "hull".into(),
        passed,
        engine_s: None,
        run_s: None,
        holds: Vec::new(),
    };
    crew.writes(hull(true));
    far.writes(hull(false));
    crew.meets(&mut far);
    let sides = crew.record().inspections[&LineId::from("hull")].clone();
    assert_eq!(values(&sides, |it: &Inspection| it.passed), [false, true]);
}
