//! Time to water: what it is made of, and what is not known of it.

use sponson_readiness::answer::{Access, LaunchBy, SettingOf, Way};
use sponson_readiness::event::Stowage;
use sponson_readiness::record::Record;
use sponson_readiness::standard::{
    AtBank, Cited, CraftClass, LaunchRule, MadeReady, Policy, Standard, built_in,
};

use super::county::{access, asked, boat, callout, candidate, county, way};
use crate::scene::{NOON, STATION, Scene};

/// Minutes of the crew, made ready, drive, launch and all of it.
fn minutes(scene: &Scene) -> (u32, Option<u32>, Option<u32>, Option<u32>, Option<u32>) {
    let time = candidate(scene, 1).time;
    (time.crew, time.ready, time.drive, time.launch, time.total)
}

fn rolled(scene: &mut Scene) {
    let said = scene.said(Stowage::Rolled);
    let craft: &mut Record = scene.record(boat(1));
    craft.stowage = said;
    scene.standard.rig_minutes = Some(20);
}

/// The built-in settings: crew 15, ramp 5, bank 10 minutes.
#[test]
fn it_is_the_sum_of_crew_made_ready_drive_and_launch() {
    let mut scene = county(&[STATION]);
    assert_eq!(minutes(&scene), (15, Some(0), Some(10), Some(5), Some(30)));
    let time = candidate(&scene, 1).time;
    assert_eq!(time.at, Some(NOON.plus_ms(30 * 60_000)));
    assert_eq!(time.at_least, 30);
    rolled(&mut scene);
    assert_eq!(minutes(&scene), (15, Some(20), Some(10), Some(5), Some(50)));
}

#[test]
fn made_ready_meanwhile_takes_the_longer_of_the_two() {
    let mut scene = county(&[STATION]);
    rolled(&mut scene);
    scene.policy.callout.made_ready = MadeReady::Meanwhile;
    assert_eq!(minutes(&scene).4, Some(20 + 10 + 5));
    assert!(candidate(&scene, 1).time.at_once);
    scene.policy.callout.raise_crew = 25;
    assert_eq!(minutes(&scene).4, Some(25 + 10 + 5));
}

#[test]
fn topping_up_before_power_is_part_of_making_ready() {
    let mut scene = county(&[STATION]);
    scene.weather(-15, -1);
    let judged = scene.judged();
    let limits = judged.limits.iter();
    let top_ups = limits.filter(|limit| limit.id() == "top_up").count();
    assert!(top_ups > 0, "{:?}", judged.limits);
    let each = scene
        .standard
        .parts
        .iter()
        .find_map(|part| part.pressure.as_ref());
    let each = each.expect("a part with air").top_up_minutes;
    assert_eq!(judged.minutes_to_ready, Some(0));
    let least = each * u32::try_from(top_ups).expect("few");
    assert!(minutes(&scene).1 >= Some(least), "{:?}", minutes(&scene));
}

#[test]
fn a_station_of_its_own_time_is_told_with_it() {
    let mut scene = county(&[STATION]);
    let times = &mut scene.policy.callout.raise_crew_at;
    times.insert("alder creek ".to_owned(), 3);
    assert_eq!(minutes(&scene).0, 3);
    let settings = callout(&scene).settings;
    let own = settings
        .iter()
        .find(|it| it.of == SettingOf::RaiseCrewAt(STATION));
    assert_eq!(own.expect("told").minutes, Some(3));
}

/// Way, and what is known of the drive.
#[test]
fn only_a_table_or_the_asker_gives_minutes() {
    let cases = [
        (Way::Table { minutes: 12 }, Some(12)),
        (Way::Said { minutes: 12 }, Some(12)),
        (Way::Straight { metres: 1 }, None),
        (Way::NotKnown, None),
        (Way::Closed, None),
    ];
    for (given, drive) in cases {
        let mut scene = county(&[STATION]);
        way(&mut scene, STATION, given);
        let candidate = candidate(&scene, 1);
        assert_eq!((candidate.way, candidate.time.drive), (given, drive));
        assert_eq!(
            candidate.time.total,
            drive.map(|drive| 20 + drive),
            "{given:?}"
        );
        assert_eq!(
            candidate.time.at_least,
            20 + drive.unwrap_or(0),
            "{given:?}"
        );
    }
}

/// Access of the place, whether the craft goes in at a bank; how it goes in and its minutes.
#[test]
fn how_it_goes_in() {
    let ramp = Some(Access::Ramp);
    let bank = Some(Access::Bank);
    let cases = [
        (ramp, AtBank::GoesIn, LaunchBy::Ramp, Some(5)),
        (ramp, AtBank::NeedsRamp, LaunchBy::Ramp, Some(5)),
        (bank, AtBank::GoesIn, LaunchBy::Bank, Some(10)),
        (bank, AtBank::NeedsRamp, LaunchBy::NoRamp, None),
        (None, AtBank::GoesIn, LaunchBy::Either, Some(10)),
        (None, AtBank::NeedsRamp, LaunchBy::RampIfThere, Some(5)),
    ];
    for (given, at_bank, by, launch) in cases {
        let mut scene = county(&[STATION]);
        access(&mut scene, given);
        scene.standard.launch = Some(rule(&scene.policy, Some(at_bank), (None, None)));
        let first = candidate(&scene, 1);
        assert_eq!(
            (first.launch, first.time.launch),
            (by, launch),
            "{given:?} {at_bank:?}"
        );
    }
}

fn rule(policy: &Policy, bank: Option<AtBank>, minutes: (Option<u32>, Option<u32>)) -> LaunchRule {
    let Cited { basis, source } = policy.callout.cited.clone();
    LaunchRule {
        bank,
        ramp_minutes: minutes.0,
        bank_minutes: minutes.1,
        cited: Cited { basis, source },
    }
}

#[test]
fn a_boat_standard_has_its_own_minutes_and_no_place_is_no_known_access() {
    let mut scene = county(&[STATION]);
    scene.standard.launch = Some(rule(&scene.policy, None, (Some(2), Some(7))));
    assert_eq!(minutes(&scene).3, Some(2));
    access(&mut scene, Some(Access::Bank));
    assert_eq!(minutes(&scene).3, Some(7));
    asked(&mut scene).launch = None;
    assert_eq!(minutes(&scene).3, Some(7));
    assert_eq!(candidate(&scene, 1).launch, LaunchBy::Either);
}

/// By the built-in settings inflatables and rafts are carried to a bank; others need a ramp.
#[test]
fn where_the_sheet_does_not_say_the_class_decides() {
    for (model, text) in built_in() {
        let standard = Standard::parse(text).expect("a built-in sheet");
        let mut scene = county(&[STATION]);
        access(&mut scene, Some(Access::Bank));
        scene.standard.class = standard.class;
        let by = match standard.class {
            CraftClass::Inflatable | CraftClass::Raft => LaunchBy::Bank,
            CraftClass::RigidInflatable | CraftClass::FlatBottom => LaunchBy::NoRamp,
        };
        assert_eq!(candidate(&scene, 1).launch, by, "{model}");
    }
}

/// Every setting that was used is told with its source, and none that was not.
#[test]
fn settings_are_told_with_their_source() {
    let mut scene = county(&[STATION]);
    let of = |scene: &Scene| -> Vec<SettingOf> {
        let settings = callout(scene).settings;
        assert!(settings.iter().all(|it| !it.source.is_empty()));
        settings.into_iter().map(|it| it.of).collect()
    };
    let base = [
        SettingOf::RaiseCrew,
        SettingOf::OneAfterOther,
        SettingOf::LaunchRamp,
    ];
    assert_eq!(of(&scene), base);
    scene.mission("flood");
    assert_eq!(of(&scene).last(), Some(&SettingOf::SafetyBoat));
    access(&mut scene, Some(Access::Bank));
    assert!(of(&scene).contains(&SettingOf::LaunchBank));
    assert!(!of(&scene).contains(&SettingOf::LaunchRamp));
}
