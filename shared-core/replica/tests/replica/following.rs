//! A station that follows the county log.

use sponson_log::ids::LogId;
use sponson_log::sync::station::EntryEvent;
use sponson_proto::store::v1::ChunkSource;
use sponson_replica::StoreError;

use crate::county::{
    DAY, MINUTE, NORTH, START, craft_registered, fault, found, join, next_run, north, reading,
    south, sync, working,
};

#[test]
fn after_a_sync_both_hold_the_same() {
    let mut county = found();
    let mut one = join(north());
    let mut other = join(south());
    one.append(craft_registered("4-1", NORTH), START + DAY);
    sync(&mut one, &mut county, START + DAY);
    sync(&mut other, &mut county, START + DAY);
    one.append(reading(20_000), START + 2 * DAY);
    other.append(fault("leak"), START + 2 * DAY);
    sync(&mut one, &mut county, START + 3 * DAY);
    sync(&mut other, &mut county, START + 3 * DAY);
    sync(&mut one, &mut county, START + 3 * DAY);

    let known = county.replica.known_by();
    assert_eq!(known.beyond, 0);
    for station in [&one, &other] {
        assert_eq!(station.replica.known_by(), known);
        assert_eq!(station.replica.station_has().tails, []);
    }
    let records = county.record_bytes();
    assert_eq!(one.record_bytes(), records);
    assert_eq!(other.record_bytes(), records);
    // Folded afresh they are the same: nothing depends on how they were brought up to date.
    assert_eq!(one.reopen(north()).record_bytes(), records);
    assert_eq!(county.reopen(working()).record_bytes(), records);
}

#[test]
fn what_the_county_lacks_is_sent_in_the_order_of_keeping() {
    let mut county = found();
    let mut station = join(north());
    let first = station.append(craft_registered("4-1", NORTH), START);
    let second = station.append(fault("leak"), START + MINUTE);
    let (events, _) = station.replica.unproven(0, 1);
    assert_eq!(events[0].0, first);
    let (events, last) = station.replica.unproven(1, 100_000);
    assert_eq!(
        events.iter().map(|event| event.0).collect::<Vec<_>>(),
        [second]
    );
    assert_eq!(last, sponson_log::sync::station::Last::Yes);
    let has = station.replica.station_has();
    assert_eq!((has.unproven, has.tails.len()), (2, 1));
    assert_eq!(has.tails[0].head, second.to_bytes());
    sync(&mut station, &mut county, START + DAY);
    assert_eq!(station.replica.station_has().unproven, 0);
}

#[test]
fn a_run_that_does_not_continue_is_refused_whole() {
    let mut county = found();
    county.append(craft_registered("4-1", NORTH), START + DAY);
    let mut station = join(north());
    let whole = next_run(&station.replica, &county.replica, 1_000_000, START + DAY);
    let before = station.replica.about();

    let mut gap = whole.clone();
    gap.first = 3;
    let mut held = whole.clone();
    held.entries[4].event = EntryEvent::Held(sponson_log::ids::EventId::from_bytes([9; 32]));
    let mut lacking = whole.clone();
    lacking.entries.remove(1);
    lacking.checkpoint = None;
    let mut twice = whole.clone();
    twice.entries[5] = twice.entries[4].clone();
    let mut time = whole.clone();
    time.entries[4].received_unix_ms += 1;
    for (name, run) in [
        ("gap", gap),
        ("held", held),
        ("lacking", lacking),
        ("twice", twice),
        ("time", time),
    ] {
        let refused = station.replica.keep_run(&run, START + DAY);
        assert!(
            matches!(
                refused,
                Err(StoreError::RunPlace { .. }
                    | StoreError::RunEntry { .. }
                    | StoreError::RunRoot { .. })
            ),
            "{name}: {refused:?}"
        );
        assert_eq!(station.replica.about(), before, "{name}");
        assert_eq!(station.replica.chains().iter().count(), 0, "{name}");
    }
    station
        .replica
        .keep_run(&whole, START + DAY)
        .expect("the run is right");
    assert_eq!(station.replica.known_by(), county.replica.known_by());
}

#[test]
fn another_county_log_begins_again_from_its_first_entry() {
    let mut county = found();
    let mut station = join(north());
    station.append(craft_registered("4-1", NORTH), START);
    sync(&mut station, &mut county, START + DAY);
    let first_root = station.replica.known_by().root;

    // The county was restored: the same events under another log, stored later.
    let restored = tempfile::tempdir().expect("a folder");
    let founding = sponson_replica::Founding::County {
        county: crate::county::county_id(),
        root: crate::county::root().key(),
        log: LogId::from_bytes([0xbb; 16]),
    };
    let replica = sponson_replica::Replica::create(restored.path(), &founding, working());
    let mut again = crate::county::Placed {
        replica: replica.expect("a new store"),
        folder: restored,
    };
    let kept = again
        .replica
        .keep(county.events(), ChunkSource::Carry, START + 2 * DAY);
    assert_eq!(kept.expect("the store is whole").refused, []);
    let mut run = next_run(&station.replica, &again.replica, 1_000_000, START + 2 * DAY);
    assert!(run.entries.is_empty());
    run = {
        let fresh = join(south());
        next_run(&fresh.replica, &again.replica, 1_000_000, START + 2 * DAY)
    };
    station
        .replica
        .keep_run(&run, START + 2 * DAY)
        .expect("the run is right");
    assert_eq!(station.replica.known_by(), again.replica.known_by());
    assert_ne!(station.replica.known_by().root, first_root);
    let records = again.record_bytes();
    assert_eq!(station.record_bytes(), records);
    let mut station = station.reopen(north());
    assert_eq!(station.replica.known_by(), again.replica.known_by());
    assert_eq!(station.record_bytes(), records);
    assert_eq!(
        station.replica.verify(&mut |_, _| {}).wrong,
        Vec::<String>::new()
    );
}

#[test]
fn a_station_s_county_log_is_not_the_county_s() {
    let mut county = found();
    let station = join(north());
    let run = next_run(&station.replica, &county.replica, 1_000_000, START + DAY);
    let refused = county.replica.keep_run(&run, START + DAY);
    assert!(
        matches!(refused, Err(StoreError::NotAStation)),
        "{refused:?}"
    );
    assert_eq!(station.replica.checkpoint(START), None);
}
