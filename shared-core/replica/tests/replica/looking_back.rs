//! What a replica tells of the county's past: the same everywhere, as of a moment, and without what was
//! dismissed.

use sponson_log::ids::EventId;
use sponson_proto::event::v1::{self as wire, Kind, SubjectType};
use sponson_readiness::event::LeadAction;
use sponson_readiness::history::{FaultPast, History};
use sponson_readiness::ids::{FaultId, SubjectId};
use sponson_readiness::moment::Moment;
use sponson_replica::NewEvent;

use crate::asking::question;
use crate::county::{
    CRAFT, DAY, MINUTE, NORTH, Placed, START, craft_registered, event, fault, found, join, north,
    note, sign_off, south, stranger, sync,
};

const BEGUN: i64 = START + DAY;

fn reference(fault: EventId) -> wire::FaultRef {
    wire::FaultRef {
        event: fault.to_bytes(),
        ordinal: 0,
    }
}

fn repair(fault: EventId) -> NewEvent {
    let payload = wire::Repair {
        faults: vec![reference(fault)],
        part: "tube-2".to_owned(),
        method: "patch-two-part".to_owned(),
        adhesive_batch: "G 44".to_owned(),
        holds: Vec::new(),
    };
    event(Kind::Repair, &payload)
}

fn decision(fault: EventId) -> NewEvent {
    let payload = wire::LeadDecision {
        action: wire::LeadAction::SendToMaker as i32,
        faults: vec![reference(fault)],
        part: "tube-2".to_owned(),
        ..wire::LeadDecision::default()
    };
    event(Kind::LeadDecision, &payload)
}

fn craft() -> SubjectId {
    SubjectId::from_bytes(*CRAFT.as_bytes())
}

fn trade(fault: EventId) -> FaultId {
    FaultId {
        event: sponson_readiness::ids::EventId::from_bytes(*fault.as_bytes()),
        ordinal: 0,
    }
}

fn history(of: &mut Placed, unix_ms: i64) -> History {
    of.replica.history(&question(unix_ms)).history
}

/// A craft whose seam leaked, was patched, signed off, decided about, and leaked again.
struct Patched {
    county: Placed,
    north: Placed,
    first: EventId,
    again: EventId,
}

impl Patched {
    fn begun() -> Self {
        let mut county = found();
        let mut north = join(north());
        sync(&mut north, &mut county, BEGUN);
        north.append(craft_registered("4-1", NORTH), BEGUN + MINUTE);
        let first = north.append(fault("leak"), BEGUN + 2 * MINUTE);
        north.append(repair(first), BEGUN + 3 * MINUTE);
        north.append(sign_off(first), BEGUN + 4 * MINUTE);
        north.append(decision(first), BEGUN + 5 * MINUTE);
        let again = north.append(fault("leak"), BEGUN + 6 * MINUTE);
        north.append(note("the same seam"), BEGUN + 7 * MINUTE);
        sync(&mut north, &mut county, BEGUN + 10 * MINUTE);
        Self {
            county,
            north,
            first,
            again,
        }
    }
}

#[test]
fn county_and_stations_tell_the_same_past() {
    let mut patched = Patched::begun();
    let asked = BEGUN + DAY;
    let told = history(&mut patched.county, asked);
    let mut south = join(south());
    sync(&mut south, &mut patched.county, asked);
    for replica in [&mut patched.north, &mut south] {
        assert_eq!(history(replica, asked), told);
    }
    let of_craft = &told.crafts[&craft()];
    let is_over = |fault: &FaultPast| (fault.id, fault.over.is_some());
    let faults: Vec<_> = of_craft.faults.iter().map(is_over).collect();
    assert_eq!(
        faults,
        [(trade(patched.first), true), (trade(patched.again), false)]
    );
    assert_eq!(of_craft.repairs[0].glue_batch, "G 44");
    assert_eq!(of_craft.faults[0].repairs, [of_craft.repairs[0].event]);
    assert_eq!(told.left_out.count(), 0);
    let [since] = &told.decided_since()[..] else {
        panic!("{:#?}", told.decisions);
    };
    assert_eq!(since.decided.action, LeadAction::SendToMaker);
    assert_eq!(since.again, [trade(patched.again)]);
}

#[test]
fn as_of_a_moment_it_tells_what_had_begun_by_then() {
    let mut patched = Patched::begun();
    let mut check = |minutes: i64, expected: (usize, bool, usize)| {
        let mut asked = question(BEGUN + DAY);
        asked.as_of = Moment(BEGUN + minutes * MINUTE);
        let told = patched.county.replica.history(&asked).history;
        let faults = told.faults();
        let over = faults.first().is_some_and(|fault| fault.over.is_some());
        assert_eq!((faults.len(), over, told.decisions.len()), expected);
        assert_eq!(told.until, asked.as_of);
    };
    check(1, (0, false, 0));
    check(3, (1, false, 0));
    check(4, (1, true, 0));
    check(7, (2, true, 1));
}

#[test]
fn what_the_lead_dismissed_is_not_told() {
    let mut patched = Patched::begun();
    let mut thief = join(stranger());
    sync(&mut thief, &mut patched.county, BEGUN + DAY);
    let made_up = thief.append(fault("tear"), BEGUN + DAY + MINUTE);
    sync(&mut thief, &mut patched.county, BEGUN + DAY + 2 * MINUTE);
    let asked = BEGUN + 2 * DAY;
    let told = history(&mut patched.county, asked);
    let doubted = told.fault(&trade(made_up)).map(|fault| fault.confirmed);
    assert_eq!((doubted, told.left_out.count()), (Some(false), 1));
    let dismissed = wire::Dismissed {
        key: stranger().key().to_bytes(),
        from_seq: 1,
        from_event: made_up.to_bytes(),
    };
    sync(&mut patched.north, &mut patched.county, asked);
    let dismissed = event(Kind::Dismissed, &dismissed);
    patched.north.append(dismissed, asked);
    sync(&mut patched.north, &mut patched.county, asked);
    let told = history(&mut patched.county, asked + MINUTE);
    assert_eq!(told.fault(&trade(made_up)), None);
    assert_eq!(told.left_out.count(), 0);
}

#[test]
fn a_boat_that_was_registered_twice_has_one_past() {
    let mut patched = Patched::begun();
    let twin = sponson_log::ids::SubjectId::from_bytes([0xc2; 16]);
    let of_twin = |event: NewEvent| NewEvent {
        subjects: vec![(twin, SubjectType::Craft)],
        ..event
    };
    let asked = BEGUN + DAY;
    let registered = of_twin(craft_registered("41", NORTH));
    patched.north.append(registered, asked);
    patched.north.append(of_twin(fault("tear")), asked);
    assert_eq!(history(&mut patched.north, asked).crafts.len(), 2);
    let same = wire::SameAs {
        one: CRAFT.to_bytes(),
        other: twin.to_bytes(),
    };
    let same = NewEvent {
        subjects: vec![(CRAFT, SubjectType::Craft), (twin, SubjectType::Craft)],
        ..event(Kind::SameAs, &same)
    };
    patched.north.append(same, asked);
    let told = history(&mut patched.north, asked + MINUTE);
    assert_eq!(told.crafts.len(), 1);
    let faults = told.crafts.values().map(|craft| craft.faults.len());
    assert_eq!(faults.sum::<usize>(), 3);
}
