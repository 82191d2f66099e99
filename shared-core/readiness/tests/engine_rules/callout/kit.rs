//! Kit that is short for the mission, and what can meet it at the launch.

use sponson_readiness::answer::{KitAtRamp, Way};
use sponson_readiness::event::{Place, SubjectKind};
use sponson_readiness::ids::{LineId, SubjectId};
use sponson_readiness::kit_moves::Holder;
use sponson_readiness::record::{Placement, Record};

use super::county::{FAR, boat, candidate, county, way};
use crate::scene::{OTHER_STATION, STATION, Scene, counted};

const SHELF: SubjectId = SubjectId::from_bytes([60; 16]);
const FAR_SHELF: SubjectId = SubjectId::from_bytes([61; 16]);
const ITEM: &str = "paddle";

/// Boat 1 short of paddles, as many as its sheet asks for; Boat 2 has what it needs.
fn short() -> (Scene, u32) {
    let mut scene = county(&[STATION, OTHER_STATION]);
    let need = scene
        .standard
        .items
        .iter()
        .find(|it| it.id.as_str() == ITEM);
    let need = need.expect("the sheet's paddles").count;
    scene.count(ITEM, 0);
    (scene, need)
}

fn shelf(scene: &mut Scene, id: SubjectId, station: SubjectId, count: u32) {
    let mut shelf = Record::new(id, SubjectKind::Shelf);
    shelf.number = scene.said(format!("Shelf {}", id.as_bytes()[0]));
    shelf.place = scene.said(Placement {
        at: Place::Station(station),
        part: None,
    });
    let said = scene.said(counted(ITEM, count));
    shelf.counts.insert((LineId::from(ITEM), None), said);
    scene.records.insert(id, shelf);
}

fn at_ramp(scene: &Scene) -> KitAtRamp {
    let lines = candidate(scene, 1).at_ramp.into_iter();
    let mut paddles = lines.filter(|line| line.item.as_str() == ITEM);
    paddles.next().expect("paddles are short")
}

/// From where, and how many.
fn from(scene: &Scene) -> Vec<(SubjectId, u32)> {
    let from = at_ramp(scene).from.into_iter();
    from.map(|brings| (brings.from, brings.units)).collect()
}

#[test]
fn nobody_has_any() {
    let (scene, need) = short();
    let line = at_ramp(&scene);
    assert_eq!((line.short, line.still_short), (need, need));
    assert_eq!(line.from, []);
    assert_eq!(candidate(&scene, 2).at_ramp, []);
    assert!(!line.label.is_empty());
}

#[test]
fn the_nearest_brings_first_until_it_is_enough() {
    let (mut scene, need) = short();
    shelf(&mut scene, FAR_SHELF, FAR, 9);
    assert_eq!(from(&scene), [(FAR_SHELF, need)]);
    shelf(&mut scene, SHELF, OTHER_STATION, need - 1);
    assert_eq!(from(&scene), [(SHELF, need - 1), (FAR_SHELF, 1)]);
    let line = at_ramp(&scene);
    assert_eq!(line.still_short, 0);
    assert_eq!(line.from[0].station, OTHER_STATION);
    assert_eq!(line.from[0].way, Way::Table { minutes: 20 });
    assert_eq!(line.from[0].holder, Holder::Shelf);
    shelf(&mut scene, SHELF, OTHER_STATION, need);
    assert_eq!(from(&scene), [(SHELF, need)]);
}

/// What stands at its own station goes along, however far that is.
#[test]
fn its_own_station_is_the_nearest() {
    let (mut scene, need) = short();
    way(&mut scene, STATION, Way::Table { minutes: 90 });
    shelf(&mut scene, SHELF, STATION, need);
    shelf(&mut scene, FAR_SHELF, FAR, need);
    assert_eq!(from(&scene), [(SHELF, need)]);
}

#[test]
fn nothing_comes_by_a_closed_road() {
    let (mut scene, need) = short();
    shelf(&mut scene, FAR_SHELF, FAR, need);
    way(&mut scene, FAR, Way::Closed);
    assert_eq!(
        (from(&scene), at_ramp(&scene).still_short),
        (Vec::new(), need)
    );
}

/// A craft gives only what it has beyond its own need.
#[test]
fn another_craft_brings_what_it_does_not_need() {
    let (mut scene, need) = short();
    // Whatever mission asks for most.
    let items = scene.standard.items.iter();
    let item = items.clone().find(|it| it.id.as_str() == ITEM);
    let most = item.map(|it| {
        it.count_for
            .values()
            .copied()
            .max()
            .unwrap_or(0)
            .max(it.count)
    });
    let said = scene.said(counted(ITEM, most.expect("paddles") + 1));
    let counts = &mut scene.record(boat(2)).counts;
    counts.insert((LineId::from(ITEM), None), said);
    assert_eq!(from(&scene), [(boat(2), 1)]);
    assert_eq!(at_ramp(&scene).still_short, need - 1);
}
