//! Of several sign-offs the one by somebody who did not repair the fault stands.

use sponson_readiness::event::{Payload, Repair};
use sponson_readiness::record::Record;

use crate::desk::{Desk, Role, fault, fault_id};

/// A fault that desk 1 found and repaired; the desks that then sign it off, in turn.
fn signed_by(desks: &[u8]) -> Record {
    let mut first = Desk::new(1, Role::Lead);
    let found = first.writes(Payload::Fault(vec![fault("tube-1")]));
    let id = fault_id(found, 0);
    first.writes(Payload::Repair(Repair {
        faults: vec![id],
        part: "tube-1".into(),
        method: "patch-two-part".to_owned(),
        glue_batch: String::new(),
        holds: Vec::new(),
    }));
    for number in desks {
        let sign_off = Payload::SignOff { closes: vec![id] };
        if *number == 1 {
            first.writes(sign_off);
        } else {
            let mut other = Desk::new(*number, Role::Lead);
            other.meets(&mut first);
            other.writes(sign_off);
            other.meets(&mut first);
        }
    }
    first.record()
}

#[test]
fn a_second_person_takes_the_place_of_whoever_repaired_it() {
    for (desks, closed_by, another) in [
        (vec![1], 1, false),
        (vec![2], 2, true),
        (vec![1, 2], 2, true),
        (vec![2, 1], 2, true),
        (vec![2, 3], 2, true),
    ] {
        let record = signed_by(&desks);
        let state = record.faults.values().next().expect("the fault");
        let closed = state.closed.as_ref().expect("signed off");
        assert_eq!(closed.author.key, [closed_by; 32], "{desks:?}");
        assert!(state.is_signed_off(true));
        assert_eq!(state.is_signed_off(false), another, "{desks:?}");
    }
}
