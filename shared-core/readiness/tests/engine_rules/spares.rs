//! Spare kit: what a shelf, a bag or another craft can give to a craft, and what it keeps.

use sponson_readiness::engine::spares;
use sponson_readiness::event::{ItemCount, OutReason, Place, SubjectKind};
use sponson_readiness::ids::{LineId, SubjectId};
use sponson_readiness::kit_moves::{Holder, Stock};
use sponson_readiness::record::{Assignment, Placement, Record, Side, Sides};

use super::scene::{
    BAG, CRAFT, DAY_MS, MOTOR, NOON, OTHER_CRAFT, OTHER_STATION, STATION, Scene, counted, lot,
};

pub(crate) const SHELF: SubjectId = SubjectId::from_bytes([9; 16]);

/// A second craft of the model at the other station, with what is counted on the first.
pub(crate) fn add_other_craft(scene: &mut Scene) -> &mut Record {
    let mut record = scene.craft().clone();
    record.subject = OTHER_CRAFT;
    record.number.0[0].value = "Boat 22".to_owned();
    record.place.0[0].value.at = Place::Station(OTHER_STATION);
    scene.records.insert(OTHER_CRAFT, record);
    scene.record(OTHER_CRAFT)
}

/// A shelf at the first station with so many of an item.
pub(crate) fn add_shelf(scene: &mut Scene, counts: &[(&str, u32)]) {
    let mut record = Record::new(SHELF, SubjectKind::Shelf);
    record.number = scene.said("Shelf A".to_owned());
    record.place = scene.said(Placement {
        at: Place::Station(STATION),
        part: None,
    });
    for (item, units) in counts {
        let key = (LineId::from(*item), None);
        record.counts.insert(key, scene.said(counted(item, *units)));
    }
    scene.records.insert(SHELF, record);
}

pub(crate) fn set(record: &mut Record, item: &str, change: impl FnOnce(&mut ItemCount)) {
    let key = (LineId::from(item), None);
    let like = record.counts.values().next().expect("counted").clone();
    let sides = record.counts.entry(key).or_insert(like);
    sides.0[0].value.item = LineId::from(item);
    change(&mut sides.0[0].value);
}

/// What of a line can be given to the first craft of the scene: by whom, and how many of how many.
fn given(scene: &Scene, line: &str) -> Vec<(Holder, u32, u32)> {
    let line = LineId::from(line);
    let stocks = scene.of_county(|county| spares(county, &scene.question, CRAFT, &line));
    let short = |stock: &Stock| (stock.holder, stock.spare, stock.good);
    stocks.iter().map(short).collect()
}

#[test]
fn a_shelf_gives_all_that_is_good() {
    let mut scene = Scene::inflatable();
    add_shelf(&mut scene, &[("throw-bag", 3)]);
    assert_eq!(given(&scene, "throw-bag"), [(Holder::Shelf, 3, 3)]);
    set(scene.record(SHELF), "throw-bag", |it| it.unserviceable = 1);
    assert_eq!(given(&scene, "throw-bag"), [(Holder::Shelf, 2, 2)]);
    set(scene.record(SHELF), "throw-bag", |it| it.unserviceable = 3);
    assert_eq!(given(&scene, "throw-bag"), []);
}

/// Flares carry dates in the sheet: what has none, or one that has passed, is never offered, also
/// where the sheet would count it aboard.
#[test]
fn what_is_expired_or_undated_is_never_given() {
    let mut scene = Scene::inflatable();
    for item in &mut scene.standard.items {
        if let Some(dated) = &mut item.dated {
            dated.undated_counts = Some(true);
        }
    }
    add_shelf(&mut scene, &[("flare-red-hand", 6)]);
    set(scene.record(SHELF), "flare-red-hand", |it| {
        it.lots = vec![
            lot(2, 2026, Some(2), Some(28)),
            lot(3, 2026, Some(3), Some(1)),
        ];
    });
    assert_eq!(given(&scene, "flare-red-hand"), [(Holder::Shelf, 3, 3)]);
    set(scene.record(SHELF), "flare-red-hand", |it| it.lots.clear());
    assert_eq!(given(&scene, "flare-red-hand"), []);
}

/// The policy's days for a count of a shelf; a county that signed none has 92.
#[test]
fn a_shelf_counted_too_long_ago_gives_nothing() {
    for (days_ago, gives) in [(92, true), (93, false)] {
        let mut scene = Scene::inflatable();
        add_shelf(&mut scene, &[("throw-bag", 3)]);
        let old = scene.side_at(counted("throw-bag", 3), NOON.plus_ms(-days_ago * DAY_MS));
        let key = (LineId::from("throw-bag"), None);
        scene.record(SHELF).counts.insert(key, Sides(vec![old]));
        assert_eq!(
            !given(&scene, "throw-bag").is_empty(),
            gives,
            "{days_ago} days"
        );
    }
}

#[test]
fn of_two_counts_of_a_shelf_the_least_is_given_also_where_one_is_not_confirmed() {
    let mut scene = Scene::inflatable();
    add_shelf(&mut scene, &[("throw-bag", 3)]);
    let fewer: Side<ItemCount> = scene.untrusted(counted("throw-bag", 1));
    let key = (LineId::from("throw-bag"), None);
    let sides = scene.record(SHELF).counts.get_mut(&key).expect("counted");
    sides.0.push(fewer);
    assert_eq!(given(&scene, "throw-bag"), [(Holder::Shelf, 1, 1)]);
    let more = scene.untrusted(counted("throw-bag", 9));
    let sides = scene.record(SHELF).counts.get_mut(&key).expect("counted");
    sides.0[1] = more;
    assert_eq!(given(&scene, "throw-bag"), [(Holder::Shelf, 3, 3)]);
    let only = scene.untrusted(counted("throw-bag", 9));
    scene.record(SHELF).counts.insert(key, Sides(vec![only]));
    assert_eq!(given(&scene, "throw-bag"), []);
}

#[test]
fn a_shelf_said_to_be_in_two_places_gives_nothing() {
    let mut scene = Scene::inflatable();
    add_shelf(&mut scene, &[("throw-bag", 3)]);
    let elsewhere = scene.side(Placement {
        at: Place::Station(OTHER_STATION),
        part: None,
    });
    scene.record(SHELF).place.0.push(elsewhere);
    assert_eq!(given(&scene, "throw-bag"), []);
}

/// A bag on a craft is that craft's kit; on a shelf or at a station it is spare.
#[test]
fn a_bag_gives_only_where_it_is_on_no_craft() {
    for (at, gives) in [
        (Place::Station(STATION), true),
        (Place::Shelf(SHELF), true),
        (Place::Craft(CRAFT), false),
    ] {
        let mut scene = Scene::inflatable();
        add_shelf(&mut scene, &[]);
        let count = scene.said(counted("helmet", 2));
        let bag = scene.add_bag(at);
        bag.counts.insert((LineId::from("helmet"), None), count);
        let wanted: &[_] = if gives { &[(Holder::Bag, 2, 2)] } else { &[] };
        assert_eq!(given(&scene, "helmet"), wanted, "{at:?}");
        let used = scene.side(1);
        let bag = scene.record(BAG);
        bag.used_up.insert(LineId::from("helmet"), vec![used]);
        let wanted: &[_] = if gives { &[(Holder::Bag, 1, 1)] } else { &[] };
        assert_eq!(given(&scene, "helmet"), wanted, "{at:?}, one used up");
    }
}

/// Swiftwater takes 3 throw bags, flood 2, anything else 1: a craft keeps what the mission of its
/// sheet needs that needs most.
#[test]
fn a_craft_keeps_what_it_needs_for_any_mission() {
    for (aboard, spare) in [(2, 0), (3, 0), (4, 1), (6, 3)] {
        let mut scene = Scene::inflatable();
        add_other_craft(&mut scene);
        set(scene.record(OTHER_CRAFT), "throw-bag", |it| {
            it.count = aboard;
        });
        let wanted: &[_] = &[(Holder::Craft, spare, aboard)];
        let wanted = if spare > 0 { wanted } else { &[] };
        assert_eq!(given(&scene, "throw-bag"), wanted, "{aboard} aboard");
    }
}

/// One that was used up since is not there, and what stands in for another line stays.
#[test]
fn a_craft_keeps_what_stands_in_for_another_line() {
    let mut scene = Scene::inflatable();
    add_other_craft(&mut scene);
    let other = scene.record(OTHER_CRAFT);
    // Paddles: swiftwater needs 3, oars stand in; none is needed for itself.
    set(other, "paddle", |it| it.count = 2);
    set(other, "oar", |it| it.count = 2);
    assert_eq!(given(&scene, "oar"), [(Holder::Craft, 1, 2)]);
    assert_eq!(
        given(&scene, "paddle"),
        [(Holder::Craft, 1, 2)],
        "an oar for a paddle"
    );
    let used = scene.side(1);
    let other = scene.record(OTHER_CRAFT);
    other.used_up.insert(LineId::from("oar"), vec![used]);
    assert_eq!(given(&scene, "oar"), []);
}

#[test]
fn a_condemned_craft_keeps_nothing_one_that_is_out_keeps_its_own_one_assigned_gives_nothing() {
    let mut scene = Scene::inflatable();
    add_other_craft(&mut scene);
    set(scene.record(OTHER_CRAFT), "throw-bag", |it| it.count = 4);
    let out = scene.side(OutReason::Mechanical);
    let id = out.origin.event;
    scene.record(OTHER_CRAFT).out.insert(id, out);
    assert_eq!(given(&scene, "throw-bag"), [(Holder::Craft, 1, 4)]);
    let condemned = scene.side(());
    scene.record(OTHER_CRAFT).condemned.push(condemned.origin);
    assert_eq!(given(&scene, "throw-bag"), [(Holder::Condemned, 4, 4)]);

    let mut scene = Scene::inflatable();
    add_other_craft(&mut scene);
    set(scene.record(OTHER_CRAFT), "throw-bag", |it| it.count = 4);
    let unconfirmed = scene.untrusted(());
    scene.record(OTHER_CRAFT).condemned.push(unconfirmed.origin);
    assert_eq!(given(&scene, "throw-bag"), [(Holder::Craft, 1, 4)]);
    let away = scene.side(Assignment {
        incident: "26-0301".to_owned(),
        mission: "flood".into(),
    });
    let id = away.origin.event;
    scene.record(OTHER_CRAFT).assigned.insert(id, away);
    assert_eq!(given(&scene, "throw-bag"), []);
}

#[test]
fn a_craft_said_to_be_at_two_stations_gives_nothing() {
    let mut scene = Scene::inflatable();
    add_other_craft(&mut scene);
    set(scene.record(OTHER_CRAFT), "throw-bag", |it| it.count = 4);
    let elsewhere = scene.side(Placement {
        at: Place::Station(STATION),
        part: None,
    });
    scene.record(OTHER_CRAFT).place.0.push(elsewhere);
    assert_eq!(given(&scene, "throw-bag"), []);
}

/// Never a spare that does not fit, nor one of which that is not known.
#[test]
fn only_what_is_known_to_fit_is_given() {
    for (connector, fits) in [("bayonet", true), ("quick 3/8", false), ("", false)] {
        let mut scene = Scene::inflatable();
        for item in &mut scene.standard.items {
            if item.id.as_str() == "fuel-tank" {
                item.fits.connector = vec!["bayonet".to_owned()];
            }
        }
        scene.record(MOTOR).gear.0[0].value.connector = connector.to_owned();
        add_shelf(&mut scene, &[("fuel-tank", 1)]);
        let wanted: &[_] = if fits { &[(Holder::Shelf, 1, 1)] } else { &[] };
        assert_eq!(
            given(&scene, "fuel-tank"),
            wanted,
            "connector '{connector}'"
        );
    }
}

/// What is of no use to the craft that carries it is spare there, whatever its sheet asks for.
#[test]
fn what_does_not_fit_the_giver_is_spare() {
    let mut scene = Scene::of("raft-13");
    scene.craft().craft.0[0].value.fabric = "csm".to_owned();
    add_other_craft(&mut scene);
    set(scene.record(OTHER_CRAFT), "glue-csm", |it| it.count = 1);
    assert_eq!(given(&scene, "glue-csm"), [], "it needs its own");
    scene.record(OTHER_CRAFT).craft.0[0].value.fabric = "pvc".to_owned();
    assert_eq!(given(&scene, "glue-csm"), [(Holder::Craft, 1, 1)]);
}

/// 33 CFR 175.130: what makes up a set of signals stays, whichever kinds it is.
#[test]
fn a_craft_keeps_its_sets_of_signals() {
    let mut scene = Scene::inflatable();
    add_other_craft(&mut scene);
    let other = scene.record(OTHER_CRAFT);
    set(other, "flare-red-hand", |it| {
        *it = counted("flare-red-hand", 0)
    });
    set(other, "flare-parachute", |it| {
        *it = counted("flare-parachute", 4)
    });
    assert_eq!(given(&scene, "flare-parachute"), [(Holder::Craft, 1, 4)]);
}

/// One dry bag stays with the radio that is worth nothing without.
#[test]
fn a_craft_keeps_what_another_item_needs() {
    let mut scene = Scene::inflatable();
    for item in &mut scene.standard.items {
        if item.id.as_str() == "dry-bag" {
            item.count = 0;
            item.count_for.clear();
        }
    }
    add_other_craft(&mut scene);
    set(scene.record(OTHER_CRAFT), "dry-bag", |it| it.count = 2);
    assert_eq!(given(&scene, "dry-bag"), [(Holder::Craft, 1, 2)]);
    set(scene.record(OTHER_CRAFT), "radio", |it| it.count = 0);
    assert_eq!(given(&scene, "dry-bag"), [(Holder::Craft, 2, 2)]);
}
