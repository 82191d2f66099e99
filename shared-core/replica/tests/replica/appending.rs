//! Recording events: what the header is filled with, and that it is there afterwards.

use sponson_proto::event::v1::{CheckExtent, Kind, SubjectType};
use sponson_replica::Page;

use crate::county::{
    CRAFT, DAY, MINUTE, NORTH, START, about, craft_registered, event, fault, found, join, north,
    note, reading, sync,
};

#[test]
fn what_was_recorded_is_there_after_closing() {
    let mut station = join(north());
    let registered = station.append(craft_registered("4-1", NORTH), START);
    let found = station.append(fault("leak"), START + MINUTE);
    let events = station.events();
    let records = station.record_bytes();

    let mut station = station.reopen(north());
    assert_eq!(station.events(), events);
    assert_eq!(station.record_bytes(), records);
    assert_eq!(events[0].id(), registered);
    assert_eq!(events[1].id(), found);
    let header = events[1].header();
    assert_eq!((header.seq, header.previous), (2, Some(registered)));
    assert_eq!(header.subjects[0].seen, [registered]);
}

#[test]
fn the_county_gives_its_own_events_the_next_place() {
    let mut county = found();
    let size = county.replica.tree().size();
    // A clock that goes back does not take the log's times back.
    let id = county.append(craft_registered("4-1", NORTH), START - DAY);
    let (index, received) = county.replica.place(&id).expect("it has a place");
    assert_eq!(index, size);
    assert_eq!(received, START + 6 * MINUTE);
    assert_eq!(county.replica.known_by().beyond, 0);
}

#[test]
fn a_late_entry_has_seen_only_what_was_observed_before_it() {
    let mut station = join(north());
    let registered = station.append(craft_registered("4-1", NORTH), START);
    let old = station.append(reading(20_000), START + DAY);
    let newer = station.append(reading(19_000), START + 3 * DAY);
    let mut late = fault("tear");
    late.observed = Some((START + 2 * DAY, START + 2 * DAY));
    station.append(late, START + 4 * DAY);
    let mut oldest = fault("leak");
    oldest.observed = Some((START + MINUTE, START + MINUTE));
    station.append(oldest, START + 4 * DAY);

    let events = station.events();
    assert_eq!(events[2].id(), newer);
    assert_eq!(events[3].header().subjects[0].seen, [old]);
    assert_eq!(events[4].header().subjects[0].seen, [registered]);
    // The next ordinary event joins all that nothing had seen.
    let joined = station.append(reading(18_000), START + 5 * DAY);
    let lines = station
        .replica
        .log_page(None, Page::Newest, 1)
        .expect("rows are whole");
    assert_eq!(lines[0].event.id(), joined);
    assert_eq!(lines[0].event.header().subjects[0].seen.len(), 3);
}

#[test]
fn long_bodies_and_texts_come_back_whole() {
    let mut station = join(north());
    let answers = (0..1_500).map(|line| sponson_proto::event::v1::Answer {
        line: format!("a-long-name-of-a-line-{line}"),
        value: 1,
        not_applicable: 0,
    });
    let check = sponson_proto::event::v1::Check {
        extent: CheckExtent::Full as i32,
        answers: answers.collect(),
        ..Default::default()
    };
    let mut long = event(Kind::Check, &check);
    let length = long.payload.len();
    assert!(length > 40_000, "{length}");
    long.texts = (0..16_u8)
        .map(|at| (format!("fault:{at}"), "é".repeat(2_048), [at; 16]))
        .collect();
    let id = station.append(long, START);
    let written = station.replica.event(&id).expect("rows are whole");
    let station = station.reopen(north());
    let read = station.replica.event(&id).expect("rows are whole");
    assert_eq!(read, written);
    let beside = read.expect("it is held").to_wire().beside;
    assert_eq!(beside.len(), 16);
    assert!(
        beside
            .iter()
            .all(|content| content.content == "é".repeat(2_048))
    );
    assert_eq!(
        station.replica.verify(&mut |_, _| {}).wrong,
        Vec::<String>::new()
    );
    let blobs = std::fs::read_dir(station.folder.path().join("store/blobs"));
    assert_eq!(blobs.expect("the engine's folder").count(), 0);
}

#[test]
fn a_station_names_the_checkpoint_that_it_holds() {
    let mut county = found();
    let mut station = join(north());
    station.append(craft_registered("4-1", NORTH), START);
    sync(&mut station, &mut county, START + DAY);
    let id = station.append(note("washed"), START + 2 * DAY);
    let event = station
        .replica
        .event(&id)
        .expect("rows are whole")
        .expect("held");
    let held = event.header().checkpoint.expect("it was synced");
    assert_eq!(held.size, county.replica.tree().size());
    assert_eq!(held.unix_ms, START + DAY);
}

#[test]
fn pages_of_the_log_are_newest_last() {
    let mut station = join(north());
    for minute in 0..5 {
        station.append(note("washed"), START + minute * MINUTE);
    }
    let other = (NORTH, SubjectType::Station);
    station.append(
        about(Kind::Note, &sponson_proto::event::v1::Note {}, other),
        START,
    );
    let page = |subject, page, lines| -> Vec<u64> {
        let lines = station.replica.log_page(subject, page, lines);
        let lines = lines.expect("rows are whole").into_iter();
        lines.map(|line| line.number).collect()
    };
    assert_eq!(page(None, Page::Newest, 2), [4, 5]);
    assert_eq!(page(Some(&CRAFT), Page::Newest, 2), [3, 4]);
    assert_eq!(page(Some(&CRAFT), Page::Before(3), 2), [1, 2]);
    assert_eq!(page(Some(&CRAFT), Page::After(1), 2), [2, 3]);
    assert_eq!(page(Some(&NORTH), Page::Newest, 9), [5]);
}

#[test]
fn about_says_what_the_replica_is() {
    let mut county = found();
    let mut station = join(north());
    assert!(!station.replica.about().admitted);
    station.append(craft_registered("4-1", NORTH), START);
    assert_eq!(station.replica.about().waiting, 1);
    sync(&mut station, &mut county, START + DAY);
    let about = station.replica.about();
    assert!(about.admitted);
    assert_eq!(about.station, Some((NORTH, "North Ford".to_owned())));
    assert_eq!((about.waiting, about.county_size), (0, 8));
    assert_eq!(about.log, county.replica.log_id());
}
