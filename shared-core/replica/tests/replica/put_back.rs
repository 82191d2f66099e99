//! What a county that was put back to an older state makes of the logs that it lost.

use sponson_log::checkpoint::Checkpoint;
use sponson_log::event::SignedEvent;
use sponson_log::ids::LogId;
use sponson_log::sign::DeviceKey;
use sponson_proto::store::v1::ChunkSource;
use sponson_proto::sync::v1::county_entry::What;

use crate::county::{DAY, NORTH, Placed, START, craft_registered, found, now};

const LATER: i64 = START + DAY;

/// The county after some hours of its life, every time the same.
fn put_back() -> Placed {
    found()
}

/// What the county signed and lost: a checkpoint of its first log, one of the log that it began
/// when it was shown that, and that log's first leaf.
fn lost() -> (Checkpoint, Checkpoint, SignedEvent) {
    let mut county = put_back();
    county.append(craft_registered("4-1", NORTH), LATER);
    let first = county.replica.checkpoint(LATER).expect("it signs");
    let mut again = put_back();
    let log = LogId::from_bytes([7; 16]);
    let writer = DeviceKey::from_seed([77; 32]);
    let begun = again.replica.begin_log(log, &writer, &first, &now(LATER));
    begun.expect("a county");
    let entries = again.replica.entries(0, 1, &|_| false);
    let Some(What::Event(leaf)) = entries[0].what.clone() else {
        panic!("asked for events");
    };
    let second = again.replica.checkpoint(LATER).expect("it signs");
    (first, second, SignedEvent::open(leaf).expect("as signed"))
}

/// The first leaf of a lost log says that the log before was left. A county that stands in that log
/// again did not leave it, whoever brings the leaf.
#[test]
fn the_leaf_of_a_lost_log_hides_nothing_that_was_signed() {
    let (first, second, leaf) = lost();
    for brought in [false, true] {
        let mut county = put_back();
        if brought {
            let kept = county
                .replica
                .keep(vec![leaf.clone()], ChunkSource::Carry, LATER);
            assert_eq!(kept.expect("it keeps").new.len(), 1);
        }
        for shown in [&first, &second] {
            let held = county.replica.holds_what_it_signed(shown);
            assert!(!held, "log {}, its leaf here: {brought}", shown.log);
        }
    }
}

/// Logs that lead to the one in which it stands it left, also those that were only shown to it.
#[test]
fn the_logs_before_the_own_one_were_left() {
    let (first, second, leaf) = lost();
    let mut county = put_back();
    let log = LogId::from_bytes([8; 16]);
    let writer = DeviceKey::from_seed([78; 32]);
    let begun = county.replica.begin_log(log, &writer, &second, &now(LATER));
    assert_eq!(begun.expect("a county").old_log, first.log);
    for brought in [false, true] {
        if brought {
            let kept = county
                .replica
                .keep(vec![leaf.clone()], ChunkSource::Carry, LATER);
            assert_eq!(kept.expect("it keeps").new.len(), 1);
        }
        for shown in [&first, &second] {
            assert!(
                county.replica.holds_what_it_signed(shown),
                "log {}",
                shown.log
            );
        }
    }
}
