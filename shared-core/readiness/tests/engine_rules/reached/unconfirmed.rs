//! What events that nobody trusts show by themselves: go and look, never more.

use sponson_readiness::answer::Rule;
use sponson_readiness::engine::table::Makes::Unproven;
use sponson_readiness::event::{
    AnswerValue, CountyHold, HoldKind, OutReason, RepairHold, Severity, SubjectKind, Use,
};
use sponson_readiness::ids::{FaultId, LineId, PartId, SubjectId};
use sponson_readiness::load::Size;
use sponson_readiness::record::{Inspection, Record};

use super::Reached;
use crate::scene::{CRAFT, MOTOR, Scene, counted, fault, reading};
use crate::sealed;

const COUNTY: SubjectId = SubjectId::from_bytes([7; 16]);

type Change = fn(&mut Scene);

pub(super) fn scenes() -> Vec<Reached> {
    let changes: [(Rule, Change); 12] = [
        (Rule::Condemned, condemned),
        (Rule::OutOfService, out),
        (Rule::PressureLow, |it| also_read(it, "tube-1", 20)),
        (Rule::PressureHigh, |it| also_read(it, "keel", 400)),
        (Rule::InspectionFailed, failed),
        (Rule::FaultOpen, torn),
        (Rule::LineNo, no),
        (Rule::HoldRuns, cures),
        (Rule::MotorImmersed, immersed),
        (Rule::HeldCountyWide, held),
        (Rule::JacketShort, no_jacket),
        (Rule::CountOwed, opened),
    ];
    let scene = |change: Change| {
        let mut scene = Scene::inflatable();
        change(&mut scene);
        scene
    };
    changes
        .into_iter()
        .map(|(rule, change)| (rule, Unproven, scene(change)))
        .collect()
}

fn opened(scene: &mut Scene) {
    *scene = sealed::scene(1);
    sealed::look(scene, sealed::seal(None, None), false);
}

fn no_jacket(scene: &mut Scene) {
    scene.bring_home(Size::Child, 1);
    let side = scene.untrusted(counted("child-life-jacket", 0));
    let key = (LineId::from("child-life-jacket"), None);
    let counts = scene.craft().counts.get_mut(&key);
    counts.expect("counted").0.push(side);
}

fn condemned(scene: &mut Scene) {
    let side = scene.untrusted(());
    scene.record(CRAFT).condemned.push(side.origin);
}

fn out(scene: &mut Scene) {
    let side = scene.untrusted(OutReason::Mechanical);
    scene.craft().out.insert(side.origin.event, side);
}

/// No relief valve guards the keel.
fn also_read(scene: &mut Scene, part: &str, mbar: i64) {
    let other = scene.untrusted(reading(part, mbar * 100));
    let readings = scene.craft().readings.get_mut(&PartId::from(part));
    readings.expect("read").standing.0.push(other);
}

fn failed(scene: &mut Scene) {
    let failed = scene.inspected("seams", 1, true).to_owned();
    let side = scene.untrusted(Inspection {
        passed: false,
        ..failed
    });
    let sides = scene.craft().inspections.get_mut(&LineId::from("seams"));
    sides.expect("inspected").0.push(side);
}

fn torn(scene: &mut Scene) {
    let side = scene.untrusted(());
    let id = FaultId {
        event: side.origin.event,
        ordinal: 0,
    };
    let state = fault(side, Severity::Disabling, &[]);
    scene.craft().faults.insert(id, state);
}

fn no(scene: &mut Scene) {
    let side = scene.untrusted(AnswerValue::No);
    let sides = scene.craft().answers.get_mut(&LineId::from("drain-plug"));
    sides.expect("answered").0.push(side);
}

fn cures(scene: &mut Scene) {
    let side = scene.untrusted(RepairHold {
        kind: HoldKind::Launch,
        duration_s: 72 * 3_600,
    });
    scene.craft().holds.push(side);
}

fn immersed(scene: &mut Scene) {
    scene.inspected("engine-service", 1, true);
    let side = scene.untrusted(Use {
        motor_immersed: true,
        ..Use::default()
    });
    scene.record(MOTOR).uses.push(side);
}

fn held(scene: &mut Scene) {
    let side = scene.untrusted(CountyHold {
        model: "inflatable-14".to_owned(),
        batch: String::new(),
        part: String::new(),
        missions: Vec::new(),
    });
    let mut record = Record::new(COUNTY, SubjectKind::County);
    record.county_holds.insert(side.origin.event, side);
    scene.records.insert(COUNTY, record);
}
