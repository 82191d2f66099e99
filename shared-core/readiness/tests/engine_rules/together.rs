//! Which craft can go at once: crews, persons, trailers and vehicles counted once.

use std::collections::BTreeMap;

use sponson_readiness::answer::{Shared, Together, TogetherAsked};
use sponson_readiness::event::{GearKind, OutReason, Place};
use sponson_readiness::ids::SubjectId;

use super::scene::{CRAFT, MOTOR, STATION, Scene};

/// So many craft at one station, each with its motor: Boat 1, Boat 2, ...
fn scene(craft: u8) -> Scene {
    let mut scene = Scene::inflatable();
    let (pattern, motor) = (scene.craft().clone(), scene.record(MOTOR).clone());
    for number in 1..=craft {
        let id = match number {
            1 => CRAFT,
            _ => SubjectId::from_bytes([100 + number; 16]),
        };
        let mut record = pattern.clone();
        record.subject = id;
        record.number.0[0].value = format!("Boat {number}");
        scene.records.insert(id, record);
        let mut own = motor.clone();
        own.subject = match number {
            1 => MOTOR,
            _ => SubjectId::from_bytes([200 + number; 16]),
        };
        own.place.0[0].value.at = Place::Craft(id);
        scene.records.insert(own.subject, own);
    }
    scene.question.together = Some(TogetherAsked::default());
    scene
}

/// A trailer that stands at the station for any of its craft.
fn add_trailer(scene: &mut Scene, id: u8) {
    let mut trailer = scene.record(MOTOR).clone();
    trailer.subject = SubjectId::from_bytes([id; 16]);
    trailer.gear.0[0].value.kind = GearKind::Trailer;
    trailer.place.0[0].value.at = Place::Station(STATION);
    trailer.place.0[0].value.part = None;
    scene.records.insert(trailer.subject, trailer);
}

fn together(scene: &Scene) -> Together {
    scene.answer().together.expect("asked for")
}

fn go(scene: &Scene) -> Vec<String> {
    let goes = together(scene).craft.into_iter();
    goes.map(|goes| goes.number).collect()
}

fn lacks(scene: &Scene) -> Vec<Vec<Shared>> {
    let kept = together(scene).kept_back.into_iter();
    kept.map(|kept| kept.lacks).collect()
}

#[test]
fn nothing_is_said_of_it_when_nobody_asks() {
    let mut scene = scene(2);
    scene.question.together = None;
    assert_eq!(scene.answer().together, None);
}

/// Two crews of eight persons in all; each craft takes one crew, of the persons asked for or the
/// least of its boat standard.
#[test]
fn a_crew_goes_with_one_craft_and_a_person_once() {
    let mut scene = scene(3);
    assert_eq!(go(&scene), ["Boat 1", "Boat 2"]);
    assert_eq!(lacks(&scene), [[Shared::Crew(STATION)]]);
    scene.crews()[0].value.crews = 9;
    assert_eq!(go(&scene), ["Boat 1", "Boat 2", "Boat 3"]);
    scene.question.crew.count = Some(3);
    assert_eq!(go(&scene), ["Boat 1", "Boat 2"]);
    assert_eq!(lacks(&scene), [[Shared::Persons(STATION)]]);
    scene.question.crew.count = Some(4);
    assert!(together(&scene).craft.iter().all(|goes| goes.persons == 4));
}

#[test]
fn a_crew_that_is_not_known_keeps_nobody_back_and_is_said() {
    let mut scene = scene(3);
    assert_eq!(together(&scene).crews_not_known, []);
    scene.crews().clear();
    assert_eq!(go(&scene).len(), 3);
    assert_eq!(together(&scene).crews_not_known, [STATION]);
}

#[test]
fn trailers_of_the_station_and_vehicles_are_shared() {
    let mut scene = scene(3);
    scene.crews()[0].value.crews = 3;
    add_trailer(&mut scene, 50);
    add_trailer(&mut scene, 51);
    assert_eq!(go(&scene), ["Boat 1", "Boat 2"]);
    assert_eq!(lacks(&scene), [[Shared::Trailer(STATION)]]);
    assert_eq!(together(&scene).vehicles_not_known, [STATION]);
    scene.question.together = Some(TogetherAsked {
        wanted: None,
        vehicles: BTreeMap::from([(STATION, 1)]),
    });
    assert_eq!(go(&scene), ["Boat 1"]);
    assert_eq!(together(&scene).vehicles_not_known, []);
    let takes = &together(&scene).craft[0].takes;
    assert!(takes.contains(&Shared::Vehicle(STATION)), "{takes:?}");
    assert!(takes.contains(&Shared::Trailer(STATION)), "{takes:?}");
    let motor = Shared::Gear(MOTOR, "Motor 3".to_owned());
    assert!(takes.contains(&motor), "{takes:?}");
}

/// A trailer with a mechanical fault declared tows nothing.
#[test]
fn a_trailer_out_of_service_is_none() {
    let mut scene = scene(2);
    add_trailer(&mut scene, 50);
    add_trailer(&mut scene, 51);
    assert_eq!(go(&scene).len(), 2);
    let out = scene.side(OutReason::Mechanical);
    let trailer = scene.record(SubjectId::from_bytes([51; 16]));
    trailer.out.insert(out.origin.event, out);
    assert_eq!(go(&scene), ["Boat 1"]);
}

#[test]
fn so_many_as_are_wanted_and_no_more() {
    let mut scene = scene(2);
    scene.question.together = Some(TogetherAsked {
        wanted: Some(1),
        vehicles: BTreeMap::new(),
    });
    assert_eq!(go(&scene), ["Boat 1"]);
    assert_eq!(lacks(&scene), [[]]);
    assert_eq!(together(&scene).wanted, Some(1));
}

#[test]
fn what_cannot_go_alone_does_not_go_together() {
    let mut scene = scene(2);
    let out = scene.side(OutReason::Rest);
    scene.craft().out.insert(out.origin.event, out);
    assert_eq!(go(&scene), ["Boat 2"]);
    assert_eq!(lacks(&scene), Vec::<Vec<Shared>>::new());
}
