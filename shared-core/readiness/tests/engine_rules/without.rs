//! What-if: the county as if a craft, a station or kit were not there.
//!
//! Taking away never makes another craft readier. What may change for the better is who goes beside
//! whom (`together`): a crew or a trailer that nobody takes is free for another craft.

use std::collections::BTreeSet;

use proptest::prelude::*;
use sponson_readiness::answer::{CountyAnswer, Readiness, Rule, TogetherAsked};
use sponson_readiness::event::Place;
use sponson_readiness::ids::{LineId, SubjectId};
use sponson_readiness::record::Placement;
use sponson_readiness::weather_report::WeatherReport;
use sponson_readiness::without::{KitAway, TakenBy, Without};

use super::scene::{CRAFT, MOTOR, OTHER_STATION, STATION, Scene, counted};

const SECOND: SubjectId = SubjectId::from_bytes([102; 16]);
const THIRD: SubjectId = SubjectId::from_bytes([103; 16]);

/// Boats 1 and 2 at one station, boat 3 at the other, each with its motor.
fn scene() -> Scene {
    let mut scene = Scene::inflatable();
    let (pattern, motor) = (scene.craft().clone(), scene.record(MOTOR).clone());
    for (number, id) in [(1_u8, CRAFT), (2, SECOND), (3, THIRD)] {
        let mut record = pattern.clone();
        record.subject = id;
        record.number.0[0].value = format!("Boat {number}");
        scene.records.insert(id, record);
        if number > 1 {
            let mut own = motor.clone();
            own.subject = SubjectId::from_bytes([200 + number; 16]);
            own.place.0[0].value.at = Place::Craft(id);
            scene.records.insert(own.subject, own);
        }
    }
    let there = scene.said(Placement {
        at: Place::Station(OTHER_STATION),
        part: None,
    });
    scene.record(THIRD).place = there;
    scene
}

fn numbers(answer: &CountyAnswer) -> Vec<&str> {
    answer
        .craft
        .iter()
        .map(|craft| craft.number.as_str())
        .collect()
}

fn taken(answer: &CountyAnswer) -> Vec<(&str, TakenBy)> {
    let taken = answer.taken_away.iter();
    taken.map(|one| (one.number.as_str(), one.by)).collect()
}

fn kit(line: &str, station: Option<SubjectId>) -> Without {
    let away = KitAway {
        line: LineId::from(line),
        station,
    };
    Without {
        kit: BTreeSet::from([away]),
        ..Without::NOTHING
    }
}

#[test]
fn a_craft_that_is_taken_away_is_not_among_those_that_can_go() {
    let mut scene = scene();
    scene.question.without.craft.insert(SECOND);
    let answer = scene.answer();
    assert_eq!(numbers(&answer), ["Boat 1", "Boat 3"]);
    assert_eq!(taken(&answer), [("Boat 2", TakenBy::Itself)]);
    assert_eq!(answer.asked.without, scene.question.without);
}

#[test]
fn with_a_station_go_all_craft_that_may_be_there() {
    let mut scene = scene();
    scene.question.without.stations.insert(OTHER_STATION);
    let by = TakenBy::Station(OTHER_STATION);
    assert_eq!(taken(&scene.answer()), [("Boat 3", by)]);
    // Boat 2 is said to be at both: it may be behind the water.
    let elsewhere = scene.side(Placement {
        at: Place::Station(OTHER_STATION),
        part: None,
    });
    scene.record(SECOND).place.0.push(elsewhere);
    let answer = scene.answer();
    assert_eq!(taken(&answer), [("Boat 2", by), ("Boat 3", by)]);
    assert_eq!(numbers(&answer), ["Boat 1"]);
}

#[test]
fn one_craft_that_is_asked_for_may_be_among_the_taken() {
    let mut scene = scene();
    scene.question.craft = Some(THIRD);
    scene.question.without.stations.insert(OTHER_STATION);
    let answer = scene.answer();
    assert!(answer.craft.is_empty());
    assert_eq!(
        taken(&answer),
        [("Boat 3", TakenBy::Station(OTHER_STATION))]
    );
}

#[test]
fn a_boat_that_was_registered_twice_goes_under_both_numbers() {
    let mut scene = scene();
    scene.record(SECOND).same_as.insert(THIRD);
    scene.question.without.craft.insert(SECOND);
    let answer = scene.answer();
    assert_eq!(
        taken(&answer),
        [("Boat 2", TakenBy::Itself), ("Boat 3", TakenBy::Itself)]
    );
}

/// Whatever was counted, there is none: short, and not merely uncounted.
#[test]
fn a_kit_line_counts_nothing_on_every_craft_or_at_one_station() {
    let mut scene = scene();
    let need = |scene: &Scene| {
        let items = scene.standard.items.iter();
        let asked = items.filter(|item| item.missions.is_empty() && item.alternatives.is_empty());
        let asked = asked.filter(|item| item.signal.is_none() && item.wearer.is_none());
        asked.map(|item| item.id.clone()).next().expect("an item")
    };
    let line = need(&scene);
    let lacks = |answer: &CountyAnswer| -> Vec<String> {
        let missing = answer.missing_kit.iter().filter(|it| it.item == line);
        missing
            .map(|it| format!("{} {}", it.number, it.have))
            .collect()
    };
    assert!(lacks(&scene.answer()).is_empty());
    scene.question.without = kit(&line.0, None);
    assert_eq!(lacks(&scene.answer()), ["Boat 1 0", "Boat 2 0", "Boat 3 0"]);
    scene.question.without = kit(&line.0, Some(OTHER_STATION));
    assert_eq!(lacks(&scene.answer()), ["Boat 3 0"]);
    let why = |answer: &CountyAnswer, number: &str| {
        let craft = answer.craft.iter().find(|craft| craft.number == number);
        let why = craft.map(|craft| craft.why.clone()).unwrap_or_default();
        why.iter().any(|finding| finding.rule == Rule::KitShort)
    };
    let answer = scene.answer();
    assert!(why(&answer, "Boat 3") && !why(&answer, "Boat 1"));
}

/// Nobody is taken aboard for the weight of kit that may be there after all.
#[test]
fn kit_that_is_taken_away_still_weighs() {
    let mut scene = scene();
    let load = |scene: &Scene| {
        scene.answer().craft[0]
            .load
            .as_ref()
            .map(|load| load.mass_left_g)
    };
    let before = load(&scene);
    let lines: Vec<LineId> = scene
        .standard
        .items
        .iter()
        .map(|it| it.id.clone())
        .collect();
    for line in lines {
        scene.question.without = kit(&line.0, None);
        assert_eq!(load(&scene), before, "{line}");
    }
}

#[test]
fn crews_that_a_taken_craft_no_longer_takes_are_free_for_others() {
    let mut scene = scene();
    scene.crews()[0].value.crews = 1;
    scene.question.together = Some(TogetherAsked::default());
    let go = |scene: &Scene| -> Vec<String> {
        let together = scene.answer().together.expect("asked");
        together.craft.into_iter().map(|goes| goes.number).collect()
    };
    assert_eq!(go(&scene), ["Boat 1", "Boat 3"]);
    scene.question.without.craft.insert(CRAFT);
    assert_eq!(go(&scene), ["Boat 2", "Boat 3"]);
    scene.question.without.stations.insert(STATION);
    assert_eq!(go(&scene), ["Boat 3"]);
}

#[test]
fn nothing_taken_away_changes_nothing() {
    let mut scene = scene();
    let before = scene.answer();
    // Of what nobody knows nothing can be taken away.
    scene
        .question
        .without
        .craft
        .insert(SubjectId::from_bytes([77; 16]));
    let after = scene.answer();
    assert_eq!(after.craft, before.craft);
    assert!(after.taken_away.is_empty() && before.taken_away.is_empty());
}

/// The report decides nothing: what was made of it stands in the conditions.
#[test]
fn a_report_is_listed_with_its_age_and_decides_nothing() {
    let mut scene = scene();
    let before = scene.answer();
    let report = WeatherReport {
        text: "KRAP 141030Z 35050KT".to_owned(),
        station: "KRAP".to_owned(),
        at: scene.question.as_of.plus_ms(-5_400_000),
        air_mc: Some(-30_000),
        dew_point_mc: None,
        wind: None,
        visibility: None,
        restricted_by: Some("FG".to_owned()),
        altimeter_pa: Some(90_000),
        weather: Vec::new(),
        not_used: Vec::new(),
        not_understood: Vec::new(),
        by_hand: BTreeSet::new(),
    };
    scene.question.weather_report = Some(report.clone());
    let after = scene.answer();
    assert_eq!(after.craft, before.craft);
    let asked = after.asked.weather_report.expect("listed");
    assert_eq!((asked.age_s, asked.is_old()), (5_400, false));
    scene.question.weather_report = Some(WeatherReport {
        at: report.at.plus_ms(-1_000),
        ..report
    });
    let asked = scene.answer().asked.weather_report.expect("listed");
    assert!(asked.is_old());
}

proptest! {
    /// However a craft stands, with kit counted, short, long ago or never, and a bag in dispute: taking
    /// away makes none that is left readier.
    #[test]
    fn taking_away_never_makes_another_craft_readier(
        counts in prop::collection::vec((0_usize..40, 0_u32..4, 0_u8..3), 0..8),
        disputed in any::<bool>(),
        mission in 0_usize..4,
        craft in prop::collection::btree_set(0_usize..3, 0..2),
        stations in prop::collection::btree_set(any::<bool>(), 0..2),
        lines in prop::collection::vec((0_usize..40, 0_u8..3), 0..4),
    ) {
        let mut scene = scene();
        let items: Vec<LineId> = scene.standard.items.iter().map(|it| it.id.clone()).collect();
        let item = |number: usize| items[number % items.len()].clone();
        for (number, count, how) in counts {
            match how {
                0 => { scene.count(&item(number).0, count); }
                1 => scene.counted_long_ago(&item(number).0, count),
                _ => scene.craft().counts.retain(|(line, _), _| *line != item(number)),
            }
        }
        if disputed {
            let line = item(0);
            let count = scene.said(counted(&line.0, 1));
            let elsewhere = scene.side(Placement {
                at: Place::Craft(SECOND),
                part: None,
            });
            let bag = scene.add_bag(Place::Craft(CRAFT));
            bag.counts.insert((line, None), count);
            bag.place.0.push(elsewhere);
        }
        scene.mission(["lake", "swiftwater", "flood", "ice"][mission]);
        let before = scene.answer();
        let ids = [CRAFT, SECOND, THIRD];
        let at = |far: bool| if far { OTHER_STATION } else { STATION };
        scene.question.without = Without {
            craft: craft.into_iter().map(|number| ids[number]).collect(),
            stations: stations.into_iter().map(at).collect(),
            kit: lines.into_iter().map(|(number, place)| KitAway {
                line: item(number),
                station: (place > 0).then(|| at(place > 1)),
            }).collect(),
        };
        let after = scene.answer();
        prop_assert_eq!(after.craft.len() + after.taken_away.len(), before.craft.len());
        for one in &after.craft {
            let was = before.craft.iter().find(|it| it.id == one.id).expect("the same craft");
            prop_assert!(one.readiness >= was.readiness, "{} {:?}", one.number, scene.question.without);
            if was.readiness == Readiness::NotReady {
                continue;
            }
            let limits = |craft: &sponson_readiness::answer::CraftAnswer| craft.limits.len();
            let same = one.readiness == was.readiness;
            prop_assert!(!same || limits(one) >= limits(was), "{}", one.number);
        }
    }
}
