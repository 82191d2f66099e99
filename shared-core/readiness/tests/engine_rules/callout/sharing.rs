//! What candidates share: who stays, what cover is left, who stands by.

use sponson_readiness::answer::{CoverLeft, Second, Shared, StationCover};
use sponson_readiness::event::{GearKind, OutReason, Place};
use sponson_readiness::ids::SubjectId;

use super::county::{FAR, boat, callout, candidate, county, raise};
use crate::scene::{MOTOR, OTHER_STATION, STATION, Scene};

fn cover(station: SubjectId, craft: u32) -> StationCover {
    StationCover { station, craft }
}

#[test]
fn cover_now_and_once_it_went_by_station() {
    let scene = county(&[STATION, STATION, OTHER_STATION]);
    let now = callout(&scene).cover;
    assert_eq!(now, [cover(STATION, 2), cover(OTHER_STATION, 1)]);
    let left = |number| candidate(&scene, number).cover_left.expect("it can go");
    let expected = CoverLeft {
        craft: 2,
        less: vec![cover(STATION, 1)],
        without: Vec::new(),
    };
    assert_eq!(left(1), expected);
    let expected = CoverLeft {
        craft: 2,
        less: vec![cover(OTHER_STATION, 0)],
        without: vec![OTHER_STATION],
    };
    assert_eq!(left(3), expected);
}

/// A station's last crew goes with the craft: its other craft is no cover then.
#[test]
fn a_crew_that_went_is_no_cover() {
    let mut scene = county(&[STATION, STATION, OTHER_STATION]);
    raise(&mut scene, STATION, 1, None);
    let first = candidate(&scene, 1);
    let left = first.cover_left.expect("it can go");
    assert_eq!((left.craft, left.without), (1, vec![STATION]));
    assert_eq!(left.less, [cover(STATION, 0)]);
    let shared = &first.shared[0];
    assert_eq!(first.shared.len(), 1);
    assert_eq!((&shared.what, shared.there), (&Shared::Crew(STATION), 1));
    assert_eq!(shared.with, [boat(2)]);
    raise(&mut scene, STATION, 2, None);
    assert_eq!(candidate(&scene, 1).shared, []);
}

/// Persons of the crews: three craft of two each want six, and five are there.
#[test]
fn persons_are_shared_too() {
    let mut scene = county(&[STATION, STATION, STATION]);
    scene.standard.crew_min = 2;
    scene.question.crew.count = Some(2);
    raise(&mut scene, STATION, 3, Some(5));
    let first = candidate(&scene, 1);
    let what: Vec<_> = first.shared.iter().map(|it| it.what.clone()).collect();
    assert_eq!(what, [Shared::Persons(STATION)]);
    assert_eq!(first.cover_left.expect("it can go").craft, 2);
}

#[test]
fn a_trailer_of_the_station_goes_with_one() {
    let mut scene = county(&[STATION, STATION]);
    let mut trailer = scene.record(MOTOR).clone();
    trailer.subject = SubjectId::from_bytes([50; 16]);
    trailer.gear.0[0].value.kind = GearKind::Trailer;
    trailer.place.0[0].value.at = Place::Station(STATION);
    trailer.place.0[0].value.part = None;
    scene.records.insert(trailer.subject, trailer);
    let first = candidate(&scene, 1);
    assert_eq!(first.shared[0].what, Shared::Trailer(STATION));
    assert_eq!(first.cover_left.expect("it can go").craft, 0);
}

/// What cannot go leaves the cover as it is and says nothing of it.
#[test]
fn what_cannot_go_is_no_cover_and_shares_nothing() {
    let mut scene = county(&[STATION, STATION]);
    raise(&mut scene, STATION, 1, None);
    out(&mut scene, 2);
    assert_eq!(callout(&scene).cover, [cover(STATION, 1)]);
    let second = candidate(&scene, 2);
    assert_eq!((second.cover_left, second.shared), (None, Vec::new()));
    assert_eq!(candidate(&scene, 1).shared, []);
}

fn out(scene: &mut Scene, number: u8) {
    let out = scene.side(OutReason::Rest);
    scene.record(boat(number)).out.insert(out.origin.event, out);
}

/// The safety boat, by number, and when the later of both is in the water.
fn second(scene: &Scene, number: u8) -> Option<(String, Option<u32>)> {
    match candidate(scene, number).second {
        Second::NotAsked => panic!("not asked"),
        Second::None => None,
        Second::Boat {
            number, both_total, ..
        } => Some((number, both_total)),
    }
}

#[test]
fn a_mission_of_the_countys_list_wants_a_safety_boat() {
    let mut scene = county(&[STATION, OTHER_STATION]);
    assert!(!callout(&scene).safety_boat);
    assert_eq!(candidate(&scene, 1).second, Second::NotAsked);
    scene.mission("flood");
    assert!(callout(&scene).safety_boat);
    assert_eq!(second(&scene, 1), Some(("Boat 2".to_owned(), Some(40))));
    assert_eq!(second(&scene, 2), Some(("Boat 1".to_owned(), Some(40))));
}

/// The earliest that can go together with it: what they share counts once.
#[test]
fn a_safety_boat_takes_no_crew_of_the_first() {
    let mut scene = county(&[STATION, STATION, OTHER_STATION, FAR]);
    scene.mission("flood");
    assert_eq!(second(&scene, 1), Some(("Boat 2".to_owned(), Some(30))));
    raise(&mut scene, STATION, 1, None);
    assert_eq!(second(&scene, 1), Some(("Boat 3".to_owned(), Some(40))));
    out(&mut scene, 3);
    out(&mut scene, 4);
    assert_eq!(second(&scene, 1), None);
    assert_eq!(candidate(&scene, 3).second, Second::NotAsked);
}
