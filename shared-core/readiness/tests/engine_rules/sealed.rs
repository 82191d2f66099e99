//! Bags under a seal: counts that stand as of the last look, and bags that owe a full count.

use sponson_readiness::answer::{Action, Effect, Measure, Readiness, Rule};
use sponson_readiness::event::{DateMark, Place};
use sponson_readiness::ids::LineId;
use sponson_readiness::record::{SealLook, Sealed, Side, Sides};
use sponson_readiness::standard::RuleEffect;

use super::scene::{BAG, CRAFT, DAY_MS, NOON, OTHER_CRAFT, Scene, counted};

/// Throw bags in a sealed bag, counted with its seal so many days ago.
pub(crate) fn scene(days_ago: i64) -> Scene {
    let mut scene = Scene::inflatable();
    let key = (LineId::from("throw-bag"), None);
    scene.craft().counts.remove(&key);
    let counted = scene.side_at(counted("throw-bag", 5), NOON.plus_ms(-days_ago * DAY_MS));
    let noted = Side {
        value: seal(Some("122"), None),
        origin: counted.origin.clone(),
    };
    let bag = scene.add_bag(Place::Craft(CRAFT));
    bag.counts.insert(key, Sides(vec![counted]));
    bag.seals.noted = Sides(vec![noted]);
    scene
}

pub(crate) fn seal(number: Option<&str>, earliest: Option<DateMark>) -> Sealed {
    Sealed {
        number: number.map(str::to_owned),
        earliest,
    }
}

/// Looks at the seal an hour before noon; it vouches for what was noted with the same number.
pub(crate) fn look(scene: &mut Scene, seen: Sealed, trusted: bool) {
    let noted = scene.record(BAG).seals.noted.clone();
    let same = |side: &&Side<Sealed>| trusted && side.value.number == seen.number;
    let vouches = noted.iter().filter(same);
    let look = SealLook {
        vouches: vouches.map(|side| side.origin.event).collect(),
        seal: seen.clone(),
    };
    let differs = noted.iter().all(|side| side.value.number != seen.number);
    let look = if trusted {
        scene.side(look)
    } else {
        scene.untrusted(look)
    };
    let origin = look.origin.clone();
    let seals = &mut scene.record(BAG).seals;
    seals.looked.0.push(look);
    if differs {
        seals.opened.push(Side {
            value: seen,
            origin,
        });
    }
}

const DATE: fn(i32, u32) -> Option<DateMark> = |year, month| {
    Some(DateMark {
        year,
        month: Some(month),
        day: None,
    })
};

#[test]
fn a_count_stands_as_of_the_last_look_at_the_seal_noted_with_it() {
    let mut scene = scene(60);
    assert_eq!(scene.effect(Rule::KitStale), Some(Effect::Unproven));
    look(&mut scene, seal(Some("122"), None), true);
    assert_eq!(scene.finding(Rule::KitStale), None);
    assert_eq!(scene.finding(Rule::CountOwed), None);
    assert_eq!(scene.readiness(), Readiness::Ready);
    let stale = self::scene(60).finding(Rule::KitStale).expect("stale");
    assert_eq!(stale.measured, Some(Measure::SpanMs(60 * DAY_MS)));
}

#[test]
fn a_look_that_knew_no_such_count_or_is_not_confirmed_relieves_nothing() {
    for trusted in [true, false] {
        let mut scene = scene(60);
        look(&mut scene, seal(Some("122"), None), trusted);
        if trusted {
            let looked = &mut scene.record(BAG).seals.looked.0;
            looked[0].value.vouches.clear();
        }
        assert_eq!(scene.effect(Rule::KitStale), Some(Effect::Unproven));
    }
}

#[test]
fn a_broken_or_another_seal_owes_a_full_count() {
    for (number, measured, required) in [
        (None, None, None),
        (
            Some("900"),
            Some(Measure::Word("900".to_owned())),
            Some(Measure::Word("122".to_owned())),
        ),
    ] {
        let mut scene = scene(1);
        look(&mut scene, seal(number, None), true);
        let owed = scene.finding(Rule::CountOwed).expect("owed");
        assert_eq!(owed.effect, Effect::Unproven);
        assert_eq!(owed.measured, measured);
        assert_eq!(owed.required.and_then(|required| required.low), required);
        assert_eq!(owed.to_do[0].action, Action::CountBag(BAG));
        assert_eq!(owed.to_do[0].minutes, Some(2));
        assert_eq!(owed.evidence.len(), 2);
        assert_eq!(scene.readiness(), Readiness::Unproven);
        scene.standard.check.count_owed = RuleEffect::NotReady;
        assert_eq!(scene.effect(Rule::CountOwed), Some(Effect::NotReady));
    }
}

#[test]
fn a_number_that_was_noted_apart_is_not_another() {
    let mut scene = scene(1);
    look(&mut scene, seal(Some("900"), None), true);
    let apart = scene.side(seal(Some("900"), None));
    scene.record(BAG).seals.noted.0.push(apart);
    assert_eq!(scene.finding(Rule::CountOwed), None);
}

#[test]
fn an_unconfirmed_look_sends_somebody_to_look() {
    let mut scene = scene(1);
    scene.standard.check.count_owed = RuleEffect::NotReady;
    look(&mut scene, seal(None, None), false);
    assert_eq!(scene.effect(Rule::CountOwed), Some(Effect::Unproven));
}

#[test]
fn a_tag_whose_date_has_passed_owes_a_full_count() {
    // Noon is on the first of March 2026, or thereabouts; a month is good through its last day.
    for (earliest, owed) in [(DATE(2026, 1), true), (DATE(2027, 1), false)] {
        let mut noted = scene(1);
        noted.record(BAG).seals.noted.0[0].value.earliest = earliest;
        assert_eq!(noted.finding(Rule::CountOwed).is_some(), owed);
        let mut looked = scene(1);
        look(&mut looked, seal(Some("122"), earliest), true);
        let finding = looked.finding(Rule::CountOwed);
        assert_eq!(finding.is_some(), owed);
        if let Some(finding) = finding {
            let date = "2026-01-31".parse().expect("a day");
            assert_eq!(finding.measured, Some(Measure::Date(date)));
        }
    }
}

#[test]
fn of_what_the_mission_does_not_need_it_is_noted() {
    let mut scene = scene(1);
    look(&mut scene, seal(None, None), true);
    let throw_bag = scene
        .standard
        .items
        .iter_mut()
        .find(|item| item.id.as_str() == "throw-bag");
    throw_bag.expect("an item").missions = super::scene::missions(&["swiftwater"]);
    assert_eq!(scene.effect(Rule::CountOwed), Some(Effect::Note));
    scene.mission("swiftwater");
    assert_eq!(scene.effect(Rule::CountOwed), Some(Effect::Unproven));
}

#[test]
fn a_bag_that_is_on_another_craft_owes_nothing_here() {
    let mut scene = scene(1);
    look(&mut scene, seal(None, None), true);
    let at = Place::Craft(OTHER_CRAFT);
    let elsewhere = scene.said(sponson_readiness::record::Placement { at, part: None });
    scene.record(BAG).place = elsewhere;
    assert_eq!(scene.finding(Rule::CountOwed), None);
}
