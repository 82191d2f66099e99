//! County-wide holds: what they fit, for which missions, and that an untrusted one only sends
//! somebody to look.

use sponson_readiness::answer::{Effect, Limit, Readiness, Rule, Subject};
use sponson_readiness::event::{CountyHold, SubjectKind};
use sponson_readiness::ids::SubjectId;
use sponson_readiness::record::Record;

use crate::scene::{MOTOR, Scene, missions};

const COUNTY: SubjectId = SubjectId::from_bytes([7; 16]);

#[derive(Clone, Copy)]
enum By {
    Lead,
    Anybody,
}

fn hold(model: &str, batch: &str, part: &str, missions: &[&str]) -> CountyHold {
    CountyHold {
        model: model.to_owned(),
        batch: batch.to_owned(),
        part: part.to_owned(),
        missions: missions.iter().map(|&id| id.into()).collect(),
    }
}

/// A scene whose craft is of batch B-7 and whose motor is an OB-40 of batch M-1, with a hold.
fn held(hold: CountyHold, by: By) -> Scene {
    let mut scene = Scene::inflatable();
    scene.craft().craft.0[0].value.batch = "B-7".to_owned();
    let motor = &mut scene.record(MOTOR).gear.0[0].value;
    motor.model = "OB-40".to_owned();
    motor.batch = "M-1".to_owned();
    let side = match by {
        By::Lead => scene.side(hold),
        By::Anybody => scene.untrusted(hold),
    };
    let mut record = Record::new(COUNTY, SubjectKind::County);
    record.county_holds.insert(side.origin.event, side);
    scene.records.insert(COUNTY, record);
    scene
}

#[test]
fn what_a_hold_fits_is_not_ready() {
    let craft = |model: &str, batch: &str, part: &str| hold(model, batch, part, &[]);
    for (hold, fits) in [
        (craft("inflatable-14", "", ""), true),
        (craft("INFLATABLE-14", "", ""), true),
        (craft("rigid-inflatable-17", "", ""), false),
        (craft("", "b-7", ""), true),
        (craft("", "B-8", ""), false),
        (craft("inflatable-14", "B-8", ""), false),
        (craft("inflatable-14", "", "tube-1"), true),
        (craft("", "", "tube-1"), true),
        (craft("", "", "jet-intake"), false),
        (craft("OB-40", "", ""), true),
        (craft("OB-40", "M-1", ""), true),
        (craft("OB-40", "M-1", "motor"), true),
        (craft("OB-40", "M-2", ""), false),
        (craft("OB-40", "M-1", "tube-1"), false),
        (craft("", "M-1", ""), true),
    ] {
        let scene = held(hold.clone(), By::Lead);
        let wanted = if fits {
            Readiness::NotReady
        } else {
            Readiness::Ready
        };
        let judged = scene.judged();
        assert_eq!(judged.readiness, wanted, "{hold:?}: {:#?}", judged.why);
    }
}

#[test]
fn a_hold_says_what_is_held_and_names_its_event() {
    let scene = held(hold("", "M-1", "", &[]), By::Lead);
    let finding = scene.finding(Rule::HeldCountyWide).expect("held");
    assert!(matches!(finding.subject, Subject::Gear(MOTOR, _)));
    let event = scene.records[&COUNTY].county_holds.keys().next().copied();
    assert_eq!(finding.evidence, Vec::from_iter(event));
}

#[test]
fn a_hold_rules_out_the_missions_that_it_names() {
    let flood = || hold("inflatable-14", "", "", &["flood"]);
    let limit = Effect::Limit(Limit::NotFor(missions(&["flood"])));
    for (asked, effect) in [
        (Some("flood"), Effect::NotReady),
        (Some("lake"), limit.clone()),
        (None, limit),
    ] {
        let mut scene = held(flood(), By::Lead);
        scene.question.mission = asked.map(Into::into);
        assert_eq!(
            scene.effect(Rule::HeldCountyWide),
            Some(effect),
            "{asked:?}"
        );
    }
}

#[test]
fn an_untrusted_hold_sends_somebody_to_look() {
    let scene = held(hold("inflatable-14", "", "", &[]), By::Anybody);
    assert_eq!(scene.readiness(), Readiness::Unproven);
}

#[test]
fn an_entry_about_the_county_that_is_not_understood_holds_every_craft() {
    let mut scene = held(hold("", "B-8", "", &[]), By::Lead);
    assert_eq!(scene.readiness(), Readiness::Ready);
    let event = scene.side(()).origin.event;
    scene.record(COUNTY).not_understood.insert(event);
    assert_eq!(scene.readiness(), Readiness::Unproven);
    assert_eq!(scene.effect(Rule::NeedsUpgrade), Some(Effect::Unproven));
    // One that no record holds is about anything at all.
    scene.record(COUNTY).not_understood.clear();
    assert_eq!(scene.readiness(), Readiness::Ready);
    scene.not_understood.entries.insert(event);
    assert_eq!(scene.readiness(), Readiness::Unproven);
    assert_eq!(scene.effect(Rule::NeedsUpgrade), Some(Effect::Unproven));
}
