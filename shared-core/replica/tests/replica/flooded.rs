//! Many entries that this version does not understand and that name nothing known: an answer costs the
//! same, names the same wherever they came in which order, and is free of them once they are dismissed.

use std::collections::BTreeSet;

use sponson_log::event::SignedEvent;
use sponson_log::sign::DeviceKey;
use sponson_proto::event::v1::{self as wire, IfNotUnderstood, Kind, SubjectType};
use sponson_proto::store::v1::ChunkSource;
use sponson_readiness::answer::Rule;
use sponson_readiness::ids::EventId;
use sponson_replica::{Founding, Replica, SimulatedDisk};

use crate::asking::{checked, question};
use crate::county::{DAY, MINUTE, START, county_id, event, north, now, south, stranger};
use crate::newer::Later;

const AT: i64 = START + DAY + 10 * MINUTE;

/// What a later version would write.
const LATER_KIND: u32 = 900;

/// As many as are named in an answer.
const NAMED_MAX: usize = 64;

/// The lead's station, with a craft that was checked, on a disk that counts what is read.
fn lead() -> (Replica, SimulatedDisk) {
    let disk = SimulatedDisk::default();
    let founding = Founding::Station {
        county: county_id(),
    };
    let mut replica =
        Replica::create_simulated(&disk, &founding, north()).expect("the disk is new");
    let (county, _) = checked();
    keep(&mut replica, county.events());
    (replica, disk)
}

fn keep(replica: &mut Replica, events: Vec<SignedEvent>) {
    let kept = replica.keep(events, ChunkSource::Station, AT - MINUTE);
    assert_eq!(kept.expect("the disk is whole").refused, []);
}

/// So many of them by one key, kept.
fn flood(replica: &mut Replica, by: &DeviceKey, flag: IfNotUnderstood, count: usize) {
    for number in 0..count {
        let later = Later {
            by: by.clone(),
            kind: LATER_KIND,
            version: 1,
            flag: flag as i32,
            subjects: Vec::new(),
            payload: format!("{number}").into_bytes(),
        };
        let event = later.sign(replica);
        keep(replica, vec![event]);
    }
}

/// What an answer names as not understood, and how many rows giving it again reads.
fn asked(replica: &mut Replica, disk: &SimulatedDisk) -> (BTreeSet<EventId>, u64) {
    let ask = |replica: &mut Replica| {
        let answer = replica.ask(&question(AT));
        let craft = answer.craft.into_iter().next().expect("it is known");
        let upgrade = craft.why.into_iter();
        let named = upgrade.filter(|it| it.rule == Rule::NeedsUpgrade);
        named.flat_map(|it| it.evidence).collect()
    };
    // The first one folds what has changed.
    let named = ask(replica);
    let before = disk.reads();
    assert_eq!(ask(replica), named);
    (named, disk.reads() - before)
}

#[test]
fn an_answer_reads_no_row_for_them() {
    let (mut replica, disk) = lead();
    let usual = asked(&mut replica, &disk);
    assert_eq!(usual.0, BTreeSet::new());
    flood(&mut replica, &south(), IfNotUnderstood::Ignore, 300);
    assert_eq!(asked(&mut replica, &disk), usual, "to be passed over");
    flood(&mut replica, &south(), IfNotUnderstood::Hold, 10);
    let (named, reads) = asked(&mut replica, &disk);
    assert_eq!((named.len(), reads), (10, usual.1));
    flood(&mut replica, &south(), IfNotUnderstood::Hold, 290);
    let (named, reads) = asked(&mut replica, &disk);
    assert_eq!((named.len(), reads), (NAMED_MAX, usual.1));

    // Opened again it says the same.
    drop(replica);
    let mut again = Replica::open_simulated(&disk, north()).expect("it is whole");
    assert_eq!(asked(&mut again, &disk), (named, usual.1));
}

/// A stranger's tail is dismissed as one, what it adds later too; a reopened store knows it.
#[test]
fn what_is_dismissed_is_not_named_and_not_read() {
    let (mut replica, disk) = lead();
    let usual = asked(&mut replica, &disk);
    flood(&mut replica, &stranger(), IfNotUnderstood::Hold, 100);
    assert_eq!(asked(&mut replica, &disk).0.len(), NAMED_MAX);
    let chain = replica.chains().get(&stranger().key()).expect("it is held");
    let first = chain.at(1).expect("its first").iter().next().copied();
    let payload = wire::Dismissed {
        key: stranger().key().to_bytes(),
        from_seq: 1,
        from_event: first.expect("one").to_bytes(),
    };
    let dismissed = event(Kind::Dismissed, &payload);
    replica.append(dismissed, &now(AT)).expect("the lead may");
    assert_eq!(asked(&mut replica, &disk), usual);
    flood(&mut replica, &stranger(), IfNotUnderstood::Hold, 100);
    assert_eq!(asked(&mut replica, &disk), usual, "what came later");
    drop(replica);
    let mut again = Replica::open_simulated(&disk, north()).expect("it is whole");
    assert_eq!(asked(&mut again, &disk), usual);
}

/// More than are named, of two devices, in the order in which they came here or there.
#[test]
fn every_replica_names_the_same() {
    let (mut one, disk) = lead();
    flood(&mut one, &south(), IfNotUnderstood::Hold, 70);
    let souths = one.tree().size();
    flood(&mut one, &stranger(), IfNotUnderstood::Hold, 70);
    let (named, _) = asked(&mut one, &disk);
    assert_eq!(souths, one.tree().size(), "nothing of it is the county's");

    let (mut other, other_disk) = lead();
    let held = other.about().events;
    let mut late = Vec::new();
    for line in one
        .log_page(None, sponson_replica::Page::Newest, 1_000)
        .expect("rows are whole")
    {
        late.push(line.event);
    }
    let late = late.split_off(usize::try_from(held).expect("a few"));
    let (souths, strangers): (Vec<_>, Vec<_>) = late
        .into_iter()
        .partition(|event| event.header().key == south().key());
    assert_eq!((souths.len(), strangers.len()), (70, 70));
    keep(&mut other, strangers);
    keep(&mut other, souths);
    assert_eq!(asked(&mut other, &other_disk).0, named);
}

/// The sort of the subjects decides, not how many there are.
#[test]
fn those_about_something_known_hold_that_alone() {
    let (mut replica, disk) = lead();
    let member = sponson_log::ids::SubjectId::from_bytes([0x77; 16]);
    let later = Later {
        by: south(),
        kind: LATER_KIND,
        version: 1,
        flag: IfNotUnderstood::Hold as i32,
        subjects: vec![(member, SubjectType::Member as i32)],
        payload: Vec::new(),
    };
    let event = later.sign(&replica);
    keep(&mut replica, vec![event]);
    assert_eq!(asked(&mut replica, &disk).0, BTreeSet::new());
}
