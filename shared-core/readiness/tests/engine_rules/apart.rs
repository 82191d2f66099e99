//! What stations, apart, stated differently: which counts at the asked moment, and what the list
//! of disagreements says of it.

use std::collections::{BTreeMap, BTreeSet};

use sponson_readiness::answer::{
    Differ, Disagreement, Effect, Measure, Rule, Said, Settle, Status, Until,
};
use sponson_readiness::engine::{County, disagreements};
use sponson_readiness::event::{AirChanged, AirDirection, AnswerValue, OutReason, Place, Severity};
use sponson_readiness::ids::{EventId, FaultId, LineId, PartId};
use sponson_readiness::record::{
    Assignment, Inspection, MovedOff, Placement, SentApart, Side, Sides,
};

use crate::scene::{
    BAG, CRAFT, DAY_MS, OTHER_CRAFT, OTHER_STATION, STATION, Scene, counted, fault, lot, reading,
};

impl Scene {
    fn differ(&self) -> Vec<Disagreement> {
        let standards = BTreeMap::from([(self.standard.model.clone(), self.standard.clone())]);
        let county = County {
            policy: &self.policy,
            standards: &standards,
            stations: &self.stations,
            records: &self.records,
            not_understood: &self.not_understood,
            known_by: &self.known_by,
        };
        disagreements(&county, &self.question)
    }

    /// The only open disagreement, which the craft's report names as well.
    fn only(&self, differ: Differ) -> Disagreement {
        let all = self.differ();
        let [one] = all.as_slice() else {
            panic!("{all:#?}");
        };
        assert_eq!(one.differ, differ);
        assert!(one.craft.contains(&CRAFT));
        assert_eq!(all, self.answer().disagreements);
        let own_rule = [
            Rule::SidesDiffer,
            Rule::PlaceDisputed,
            Rule::GearInTwoPlaces,
            Rule::NumberTwice,
        ];
        let why = self.judged().why;
        let told = why.iter().find(|it| own_rule.contains(&it.rule));
        let told = told.expect("the report tells");
        let events: Vec<_> = one.sides.iter().map(|side| side.origin.event).collect();
        assert!(told.evidence.iter().any(|event| events.contains(event)));
        assert!(!told.to_do.is_empty());
        one.clone()
    }
}

fn values(one: &Disagreement) -> Vec<Measure> {
    one.sides.iter().map(|side| side.value.clone()).collect()
}

#[test]
fn a_craft_in_order_has_no_disagreement() {
    assert!(Scene::inflatable().differ().is_empty());
}

#[test]
fn the_count_that_is_worse_on_the_asked_day_counts() {
    let mut scene = Scene::inflatable();
    let key = (LineId::from("flare-red-hand"), None);
    let mut expires = counted("flare-red-hand", 9);
    expires.lots = vec![lot(9, 2026, Some(6), None)];
    let expires = scene.side(expires);
    let fewer = scene.side(counted("flare-red-hand", 5));
    let sides = Sides(vec![expires, fewer]);
    scene.craft().counts.insert(key, sides);
    let now = scene.only(Differ::Counts);
    assert_eq!(values(&now), [Measure::Count(9), Measure::Count(5)]);
    assert_eq!(now.until, Until::Side(1));
    scene.question.as_of = scene.question.as_of.plus_ms(150 * DAY_MS);
    scene.question.now = scene.question.as_of;
    let later = scene.only(Differ::Counts);
    assert_eq!(values(&later), [Measure::Count(0), Measure::Count(5)]);
    assert_eq!(later.until, Until::Side(0));
    let craft = "Boat 14".to_owned();
    assert_eq!(later.settle, [Settle::Check(craft)]);
}

/// One check each, in which two items differ alike.
#[test]
fn what_differs_in_several_lines_of_two_checks_is_listed_line_by_line() {
    let mut scene = Scene::inflatable();
    let (one, other) = (scene.side(()).origin, scene.side(()).origin);
    for item in ["paddle", "helmet"] {
        let sides = [(&one, 9), (&other, 8)].map(|(origin, count)| Side {
            value: counted(item, count),
            origin: origin.clone(),
        });
        let key = (LineId::from(item), None);
        scene.craft().counts.insert(key, Sides(sides.to_vec()));
    }
    assert_eq!(scene.differ().len(), 2);
}

/// What was counted in a bag is told once, of the bag, and concerns the craft that has it.
#[test]
fn counts_in_a_bag_are_told_once() {
    let mut scene = Scene::inflatable();
    let sides: Vec<_> = [3, 2]
        .into_iter()
        .map(|count| {
            let mut counted = counted("throw-bag", count);
            counted.bag = Some(BAG);
            scene.side(counted)
        })
        .collect();
    let line = LineId::from("throw-bag");
    let in_bag = (line.clone(), Some(BAG));
    scene.craft().counts.insert(in_bag, Sides(sides.clone()));
    let bag = scene.add_bag(Place::Craft(CRAFT));
    bag.counts.insert((line, None), Sides(sides));
    let one = scene.only(Differ::Counts);
    assert_eq!((one.subject, one.until), (BAG, Until::Side(1)));
    assert_eq!(one.settle, [Settle::Check("Boat 14".to_owned())]);
}

#[test]
fn the_reading_that_is_worse_in_the_asked_weather_counts() {
    let mut scene = Scene::inflatable();
    let part = PartId::from("floor");
    let (soft, hard) = (90_000, 131_000);
    let soft = scene.side(reading("floor", soft));
    let hard = scene.side(reading("floor", hard));
    let readings = scene.craft().readings.get_mut(&part).expect("it is read");
    readings.standing = Sides(vec![soft, hard]);
    for (air_c, worse) in [(2, 0), (45, 1)] {
        scene.weather(air_c, air_c);
        let one = scene.only(Differ::Readings);
        assert_eq!(one.until, Until::Side(worse), "{air_c}");
    }
}

#[test]
fn air_added_apart_from_a_reading_takes_nothing_from_it() {
    let mut scene = Scene::inflatable();
    let part = PartId::from("tube-1");
    let nominal = scene.craft().readings[&part].standing.0[0].value.gauge_pa;
    let soft = scene.side(reading("tube-1", nominal / 2));
    let air = scene.side(AirChanged {
        part: part.clone(),
        direction: AirDirection::Added,
        before_pa: None,
        after_pa: Some(nominal),
        air_mc: Some(20_000),
        source: None,
        source_gear: None,
        source_after_kpa: None,
    });
    let event = soft.origin.event;
    let readings = scene.craft().readings.get_mut(&part).expect("it is read");
    readings.standing = Sides(vec![soft]);
    readings.air_since = vec![air];
    let topped_up = scene.effect(Rule::PressureLow);
    assert!(topped_up < Some(Effect::NotReady), "the air came after");
    let beside = BTreeSet::from([event]);
    scene.craft().apart.beside_air.insert(part, beside);
    let one = scene.only(Differ::Readings);
    assert_eq!(one.until, Until::Side(1));
    assert_eq!(scene.effect(Rule::PressureLow), Some(Effect::NotReady));
}

#[test]
fn kit_that_left_unseen_is_missing_from_the_count() {
    let mut scene = Scene::inflatable();
    scene.count("life-jacket", 4);
    let key = (LineId::from("life-jacket"), None);
    let counted = scene.craft().counts[&key].0[0].origin.event;
    assert_eq!(scene.finding(Rule::KitShort), None);
    let moved = scene.side(MovedOff {
        bag: BAG,
        units: 3,
        unseen_by: BTreeSet::from([counted]),
    });
    scene.craft().apart.moved_off.insert(key.0, vec![moved]);
    let short = scene.finding(Rule::KitShort).expect("short");
    assert_eq!(short.measured, Some(Measure::Count(1)));
    let one = scene.only(Differ::KitMoved);
    assert_eq!(one.until, Until::Units(1));
    let away = Measure::Said(Said::MovedAway(3));
    assert_eq!(values(&one), [Measure::Count(4), away]);
}

#[test]
fn faults_and_sign_offs_that_did_not_know_of_each_other() {
    let mut scene = Scene::inflatable();
    let (one, other) = (scene.side(()), scene.side(()));
    let ids = [&one, &other].map(|side| FaultId {
        event: side.origin.event,
        ordinal: 0,
    });
    let signed = scene.side(()).origin;
    let craft = scene.craft();
    craft
        .faults
        .insert(ids[0], fault(one, Severity::Major, &[]));
    craft
        .faults
        .insert(ids[1], fault(other, Severity::Minor, &[]));
    craft.apart.alike = BTreeMap::from([
        (ids[0], BTreeSet::from([ids[1]])),
        (ids[1], BTreeSet::from([ids[0]])),
    ]);
    let twice = scene.only(Differ::DefectTwice);
    assert_eq!(twice.until, Until::FaultOpen);
    assert_eq!(twice.sides.len(), 2);
    let both = Settle::SignOff("Boat 14".to_owned(), ids.to_vec());
    assert_eq!(twice.settle, [both]);

    let craft = scene.craft();
    craft.apart.alike.clear();
    craft.apart.signed_off = BTreeMap::from([(ids[0], vec![signed])]);
    let unseen = scene.only(Differ::FaultAndSignOff);
    let tear = Measure::Word("tear".to_owned());
    assert_eq!(values(&unseen), [tear, Measure::Said(Said::SignedOff)]);
    assert_eq!(unseen.until, Until::FaultOpen);
}

#[test]
fn a_no_that_is_a_fault_is_told_beside_the_yes_until_it_is_signed_off() {
    let mut scene = Scene::inflatable();
    let (no, yes) = (scene.side(AnswerValue::No), scene.side(AnswerValue::Yes));
    let line = LineId::from("steering");
    let id = FaultId {
        event: no.origin.event,
        ordinal: FaultId::FIRST_ANSWER,
    };
    let mut open = scene.side(line.clone());
    open.origin = no.origin.clone();
    let craft = scene.craft();
    craft.answers.insert(line, Sides(vec![no, yes]));
    craft.open_noes.insert(id, open);
    let one = scene.only(Differ::NoThenYes);
    assert_eq!(
        values(&one),
        [Measure::Said(Said::No), Measure::Said(Said::Yes)]
    );
    let name = Settle::SignOff("Boat 14".to_owned(), vec![id]);
    assert_eq!(one.settle, [name]);
    scene.craft().open_noes.clear();
    assert!(scene.differ().is_empty());
}

#[test]
fn out_of_service_beside_a_return() {
    let mut scene = Scene::inflatable();
    let out = scene.side(OutReason::Mechanical);
    let back = scene.side(()).origin;
    let craft = scene.craft();
    craft.apart.returned.insert(out.origin.event, vec![back]);
    craft.out.insert(out.origin.event, out);
    let one = scene.only(Differ::OutAndReturned);
    assert_eq!(one.until, Until::OutOfService);
    assert_eq!(one.settle, [Settle::Return("Boat 14".to_owned())]);
    scene.craft().out.clear();
    assert!(scene.differ().is_empty());
}

#[test]
fn where_a_craft_and_a_bag_are() {
    let mut scene = Scene::inflatable();
    let elsewhere = scene.side(Placement {
        at: Place::Station(OTHER_STATION),
        part: None,
    });
    scene.craft().place.0.push(elsewhere);
    let one = scene.only(Differ::PlacedTwice);
    assert_eq!(one.until, Until::Unproven);
    scene.craft().place.0.pop();

    scene.add_bag(Place::Craft(CRAFT));
    let aboard_other = scene.side(Placement {
        at: Place::Craft(OTHER_CRAFT),
        part: None,
    });
    scene.record(BAG).place.0.push(aboard_other);
    let one = scene.only(Differ::FoundTwice);
    assert_eq!(one.subject, BAG);
    assert_eq!(one.craft, BTreeSet::from([CRAFT, OTHER_CRAFT]));
    assert_eq!(one.until, Until::Nowhere);
    assert_eq!(one.settle, [Settle::Place("Bag 14".to_owned())]);
}

/// A bag that no craft has is listed too, and only where the whole county is asked about.
#[test]
fn a_bag_in_two_stations_concerns_no_craft() {
    let mut scene = Scene::inflatable();
    scene.add_bag(Place::Station(STATION));
    let there = scene.side(Placement {
        at: Place::Station(OTHER_STATION),
        part: None,
    });
    scene.record(BAG).place.0.push(there);
    assert_eq!(scene.differ().len(), 1);
    scene.question.craft = Some(CRAFT);
    assert!(scene.differ().is_empty());
}

#[test]
fn one_number_on_two_craft_is_one_entry_that_concerns_both() {
    let mut scene = Scene::inflatable();
    let mut other = scene.records[&CRAFT].clone();
    other.subject = OTHER_CRAFT;
    scene.records.insert(OTHER_CRAFT, other);
    let one = scene.only(Differ::NumberTwice);
    assert_eq!(one.craft, BTreeSet::from([CRAFT, OTHER_CRAFT]));
    let both = vec![CRAFT, OTHER_CRAFT];
    assert_eq!(
        one.settle,
        [Settle::Renumber(both.clone()), Settle::SameAs(both)]
    );
    for craft in [CRAFT, OTHER_CRAFT] {
        scene.question.craft = Some(craft);
        assert_eq!(scene.differ().len(), 1);
    }
    scene.record(OTHER_CRAFT).same_as.insert(CRAFT);
    scene.question.craft = None;
    assert!(scene.differ().is_empty(), "one boat");
}

#[test]
fn an_inspection_that_passed_and_failed() {
    let mut scene = Scene::inflatable();
    let failed = Inspection {
        passed: false,
        engine_s: None,
        run_s: None,
        holds: Vec::new(),
    };
    let failed = scene.side(failed);
    let line = LineId::from("seams");
    let sides = scene
        .craft()
        .inspections
        .get_mut(&line)
        .expect("it is asked");
    sides.0.push(failed);
    let one = scene.only(Differ::Inspections);
    assert_eq!(one.until, Until::Side(1));
}

/// A craft that cannot be judged still shows on what stations differ.
#[test]
fn without_a_standard_sides_are_still_listed() {
    let mut scene = Scene::inflatable();
    let other = scene.side(reading("tube-1", 1_000));
    let part = PartId::from("tube-1");
    let readings = scene.craft().readings.get_mut(&part).expect("it is read");
    readings.standing.0.push(other);
    scene.standard.model = "another-model".into();
    let all = scene.differ();
    assert_eq!(all.len(), 1);
    assert_eq!(all[0].until, Until::Unproven);
}

/// An assignment that stands, with its event.
fn sent(scene: &mut Scene, incident: &str) -> EventId {
    let side = scene.side(Assignment {
        incident: incident.to_owned(),
        mission: "flood".into(),
    });
    let event = side.origin.event;
    scene.craft().assigned.insert(event, side);
    event
}

#[test]
fn assigned_to_two_incidents_it_is_not_free_and_as_ready_as_it_was() {
    let mut scene = Scene::inflatable();
    let readiness = scene.judged().readiness;
    let (one, other) = (sent(&mut scene, "Flood 12"), sent(&mut scene, "Fire 7"));
    assert!(scene.differ().is_empty(), "who knew of the first decided");
    for (id, elsewhere) in [(one, other), (other, one)] {
        let apart = SentApart {
            elsewhere: BTreeSet::from([elsewhere]),
            ..SentApart::default()
        };
        scene.craft().apart.sent.insert(id, apart);
    }
    let found = scene.only(Differ::AssignedTwice);
    let incidents = ["Flood 12", "Fire 7"].map(|it| Measure::Word(it.to_owned()));
    assert_eq!(values(&found), incidents);
    assert_eq!(found.until, Until::Assigned);
    let craft = || "Boat 14".to_owned();
    assert_eq!(
        found.settle,
        [Settle::Release(craft()), Settle::Assign(craft())]
    );
    let judged = scene.judged();
    assert_eq!(judged.readiness, readiness);
    assert!(matches!(judged.status, Status::Assigned { .. }));
}

#[test]
fn assigned_and_declared_out_apart_it_is_out() {
    let mut scene = Scene::inflatable();
    let id = sent(&mut scene, "Flood 12");
    let out = scene.side(OutReason::Mechanical);
    let apart = SentApart {
        out: BTreeSet::from([out.origin.event]),
        ..SentApart::default()
    };
    scene.craft().out.insert(out.origin.event, out);
    scene.craft().apart.sent.insert(id, apart);
    let found = scene.only(Differ::AssignedAndOut);
    let said = Measure::Said(Said::OutOfService(OutReason::Mechanical));
    let wanted = [Measure::Word("Flood 12".to_owned()), said];
    assert_eq!(values(&found), wanted);
    assert_eq!(found.until, Until::OutOfService);
    let craft = || "Boat 14".to_owned();
    assert_eq!(
        found.settle,
        [Settle::Return(craft()), Settle::Release(craft())]
    );
}

#[test]
fn assigned_and_released_apart_it_is_assigned() {
    let mut scene = Scene::inflatable();
    let id = sent(&mut scene, "Flood 12");
    let release = scene.side(()).origin;
    let apart = SentApart {
        released: vec![release],
        ..SentApart::default()
    };
    scene.craft().apart.sent.insert(id, apart);
    let found = scene.only(Differ::AssignedAndReleased);
    let wanted = [
        Measure::Word("Flood 12".to_owned()),
        Measure::Said(Said::Released),
    ];
    assert_eq!(values(&found), wanted);
    assert_eq!(found.until, Until::Assigned);
    assert!(matches!(scene.judged().status, Status::Assigned { .. }));
}
