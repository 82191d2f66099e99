//! A county that was put back to an older state: it gets back what it lost, as it was.

use std::collections::BTreeSet;

use super::model::{County, Station, sync};
use crate::checkpoint::Checkpoint;
use crate::ids::{Digest, EventId, LogId};
use crate::sign::DeviceKey;
use crate::sync::shown::{OwnLogs, proved_times};
use crate::sync::station::SyncError;
use crate::tree::{Tree, leaf_hash};

const NEW: LogId = LogId::from_bytes([2; 16]);

/// A county, and a station that holds so many entries of it that the county then loses.
fn lost(kept: usize, lost: usize) -> (County, County, Station) {
    let mut county = County::new();
    let mut station = Station::new(10, county.root.county);
    for _ in 1..kept {
        county.write_note(300);
    }
    let before = county.clone();
    for _ in 0..lost {
        station.write_note(200);
        county.write_note(300);
        sync(&mut station, &mut county).expect("synced");
    }
    (before.restored(kept, NEW), county, station)
}

#[test]
fn what_the_county_lost_comes_back_as_it_was_stored() {
    let (mut county, before, mut station) = lost(20, 6);
    county.now += 1_000_000;
    let ended = sync(&mut station, &mut county).expect("synced");
    let moved = ended.summary.expect("whole").moved.expect("it went over");
    assert_eq!((moved.given_back, moved.begun.old_tree.0), (12, 20));
    for (event, received) in &before.events {
        assert_eq!(county.received(&event.id()), Some(*received));
    }
    assert_eq!(county.events.len(), before.events.len() + 1);
    assert_eq!((station.log, station.left.len()), (Some(NEW), 1));
    let again = sync(&mut station, &mut county).expect("synced");
    assert_eq!(again.summary.expect("whole").moved, None);
}

#[test]
fn two_stations_give_back_what_each_holds() {
    let (mut county, mut before, mut one) = lost(20, 3);
    let mut other = Station::new(11, county.root.county);
    sync(&mut other, &mut before).expect("synced");
    let own = other.write_note(100);
    before.write_note(300);
    sync(&mut other, &mut before).expect("synced");
    for station in [&mut one, &mut other] {
        sync(station, &mut county).expect("synced");
    }
    sync(&mut one, &mut county).expect("synced");
    assert!(county.ids.contains(&own));
    let ids: BTreeSet<EventId> = before.events.iter().map(|(event, _)| event.id()).collect();
    assert!(ids.is_subset(&county.ids), "nothing is lost");
    assert_eq!(one.places, other.places);
}

#[test]
fn a_station_does_not_go_back_to_a_log_that_it_left() {
    let (mut county, mut before, mut station) = lost(20, 2);
    sync(&mut station, &mut county).expect("synced");
    let refused = sync(&mut station, &mut before).map(|_| ());
    assert_eq!(refused, Err(SyncError::WentBack(before.log)));
}

/// As often as a sync follows, and once more.
#[test]
fn a_county_that_begins_a_new_log_again_and_again_is_left() {
    for (times, followed) in [(2, true), (3, false)] {
        let (mut county, _, mut station) = lost(5, 1);
        // It stands in another log already when the sync begins.
        let begins = (1..times).map(|number| LogId::from_bytes([2 + number; 16]));
        county.begins = begins.collect();
        let ended = sync(&mut station, &mut county).map(|ended| ended.summary.is_some());
        let why = "the county began a new log 3 times while this sync ran, of 2 that are followed";
        let left = Err(SyncError::Inconsistent(why.to_owned()));
        assert_eq!(ended, if followed { Ok(true) } else { left }, "{times}");
        assert_eq!(county.begins, [], "{times}");
    }
}

#[test]
fn another_log_needs_the_word_of_a_working_key() {
    let (mut county, before, station) = lost(20, 2);
    // Nobody's key vouches.
    let mut forged = before.clone();
    forged.working = crate::chains::tests::Writer::new(77, before.root.county);
    let mut forged = forged.restored(20, NEW);
    forged.working = before.working.clone();
    let refused = sync(&mut station.clone(), &mut forged).map(|_| ());
    assert!(
        matches!(refused, Err(SyncError::Inconsistent(_))),
        "{refused:?}"
    );
    // No beginning at all.
    county.events.remove(0);
    let refused = sync(&mut station.clone(), &mut county).map(|_| ());
    assert!(
        matches!(refused, Err(SyncError::Inconsistent(_))),
        "{refused:?}"
    );
}

#[test]
fn only_what_a_working_key_signed_shows_that_something_was_lost() {
    let working = DeviceKey::from_seed([2; 32]);
    let stranger = DeviceKey::from_seed([3; 32]);
    let county = County::new().root.county;
    let (log, left, elsewhere) = ([1; 16], [7; 16], [9; 16]);
    let mut tree = Tree::default();
    for time in 0..5 {
        tree.append(leaf_hash(&EventId::from_bytes([1; 32]), time));
    }
    let own = OwnLogs {
        log: LogId::from_bytes(log),
        tree: &tree,
        // Also of a log that was lost, which left this one.
        left: &BTreeSet::from([left, log].map(LogId::from_bytes)),
    };
    let other = Digest::from_bytes([8; 32]);
    let root = |size| tree.root_at(size).unwrap_or(other);
    for (name, key, log, size, root, holds) in [
        ("what was signed", &working, log, 3, root(3), true),
        ("all of it", &working, log, 5, root(5), true),
        ("more", &working, log, 6, other, false),
        ("something else", &working, log, 3, other, false),
        ("a log not known", &working, elsewhere, 3, root(3), false),
        ("one that was left", &working, left, 30, other, true),
        ("more, forged", &stranger, log, 6, other, true),
        (
            "a log not known, forged",
            &stranger,
            elsewhere,
            6,
            other,
            true,
        ),
    ] {
        let log = LogId::from_bytes(log);
        let shown = Checkpoint::sign(key, county, log, (size, root), 1);
        assert_eq!(
            own.hold(&shown, |key| *key == working.key()),
            holds,
            "{name}"
        );
    }
}

#[test]
fn a_time_that_is_not_proved_does_not_count() {
    let (_, before, _) = lost(20, 2);
    let events: Vec<_> = before
        .events
        .iter()
        .map(|(event, _)| event.clone())
        .collect();
    let mut tree = Tree::default();
    for (event, received) in &before.events {
        tree.append(leaf_hash(&event.id(), *received));
    }
    let size = tree.size();
    let device = &before.working.device;
    let shown = Checkpoint::sign(
        device,
        before.root.county,
        before.log,
        (size, tree.edge().root()),
        1,
    );
    let placed = |index: u64, received_unix_ms| sponson_proto::sync::v1::PlacedBefore {
        position: u32::try_from(index).expect("small"),
        received_unix_ms,
        proof: Some(sponson_proto::county::v1::InclusionProof {
            index,
            size,
            path: tree
                .inclusion(index, size)
                .expect("it is there")
                .iter()
                .map(|hash| hash.to_bytes())
                .collect(),
        }),
    };
    let right = before.events[5].1;
    let proved = proved_times(&shown, &events, &[placed(5, right), placed(6, right - 1)]);
    assert_eq!(proved.len(), 1);
    assert_eq!(proved.get(&events[5].id()), Some(&right));
}
