//! Air needed, where it may come from, and what is said of cylinders and relief valves.

use proptest::prelude::*;
use sponson_readiness::answer::{
    AirNeeded, Breathing, Effect, Feed, Gives, Limit, Measure, Readiness, Rule, Subject,
};
use sponson_readiness::event::{
    CylinderMarks, CylinderReading, DateMark, GearKind, GearRegistered, Place, PumpMarks,
    PumpPower, Stowage, SubjectKind,
};
use sponson_readiness::ids::{PartId, SubjectId};
use sponson_readiness::record::{Placement, Record};
use sponson_readiness::standard::RuleEffect;

use super::scene::{CRAFT, DAY_MS, NOON, STATION, Scene};

pub(crate) const CYLINDER: SubjectId = SubjectId::from_bytes([40; 16]);
const PUMP: SubjectId = SubjectId::from_bytes([41; 16]);
const MBAR: i64 = 100;
const PSI_PA: i64 = 6_895;

pub(crate) const fn month(year: i32, month: u32) -> Option<DateMark> {
    Some(DateMark {
        year,
        month: Some(month),
        day: None,
    })
}

/// A 6.8 L cylinder of 4,500 psi, in date, read an hour ago at 20 °C.
pub(crate) fn cylinder(scene: &mut Scene, psi: u32) -> &mut Record {
    let marks = CylinderMarks {
        water_volume_ml: Some(6_800),
        service_kpa: Some(31_026),
        specification: "3AA".to_owned(),
        requalified: month(2024, 1),
        gauge_kpa: None,
        gauge_mc: None,
    };
    let record = gear(
        scene,
        CYLINDER,
        GearKind::Cylinder,
        marks,
        PumpMarks::default(),
    );
    scene.records.insert(CYLINDER, record);
    let read = CylinderReading {
        subject: CYLINDER,
        gauge_kpa: psi * 6_895 / 1_000,
        temperature_mc: Some(20_000),
    };
    let charge = scene.said(read);
    let record = scene.record(CYLINDER);
    record.charge = charge;
    record
}

fn pump(scene: &mut Scene, stroke_ml: Option<u32>, most_pa: Option<u32>) {
    let marks = PumpMarks {
        stroke_ml,
        most_pa,
        runs_on: Some(PumpPower::Foot),
    };
    let record = gear(scene, PUMP, GearKind::Pump, CylinderMarks::default(), marks);
    scene.records.insert(PUMP, record);
}

fn gear(
    scene: &mut Scene,
    id: SubjectId,
    kind: GearKind,
    cylinder: CylinderMarks,
    pump: PumpMarks,
) -> Record {
    let number = if kind == GearKind::Pump { "P1" } else { "C1" };
    let mut record = Record::new(id, SubjectKind::Gear);
    record.gear = scene.said(GearRegistered {
        number: number.to_owned(),
        kind,
        model: String::new(),
        station: STATION,
        mass_g: None,
        power_w: None,
        connector: String::new(),
        batch: String::new(),
        made: month(2020, 1),
        cylinder: Box::new(cylinder),
        pump,
    });
    record.number = scene.said(number.to_owned());
    record.place = scene.said(Placement {
        at: Place::Craft(CRAFT),
        part: None,
    });
    record
}

/// Without the pumps of the kit.
pub(crate) fn no_pumps(scene: &mut Scene) {
    scene.count("pump", 0);
    scene.count("hand-pump", 0);
}

/// Tube 1 alone is soft, by cold: read in range at 20 °C, launched at `air_c`.
fn cold(air_c: i32) -> Scene {
    let mut scene = Scene::inflatable();
    scene.weather(air_c, air_c);
    scene
}

fn air(scene: &Scene) -> AirNeeded {
    scene.judged().air.expect("air is wanted")
}

fn gives(scene: &Scene, source: &str) -> Gives {
    let air = air(scene);
    let from = air.from.iter().find(|from| match &from.source {
        Subject::Gear(_, number) => number == source,
        Subject::Line(line, _) => line.as_str() == source,
        Subject::Craft | Subject::Part(..) | Subject::Fault(..) | Subject::Station(..) => false,
    });
    from.unwrap_or_else(|| panic!("no {source} in {air:?}"))
        .gives
}

#[test]
fn every_part_below_its_wanted_gauge_is_reckoned() {
    let scene = cold(5);
    let judged = scene.judged();
    let air = judged.air.expect("air is wanted");
    let parts: Vec<&str> = air.parts.iter().map(|part| part.part.as_str()).collect();
    assert_eq!(
        parts,
        [
            "tube-1", "tube-2", "tube-3", "tube-4", "tube-5", "keel", "floor"
        ]
    );
    let sum: u64 = air.parts.iter().filter_map(|part| part.free_air_ml).sum();
    assert!(air.free_air_ml.abs_diff(sum) <= 4, "{air:?}");
    for part in &air.parts {
        let read = judged.pressures.iter().find(|one| one.part == part.part);
        assert_eq!(part.from_pa, read.map(|one| one.launch_low_pa));
        let feed = if part.part.as_str().starts_with("tube") {
            Feed::Any
        } else {
            Feed::NoRelief
        };
        assert_eq!(part.feed, feed, "{part:?}");
    }
    assert_eq!((air.growth_ppm, air.losses_ppm), (20_000, 100_000));
    // 200 L from what it has to 260 mbar: V dp / p0, a little more for growth.
    let tube = &air.parts[0];
    let rise = tube.to_pa - tube.from_pa.expect("not flat");
    let rigid_ml = u64::try_from(200_000 * rise / 101_325).expect("a rise");
    let wanted_ml = tube.free_air_ml.expect("a volume");
    assert!(
        (rigid_ml..rigid_ml * 3 / 2).contains(&wanted_ml),
        "{tube:?}"
    );
}

#[test]
fn a_volume_that_the_sheet_does_not_say_is_not_reckoned() {
    let mut scene = cold(5);
    let rule = scene.standard.parts[0].pressure.as_mut();
    rule.expect("a tube").volume_ml = None;
    assert_eq!(air(&scene).parts[0].free_air_ml, None);
    cylinder(&mut scene, 4_500);
    assert!(matches!(
        gives(&scene, "C1"),
        Gives::Cylinder {
            gauge_pa: Some(_),
            after_pa: None,
            cylinders: None,
            ..
        }
    ));
}

#[test]
fn a_rolled_craft_wants_all_of_its_air() {
    let mut scene = Scene::inflatable();
    scene.craft().stowage = scene.said(Stowage::Rolled);
    let air = air(&scene);
    assert!(air.parts.iter().all(|part| part.from_pa.is_none()));
    // Five tubes of 200 L at 260 mbar, keel 60 L, floor 150 L at 1,100 mbar, all grown by 2 %.
    let wanted = (1_000.0 * 1.2566 + 60.0 * 1.227 + 150.0 * 2.0856) * 1.02;
    let found = f64::from(u32::try_from(air.free_air_ml).expect("litres")) / 1_000.0;
    // Told at 15 °C and filled at 20 °C.
    let told = wanted * 288.15 / 293.15;
    assert!((found - told).abs() < told * 0.01, "{found}, not {told}");
}

#[test]
fn a_craft_at_its_gauge_wants_no_air() {
    let mut scene = Scene::inflatable();
    scene.weather(20, 20);
    assert_eq!(scene.judged().air, None);
}

#[test]
fn a_cylinder_feeds_tubes_and_says_what_is_left() {
    let mut scene = cold(5);
    no_pumps(&mut scene);
    cylinder(&mut scene, 4_500);
    let one = air(&scene).from.remove(0);
    assert_eq!(one.parts.len(), 5, "not keel and floor: {one:?}");
    let Gives::Cylinder {
        gauge_pa,
        after_pa,
        cylinders,
        breathing,
    } = one.gives
    else {
        panic!("{one:?}");
    };
    let (gauge, after) = (gauge_pa.expect("read"), after_pa.expect("enough"));
    // 4,500 psi at 20 °C are some 4,200 psi at 5 °C.
    assert!((4_100..4_300).contains(&(gauge / PSI_PA)), "{gauge}");
    assert!(after < gauge && after > gauge * 8 / 10, "{after}");
    assert_eq!((cylinders, breathing), (Some(1), Breathing::No));
    let tube = scene.judged().why.into_iter().find(|finding| {
        finding.rule == Rule::PressureLow
            && matches!(&finding.subject, Subject::Part(id, _) if id.as_str() == "tube-1")
    });
    let top_up = Effect::Limit(Limit::TopUp(PartId::from("tube-1")));
    assert_eq!(tube.map(|finding| finding.effect), Some(top_up));
}

/// Parts without a working relief valve take no high pressure: with a cylinder alone they stay soft.
#[test]
fn a_cylinder_never_feeds_a_part_without_a_working_relief_valve() {
    let tube_is_not_ready = |scene: &Scene| {
        let why = scene.judged().why;
        let tube = why.iter().find(|finding| {
            finding.rule == Rule::PressureLow
                && matches!(&finding.subject, Subject::Part(id, _) if id.as_str() == "tube-1")
        });
        tube.map(|finding| finding.effect == Effect::NotReady)
    };
    let with = |change: &dyn Fn(&mut Scene)| {
        let mut scene = cold(5);
        no_pumps(&mut scene);
        cylinder(&mut scene, 4_500);
        change(&mut scene);
        scene
    };
    assert_eq!(tube_is_not_ready(&with(&|_| {})), Some(false));
    let no_valve = with(&|it| {
        let rule = it.standard.parts[0].pressure.as_mut().expect("a tube");
        (rule.relief_pa, rule.relief_line) = (None, None);
    });
    assert_eq!(tube_is_not_ready(&no_valve), Some(true));
    let stuck = with(&|it| it.inspected("relief-valves", 1, false).passed = false);
    assert_eq!(tube_is_not_ready(&stuck), Some(true));
    assert_eq!(air(&stuck).parts[0].feed, Feed::NoRelief);
    // At and below 0 °C the valve may be iced.
    let iced = with(&|it| it.weather(0, 5).question.mission = None);
    assert_eq!(tube_is_not_ready(&iced), Some(true));
    assert_eq!(air(&iced).parts[0].feed, Feed::Iced);
    let iced_tube = Some(Measure::Word("iced".to_owned()));
    let why = iced.judged().why;
    assert!(
        why.iter()
            .any(|one| one.rule == Rule::ByPumpOnly && one.measured == iced_tube)
    );
    // A pump does it all the same.
    let mut pumped = iced.clone();
    pump(&mut pumped, Some(2_000), Some(40_000));
    assert_eq!(tube_is_not_ready(&pumped), Some(false));
}

#[test]
fn a_pump_that_does_not_reach_a_part_does_not_count_for_it() {
    let mut scene = cold(5);
    no_pumps(&mut scene);
    pump(&mut scene, Some(2_000), Some(40_000));
    let from = air(&scene).from.remove(0);
    let reached: Vec<&str> = from.parts.iter().map(|part| part.as_str()).collect();
    assert!(
        reached.contains(&"keel") && !reached.contains(&"floor"),
        "{from:?}"
    );
    let Gives::Pump {
        strokes,
        most_pa,
        runs_on,
    } = from.gives
    else {
        panic!("{from:?}");
    };
    assert_eq!((most_pa, runs_on), (Some(40_000), Some(PumpPower::Foot)));
    assert!(strokes.is_some_and(|strokes| strokes > 10));
    pump(&mut scene, None, Some(40_000));
    assert!(matches!(
        gives(&scene, "P1"),
        Gives::Pump { strokes: None, .. }
    ));
}

#[test]
fn iced_relief_valves_are_said_at_and_below_the_setting_and_with_the_sheets_effect() {
    assert_eq!(cold(0).effect(Rule::ReliefIced), Some(Effect::Note));
    assert_eq!(cold(1).effect(Rule::ReliefIced), None);
    let mut scene = cold(0);
    for part in &mut scene.standard.parts {
        if let Some(rule) = &mut part.pressure {
            rule.iced = RuleEffect::Limit;
        }
    }
    assert!(matches!(
        scene.effect(Rule::ReliefIced),
        Some(Effect::Limit(_))
    ));
    // No relief valve, nothing to freeze.
    for part in &mut scene.standard.parts {
        if let Some(rule) = &mut part.pressure {
            rule.relief_pa = None;
        }
    }
    assert_eq!(scene.effect(Rule::ReliefIced), None);
}

#[test]
fn what_is_in_a_cylinder_is_only_known_by_a_fresh_reading_after_the_last_use() {
    let state = |change: &dyn Fn(&mut Scene)| {
        let mut scene = cold(5);
        no_pumps(&mut scene);
        cylinder(&mut scene, 4_500);
        change(&mut scene);
        (
            scene.finding(Rule::CylinderNotRead).is_some(),
            scene.readiness(),
        )
    };
    let (said, best) = state(&|_| {});
    assert!(!said);
    let drawn = state(&|it| {
        let origin = it.side(()).origin;
        it.record(CYLINDER).drawn.push(origin);
    });
    let never = state(&|it| it.record(CYLINDER).charge.0.clear());
    let old = state(&|it| {
        let read = it.record(CYLINDER).charge.0[0].value;
        let side = it.side_at(read, NOON.plus_ms(-400 * DAY_MS));
        it.record(CYLINDER).charge.0 = vec![side];
    });
    let doubted = state(&|it| {
        let read = it.record(CYLINDER).charge.0[0].value;
        let lower = it.untrusted(CylinderReading {
            gauge_kpa: 100,
            ..read
        });
        it.record(CYLINDER).charge.0.push(lower);
    });
    for (said, readiness) in [drawn, never, old, doubted] {
        assert!(said);
        assert!(readiness >= best, "{readiness:?}");
    }
}

#[test]
fn parts_that_only_cylinders_reach_want_no_more_than_is_in_them() {
    let mut scene = cold(5);
    no_pumps(&mut scene);
    cylinder(&mut scene, 4_500);
    assert_eq!(scene.effect(Rule::AirNotEnough), None);
    // 80 psi of 6.8 L are some 37 L less what stays: enough for one tube, not for five.
    cylinder(&mut scene, 80);
    let finding = scene.finding(Rule::AirNotEnough).expect("said");
    assert_eq!(finding.effect, Effect::NotReady);
    let (Some(Measure::FreeAirMl(held)), Some(required)) = (finding.measured, finding.required)
    else {
        panic!("without its figures");
    };
    let Some(Measure::FreeAirMl(wanted)) = required.low else {
        panic!("without what is wanted");
    };
    assert!(held < wanted, "{held} {wanted}");
    // A pump that reaches them does it without.
    pump(&mut scene, Some(2_000), Some(40_000));
    assert_eq!(scene.effect(Rule::AirNotEnough), None);
}

#[test]
fn a_breathing_set_is_a_firefighters_air() {
    let mut scene = cold(5);
    cylinder(&mut scene, 4_500).gear.0[0].value.kind = GearKind::BreathingSet;
    let finding = scene.finding(Rule::BreathingAir).expect("said");
    // The boat's litres at 40 L a minute.
    let seconds = air(&scene).free_air_ml * 60 / 40_000;
    let ms = i64::try_from(seconds * 1_000).expect("small");
    assert_eq!(finding.measured, Some(Measure::SpanMs(ms)));
    assert_eq!(finding.effect, Effect::Note);
    scene.weather(20, 20);
    assert_eq!(scene.finding(Rule::BreathingAir), None, "nothing is wanted");
}

/// 90 % of 4,500 psi is 4,050 psi, row 55; 29 CFR 1910.134(h)(3)(i)(B), from memory.
#[test]
fn a_cylinder_below_nine_tenths_is_said_and_its_temperature_is_reckoned_with() {
    let low = |psi, celsius: Option<i32>| {
        let mut scene = Scene::inflatable();
        let record = cylinder(&mut scene, psi);
        record.charge.0[0].value.temperature_mc = celsius.map(|it| it * 1_000);
        scene.finding(Rule::CylinderLow).is_some()
    };
    assert!(!low(4_060, Some(21)));
    assert!(low(4_030, Some(21)));
    // A full one reads some 3,750 psi at -10 °C (cylinder-temperature.csv).
    assert!(!low(3_760, Some(-10)));
    assert!(low(3_760, None));
}

/// Rows 50 and 51: 49 CFR 180.209, 180.205(c).
#[test]
fn an_overdue_cylinder_may_be_emptied_and_one_past_its_life_is_no_source() {
    let scene = |requalified, made, specification: &str| {
        let mut scene = cold(5);
        no_pumps(&mut scene);
        let gear = &mut cylinder(&mut scene, 4_500).gear.0[0].value;
        gear.made = made;
        gear.cylinder.requalified = requalified;
        specification.clone_into(&mut gear.cylinder.specification);
        scene
    };
    let overdue = scene(month(2015, 4), month(2010, 4), "3AL");
    assert_eq!(overdue.effect(Rule::CylinderOverdue), Some(Effect::Note));
    assert_eq!(overdue.answer().overdue[0].label, "C1");
    let in_date = scene(month(2024, 4), month(2010, 4), "3AL");
    assert_eq!(in_date.effect(Rule::CylinderOverdue), None);
    assert_eq!(in_date.readiness(), overdue.readiness());
    let over = scene(month(2024, 4), month(2005, 4), "composite");
    assert!(matches!(
        over.effect(Rule::CylinderLifeOver),
        Some(Effect::Limit(_))
    ));
    assert!(over.readiness() > in_date.readiness());
    assert_eq!(over.readiness(), Readiness::NotReady);
    let unknown = scene(None, None, "3AL");
    assert_eq!(unknown.effect(Rule::CylinderNotDated), Some(Effect::Note));
    assert_eq!(unknown.readiness(), in_date.readiness());
}

proptest! {
    /// More in a cylinder never makes a craft less ready, nor does a colder launch a readier one.
    #[test]
    fn more_air_is_never_less_ready(low in 0_u32..5_000, more in 0_u32..1_000, air_c in -10_i32..20) {
        let judged = |psi, air_c| {
            let mut scene = cold(air_c);
            no_pumps(&mut scene);
            cylinder(&mut scene, psi);
            scene.readiness()
        };
        prop_assert!(judged(low + more, air_c) <= judged(low, air_c));
        prop_assert!(judged(low, air_c) <= judged(low, air_c - 5));
    }

    /// A cylinder aboard never makes a craft less ready than none.
    #[test]
    fn a_cylinder_more_is_never_less_ready(psi in 0_u32..5_000, air_c in -10_i32..20) {
        let none = cold(air_c).readiness();
        let mut scene = cold(air_c);
        cylinder(&mut scene, psi);
        prop_assert!(scene.readiness() <= none);
    }
}

#[test]
fn a_part_a_little_below_nominal_wants_air_and_is_not_soft() {
    let mut scene = Scene::inflatable();
    scene.weather(20, 20);
    scene.read("tube-1", 250 * MBAR);
    let air = air(&scene);
    assert_eq!(air.parts.len(), 1);
    assert_eq!(air.parts[0].from_pa, Some(250 * MBAR));
    assert_eq!(scene.finding(Rule::PressureLow), None);
    // 200 L by 10 mbar, and what the tube grows.
    assert!((1_950..2_500).contains(&air.free_air_ml), "{air:?}");
}
