//! What is aboard and counts nothing: what does not fit, what is not for the mission, what lacks
//! its dry bag, what is spent or past its service; and alternatives of alternatives.

use sponson_readiness::answer::{Effect, Limit, Measure, Rule};
use sponson_readiness::event::DateMark;
use sponson_readiness::ids::{LineId, MissionId};
use sponson_readiness::standard::RuleEffect;

use super::scene::{MOTOR, Scene};

fn soon(line: &str) -> Effect {
    Effect::Limit(Limit::DoSoon(LineId::from(line)))
}

fn raft(fabric: &str) -> Scene {
    let mut scene = Scene::of("raft-13");
    scene.craft().craft.0[0].value.fabric = fabric.to_owned();
    scene
}

/// CSM and PVC take different glues: TM 5-1940-321-13&P App. F.
#[test]
fn glue_of_another_fabric_counts_nothing() {
    for (fabric, csm, pvc, short) in [
        ("csm", 1, 0, false),
        ("PVC", 0, 1, false),
        ("pvc", 1, 0, true),
        ("csm", 0, 1, true),
        ("csm", 1, 1, false),
    ] {
        let mut scene = raft(fabric);
        scene.count("glue-csm", csm);
        scene.count("glue-pvc", pvc);
        let found = scene.finding(Rule::KitShort);
        assert_eq!(found.is_some(), short, "{fabric}: {csm} csm, {pvc} pvc");
        if short {
            assert_eq!(found.map(|it| it.effect), Some(soon("glue-csm")));
        }
    }
    let mut scene = raft("pvc");
    scene.count("glue-csm", 1);
    let note = scene.finding(Rule::KitDoesNotFit).expect("csm glue");
    assert_eq!(note.measured, Some(Measure::Word("pvc".to_owned())));
    assert_eq!(note.effect, Effect::Note);
}

#[test]
fn where_the_fabric_is_not_recorded_it_counts_and_says_so() {
    let mut scene = raft("");
    scene.count("glue-csm", 1);
    assert_eq!(scene.finding(Rule::KitShort), None);
    assert_eq!(scene.effect(Rule::KitFitNotKnown), Some(Effect::Note));
    // Where stations differ the worse counts.
    let mut other = scene.craft().craft.0[0].value.clone();
    other.fabric = "pvc".to_owned();
    let side = scene.side(other);
    scene.craft().craft.0.push(side);
    assert!(scene.finding(Rule::KitShort).is_some());
}

/// A tank whose connector is not the motor's, a propeller for another motor.
#[test]
fn what_does_not_fit_the_motor_counts_nothing() {
    let mut scene = Scene::inflatable();
    let motor = &mut scene.record(MOTOR).gear.0[0].value;
    motor.connector = "bayonet 2-pin".to_owned();
    motor.model = "Twin 25".to_owned();
    for item in &mut scene.standard.items {
        if item.id.as_str() == "fuel-tank" {
            item.fits.connector = vec!["Bayonet 2-pin".to_owned()];
            item.fits.motor = vec!["Twin 25".to_owned(), "Twin 30".to_owned()];
        }
    }
    assert_eq!(scene.finding(Rule::KitShort), None);
    scene.record(MOTOR).gear.0[0].value.connector = "quick 3/8".to_owned();
    let no_power = Some(Effect::Limit(Limit::NoPower));
    assert_eq!(scene.effect(Rule::KitShort), no_power);
    let motor = &mut scene.record(MOTOR).gear.0[0].value;
    motor.connector = "bayonet 2-pin".to_owned();
    motor.model = "Single 6".to_owned();
    assert_eq!(scene.effect(Rule::KitShort), no_power);
}

/// Inflatable jackets are not for white water: trade federation advice.
#[test]
fn what_is_not_for_the_mission_stands_in_for_nothing() {
    let mut scene = raft("csm");
    scene.count("life-jacket", 4);
    scene.count("inflatable-life-jacket", 3);
    assert_eq!(scene.finding(Rule::KitShort), None);
    scene.mission("swiftwater");
    let finding = scene.finding(Rule::KitShort).expect("two lack");
    assert_eq!(finding.measured, Some(Measure::Count(4)));
    assert_eq!(scene.effect(Rule::KitNotForMission), Some(Effect::Note));
}

/// Row 62: an inflatable jacket with a spent cartridge does not count, 33 CFR 175.23(c)(1). Row 60:
/// a suit whose zip does not run is taken out of service, IMO MSC/Circ.1047.
#[test]
fn what_is_spent_or_does_not_close_does_not_count() {
    let mut scene = raft("csm");
    scene.count("life-jacket", 5);
    scene.count("inflatable-life-jacket", 1);
    assert_eq!(scene.finding(Rule::KitShort), None);
    scene.count("inflatable-life-jacket", 1).unserviceable = 1;
    assert_eq!(scene.effect(Rule::KitShort), Some(Effect::NotReady));
    let mut scene = raft("csm");
    scene.mission("ice");
    assert_eq!(scene.finding(Rule::KitShort), None);
    scene.count("immersion-suit", 5).unserviceable = 1;
    assert_eq!(scene.effect(Rule::KitShort), Some(Effect::NotReady));
}

/// Row 49: a disposable extinguisher stamped 2013-05 is out on 2025-06-01, 12 years: 33 CFR
/// 175.310, Utah R650-217-6(1)(c). It is good through its month.
#[test]
fn a_disposable_extinguisher_lasts_twelve_years() {
    for (day_ms, short) in [(1_748_606_400_000, false), (1_748_779_200_000, true)] {
        let mut scene = Scene::inflatable();
        let count = scene.count("fire-extinguisher", 1);
        count.lots[0].expires = None;
        count.lots[0].made = Some(DateMark {
            year: 2013,
            month: Some(5),
            day: None,
        });
        scene.question.as_of = sponson_readiness::moment::Moment(day_ms);
        assert_eq!(scene.finding(Rule::KitShort).is_some(), short, "{day_ms}");
    }
}

/// Row 61: a suit's seams 37 months ago are over 36, IMO MSC/Circ.1114; those of a suit older than
/// ten years 25 months ago are over 24, MGN 529.
#[test]
fn suit_seams_by_age() {
    for (line, days_ago, over) in [
        ("suit-seams", 37 * 30 + 50, true),
        ("suit-seams", 35 * 30, false),
        ("suit-seams-old", 25 * 30 + 50, true),
        ("suit-seams-old", 23 * 30, false),
    ] {
        let mut scene = raft("csm");
        scene.inspected(line, days_ago, true);
        let found = scene.finding(Rule::InspectionOverdue).is_some();
        assert_eq!(found, over, "{line} {days_ago} days ago");
    }
}

/// Electronics: dry storage and spare batteries.
#[test]
fn a_radio_needs_its_dry_bag_and_batteries() {
    let mut scene = Scene::inflatable();
    scene.count("dry-bag", 0);
    let finding = scene.finding(Rule::KitWithout).expect("no dry bag");
    assert_eq!(finding.effect, soon("radio"));
    let bags = "dry bags for electronics".to_owned();
    assert_eq!(finding.measured, Some(Measure::Word(bags)));
    // A sheet that gives no effect of its own: without it the radio counts nothing.
    for item in &mut scene.standard.items {
        item.without = None;
    }
    assert_eq!(scene.effect(Rule::KitWithout), Some(Effect::Note));
    assert_eq!(scene.effect(Rule::KitShort), Some(Effect::NotReady));
    scene.count("dry-bag", 1);
    assert_eq!(scene.finding(Rule::KitWithout), None);
    assert_eq!(scene.finding(Rule::KitShort), None);
}

/// Nobody counted the dry bag: nothing shows that the radio is dry, and nothing that it is not.
#[test]
fn a_need_that_nobody_counted_is_not_known() {
    let mut scene = Scene::inflatable();
    let key = (LineId::from("dry-bag"), None);
    scene.craft().counts.remove(&key);
    for item in &mut scene.standard.items {
        if item.id.as_str() == "radio" {
            item.without = Some(RuleEffect::NotReady);
        }
    }
    assert_eq!(scene.effect(Rule::KitWithout), Some(Effect::Unproven));
}

#[test]
fn what_stands_in_may_itself_be_stood_in_for() {
    let mut scene = Scene::inflatable();
    scene.mission("swiftwater");
    scene.count("paddle", 0);
    scene.count("oar", 0);
    scene.count("bailer", 4);
    for item in &mut scene.standard.items {
        if item.id.as_str() == "oar" {
            item.alternatives = vec![LineId::from("bailer"), LineId::from("paddle")];
        }
    }
    assert_eq!(scene.finding(Rule::KitShort), None, "three of three spare");
    scene.count("bailer", 3);
    let finding = scene.finding(Rule::KitShort).expect("it keeps its own");
    assert_eq!(finding.measured, Some(Measure::Count(2)));
    scene.question.mission = Some(MissionId::from("lake"));
    assert_eq!(scene.finding(Rule::KitShort), None);
}
