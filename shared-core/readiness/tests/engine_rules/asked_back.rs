//! What is asked back while a check is entered: one case for each reason on both sides of its limit,
//! and laws that hold for all.

use std::collections::BTreeSet;

use proptest::prelude::*;
use sponson_readiness::asked_back::{AskedBack, AskedWhy, Before, Entered, FieldRef, asked_back};
use sponson_readiness::event::{
    BagSeal, Check, CylinderMarks, CylinderReading, DateMark, Fuel, GearKind, Lot, Meter, Place,
    ReadingMoment,
};
use sponson_readiness::ids::{LineId, PartId};
use sponson_readiness::moment::Moment;
use sponson_readiness::record::Recent;

use super::scene::{BAG, CRAFT, DAY_MS, HOUR_MS, MOTOR, NOON, Scene, counted, reading};

/// What somebody enters.
#[derive(Clone, Debug, Default)]
struct Entry {
    check: Check,
    observed: Option<Moment>,
    air_added: BTreeSet<PartId>,
    affirmed: BTreeSet<FieldRef>,
}

fn ask(scene: &Scene, entry: &Entry) -> Vec<AskedBack> {
    let entered = Entered {
        check: &entry.check,
        observed: entry.observed,
        air_added: &entry.air_added,
    };
    let before = Before {
        records: &scene.records,
        craft: CRAFT,
        standard: &scene.standard,
        policy: &scene.policy,
        now: NOON,
    };
    asked_back(&entered, &before, |field| entry.affirmed.contains(field))
}

/// One thing is entered: nothing else is asked than this, and nothing once it is stood by.
#[track_caller]
fn check(scene: &Scene, entry: &Entry, wanted: Option<(FieldRef, AskedWhy)>) {
    let wanted: Vec<AskedBack> = wanted
        .into_iter()
        .map(|(field, why)| AskedBack { field, why })
        .collect();
    assert_eq!(ask(scene, entry), wanted);
    let mut stood_by = entry.clone();
    stood_by
        .affirmed
        .extend(wanted.into_iter().map(|it| it.field));
    assert_eq!(ask(scene, &stood_by), []);
}

fn read(part: &str, mbar: i64) -> Entry {
    let mut entry = Entry::default();
    entry.check.readings.push(reading(part, mbar * 100));
    entry
}

fn found(part: &str) -> FieldRef {
    FieldRef::Reading(PartId::from(part), ReadingMoment::AsFound)
}

#[test]
fn a_value_of_another_part_is_asked_back_with_the_part_that_it_fits() {
    let mut scene = Scene::inflatable();
    for part in ["tube-1", "floor", "keel"] {
        scene.craft().readings.remove(&PartId::from(part));
    }
    let other = |mbar: i64, (least, most): (i64, i64), fits: &str| AskedWhy::OtherPart {
        gauge_pa: mbar * 100,
        least_pa: least * 100,
        most_pa: most * 100,
        fits: PartId::from(fits),
    };
    let tube = (0, 500);
    // The floor holds 880 to 1320 mbar, and its gauge can show 500 to 1700; a tube's 0 to 500.
    check(&scene, &read("tube-1", 500), None);
    let why = other(501, tube, "floor");
    check(&scene, &read("tube-1", 501), Some((found("tube-1"), why)));
    let why = other(1_100, tube, "floor");
    check(&scene, &read("tube-1", 1_100), Some((found("tube-1"), why)));
    check(&scene, &read("floor", 500), None);
    let why = other(260, (500, 1_700), "tube-1");
    check(&scene, &read("floor", 260), Some((found("floor"), why)));
    let why = other(230, (500, 1_700), "keel");
    check(&scene, &read("floor", 230), Some((found("floor"), why)));
    // 35 psi where 3.5 was meant: no part of this craft shows that.
    let why = AskedWhy::NoPart {
        gauge_pa: 241_300,
        least_pa: 0,
        most_pa: 50_000,
    };
    check(&scene, &read("tube-1", 2_413), Some((found("tube-1"), why)));
}

#[test]
fn a_value_far_from_the_last_is_asked_back_at_the_same_temperature() {
    let mut scene = Scene::inflatable();
    // 260 mbar at 20 °C an hour ago; a quarter of 260 is 65.
    check(&scene, &read("tube-1", 325), None);
    check(&scene, &read("tube-1", 195), None);
    let far = |mbar: i64| AskedWhy::FarFromLast {
        gauge_pa: mbar * 100,
        last_pa: 26_000,
        limit_pa: 6_500,
        last_at: NOON.plus_ms(-HOUR_MS),
    };
    check(
        &scene,
        &read("tube-1", 326),
        Some((found("tube-1"), far(326))),
    );
    check(
        &scene,
        &read("tube-1", 194),
        Some((found("tube-1"), far(194))),
    );
    // At 2 °C the same air shows 78 mbar less: (26000 + 101325) * 275.15 / 293.15 - 101325.
    let mut cold = read("tube-1", 182);
    cold.check.readings[0].air_mc = Some(2_000);
    check(&scene, &cold, None);
    cold.check.readings[0].gauge_pa = 25_900;
    let asked = ask(&scene, &cold);
    assert!(
        matches!(
            asked[..],
            [AskedBack {
                why: AskedWhy::FarFromLast {
                    last_pa: 18_182,
                    ..
                },
                ..
            }]
        ),
        "{asked:?}"
    );
    // What happened in between explains it.
    let used = scene.side(()).origin;
    scene.recent("tube-1", Recent::Used, &used);
    check(&scene, &read("tube-1", 194), None);
}

#[test]
fn less_as_left_than_as_found_is_asked_back_where_air_was_added() {
    let scene = Scene::inflatable();
    let mut entry = read("tube-1", 250);
    entry.check.readings.push(reading("tube-1", 24_000));
    entry.check.readings[1].moment = ReadingMoment::AsLeft;
    check(&scene, &entry, None);
    entry.air_added.insert(PartId::from("tube-1"));
    let field = FieldRef::Reading(PartId::from("tube-1"), ReadingMoment::AsLeft);
    let why = AskedWhy::LeftBelowFound {
        found_pa: 25_000,
        left_pa: 24_000,
    };
    check(&scene, &entry, Some((field, why)));
    entry.check.readings[1].gauge_pa = 25_000;
    check(&scene, &entry, None);
}

#[test]
fn air_that_no_boat_stands_in_is_asked_back_once() {
    let scene = Scene::inflatable();
    let mut entry = read("keel", 230);
    entry.check.readings.push(reading("floor", 110_000));
    for reading in &mut entry.check.readings {
        reading.air_mc = Some(68_000);
    }
    // The last readings were at 20 °C: at 68 °C both would show far more than they do.
    entry.affirmed = [found("keel"), found("floor")].into();
    let why = AskedWhy::HardlyAnyAir {
        air_mc: 68_000,
        least_mc: -30_000,
        most_mc: 50_000,
    };
    check(&scene, &entry, Some((FieldRef::Air, why)));
}

const fn day(year: i32, month: u32, day: u32) -> DateMark {
    DateMark {
        year,
        month: Some(month),
        day: Some(day),
    }
}

/// Flares in one lot.
fn flares(expires: Option<DateMark>, made: Option<DateMark>) -> Entry {
    let mut entry = Entry::default();
    let mut count = counted("flare-red-hand", 3);
    count.lots = vec![Lot {
        count: 3,
        expires,
        made,
    }];
    entry.check.counts.push(count);
    entry
}

#[test]
fn dates_that_hardly_can_be_are_asked_back() {
    let mut scene = Scene::inflatable();
    let last = scene.count("flare-red-hand", 3);
    last.lots = vec![Lot {
        count: 3,
        expires: Some(day(2027, 6, 30)),
        made: None,
    }];
    let field = || FieldRef::Dates(LineId::from("flare-red-hand"), None);
    let expires = |date| flares(Some(date), None);
    // Today is 1 March 2026; flares live 42 months.
    check(&scene, &expires(day(2027, 6, 30)), None);
    check(&scene, &expires(day(2029, 9, 1)), None);
    let cases = [
        (
            day(2027, 6, 29),
            AskedWhy::BeforeLast {
                date: day(2027, 6, 29),
                last: day(2027, 6, 30),
            },
        ),
        (
            day(2026, 2, 28),
            AskedWhy::Over {
                date: day(2026, 2, 28),
            },
        ),
        (
            day(2029, 9, 2),
            AskedWhy::BeyondLife {
                date: day(2029, 9, 2),
                life_months: 42,
            },
        ),
    ];
    for (date, why) in cases {
        check(&scene, &expires(date), Some((field(), why)));
    }
    check(&scene, &flares(None, Some(day(2026, 3, 1))), None);
    let date = day(2026, 3, 2);
    let why = AskedWhy::NotYet { date };
    check(&scene, &flares(None, Some(date)), Some((field(), why)));
    // Good through today.
    scene.count("flare-red-hand", 3).lots.clear();
    check(&scene, &expires(day(2026, 3, 1)), None);
}

#[test]
fn a_tag_that_is_over_is_asked_back() {
    let scene = Scene::inflatable();
    let tag = |earliest| {
        let mut entry = Entry::default();
        entry.check.seals.push(BagSeal {
            bag: BAG,
            number: Some("7731".to_owned()),
            earliest,
        });
        entry
    };
    check(&scene, &tag(Some(day(2026, 3, 1))), None);
    check(&scene, &tag(None), None);
    let date = day(2026, 2, 28);
    let why = AskedWhy::Over { date };
    check(
        &scene,
        &tag(Some(date)),
        Some((FieldRef::SealDate(BAG), why)),
    );
}

#[test]
fn more_than_was_ever_carried_is_asked_back_beyond_a_margin() {
    let mut scene = Scene::inflatable();
    let knives = |count| {
        let mut entry = Entry::default();
        entry.check.counts.push(counted("knife", count));
        entry
    };
    let field = || FieldRef::Count(LineId::from("knife"), None);
    let why = |count, last| AskedWhy::MoreThanEver {
        count,
        last,
        wanted: 2,
    };
    // Two are wanted and were counted; the margin is 4.
    check(&scene, &knives(6), None);
    check(&scene, &knives(7), Some((field(), why(7, Some(2)))));
    scene.count("knife", 9);
    check(&scene, &knives(13), None);
    check(&scene, &knives(14), Some((field(), why(14, Some(9)))));
    scene.craft().counts.remove(&(LineId::from("knife"), None));
    check(&scene, &knives(7), Some((field(), why(7, None))));
    // What somebody without trust counted is no measure.
    let flood = scene.untrusted(counted("knife", 900));
    let key = (LineId::from("knife"), None);
    scene.craft().counts.entry(key).or_default().0.push(flood);
    check(&scene, &knives(7), Some((field(), why(7, None))));
}

#[test]
fn a_count_is_held_against_that_of_the_same_bag() {
    let mut scene = Scene::inflatable();
    scene.add_bag(Place::Craft(CRAFT));
    let mut own = counted("knife", 20);
    own.bag = Some(BAG);
    let sides = scene.said(own.clone());
    scene
        .record(BAG)
        .counts
        .insert((LineId::from("knife"), None), sides);
    let mut entry = Entry::default();
    entry.check.counts.push(own);
    check(&scene, &entry, None);
    entry.check.counts[0].bag = None;
    let field = FieldRef::Count(LineId::from("knife"), None);
    let why = AskedWhy::MoreThanEver {
        count: 20,
        last: Some(2),
        wanted: 2,
    };
    check(&scene, &entry, Some((field, why)));
}

#[test]
fn a_meter_that_goes_back_or_faster_than_the_clock_is_asked_back() {
    let scene = Scene::inflatable();
    let meter = |engine_s| {
        let mut entry = Entry::default();
        entry.check.meters.push(Meter {
            subject: Some(MOTOR),
            engine_s,
        });
        entry
    };
    let field = || FieldRef::Meter(Some(MOTOR));
    // 361 000 s an hour ago; an hour and an hour's slack make 7 200 s.
    check(&scene, &meter(361_000), None);
    check(&scene, &meter(368_200), None);
    let why = AskedWhy::MeterBack {
        engine_s: 360_999,
        last_s: 361_000,
    };
    check(&scene, &meter(360_999), Some((field(), why)));
    let why = AskedWhy::MeterFast {
        engine_s: 368_201,
        last_s: 361_000,
        passed_s: 7_200,
    };
    check(&scene, &meter(368_201), Some((field(), why)));
}

#[test]
fn fuel_that_no_tank_holds_or_that_is_not_filled_yet_is_asked_back() {
    let mut scene = Scene::inflatable();
    let fuel = |amount_ml, filled| {
        let mut entry = Entry::default();
        entry.check.fuel.push(Fuel {
            tank: None,
            amount_ml,
            filled,
            mix: None,
        });
        entry
    };
    // 12 gal by the sheet.
    check(&scene, &fuel(45_425, Some(day(2026, 3, 1))), None);
    let above = |most_ml| AskedWhy::AboveTank {
        amount_ml: 45_426,
        most_ml,
    };
    check(
        &scene,
        &fuel(45_426, None),
        Some((FieldRef::Fuel(None), above(45_425))),
    );
    scene.standard.fuel.as_mut().expect("asked for").tank_ml = None;
    check(&scene, &fuel(113_562, None), None);
    let date = day(2026, 3, 2);
    let why = AskedWhy::NotYet { date };
    check(
        &scene,
        &fuel(9_000, Some(date)),
        Some((FieldRef::Filled(None), why)),
    );
    let noted = Fuel {
        tank: None,
        amount_ml: 9_000,
        filled: Some(day(2026, 2, 20)),
        mix: None,
    };
    let sides = scene.said(noted);
    scene.craft().fuel.insert(None, sides);
    check(&scene, &fuel(9_000, Some(day(2026, 2, 20))), None);
    // February without a day can be the twentieth.
    let february = DateMark {
        day: None,
        ..day(2026, 2, 1)
    };
    check(&scene, &fuel(9_000, Some(february)), None);
    let date = day(2026, 2, 19);
    let why = AskedWhy::BeforeLast {
        date,
        last: day(2026, 2, 20),
    };
    check(
        &scene,
        &fuel(9_000, Some(date)),
        Some((FieldRef::Filled(None), why)),
    );
}

#[test]
fn a_cylinder_above_its_service_pressure_is_asked_back_beyond_a_margin() {
    let mut scene = Scene::inflatable();
    let registered = &mut scene.record(MOTOR).gear.0[0].value;
    registered.kind = GearKind::Cylinder;
    *registered.cylinder = CylinderMarks {
        service_kpa: Some(20_000),
        ..CylinderMarks::default()
    };
    let gauge = |gauge_kpa| {
        let mut entry = Entry::default();
        entry.check.cylinders.push(CylinderReading {
            subject: MOTOR,
            gauge_kpa,
            temperature_mc: None,
        });
        entry
    };
    check(&scene, &gauge(22_000), None);
    let why = AskedWhy::AboveService {
        gauge_kpa: 22_001,
        service_kpa: 20_000,
    };
    check(
        &scene,
        &gauge(22_001),
        Some((FieldRef::Cylinder(MOTOR), why)),
    );
}

#[test]
fn what_was_observed_tomorrow_is_asked_back() {
    let scene = Scene::inflatable();
    let at = |observed| Entry {
        observed: Some(observed),
        ..Entry::default()
    };
    check(&scene, &at(NOON.plus_ms(120_000)), None);
    check(&scene, &at(NOON.plus_ms(-DAY_MS)), None);
    let observed = NOON.plus_ms(120_001);
    let why = AskedWhy::InTheFuture {
        observed,
        now: NOON,
    };
    check(&scene, &at(observed), Some((FieldRef::Observed, why)));
}

#[test]
fn nothing_is_asked_about_an_empty_check_nor_where_nothing_is_known() {
    let mut scene = Scene::inflatable();
    check(&scene, &Entry::default(), None);
    scene.records.clear();
    check(&scene, &Entry::default(), None);
    check(&scene, &read("tube-1", 10), None);
}

/// A check with anything in it.
fn entries() -> impl Strategy<Value = Entry> {
    let gauge = (0_usize..8, -500_i64..4_000, any::<bool>(), -60_i32..80);
    let count = (0_usize..30, 0_u32..40, 2020_i32..2060, 1_u32..13);
    let rest = (
        0_u64..900_000,
        0_u32..300_000,
        2024_i32..2029,
        any::<bool>(),
    );
    (
        prop::collection::vec(gauge, 0..6),
        prop::collection::vec(count, 0..6),
        rest,
        prop::option::of(-3_i64..3),
    )
        .prop_map(
            |(gauges, counts, (engine_s, amount_ml, year, added), days)| {
                let mut entry = Entry::default();
                let scene = Scene::inflatable();
                for (at, mbar, is_left, celsius) in gauges {
                    let part = scene.standard.parts[at].id.clone();
                    let mut read = reading(part.as_str(), mbar * 100);
                    read.air_mc = Some(celsius * 1_000);
                    if is_left {
                        read.moment = ReadingMoment::AsLeft;
                    }
                    if added {
                        entry.air_added.insert(part);
                    }
                    entry.check.readings.push(read);
                }
                for (at, count, year, month) in counts {
                    let mut counted = counted(scene.standard.items[at].id.as_str(), count);
                    counted.lots.push(Lot {
                        count,
                        expires: Some(DateMark {
                            year,
                            month: Some(month),
                            day: None,
                        }),
                        made: None,
                    });
                    entry.check.counts.push(counted);
                }
                entry.check.meters.push(Meter {
                    subject: Some(MOTOR),
                    engine_s,
                });
                entry.check.fuel.push(Fuel {
                    tank: None,
                    amount_ml,
                    filled: Some(DateMark {
                        year,
                        month: None,
                        day: None,
                    }),
                    mix: None,
                });
                entry.observed = days.map(|days| NOON.plus_ms(days * DAY_MS));
                entry
            },
        )
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// Standing by some fields leaves the questions about the others as they are, and a field is
    /// asked about only where something was entered in it.
    #[test]
    fn a_field_that_is_stood_by_is_never_asked_again(
        entry in entries(),
        stood_by in prop::collection::vec(any::<bool>(), 24),
    ) {
        let scene = Scene::inflatable();
        let asked = ask(&scene, &entry);
        let mut again = entry.clone();
        let chosen = asked.iter().zip(&stood_by).filter(|(_, chosen)| **chosen);
        again.affirmed = chosen.map(|(asked, _)| asked.field.clone()).collect();
        let left: Vec<AskedBack> = asked
            .into_iter()
            .filter(|asked| !again.affirmed.contains(&asked.field))
            .collect();
        prop_assert_eq!(ask(&scene, &again), left.clone());
        for asked in left {
            let check = &entry.check;
            let is_entered = match &asked.field {
                FieldRef::Observed => entry.observed.is_some(),
                FieldRef::Air => !check.readings.is_empty(),
                FieldRef::Reading(part, moment) => check
                    .readings
                    .iter()
                    .any(|read| read.part == *part && read.moment == *moment),
                FieldRef::Count(item, _) | FieldRef::Dates(item, _) => {
                    check.counts.iter().any(|count| count.item == *item)
                }
                FieldRef::Meter(_) => !check.meters.is_empty(),
                FieldRef::Fuel(_) | FieldRef::Filled(_) => !check.fuel.is_empty(),
                FieldRef::SealDate(_) | FieldRef::Cylinder(_) => false,
            };
            prop_assert!(is_entered, "{:?}", asked);
        }
    }
}
