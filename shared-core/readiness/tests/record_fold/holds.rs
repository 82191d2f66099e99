//! County-wide holds: a lift ends the hold that it names, and no other.

use sponson_readiness::event::{CountyHold, Payload, SubjectKind};
use sponson_readiness::ids::{EventId, SubjectId};

use crate::desk::{Desk, Role, subject};

const COUNTY: (SubjectId, SubjectKind) = (subject(9), SubjectKind::County);

fn hold() -> Payload {
    Payload::HeldCountyWide(CountyHold {
        model: "inflatable-14".to_owned(),
        batch: String::new(),
        part: String::new(),
        missions: Vec::new(),
    })
}

fn in_force(desk: &Desk) -> Vec<EventId> {
    let record = desk.record_of(COUNTY);
    record.county_holds.keys().copied().collect()
}

#[test]
fn a_hold_that_a_lift_did_not_name_stays() {
    let mut here = Desk::new(1, Role::Lead);
    let mut there = Desk::new(2, Role::Lead);
    let named = here.writes_about(&[COUNTY], hold());
    here.meets(&mut there);
    here.writes_about(&[COUNTY], Payload::HoldLifted { hold: named });
    assert_eq!(in_force(&here), []);
    let apart = there.writes_about(&[COUNTY], hold());
    here.meets(&mut there);
    for desk in [&here, &there] {
        assert_eq!(in_force(desk), [apart]);
    }
}

#[test]
fn only_a_trusted_lift_ends_a_hold() {
    let mut lead = Desk::new(1, Role::Lead);
    let mut stranger = Desk::new(3, Role::Stranger);
    let held = lead.writes_about(&[COUNTY], hold());
    lead.meets(&mut stranger);
    stranger.writes_about(&[COUNTY], Payload::HoldLifted { hold: held });
    lead.meets(&mut stranger);
    assert_eq!(in_force(&lead), [held]);
    // Nor does a withdrawal by somebody who is not entitled.
    let withdrawal = Payload::Correction {
        original: held,
        restated: None,
    };
    stranger.writes_about(&[COUNTY], withdrawal);
    lead.meets(&mut stranger);
    assert_eq!(in_force(&lead), [held]);
}
