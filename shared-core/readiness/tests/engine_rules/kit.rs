//! Kit: counts, dates, alternatives, bags.

use sponson_readiness::answer::{Action, Effect, Limit, Mark, Measure, Readiness, Rule};
use sponson_readiness::event::{DateMark, Lot, Place};
use sponson_readiness::ids::{LineId, SubjectId};
use sponson_readiness::record::Sides;
use sponson_readiness::standard::{MarkDay, Undated};

use super::scene::{BAG, CRAFT, DAY_MS, NOON, STATION, Scene, counted, lot, missions};

#[test]
fn a_shortfall_says_how_many_to_bring() {
    let mut scene = Scene::inflatable();
    scene.count("life-jacket", 3);
    let finding = scene.finding(Rule::KitShort).expect("short");
    assert_eq!(finding.effect, Effect::NotReady);
    assert_eq!(finding.measured, Some(Measure::Count(3)));
    assert_eq!(
        finding.to_do[0].action,
        Action::Bring(LineId::from("life-jacket"), 1)
    );
    let missing = scene.answer().missing_kit;
    assert_eq!((missing[0].have, missing[0].need), (3, 4));
    assert_eq!(scene.judged().minutes_to_ready, None);
}

#[test]
fn a_mission_may_need_more() {
    let mut scene = Scene::inflatable();
    scene.count("life-jacket", 5);
    assert_eq!(scene.effect(Rule::KitShort), None);
    scene.mission("flood");
    assert_eq!(scene.effect(Rule::KitShort), Some(Effect::NotReady));
}

#[test]
fn kit_of_a_mission_rules_out_that_mission_alone() {
    let mut scene = Scene::inflatable();
    scene.count("child-life-jacket", 1);
    assert_eq!(scene.readiness(), Readiness::Ready);
    scene.mission("flood");
    assert_eq!(scene.readiness(), Readiness::NotReady);
    scene.question.mission = None;
    let limits = scene.judged().limits;
    assert_eq!(limits, [Limit::NotFor(missions(&["flood"]))]);
}

#[test]
fn what_is_not_serviceable_does_not_count() {
    let mut scene = Scene::inflatable();
    let count = scene.count("life-jacket", 5);
    count.unserviceable = 2;
    assert_eq!(scene.effect(Rule::KitShort), Some(Effect::NotReady));
}

/// 46 CFR 160.021-5(b): made 2022-03, good through 2025-09.
#[test]
fn a_life_from_making_runs_out() {
    let made = |year, month| Lot {
        count: 3,
        expires: None,
        made: Some(DateMark {
            year,
            month: Some(month),
            day: None,
        }),
    };
    let mut scene = Scene::inflatable();
    scene.count("flare-parachute", 0);
    scene.count("distress-light", 0);
    scene.count("flare-red-hand", 3).lots = vec![made(2022, 8)];
    let finding = scene.finding(Rule::KitExpired).expect("past its life");
    let date = "2026-02-28".parse().expect("a day");
    assert_eq!(finding.measured, Some(Measure::Date(date)));
    assert!(scene.finding(Rule::KitShort).is_some());
    let overdue = scene.answer().overdue;
    assert_eq!(
        (overdue[0].due, overdue[0].days_over),
        (Some(date), Some(1))
    );
    scene.count("flare-red-hand", 3).lots = vec![made(2022, 9)];
    assert_eq!(scene.finding(Rule::KitExpired), None);
    assert_eq!(scene.effect(Rule::KitExpiresSoon), Some(Effect::Note));
    assert_eq!(scene.finding(Rule::KitShort), None);
}

#[test]
fn a_mark_without_a_day_is_good_through_its_month() {
    let mut scene = Scene::inflatable();
    scene.count("flare-red-hand", 3).lots = vec![lot(3, 2026, Some(3), None)];
    assert_eq!(scene.effect(Rule::KitExpired), None);
    scene.count("flare-red-hand", 3).lots = vec![lot(3, 2026, Some(2), None)];
    assert_eq!(scene.effect(Rule::KitExpired), Some(Effect::Note));
}

/// 33 CFR 175.125 does not say what a month without a day means: a setting, and the why says how
/// the mark was read.
#[test]
fn how_a_mark_without_a_day_is_read_is_a_setting_and_said() {
    for (setting, rule, out) in [
        (MarkDay::LastDay, Rule::KitExpiresSoon, "2026-03-31"),
        (MarkDay::FirstDay, Rule::KitExpired, "2026-02-01"),
    ] {
        let mut scene = Scene::inflatable();
        scene.policy.marks.month_only = setting;
        let month = if setting == MarkDay::LastDay { 3 } else { 2 };
        let marked = lot(3, 2026, Some(month), None);
        scene.count("flare-red-hand", 3).lots = vec![marked.clone()];
        let finding = scene.finding(rule).expect("said");
        assert_eq!(
            finding.measured,
            Some(Measure::Date(out.parse().expect("a day")))
        );
        let read = Mark {
            mark: marked.expires.expect("marked"),
            is_making: false,
            day: setting,
        };
        let high = finding.required.and_then(|required| required.high);
        assert_eq!(high, Some(Measure::Mark(read)), "{setting:?}");
    }
    let mut scene = Scene::inflatable();
    scene.count("flare-red-hand", 3).lots = vec![lot(3, 2026, Some(3), Some(20))];
    let finding = scene.finding(Rule::KitExpiresSoon).expect("soon");
    assert_eq!(finding.required, None, "a day needs no reading");
}

/// What the sheet does not say is the county's setting; a note tells that units lack a date.
#[test]
fn units_without_a_date_count_as_the_sheet_or_the_policy_says() {
    for (sheet, policy, counts) in [
        (Some(true), Undated::DoesNotCount, true),
        (Some(false), Undated::Counts, false),
        (None, Undated::DoesNotCount, false),
        (None, Undated::Counts, true),
    ] {
        let mut scene = Scene::inflatable();
        scene.policy.marks.undated = policy;
        for item in &mut scene.standard.items {
            if let (true, Some(dated)) = (item.id.as_str() == "flare-red-hand", &mut item.dated) {
                dated.undated_counts = sheet;
            }
        }
        scene.count("flare-red-hand", 3).lots.clear();
        let undated = scene.finding(Rule::KitUndated).map(|one| one.measured);
        let said = (!counts).then_some(Some(Measure::Count(3)));
        assert_eq!(undated, said, "{sheet:?} {policy:?}");
    }
}

#[test]
fn the_earlier_of_a_printed_date_and_the_life_counts() {
    let mut scene = Scene::inflatable();
    let count = scene.count("flare-red-hand", 3);
    count.lots[0].made = Some(DateMark {
        year: 2020,
        month: Some(1),
        day: None,
    });
    assert!(scene.finding(Rule::KitExpired).is_some());
}

#[test]
fn a_unit_without_a_date_counts_only_where_the_sheet_says_so() {
    let mut scene = Scene::inflatable();
    scene.count("flare-red-hand", 3).lots.clear();
    assert!(scene.finding(Rule::KitShort).is_some());
    let mut scene = Scene::inflatable();
    scene.count("first-aid-kit", 1).lots.clear();
    assert_eq!(scene.finding(Rule::KitShort), None);
}

/// 33 CFR 175.130(b): kinds of signal may be mixed.
#[test]
fn alternatives_stand_in_unit_for_unit_and_only_once() {
    let mut scene = Scene::inflatable();
    scene.count("flare-red-hand", 2);
    scene.count("flare-parachute", 1);
    assert_eq!(scene.finding(Rule::KitShort), None);
    scene.count("flare-red-hand", 1);
    let finding = scene.finding(Rule::KitShort).expect("one lacks");
    assert_eq!(finding.measured, Some(Measure::Count(2)));
    // Two lines that lean on one spare: it serves the first.
    scene.count("flare-red-hand", 2);
    scene.count("radio-battery", 0);
    for item in &mut scene.standard.items {
        if item.id.as_str() == "radio-battery" {
            item.alternatives = vec![LineId::from("flare-parachute")];
        }
    }
    let judged = scene.judged();
    let short = judged.why.iter().filter(|one| one.rule == Rule::KitShort);
    assert_eq!(short.count(), 1);
}

#[test]
fn what_was_used_up_since_the_count_is_gone() {
    let mut scene = Scene::inflatable();
    scene.count("life-jacket", 4);
    let used = scene.side(1);
    scene
        .craft()
        .used_up
        .insert(LineId::from("life-jacket"), vec![used]);
    assert_eq!(scene.effect(Rule::KitShort), Some(Effect::NotReady));
}

#[test]
fn never_counted_is_unproven_and_no_worse_than_its_lack() {
    let mut scene = Scene::inflatable();
    scene.craft().counts.remove(&(LineId::from("radio"), None));
    assert_eq!(scene.effect(Rule::KitNotCounted), Some(Effect::Unproven));
    let mut scene = Scene::inflatable();
    scene.craft().counts.remove(&(LineId::from("knife"), None));
    assert_eq!(
        scene.effect(Rule::KitNotCounted),
        Some(Effect::Limit(Limit::DoSoon(LineId::from("knife"))))
    );
}

#[test]
fn a_count_older_than_the_sheet_allows_is_unproven() {
    let mut scene = Scene::inflatable();
    let old = scene.side_at(counted("radio", 2), NOON.plus_ms(-10 * DAY_MS));
    let key = (LineId::from("radio"), None);
    scene.craft().counts.insert(key, Sides(vec![old]));
    assert_eq!(scene.effect(Rule::KitStale), Some(Effect::Unproven));
}

#[test]
fn the_worse_of_two_counts_counts() {
    let mut scene = Scene::inflatable();
    let fewer = scene.side(counted("life-jacket", 2));
    let key = (LineId::from("life-jacket"), None);
    let counts = &mut scene.craft().counts;
    counts.get_mut(&key).expect("counted").0.push(fewer);
    let finding = scene.finding(Rule::KitShort).expect("short");
    assert_eq!(finding.measured, Some(Measure::Count(2)));
    assert_eq!(scene.answer().disagreements.len(), 1);
}

#[test]
fn a_bag_on_the_craft_counts_and_one_at_the_station_does_not() {
    for (at, short) in [
        (Place::Craft(CRAFT), None),
        (Place::Station(STATION), Some(Effect::NotReady)),
    ] {
        let mut scene = Scene::inflatable();
        scene.count("life-jacket", 1);
        let sides = scene.said(counted("life-jacket", 3));
        let bag = scene.add_bag(at);
        bag.counts
            .insert((LineId::from("life-jacket"), None), sides);
        assert_eq!(scene.effect(Rule::KitShort), short);
    }
}

#[test]
fn a_bag_counted_by_the_craft_and_by_itself_counts_once() {
    let mut scene = Scene::inflatable();
    scene.count("life-jacket", 1);
    let line = LineId::from("life-jacket");
    let by_craft = scene.said(counted("life-jacket", 2));
    let by_bag = scene.said(counted("life-jacket", 2));
    scene
        .craft()
        .counts
        .insert((line.clone(), Some(BAG)), by_craft);
    scene
        .add_bag(Place::Craft(CRAFT))
        .counts
        .insert((line, None), by_bag);
    let finding = scene.finding(Rule::KitShort).expect("three of four");
    assert_eq!(finding.measured, Some(Measure::Count(3)));
}

#[test]
fn a_bag_that_two_craft_counted_and_nobody_placed_counts_in_neither() {
    let mut scene = Scene::inflatable();
    scene.count("life-jacket", 1);
    let line = LineId::from("life-jacket");
    let sides = scene.said(counted("life-jacket", 3));
    let key = (line, Some(SubjectId::from_bytes([8; 16])));
    scene.craft().counts.insert(key.clone(), sides.clone());
    assert_eq!(scene.effect(Rule::KitShort), None);
    let mut other = scene.craft().clone();
    other.subject = super::scene::OTHER_CRAFT;
    scene.records.insert(super::scene::OTHER_CRAFT, other);
    assert_eq!(scene.effect(Rule::KitShort), Some(Effect::NotReady));
}

#[test]
fn a_line_is_asked_from_its_day() {
    let mut scene = Scene::inflatable();
    scene.count("life-jacket", 0);
    for item in &mut scene.standard.items {
        item.asked_from = Some("2026-03-02".parse().expect("a day"));
    }
    assert_eq!(scene.effect(Rule::KitShort), None);
    scene.policy.utc_offset_min = 14 * 60;
    assert_eq!(scene.effect(Rule::KitShort), Some(Effect::NotReady));
}
