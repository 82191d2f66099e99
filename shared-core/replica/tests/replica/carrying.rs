//! Carry files out of one replica and into another.

use sponson_log::carry::{MAGIC, frame, read};
use sponson_proto::carry::v1::carry_record::What;
use sponson_proto::event::v1::Event;
use sponson_proto::sync::v1::CountyEntry;
use sponson_proto::sync::v1::county_entry::What as EntryWhat;
use sponson_replica::{CarryInError, CarryScope, Replica};

use crate::county::{
    DAY, MINUTE, NORTH, START, craft_registered, fault, found, join, next_run, north, reading,
    south, sync,
};

fn carried(replica: &Replica, scope: CarryScope) -> (Vec<u8>, u64) {
    let mut file = Vec::new();
    let events = replica.carry_out(scope, START + DAY, &mut |bytes| file.extend(bytes));
    (file, events)
}

#[test]
fn a_file_brings_everything_to_a_station_that_has_nothing() {
    let mut county = found();
    let mut writer = join(north());
    writer.append(craft_registered("4-1", NORTH), START + DAY);
    sync(&mut writer, &mut county, START + DAY);
    writer.append(fault("leak"), START + DAY + MINUTE);

    let (file, events) = carried(&writer.replica, CarryScope::All);
    assert_eq!(events, 9);
    let mut reader = join(south());
    let kept = reader
        .replica
        .carry_in(&file, START + 2 * DAY)
        .expect("the file is whole");
    assert_eq!((kept.new.len(), kept.held, kept.refused.len()), (9, 0, 0));
    assert_eq!(reader.replica.known_by(), writer.replica.known_by());
    assert_eq!(reader.record_bytes(), writer.record_bytes());
    let again = reader
        .replica
        .carry_in(&file, START + 2 * DAY)
        .expect("the file is whole");
    assert_eq!((again.new.len(), again.held), (0, 9));

    let kept = county
        .replica
        .carry_in(&file, START + 2 * DAY)
        .expect("the file is whole");
    assert_eq!((kept.new.len(), kept.held), (1, 8));
}

#[test]
fn what_a_cut_sync_brought_is_carried_on() {
    let mut county = found();
    let mut station = join(north());
    station.append(craft_registered("4-1", NORTH), START + DAY);
    sync(&mut station, &mut county, START + DAY);
    for hour in 1..6 {
        county.append(fault("leak"), START + DAY + hour * MINUTE);
    }
    // One entry a run: the checkpoint is not reached.
    for joined in [&mut station, &mut join(south())] {
        for _ in 0..2 {
            let run = next_run(&joined.replica, &county.replica, 1, START + 2 * DAY);
            let kept = joined.replica.keep_run(&run, START + 2 * DAY);
            assert_eq!(kept.expect("it follows").new.len(), 1);
        }
        let held = joined.replica.about().events;
        let (file, events) = carried(&joined.replica, CarryScope::All);
        assert_eq!(events, held);
        let kept = join(south()).replica.carry_in(&file, START + 2 * DAY);
        let kept = kept.expect("the file is whole");
        assert_eq!((kept.new.len() as u64, kept.refused.len()), (held, 0));
    }
}

#[test]
fn only_what_is_new_is_a_smaller_file() {
    let mut county = found();
    let mut station = join(north());
    station.append(craft_registered("4-1", NORTH), START + DAY);
    sync(&mut station, &mut county, START + DAY);
    station.append(reading(20_000), START + DAY + MINUTE);
    let (file, events) = carried(&station.replica, CarryScope::New);
    assert_eq!(events, 1);
    let kept = county
        .replica
        .carry_in(&file, START + 2 * DAY)
        .expect("the file is whole");
    assert_eq!(kept.new.len(), 1);
    // Without what it refers to nothing fits, and that is said.
    let mut other = join(south());
    let kept = other
        .replica
        .carry_in(&file, START + 2 * DAY)
        .expect("the file is whole");
    assert_eq!(kept.refused[0].reason, "MISSING_REFERENCES");
    assert!(!kept.refused[0].missing.is_empty());
}

#[test]
fn one_changed_byte_and_nothing_is_kept() {
    let county = found();
    let (file, _) = carried(&county.replica, CarryScope::All);
    let mut reader = join(south());
    for at in (0..file.len()).step_by(file.len() / 64) {
        let mut changed = file.clone();
        changed[at] ^= 1;
        let refused = reader.replica.carry_in(&changed, START + DAY);
        assert!(
            matches!(refused, Err(CarryInError::File(_))),
            "byte {at}: {refused:?}"
        );
    }
    for length in [0, 10, 100, file.len() - 1] {
        let refused = reader.replica.carry_in(&file[..length], START + DAY);
        assert!(
            matches!(refused, Err(CarryInError::File(_))),
            "{length}: {refused:?}"
        );
    }
    assert_eq!(reader.replica.about().events, 0);
}

#[test]
fn an_older_file_adds_nothing_and_loses_nothing() {
    let mut county = found();
    let (older, _) = carried(&county.replica, CarryScope::All);
    county.append(craft_registered("4-1", NORTH), START + DAY);
    let (newer, _) = carried(&county.replica, CarryScope::All);
    let mut station = join(south());
    station
        .replica
        .carry_in(&newer, START + DAY)
        .expect("the file is whole");
    let known = station.replica.known_by();
    let kept = station
        .replica
        .carry_in(&older, START + DAY)
        .expect("the file is whole");
    assert_eq!((kept.new.len(), kept.held), (0, 7));
    assert_eq!(station.replica.known_by(), known);
}

/// An event that is held was verified when it was kept; another signature under it was not.
#[test]
fn another_signature_of_an_event_that_is_held_is_refused() {
    let mut county = found();
    county.append(craft_registered("4-1", NORTH), START + DAY);
    let (file, _) = carried(&county.replica, CarryScope::All);
    let mut station = join(south());
    for holds in [false, true] {
        for (what, change) in [("signature", 0), ("algorithm", 1)] {
            let changed = with_events_changed(&file, |event| {
                if change == 0 {
                    let mut signature = event.signature.to_vec();
                    signature[9] ^= 1;
                    event.signature = signature.into();
                } else {
                    event.algorithm += 1;
                }
            });
            let refused = station.replica.carry_in(&changed, START + DAY);
            assert!(
                matches!(refused, Err(CarryInError::Record { .. })),
                "{what}, held: {holds}: {refused:?}"
            );
        }
        let kept = station.replica.carry_in(&file, START + DAY);
        kept.expect("the file is whole");
    }
}

/// After the county was put back it signed another history. Its events count for a station that
/// followed the lost one, and the station stays where it stands; a file in which a time was changed
/// is no history that the county signed, and nothing of it is kept.
#[test]
fn a_file_of_another_history_brings_its_events_and_no_places() {
    let mut lost = found();
    for number in ["4-1", "4-2"] {
        lost.append(craft_registered(number, NORTH), START + DAY);
    }
    let mut county = found();
    // Fewer entries than the station has, then more.
    for (number, entries) in [("4-3", 1), ("4-4", 2), ("4-5", 3)] {
        county.append(craft_registered(number, NORTH), START + DAY + MINUTE);
        let (file, _) = carried(&county.replica, CarryScope::All);
        let mut station = join(south());
        let (before, _) = carried(&lost.replica, CarryScope::All);
        let taken = station.replica.carry_in(&before, START + DAY);
        taken.expect("the file is whole");
        let stands = station.replica.tree().edge().clone();

        let changed = with_entries_changed(&file, |entry| entry.received_unix_ms += 1);
        let refused = station.replica.carry_in(&changed, START + DAY);
        assert!(
            matches!(refused, Err(CarryInError::Record { .. })),
            "{entries} entries: {refused:?}"
        );
        let kept = station.replica.carry_in(&file, START + DAY);
        let kept = kept.expect("the county signed it");
        assert_eq!((kept.new.len(), kept.refused.len()), (entries, 0));
        assert_eq!(station.replica.tree().edge(), &stands);
    }
}

/// The first entries of a cut sync are those of both histories; the checkpoint beyond them is of one.
#[test]
fn a_cut_sync_holds_a_station_to_the_history_that_it_was_shown() {
    let mut lost = found();
    let mut county = found();
    for number in ["4-1", "4-2"] {
        lost.append(craft_registered(number, NORTH), START + DAY);
        county.append(craft_registered(number, NORTH), START + DAY + MINUTE);
    }
    let mut station = join(south());
    let mut run = next_run(&station.replica, &lost.replica, 1, START + DAY);
    run.checkpoint = lost.replica.checkpoint(START + DAY);
    let kept = station.replica.keep_run(&run, START + DAY);
    assert_eq!(kept.expect("it follows").new.len(), 1);

    let held = county.replica.about().events;
    let (file, _) = carried(&county.replica, CarryScope::All);
    let kept = station.replica.carry_in(&file, START + DAY);
    let kept = kept.expect("the county signed it");
    assert_eq!((kept.new.len() as u64, kept.held), (held - 1, 1));
    assert_eq!(station.replica.tree().size(), 1);

    // The one that it was shown goes on.
    let (file, _) = carried(&lost.replica, CarryScope::All);
    let kept = station.replica.carry_in(&file, START + DAY);
    assert_eq!(kept.expect("the county signed it").new.len(), 2);
    assert_eq!(station.replica.tree().edge(), lost.replica.tree().edge());
}

/// The same file with every event of the county log changed.
fn with_events_changed(file: &[u8], change: impl Fn(&mut Event)) -> Vec<u8> {
    with_entries_changed(file, |entry| {
        if let Some(EntryWhat::Event(event)) = &mut entry.what {
            change(event);
        }
    })
}

/// The same file with every entry of the county log changed.
fn with_entries_changed(file: &[u8], change: impl Fn(&mut CountyEntry)) -> Vec<u8> {
    let records = read(file).expect("the file is whole").into_iter();
    let changed = records.map(|mut record| {
        if let Some(What::CountyRun(run)) = &mut record.what {
            run.entries.iter_mut().for_each(&change);
        }
        frame(&record)
    });
    std::iter::once(MAGIC.to_vec())
        .chain(changed)
        .flatten()
        .collect()
}
