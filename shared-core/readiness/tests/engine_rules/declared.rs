//! What people declared, where things are, how fresh what is known is.

use std::collections::BTreeSet;

use sponson_readiness::answer::{Action, Effect, Limit, Measure, Readiness, Rule, Status};
use sponson_readiness::event::{Extent, OutReason, Place, Stowage, SubjectKind, Use};
use sponson_readiness::ids::{EventId, MissionId, PartId};
use sponson_readiness::record::{Assignment, Checked, Placement, Record, Sides};

use super::scene::{
    BAG, CRAFT, DAY_MS, HOUR_MS, MOTOR, NOON, OTHER_CRAFT, OTHER_STATION, STATION, Scene, model,
};

#[test]
fn a_craft_in_order_is_ready_for_every_mission_of_its_sheet() {
    for name in ["inflatable-14", "rigid-inflatable-17", "flat-bottom-16"] {
        let mut scene = Scene::of(name);
        let missions: Vec<MissionId> = scene.standard.missions.keys().cloned().collect();
        for mission in missions {
            scene.question.mission = Some(mission.clone());
            let judged = scene.judged();
            assert_eq!(
                judged.readiness,
                Readiness::Ready,
                "{name} {mission} {:#?}",
                judged.why
            );
            assert_eq!(judged.minutes_to_ready, Some(0));
            assert_eq!(judged.why, [], "{name} {mission}");
        }
        scene.question.mission = None;
        assert_eq!(scene.readiness(), Readiness::Ready, "{name} in general");
    }
}

#[test]
fn without_registration_or_standard_nothing_is_proven() {
    let mut scene = Scene::inflatable();
    scene.craft().craft.0[0].value.model = model("barge-40");
    assert_eq!(scene.effect(Rule::NoStandard), Some(Effect::Unproven));
    scene.craft().craft = Sides(Vec::new());
    assert_eq!(scene.readiness(), Readiness::Unproven);
}

#[test]
fn a_mission_that_the_sheet_does_not_list_is_not_for_this_craft() {
    let mut scene = Scene::of("flat-bottom-16");
    scene.mission("swiftwater");
    assert_eq!(
        scene.effect(Rule::MissionNotInStandard),
        Some(Effect::NotReady)
    );
}

#[test]
fn condemned_is_not_ready_and_nothing_makes_it_go() {
    let mut scene = Scene::inflatable();
    let side = scene.side(Checked::default());
    scene.craft().condemned.push(side.origin);
    let judged = scene.judged();
    assert_eq!(judged.readiness, Readiness::NotReady);
    assert_eq!(judged.status, Status::Condemned);
    assert_eq!(judged.minutes_to_ready, None);
}

#[test]
fn only_a_mechanical_reason_changes_readiness() {
    for (reason, readiness) in [
        (OutReason::Mechanical, Readiness::NotReady),
        (OutReason::Personnel, Readiness::Ready),
        (OutReason::Rest, Readiness::Ready),
    ] {
        let mut scene = Scene::inflatable();
        let side = scene.side(reason);
        scene.craft().out.insert(side.origin.event, side);
        let judged = scene.judged();
        assert_eq!(judged.readiness, readiness);
        assert_eq!(judged.status, Status::OutOfService { reason });
    }
}

#[test]
fn an_untrusted_declaration_is_at_most_go_and_look() {
    let mut scene = Scene::inflatable();
    let side = scene.untrusted(OutReason::Mechanical);
    scene.craft().out.insert(side.origin.event, side);
    let judged = scene.judged();
    assert_eq!(judged.readiness, Readiness::Unproven);
    assert_eq!(judged.status, Status::Available);
}

#[test]
fn assigned_stands_beside_readiness() {
    let mut scene = Scene::inflatable();
    let side = scene.side(Assignment {
        incident: "F-12".to_owned(),
        mission: MissionId::from("flood"),
    });
    scene.craft().assigned.insert(side.origin.event, side);
    let judged = scene.judged();
    assert_eq!(judged.readiness, Readiness::Ready);
    assert_eq!(
        judged.status,
        Status::Assigned {
            incident: "F-12".to_owned()
        }
    );
}

#[test]
fn a_full_check_is_owed_then_stale() {
    for (days, effect) in [
        (7, None),
        (8, Some(Effect::Note)),
        (9, Some(Effect::Note)),
        (10, Some(Effect::Unproven)),
    ] {
        let mut scene = Scene::inflatable();
        let side = scene.side_at(Checked::default(), NOON.plus_ms(-days * DAY_MS));
        scene.craft().checks.insert(Extent::Full, Sides(vec![side]));
        assert_eq!(scene.effect(Rule::CheckStale), effect, "{days} days");
    }
}

#[test]
fn a_check_whose_time_cannot_be_shown_is_as_old_as_it_can_be() {
    let mut scene = Scene::inflatable();
    let mut side = scene.side(Checked::default());
    side.origin.interval.early = Some(NOON.plus_ms(-30 * DAY_MS));
    side.origin.interval.late = Some(NOON);
    // A claim later than the county's receipt is not believed.
    side.origin.interval.claimed = NOON.plus_ms(10 * DAY_MS);
    scene.craft().checks.insert(Extent::Full, Sides(vec![side]));
    let finding = scene.finding(Rule::CheckStale).expect("stale");
    assert_eq!(finding.effect, Effect::Unproven);
    assert_eq!(finding.measured, Some(Measure::SpanMs(30 * DAY_MS)));
}

#[test]
fn never_checked_says_it_once() {
    let mut scene = Scene::inflatable();
    let old = scene.craft().clone();
    let mut bare = Record::new(CRAFT, SubjectKind::Craft);
    bare.craft = old.craft;
    bare.number = old.number;
    bare.place = old.place;
    bare.inspections = old.inspections;
    scene.records.insert(CRAFT, bare);
    let judged = scene.judged();
    assert_eq!(judged.readiness, Readiness::Unproven);
    let unproven = judged
        .why
        .iter()
        .filter(|one| one.effect == Effect::Unproven);
    let rules: Vec<Rule> = unproven.map(|one| one.rule).collect();
    assert_eq!(rules, [Rule::NeverChecked]);
    assert_eq!(judged.minutes_to_ready, Some(20));
}

#[test]
fn after_a_use_a_short_check_keeps_it_going() {
    let mut scene = Scene::inflatable();
    let used = scene.side_at(Use::default(), NOON.plus_ms(-HOUR_MS / 2));
    scene.craft().uses.push(used);
    assert_eq!(scene.effect(Rule::UsedSinceCheck), Some(Effect::Unproven));
    let short = scene.side_at(Checked::default(), NOON.plus_ms(-HOUR_MS / 4));
    scene
        .craft()
        .checks
        .insert(Extent::Short, Sides(vec![short]));
    assert_eq!(scene.effect(Rule::UsedSinceCheck), Some(Effect::Note));
}

#[test]
fn an_immersed_motor_stays_ashore_until_its_service() {
    let mut scene = Scene::inflatable();
    let used = scene.side_at(
        Use {
            motor_immersed: true,
            ..Use::default()
        },
        NOON.plus_ms(-2 * HOUR_MS),
    );
    // The scene's service came an hour after that.
    scene.record(MOTOR).uses.push(used.clone());
    assert_eq!(scene.effect(Rule::MotorImmersed), None);
    scene.inspected("engine-service", 1, true);
    assert_eq!(scene.effect(Rule::MotorImmersed), Some(Effect::NotReady));
}

#[test]
fn a_place_in_dispute_is_unproven_and_names_both() {
    let mut scene = Scene::inflatable();
    let side = scene.side(Placement {
        at: Place::Station(OTHER_STATION),
        part: None,
    });
    scene.craft().place.0.push(side);
    let judged = scene.judged();
    assert_eq!(judged.stations, [STATION, OTHER_STATION]);
    let finding = scene.finding(Rule::PlaceDisputed).expect("disputed");
    assert_eq!(finding.effect, Effect::Unproven);
    assert_eq!(
        finding.measured,
        Some(Measure::Sides(vec![
            Measure::Word("Alder Creek".to_owned()),
            Measure::Word("Bracken Ford".to_owned())
        ]))
    );
    assert_eq!(scene.answer().disagreements.len(), 1);
}

#[test]
fn one_number_on_two_craft_is_flagged_on_both() {
    let mut scene = Scene::inflatable();
    let mut other = scene.craft().clone();
    other.subject = OTHER_CRAFT;
    scene.records.insert(OTHER_CRAFT, other);
    let answer = scene.answer();
    let flagged = answer
        .craft
        .iter()
        .filter(|craft| craft.why.iter().any(|one| one.rule == Rule::NumberTwice));
    assert_eq!(flagged.count(), 2);
}

#[test]
fn a_silent_station_is_said_first_and_changes_nothing() {
    let mut scene = Scene::inflatable();
    scene.craft().condemned.clear();
    let side = scene.side(OutReason::Mechanical);
    scene.craft().out.insert(side.origin.event, side);
    let station = scene.stations.get_mut(&STATION).expect("a station");
    station.last_heard = Some(NOON.plus_ms(-100 * HOUR_MS));
    let judged = scene.judged();
    assert_eq!(judged.why[0].rule, Rule::StationSilent);
    assert_eq!(judged.why[0].effect, Effect::Note);
    assert!(scene.answer().stations[0].silent);
}

#[test]
fn a_rolled_craft_is_rigged_first() {
    let mut scene = Scene::inflatable();
    scene.craft().readings.clear();
    let rolled = scene.said(Stowage::Rolled);
    scene.craft().stowage = rolled;
    let judged = scene.judged();
    assert_eq!(
        judged.readiness,
        Readiness::ReadyWithLimits,
        "{:#?}",
        judged.why
    );
    assert_eq!(judged.limits, [Limit::Rig(20)]);
    assert_eq!(judged.minutes_to_ready, Some(20));
}

#[test]
fn a_motor_on_two_craft_is_on_neither() {
    let mut scene = Scene::inflatable();
    let side = scene.side(Placement {
        at: Place::Craft(OTHER_CRAFT),
        part: Some(PartId::from("motor")),
    });
    scene.record(MOTOR).place.0.push(side);
    let judged = scene.judged();
    assert_eq!(judged.limits, [Limit::NoPower]);
    let finding = scene.finding(Rule::GearInTwoPlaces).expect("two places");
    assert_eq!(finding.to_do[0].action, Action::SettlePlace(MOTOR));
}

#[test]
fn an_untrusted_place_of_gear_or_bag_is_at_most_go_and_look() {
    for (thing, elsewhere) in [(MOTOR, OTHER_CRAFT), (BAG, OTHER_CRAFT)] {
        let mut scene = Scene::inflatable();
        scene.craft().counts.remove(&("life-jacket".into(), None));
        let sides = scene.said(super::scene::counted("life-jacket", 8));
        let bag = scene.add_bag(Place::Craft(CRAFT));
        bag.counts.insert(("life-jacket".into(), None), sides);
        let side = scene.untrusted(Placement {
            at: Place::Craft(elsewhere),
            part: None,
        });
        scene.record(thing).place.0.push(side);
        let judged = scene.judged();
        assert_eq!(judged.readiness, Readiness::Unproven, "{:#?}", judged.why);
        assert_eq!(judged.limits, []);
    }
}

#[test]
fn a_condemned_motor_is_no_motor() {
    let mut scene = Scene::inflatable();
    let side = scene.side(Checked::default());
    scene.record(MOTOR).condemned.push(side.origin);
    let judged = scene.judged();
    assert_eq!(judged.limits, [Limit::NoPower]);
    assert_eq!(judged.status, Status::Available);
    let finding = scene.finding(Rule::Condemned).expect("said of the motor");
    assert_eq!(finding.effect, Effect::Note);
    assert_eq!(
        scene.effect(Rule::GearMissing),
        Some(Effect::Limit(Limit::NoPower))
    );
}

#[test]
fn a_registration_in_doubt_is_unproven() {
    let mut scene = Scene::inflatable();
    let mut other = scene.craft().craft.0[0].value.clone();
    other.model = model("flat-bottom-16");
    let side = scene.side(other.clone());
    scene.craft().craft.0.push(side);
    assert_eq!(scene.effect(Rule::NoStandard), Some(Effect::Unproven));
    other.model = model("inflatable-14");
    let only = scene.untrusted(other);
    scene.craft().craft = Sides(vec![only]);
    assert_eq!(scene.effect(Rule::NoStandard), Some(Effect::Unproven));
}

#[test]
fn a_bag_at_two_craft_counts_in_neither() {
    let mut scene = Scene::inflatable();
    let mut count = super::scene::counted("life-jacket", 8);
    scene.craft().counts.remove(&("life-jacket".into(), None));
    count.bag = Some(BAG);
    let sides = scene.said(count);
    let bag = scene.add_bag(Place::Craft(CRAFT));
    bag.counts.insert(("life-jacket".into(), None), sides);
    assert_eq!(
        scene.readiness(),
        Readiness::Ready,
        "{:#?}",
        scene.judged().why
    );
    let side = scene.side(Placement {
        at: Place::Craft(OTHER_CRAFT),
        part: None,
    });
    scene.record(BAG).place.0.push(side);
    let finding = scene.finding(Rule::KitShort).expect("short");
    assert_eq!(finding.measured, Some(Measure::Count(0)));
    let two = scene.finding(Rule::GearInTwoPlaces).expect("two places");
    assert_eq!(two.evidence.len(), 2);
}

#[test]
fn unconfirmed_and_not_understood_events_mean_go_and_look() {
    let mut scene = Scene::inflatable();
    let side = scene.untrusted(());
    scene
        .craft()
        .unconfirmed
        .insert(side.origin.event, side.origin);
    assert_eq!(scene.effect(Rule::Unconfirmed), Some(Effect::Unproven));
    let mut scene = Scene::inflatable();
    let id = EventId::from_bytes([9; 32]);
    scene.record(MOTOR).not_understood = BTreeSet::from([id]);
    assert_eq!(scene.effect(Rule::NeedsUpgrade), Some(Effect::Unproven));
}

#[test]
fn every_word_is_its_own() {
    let words: BTreeSet<&str> = Rule::ALL.iter().map(|rule| rule.id()).collect();
    assert_eq!(words.len(), Rule::ALL.len());
    assert!(Rule::ALL.len() > 40);
    let snake = |word: &&str| {
        word.chars()
            .all(|one| one.is_ascii_lowercase() || one == '_')
    };
    assert!(words.iter().all(snake));
}
