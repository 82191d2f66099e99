//! The check in the background, and salvage of a store that this crate can see into.

use sponson_log::event::SignedEvent;
use sponson_replica::{Filled, OwnTail, Refill, Salvaged, Scrubbed, TailDoubt, Upkeep};

use crate::county::{
    DAY, MINUTE, NORTH, Placed, START, craft_registered, fault, found, join, north, note, reading,
    sync,
};

fn busy(minutes: i64) -> Placed {
    let mut station = join(north());
    station.append(craft_registered("4-1", NORTH), START);
    for minute in 1..minutes {
        station.append(reading(20_000 + minute), START + minute * MINUTE);
    }
    station
}

#[test]
fn a_check_in_the_background_goes_through_everything_a_few_at_a_time() {
    let mut station = busy(25);
    assert_eq!(station.replica.upkeep().checked_unix_ms, None);
    let mut few = 1;
    while station.replica.scrub(10, START + DAY) == Scrubbed::More {
        few += 1;
    }
    assert_eq!(few, 3);
    let upkeep = station.replica.upkeep();
    assert_eq!(upkeep.checked_unix_ms, Some(START + DAY));
    assert_eq!(upkeep.damage, Vec::<String>::new());
    let (disk, events) = (upkeep.disk_bytes, upkeep.event_bytes);
    assert!(disk > events && events > Some(25 * 100), "{upkeep:?}");
    assert!(!upkeep.is_swollen(), "{upkeep:?}");
}

#[test]
fn a_file_that_went_bad_under_an_open_store_is_found() {
    let mut station = busy(25);
    let whole = station.replica.copy_for_check().expect("there is room");
    assert_eq!(whole.check(), Vec::<String>::new());
    let file = station.folder.path().join("store/db");
    let mut bytes = std::fs::read(&file).expect("the engine's file");
    let written = bytes.iter().rposition(|byte| *byte != 0);
    let middle = written.expect("it is not empty") / 2;
    bytes[middle..middle + 512].fill(0x55);
    std::fs::write(&file, bytes).expect("writes");
    assert_eq!(station.replica.scrub(100, START + DAY), Scrubbed::Pass);
    assert_eq!(station.replica.upkeep().damage, Vec::<String>::new());
    let damaged = station.replica.copy_for_check().expect("there is room");
    let lines = damaged.check();
    assert!(!lines.is_empty());
    station.replica.note_disk(lines.clone());
    assert_eq!(station.replica.upkeep().damage, lines);
    assert!(!station.folder.path().join("check").exists());
}

#[test]
fn a_store_that_takes_too_much_room_is_said() {
    const MIB: u64 = 1024 * 1024;
    for (disk, events, swollen) in [
        (MIB, 1_000, false),
        (8 * MIB + 4_000, 1_000, false),
        (8 * MIB + 4_001, 1_000, true),
        (409 * MIB, 100 * MIB, true),
        (408 * MIB, 100 * MIB, false),
    ] {
        let upkeep = Upkeep {
            disk_bytes: Some(disk),
            event_bytes: Some(events),
            ..Upkeep::default()
        };
        assert_eq!(upkeep.is_swollen(), swollen, "{disk} for {events}");
    }
    let full = |free| Upkeep {
        free_bytes: Some(free),
        ..Upkeep::default()
    };
    assert!(full(128 * MIB - 1).is_nearly_full() && !full(128 * MIB).is_nearly_full());
}

#[test]
fn a_whole_store_is_salvaged_whole_and_goes_on_with_its_key() {
    let mut county = found();
    let mut station = busy(5);
    sync(&mut station, &mut county, START + DAY);
    station.append(fault("leak"), START + DAY + MINUTE);
    station.append(note("looked at"), START + DAY + 2 * MINUTE);
    let events = station.events();
    let about = station.replica.about();
    let Placed { replica, folder } = station;
    drop(replica);
    let read = Salvaged::read(folder.path(), &folder.path().join("scratch"));
    let read = read.expect("nobody has it");
    assert_eq!((read.missing(), read.wrong.len()), (0, 0));
    let mut fresh = join(north());
    let new = fresh.replica.refill(&read, Refill::All, START + 2 * DAY);
    assert_eq!(new.expect("it is whole"), events.len() as u64);
    let ids = |mut events: Vec<SignedEvent>| {
        events.sort_by_key(SignedEvent::id);
        events
    };
    assert!(ids(fresh.events()) == ids(events), "other events");
    let now = fresh.replica.about();
    let held = (now.county_size, now.root, now.waiting);
    assert_eq!(held, (about.county_size, about.root, about.waiting));
    let tail = read.own_tail(&north().key(), &fresh.replica, Filled::Alone);
    assert_eq!(tail, OwnTail::Whole);
    fresh.append(note("goes on"), START + 2 * DAY);
}

#[test]
fn what_others_hold_beyond_the_old_store_is_a_doubt() {
    let mut county = found();
    let mut station = busy(3);
    sync(&mut station, &mut county, START + DAY);
    // An older state of the same device: a card that was put back.
    let older = crate::durable::copy(station.folder.path());
    station.append(note("later"), START + DAY + MINUTE);
    sync(&mut station, &mut county, START + DAY + MINUTE);
    let read = Salvaged::read(older.path(), &older.path().join("scratch"));
    let read = read.expect("nobody has it");
    let mut fresh = join(north());
    fresh
        .replica
        .refill(&read, Refill::All, START + 2 * DAY)
        .expect("it is whole");
    let alone = read.own_tail(&north().key(), &fresh.replica, Filled::Alone);
    assert_eq!(alone, OwnTail::Whole);
    sync(&mut fresh, &mut county, START + 2 * DAY);
    let tail = read.own_tail(&north().key(), &fresh.replica, Filled::WithCounty);
    let known = OwnTail::InDoubt(TailDoubt::KnownElsewhere { read: 3, known: 4 });
    assert_eq!(tail, known);
}
