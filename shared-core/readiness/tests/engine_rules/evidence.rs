//! Evidence that is old, waved away, or about something else: it never makes a craft readier.

use sponson_readiness::answer::{Action, Effect, Limit, Measure, Readiness, Rule};
use sponson_readiness::event::{AnswerValue, Extent, NotApplicable, Plate, Stowage, Use};
use sponson_readiness::ids::{LineId, PartId};
use sponson_readiness::moment::{Interval, Moment};
use sponson_readiness::record::{Checked, Sides};
use sponson_readiness::standard::RuleEffect;

use super::scene::{CRAFT, DAY_MS, MOTOR, NOON, Scene, counted};

/// Counts an item of the craft so many days ago.
fn count_days_ago(scene: &mut Scene, item: &str, count: u32, days: i64) {
    let old = scene.side_at(counted(item, count), NOON.plus_ms(-days * DAY_MS));
    let key = (LineId::from(item), None);
    scene.craft().counts.insert(key, Sides(vec![old]));
}

#[test]
fn what_was_counted_long_ago_stands_in_for_nothing() {
    let mut scene = Scene::inflatable();
    scene.count("flare-red-hand", 2);
    count_days_ago(&mut scene, "flare-parachute", 1, 9);
    assert_eq!(scene.finding(Rule::KitShort), None);
    count_days_ago(&mut scene, "flare-parachute", 1, 10);
    let finding = scene.finding(Rule::KitShort).expect("one lacks");
    assert_eq!(finding.measured, Some(Measure::Count(2)));
}

#[test]
fn a_pump_counted_long_ago_is_not_known_to_top_up() {
    let mut scene = Scene::inflatable();
    scene.weather(5, 10);
    count_days_ago(&mut scene, "pump", 1, 10);
    count_days_ago(&mut scene, "hand-pump", 1, 10);
    assert_eq!(scene.effect(Rule::PressureLow), Some(Effect::Unproven));
}

/// A foot pump for tubes does not reach the pressure of the floor.
#[test]
fn a_pump_tops_up_only_what_it_reaches() {
    let mut scene = Scene::inflatable();
    let floor = PartId::from("floor");
    scene.standard.parts.retain(|part| part.id == floor);
    scene.mission("swiftwater").weather(-30, 0);
    assert_eq!(
        scene.effect(Rule::PressureLow),
        Some(Effect::Limit(Limit::TopUp(floor)))
    );
    scene.count("hand-pump", 0);
    assert_eq!(scene.effect(Rule::PressureLow), Some(Effect::NotReady));
}

#[test]
fn a_rolled_craft_without_air_cannot_be_rigged() {
    let mut scene = Scene::inflatable();
    scene.craft().stowage = scene.clone().said(Stowage::Rolled);
    assert_eq!(
        scene.effect(Rule::Rolled),
        Some(Effect::Limit(Limit::Rig(20)))
    );
    scene.count("hand-pump", 0);
    assert_eq!(scene.effect(Rule::Rolled), Some(Effect::NotReady));
    count_days_ago(&mut scene, "hand-pump", 1, 10);
    assert_eq!(scene.effect(Rule::Rolled), Some(Effect::Unproven));
}

#[test]
fn a_bay_that_nobody_measured_may_have_been_hot() {
    let launch_pa = |air_mc| {
        let mut scene = Scene::inflatable();
        scene.weather(15, 15);
        scene.read("tube-1", 26_000).air_mc = air_mc;
        scene
            .craft()
            .readings
            .retain(|part, _| part.as_str() == "tube-1");
        let readings = scene.craft().readings.values_mut();
        readings.for_each(|one| one.standing.0[0].value.stood_s = None);
        scene.judged().pressures[0].launch_low_pa
    };
    // Read at 25 °C at worst: (1013.25 + 260) x 288.15 / 298.15 - 1013.25; at 35 °C at worst:
    // (1013.25 + 260) x 288.15 / 308.15 - 1013.25.
    assert_eq!(launch_pa(Some(15_000)), 21_729);
    assert_eq!(launch_pa(None), 17_736);
}

#[test]
fn nobody_waves_away_a_line_whose_no_is_disabling() {
    for why in [NotApplicable::NotFitted, NotApplicable::NotUsedHere] {
        let mut scene = Scene::inflatable();
        scene.answered("stop-switch", AnswerValue::NotApplicable(why));
        let finding = scene.finding(Rule::LineNotAnswered).expect("waved away");
        assert_eq!(finding.effect, Effect::Unproven);
        assert_eq!(finding.measured, Some(Measure::NotLooked(why)));
        // Without a motor there is nothing to stop.
        scene.records.remove(&MOTOR);
        assert_eq!(scene.finding(Rule::LineNotAnswered), None);
        assert_eq!(
            scene.effect(Rule::GearMissing),
            Some(Effect::Limit(Limit::NoPower))
        );
    }
}

/// A line that the newest full check could not have answered waits for the next one.
#[test]
fn a_new_line_does_not_make_a_county_unproven_overnight() {
    let mut scene = Scene::inflatable();
    let yesterday = Sides(vec![
        scene.side_at(Checked::default(), NOON.plus_ms(-DAY_MS)),
    ]);
    scene.craft().checks.insert(Extent::Full, yesterday);
    let from = |scene: &mut Scene, day: &str| {
        let day = Some(day.parse().expect("a day"));
        let questions = scene.standard.questions.iter_mut();
        let question = questions.filter(|one| one.id.as_str() == "steering");
        question.for_each(|one| one.asked_from = day);
        let items = scene.standard.items.iter_mut();
        let item = items.filter(|one| one.id.as_str() == "radio");
        item.for_each(|one| one.asked_from = day);
    };
    scene.craft().answers.remove(&LineId::from("steering"));
    scene.craft().counts.remove(&(LineId::from("radio"), None));
    from(&mut scene, "2026-03-01");
    assert_eq!(scene.effect(Rule::LineNotAnswered), Some(Effect::Note));
    assert_eq!(scene.effect(Rule::KitNotCounted), Some(Effect::Note));
    assert_eq!(scene.readiness(), Readiness::Ready);
    // Asked when it was checked, and left out.
    from(&mut scene, "2026-02-28");
    assert_eq!(scene.effect(Rule::LineNotAnswered), Some(Effect::Unproven));
    assert_eq!(scene.effect(Rule::KitNotCounted), Some(Effect::Unproven));
    from(&mut scene, "2026-03-02");
    assert_eq!(scene.finding(Rule::LineNotAnswered), None);
}

/// A station that was out of reach checked by an older sheet: that could not have answered it
/// either, whatever the day.
#[test]
fn a_check_by_a_sheet_without_the_line_could_not_answer_it() {
    for (answered, asked_from, effect) in [
        (Some(2), Some("2026-02-20"), Effect::Note),
        (Some(3), Some("2026-02-20"), Effect::Unproven),
        (Some(4), Some("2026-02-20"), Effect::Unproven),
        // By its sheet it could, but the line was not asked yet.
        (Some(3), Some("2026-03-01"), Effect::Note),
        // Nobody knows by which sheet: the day decides.
        (None, Some("2026-02-20"), Effect::Unproven),
        // The lead wants it from the first: it does not wait.
        (Some(2), None, Effect::Unproven),
    ] {
        let mut scene = Scene::inflatable();
        let line = LineId::from("steering");
        let checked = Checked { revision: answered };
        let yesterday = Sides(vec![scene.side_at(checked, NOON.plus_ms(-DAY_MS))]);
        scene.craft().checks.insert(Extent::Full, yesterday);
        scene.craft().answers.remove(&line);
        let questions = scene.standard.questions.iter_mut();
        let question = questions.filter(|one| one.id == line);
        let day = asked_from.map(|day| day.parse().expect("a day"));
        question.for_each(|one| one.asked_from = day);
        scene.standard.first_in.insert(line, 3);
        let said = scene.effect(Rule::LineNotAnswered);
        assert_eq!(said, Some(effect), "{answered:?} {asked_from:?}");
    }
}

#[test]
fn a_new_inspection_has_its_grace_from_its_first_day() {
    let mut scene = Scene::inflatable();
    scene.craft().inspections.remove(&LineId::from("seams"));
    let mut asked_from = |day: &str| {
        let lines = scene.standard.inspections.iter_mut();
        let line = lines.filter(|line| line.id.as_str() == "seams");
        line.for_each(|line| line.asked_from = Some(day.parse().expect("a day")));
        scene.effect(Rule::InspectionNeverDone)
    };
    assert_eq!(asked_from("2026-01-30"), Some(Effect::Note));
    assert_eq!(asked_from("2026-01-29"), Some(Effect::Unproven));
}

/// Claimed after the county stored it, by a device that held no checkpoint.
#[test]
fn a_time_that_cannot_be_shown_has_no_age_and_no_day() {
    let mut scene = Scene::inflatable();
    let timeless = Interval {
        early: None,
        late: Some(NOON),
        claimed: NOON.plus_ms(DAY_MS),
    };
    scene.inspected("seams", 1, true);
    let sides = scene.craft().inspections.get_mut(&LineId::from("seams"));
    sides.expect("inspected").0[0].origin.interval = timeless;
    let key = (LineId::from("radio"), None);
    let counts = scene.craft().counts.get_mut(&key);
    counts.expect("counted").0[0].origin.interval = timeless;
    let overdue = scene.finding(Rule::InspectionOverdue).expect("too old");
    assert_eq!(overdue.measured, None);
    let listed = scene.answer().overdue;
    assert_eq!((listed[0].due, listed[0].days_over), (None, None));
    let stale = scene.finding(Rule::KitStale).expect("too old");
    assert_eq!((stale.effect, stale.measured), (Effect::Unproven, None));
}

/// TM 5-1940-321-13&P, capsizing: an immersed engine is not started before service.
#[test]
fn a_capsized_craft_had_its_motor_under_water() {
    let mut scene = Scene::inflatable();
    let side = scene.side(Use {
        capsized: true,
        ..Use::default()
    });
    scene.craft().uses.push(side);
    assert_eq!(scene.effect(Rule::MotorImmersed), Some(Effect::NotReady));
}

/// Power over the plate is out of service until re-motored; under it is fine.
#[test]
fn a_motor_over_the_plate_stays_ashore() {
    let mut scene = Scene::inflatable();
    let mut plate = scene.craft().craft.0[0].value.plate;
    for (power_w, mass_g, is_over) in [
        (21_700, 70_000, true),
        // 22.0 kW against 30 hp less rounding.
        (21_800, 70_000, false),
        (22_000, 70_000, false),
        (30_000, 70_000, false),
        (30_000, 49_000, true),
    ] {
        plate.power_w = Some(power_w);
        plate.motor_mass_g = Some(mass_g);
        scene.craft().craft.0[0].value.plate = plate;
        let expected = is_over.then_some(Effect::NotReady);
        assert_eq!(scene.effect(Rule::MotorOverPlate), expected, "{power_w}");
    }
}

/// Always test pounds as well as heads; heads alone is unsafe.
#[test]
fn a_plate_of_heads_alone_promises_nobody_a_seat() {
    let mut scene = Scene::inflatable();
    scene.craft().craft.0[0].value.plate = Plate {
        persons: Some(8),
        ..Plate::default()
    };
    assert_eq!(
        scene.effect(Rule::PlateUnknown),
        Some(Effect::Limit(Limit::CrewOnly))
    );
}

#[test]
fn a_part_without_its_gear_may_be_a_limit() {
    let mut scene = Scene::inflatable();
    for part in &mut scene.standard.parts {
        if let Some(gear) = &mut part.gear {
            gear.effect = RuleEffect::Limit;
        }
    }
    scene.records.remove(&MOTOR);
    assert_eq!(
        scene.effect(Rule::GearMissing),
        Some(Effect::Limit(Limit::DoSoon(LineId::from("motor"))))
    );
}

/// Soft where it was read, for no reason that anybody knows: three minutes with a pump do not make
/// it go.
#[test]
fn a_leak_is_not_a_matter_of_minutes() {
    let mut scene = Scene::inflatable();
    scene.read("tube-1", 20_000);
    let judged = scene.judged();
    assert_eq!(judged.readiness, Readiness::NotReady);
    assert_eq!(judged.minutes_to_ready, None);
    assert_eq!(judged.id, CRAFT);
    let to_do: Vec<&Action> = judged.why[0].to_do.iter().map(|one| &one.action).collect();
    assert_eq!(to_do[0], &Action::FindLeak(PartId::from("tube-1")));
}

#[test]
fn the_end_of_time_is_no_day() {
    let mut scene = Scene::inflatable();
    scene.question.as_of = Moment(i64::MAX);
    scene.question.now = Moment(i64::MAX);
    assert!(scene.readiness() >= Readiness::Unproven);
}
