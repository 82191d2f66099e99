//! Crew and people of the question: what is weighed, trips, life jackets.

use proptest::prelude::*;
use sponson_readiness::answer::{Action, Effect, Limit, Load, LoadLimit, Measure, Readiness, Rule};
use sponson_readiness::event::{Fuel, Plate};
use sponson_readiness::ids::LineId;
use sponson_readiness::load::{Party, PlateCounts, Size, Thing, WeighedBy};
use sponson_readiness::plate::Lb;
use sponson_readiness::standard::CrewJackets;

use super::scene::{DAY_MS, MOTOR, Scene};

fn party(size: Size, lying: bool, count: u32, mass_g: Option<u64>) -> Party {
    Party {
        size,
        lying,
        count,
        mass_g,
    }
}

fn adults(count: u32) -> Party {
    party(Size::Adult, false, count, None)
}

fn children(count: u32) -> Party {
    party(Size::Child, false, count, None)
}

fn plate(scene: &mut Scene, plate: Plate) {
    scene.craft().craft.0[0].value.plate = plate;
}

fn load(scene: &Scene) -> Load {
    scene.judged().load.expect("a plate")
}

fn weighed(load: &Load, thing: Thing) -> Option<(u64, WeighedBy)> {
    let mut counted = load.counted.iter();
    let found = counted.find(|one| one.thing == thing);
    found.map(|one| (one.mass_g, one.by))
}

#[test]
fn the_crew_is_the_one_that_was_asked_about() {
    let mut scene = Scene::inflatable();
    let assumed = weighed(&load(&scene), Thing::Crew);
    assert_eq!(assumed, Some((2 * 113_398, WeighedBy::Setting)));
    scene.question.crew.count = Some(4);
    scene.question.crew.mass_g = Some(100_000);
    let said = load(&scene);
    assert_eq!((said.crew, said.crew_mass_g, said.seats), (4, 100_000, 4));
    assert_eq!(
        weighed(&said, Thing::Crew),
        Some((400_000, WeighedBy::Given))
    );
    scene.question.crew.count = Some(9);
    let finding = scene.finding(Rule::LoadOver).expect("over");
    assert_eq!(finding.measured, Some(Measure::Persons(9)));
    assert_eq!(finding.effect, Effect::NotReady);
}

/// What is fitted by its own record; what is not known by the table of ABYC S-30 for its power:
/// 29.5 hp is 350 lb, a battery of 45 and a tank of 100 in it. The sheet has a tank of its own.
#[test]
fn a_motor_of_unknown_mass_is_weighed_by_its_power() {
    let mut scene = Scene::inflatable();
    let registered = load(&scene);
    let own = weighed(&registered, Thing::Motor);
    assert_eq!(own, Some((50_000, WeighedBy::Registered)));
    assert_eq!(weighed(&registered, Thing::Battery), None);
    let tank = weighed(&registered, Thing::Fuel);
    assert_eq!(tank, Some((Lb::whole(100).to_g(), WeighedBy::Counts)));
    scene.record(MOTOR).gear.0[0].value.mass_g = None;
    let by_power = load(&scene);
    let table = |pounds| Some((Lb::whole(pounds).to_g(), WeighedBy::Table));
    assert_eq!(weighed(&by_power, Thing::Motor), table(205));
    assert_eq!(weighed(&by_power, Thing::Battery), table(45));
    assert_eq!(weighed(&by_power, Thing::Fuel), tank);
    scene.record(MOTOR).gear.0[0].value.power_w = None;
    let by_plate = weighed(&load(&scene), Thing::Motor);
    assert_eq!(by_plate, Some((70_000, WeighedBy::Plate)));
}

/// Fuel by amount at 6.1 lb a gallon, 731 g a litre: a full tank of the sheet unless more was
/// recorded.
#[test]
fn fuel_is_weighed_by_what_was_recorded_where_it_is_more() {
    for (amount_ml, wanted) in [
        (10_000, (Lb::whole(100).to_g(), WeighedBy::Counts)),
        (100_000, (73_100, WeighedBy::Density)),
    ] {
        let mut scene = Scene::inflatable();
        let sides = scene.said(Fuel {
            tank: None,
            amount_ml,
            filled: None,
            mix: None,
        });
        scene.craft().fuel.insert(None, sides);
        assert_eq!(weighed(&load(&scene), Thing::Fuel), Some(wanted));
    }
}

/// An inflatable's plate has one weight: it is taken to count motor and gear until the sheet says
/// that it does not.
#[test]
fn what_a_plate_of_one_weight_counts_is_the_worse_until_said() {
    let one = Plate {
        persons: Some(8),
        persons_mass_g: Some(600_000),
        ..Plate::default()
    };
    let mut scene = Scene::inflatable();
    plate(&mut scene, one);
    scene.standard.load.plate_counts = None;
    let worse = load(&scene);
    let by = worse.plate_counts.expect("one weight");
    assert_eq!(
        (by.counts, by.is_assumed),
        (PlateCounts::PersonsMotorGear, true)
    );
    scene.standard.load.plate_counts = Some(PlateCounts::Persons);
    let said = load(&scene);
    let by = said.plate_counts.expect("one weight");
    assert_eq!((by.counts, by.is_assumed), (PlateCounts::Persons, false));
    assert!(worse.seats < said.seats, "{} {}", worse.seats, said.seats);
    // A second side whose plate has both lines does not make the one weight count less.
    scene.standard.load.plate_counts = None;
    let mut side = scene.craft().craft.0[0].clone();
    side.value.plate.total_mass_g = Some(2_000_000);
    scene.craft().craft.0.push(side);
    assert_eq!(load(&scene).seats, worse.seats);
    let mut scene = Scene::of("flat-bottom-16");
    plate(&mut scene, one);
    scene.standard.load.plate_counts = None;
    let by = load(&scene).plate_counts.expect("one weight");
    assert_eq!(
        by.counts,
        PlateCounts::Persons,
        "33 CFR 183.25 has two lines"
    );
}

#[test]
fn people_beyond_the_seats_take_more_trips() {
    let mut scene = Scene::inflatable();
    assert_eq!(load(&scene).homeward, None);
    scene.question.people = vec![adults(6)];
    let home = load(&scene).homeward.expect("asked");
    assert_eq!((home.packed.trips.len(), home.packed.is_fewest), (1, true));
    assert_eq!(scene.readiness(), Readiness::Ready);
    scene.question.people = vec![adults(7)];
    let finding = scene.finding(Rule::TripsNeeded).expect("two trips");
    assert_eq!(finding.effect, Effect::Limit(Limit::Trips(2)));
    assert_eq!(scene.readiness(), Readiness::ReadyWithLimits);
    // Lying down takes three seats: two on a trip of six.
    scene.question.people = vec![party(Size::Adult, true, 3, None)];
    let trips = load(&scene).homeward.expect("asked").packed.trips;
    assert_eq!(trips.len(), 2);
    scene.standard.load.lying_seats = 2;
    let trips = load(&scene).homeward.expect("asked").packed.trips;
    assert_eq!(trips.len(), 1);
}

#[test]
fn whom_no_trip_takes_keeps_the_craft_ashore() {
    let mut scene = Scene::inflatable();
    scene.question.crew.count = Some(6);
    scene.question.people = vec![party(Size::Adult, true, 1, None), adults(1)];
    let finding = scene.finding(Rule::PeopleLeftBehind).expect("no room");
    assert_eq!(finding.effect, Effect::NotReady);
    assert_eq!(finding.measured, Some(Measure::Persons(1)));
    scene.question.crew.count = Some(5);
    assert_eq!(scene.finding(Rule::PeopleLeftBehind), None);
}

#[test]
fn without_a_plate_nobody_is_shown_to_come_home() {
    let mut scene = Scene::inflatable();
    plate(&mut scene, Plate::default());
    scene.question.people = vec![adults(1)];
    assert_eq!(scene.effect(Rule::PlateUnknown), Some(Effect::Unproven));
}

/// Row 47 S (33 CFR 175.15): 15 ft 11 in with 4 aboard needs 4 wearable ones and no throwable; row
/// 48 S (175.15(b)): 16 ft 0 in needs one throwable besides. Here 2 of the 4 are crew.
#[test]
fn wearable_for_each_aboard_and_a_throwable_from_16_ft() {
    for (length_mm, throwables, throwable_short, row) in [
        (4_851, 0, false, "47"),
        (4_877, 0, true, "48"),
        (4_877, 1, false, "48"),
    ] {
        let mut scene = Scene::of("flat-bottom-16");
        scene.standard.length_mm = Some(length_mm);
        scene.question.people = vec![adults(2)];
        scene.count("throwable", throwables);
        scene.count("life-jacket", 4);
        assert_eq!(scene.effect(Rule::JacketShort), None, "row {row}");
        let short = scene.finding(Rule::KitShort).is_some();
        assert_eq!(short, throwable_short, "row {row}");
        scene.count("life-jacket", 3);
        let finding = scene.finding(Rule::JacketShort).expect("3 for 4");
        assert_eq!(finding.measured, Some(Measure::Count(1)), "row {row}");
    }
    let mut scene = Scene::of("flat-bottom-16");
    scene.standard.length_mm = None;
    scene.count("throwable", 0);
    assert!(scene.finding(Rule::KitShort).is_some(), "length not known");
}

/// Row 62 S (33 CFR 175.23(c)(1)): an inflatable one with a spent cartridge does not count.
#[test]
fn a_jacket_that_is_not_serviceable_does_not_count() {
    let mut scene = Scene::inflatable();
    scene.question.people = vec![adults(2)];
    scene.count("life-jacket", 4);
    assert_eq!(scene.effect(Rule::JacketShort), None);
    scene.count("life-jacket", 4).unserviceable = 1;
    let finding = scene.finding(Rule::JacketShort).expect("3 for 4");
    let bring = Action::Bring(LineId::from("life-jacket"), 1);
    assert_eq!(finding.to_do[0].action, bring);
    assert_eq!(finding.effect, Effect::NotReady);
    scene.standard.load.crew_jackets = CrewJackets::Own;
    assert_eq!(scene.effect(Rule::JacketShort), None);
}

#[test]
fn no_size_of_jacket_stands_in_for_another() {
    let mut scene = Scene::inflatable();
    scene.mission("flood");
    scene.question.people = vec![children(2)];
    assert_eq!(scene.effect(Rule::JacketShort), None);
    scene.question.people = vec![children(3)];
    let finding = scene.finding(Rule::JacketShort).expect("two for three");
    assert_eq!(finding.effect, Effect::NotReady);
    let bring = Action::Bring(LineId::from("child-life-jacket"), 1);
    assert_eq!(finding.to_do[0].action, bring);
    // A child of 60 lb wears a youth's.
    let heavy = party(Size::Child, false, 1, Some(Lb::whole(60).to_g()));
    scene.question.people = vec![children(2), heavy];
    assert_eq!(scene.effect(Rule::JacketShort), None);
    // Where the sheet has none for them, jackets that fit are to be brought.
    let lines = &mut scene.standard.items;
    lines.retain(|item| item.id.as_str() != "child-life-jacket");
    let bring = Effect::Limit(Limit::Jackets);
    assert_eq!(scene.effect(Rule::JacketShort), Some(bring));
}

#[test]
fn jackets_are_for_the_fullest_trip() {
    let mut scene = Scene::inflatable();
    // Eight adult ones less two of the crew: six on each of two trips.
    scene.question.people = vec![adults(12)];
    assert_eq!(scene.effect(Rule::JacketShort), None);
    let home = load(&scene).homeward.expect("asked");
    assert_eq!((home.jackets[0].need, home.jackets[0].short), (6, 0));
    scene.count("life-jacket", 7);
    let home = load(&scene).homeward.expect("asked");
    assert_eq!((home.jackets[0].need, home.jackets[0].short), (6, 1));
}

#[test]
fn jackets_that_were_counted_long_ago_are_not_known() {
    let mut scene = Scene::inflatable();
    scene.question.people = vec![children(1)];
    let key = (LineId::from("child-life-jacket"), None);
    let counts = scene.craft().counts.get_mut(&key).expect("counted");
    let interval = &mut counts.0[0].origin.interval;
    let at = interval.claimed.plus_ms(-40 * DAY_MS);
    (interval.early, interval.late, interval.claimed) = (Some(at), Some(at), at);
    assert_eq!(scene.effect(Rule::JacketShort), Some(Effect::Unproven));
    scene.craft().counts.remove(&key);
    assert_eq!(scene.effect(Rule::JacketShort), Some(Effect::Unproven));
}

#[test]
fn what_binds_may_be_the_weight_of_everything() {
    let mut scene = Scene::inflatable();
    plate(
        &mut scene,
        Plate {
            persons: Some(8),
            persons_mass_g: Some(900_000),
            total_mass_g: Some(700_000),
            ..Plate::default()
        },
    );
    let said = load(&scene);
    assert_eq!(said.binds, LoadLimit::TotalMass);
    assert!(said.child_seats > said.seats);
    assert_eq!(said.lines.len(), 3);
}

fn people() -> impl Strategy<Value = Vec<Party>> {
    let one = (
        0_usize..4,
        any::<bool>(),
        1_u32..4,
        prop::option::of(5_000_u64..150_000),
    );
    prop::collection::vec(one, 1..3).prop_map(|list| {
        let read = |(size, lying, count, mass_g): (usize, bool, u32, Option<u64>)| {
            party(Size::ALL[size], lying, count, mass_g)
        };
        list.into_iter().map(read).collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// To be asked to bring people home, with a larger crew or a stricter plate, never makes a
    /// craft readier. Of life jackets there are enough: a smaller boat needs fewer on a trip.
    #[test]
    fn a_heavier_task_is_never_readier(
        people in people(), crew in 2_u32..9, less in 0_u32..8, lighter_kg in 0_u64..800,
    ) {
        let mut scene = Scene::inflatable();
        scene.mission("flood");
        for item in JACKETS {
            scene.count(item, 99);
        }
        let jackets = scene.standard.items.iter_mut();
        jackets.filter(|item| item.wearer.is_some()).for_each(|item| item.mass_g = None);
        let none = scene.readiness();
        scene.question.people = people;
        let asked = scene.readiness();
        prop_assert!(asked >= none);
        scene.question.crew.count = Some(crew);
        let crewed = scene.readiness();
        prop_assert!(crewed >= asked);
        plate(&mut scene, Plate {
            persons: Some(8 - less),
            persons_mass_g: Some((900 - lighter_kg) * 1000),
            total_mass_g: Some((1_200 - lighter_kg) * 1000),
            ..Plate::default()
        });
        prop_assert!(scene.readiness() >= crewed);
    }

    /// Fewer life jackets never make it readier.
    #[test]
    fn fewer_jackets_are_never_readier(
        people in people(), which in 0_usize..4, count in 0_u32..9,
    ) {
        let mut scene = Scene::inflatable();
        scene.mission("flood");
        scene.question.people = people;
        scene.count(JACKETS[which], 9).unserviceable = 9 - count;
        let more = scene.readiness();
        scene.count(JACKETS[which], 9).unserviceable = 9 - count.saturating_sub(1);
        prop_assert!(scene.readiness() >= more);
    }
}

const JACKETS: [&str; 4] = [
    "life-jacket",
    "child-life-jacket",
    "youth-life-jacket",
    "infant-life-jacket",
];
