//! A county of several stations with a craft each, all in order, asked for a call-out.

use std::collections::BTreeMap;

use sponson_readiness::answer::{
    Access, Callout, CalloutAsked, Candidate, LaunchPlace, Reach, Way,
};
use sponson_readiness::event::{Crews, Place, SubjectKind};
use sponson_readiness::ids::SubjectId;
use sponson_readiness::record::Record;

use crate::scene::{CRAFT, HOUR_MS, MOTOR, NOON, OTHER_STATION, STATION, Scene};

/// A third station, of no craft unless a test moves one there.
pub(crate) const FAR: SubjectId = SubjectId::from_bytes([7; 16]);

pub(crate) const fn boat(number: u8) -> SubjectId {
    match number {
        1 => CRAFT,
        _ => SubjectId::from_bytes([100 + number; 16]),
    }
}

const fn motor(number: u8) -> SubjectId {
    match number {
        1 => MOTOR,
        _ => SubjectId::from_bytes([200 + number; 16]),
    }
}

/// Boat 1, Boat 2, ... at these stations, each with its motor; every station can raise enough crews.
/// The way from Alder Creek takes 10 minutes, from Bracken Ford 20, from Cress Weir 30; by ramp.
pub(crate) fn county(stations: &[SubjectId]) -> Scene {
    let mut scene = Scene::inflatable();
    let mut far = scene.stations[&STATION].clone();
    "Cress Weir".clone_into(&mut far.name);
    scene.stations.insert(FAR, far);
    let (pattern, engine) = (scene.craft().clone(), scene.record(MOTOR).clone());
    for (number, station) in (1..).zip(stations) {
        let mut record = pattern.clone();
        record.subject = boat(number);
        record.number.0[0].value = format!("Boat {number}");
        record.place.0[0].value.at = Place::Station(*station);
        scene.records.insert(boat(number), record);
        let mut own = engine.clone();
        own.subject = motor(number);
        own.number.0[0].value = format!("Motor {number}");
        own.place.0[0].value.at = Place::Craft(boat(number));
        scene.records.insert(own.subject, own);
    }
    for station in [STATION, OTHER_STATION, FAR] {
        raise(&mut scene, station, 4, Some(16));
    }
    let minutes = |minutes| Way::Table { minutes };
    scene.question.callout = Some(CalloutAsked {
        launch: Some(LaunchPlace {
            name: "Mill Street".to_owned(),
            access: Some(Access::Ramp),
        }),
        ways: BTreeMap::from([
            (STATION, minutes(10)),
            (OTHER_STATION, minutes(20)),
            (FAR, minutes(30)),
        ]),
    });
    scene
}

/// What a station says that it can raise; replaces what it said before.
pub(crate) fn raise(scene: &mut Scene, station: SubjectId, crews: u32, persons: Option<u32>) {
    let said = scene.side(Crews {
        crews,
        persons,
        from: NOON.plus_ms(-6 * HOUR_MS),
        until: NOON.plus_ms(12 * HOUR_MS),
        operators: vec!["214".to_owned()],
    });
    let record = scene.records.entry(station);
    let record = record.or_insert_with(|| Record::new(station, SubjectKind::Station));
    record.crews = vec![said];
}

pub(crate) fn asked(scene: &mut Scene) -> &mut CalloutAsked {
    scene.question.callout.as_mut().expect("asked for")
}

pub(crate) fn way(scene: &mut Scene, station: SubjectId, way: Way) {
    asked(scene).ways.insert(station, way);
}

pub(crate) fn access(scene: &mut Scene, access: Option<Access>) {
    asked(scene).launch.as_mut().expect("a place").access = access;
}

pub(crate) fn callout(scene: &Scene) -> Callout {
    scene.answer().callout.expect("asked for")
}

pub(crate) fn candidate(scene: &Scene, number: u8) -> Candidate {
    let mut candidates = callout(scene).candidates.into_iter();
    let found = candidates.find(|candidate| candidate.craft == boat(number));
    found.expect("every craft that was judged")
}

/// Numbers of the candidates in order.
pub(crate) fn order(scene: &Scene) -> Vec<String> {
    let candidates = callout(scene).candidates.into_iter();
    candidates.map(|candidate| candidate.number).collect()
}

/// How each candidate can be there, in order.
pub(crate) fn reaches(scene: &Scene) -> Vec<Reach> {
    let candidates = callout(scene).candidates;
    candidates.iter().map(|candidate| candidate.reach).collect()
}
