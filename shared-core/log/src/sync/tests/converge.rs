//! However links are cut, all replicas come to hold the same log.

use proptest::prelude::*;

use super::model::{AHEAD_MS, County, Cut, Station, sync, sync_over};
use crate::ids::LogId;

#[derive(Clone, Debug)]
enum Action {
    Write {
        station: usize,
        bytes: usize,
    },
    CountyWrites {
        bytes: usize,
    },
    Carry {
        from: usize,
        to: usize,
    },
    Sync {
        station: usize,
        ms_per_kib: u64,
        cut: Option<(u64, Cut)>,
    },
}

const STATIONS: usize = 3;

fn action() -> impl Strategy<Value = Action> {
    let cut = prop_oneof![Just(Cut::Request), Just(Cut::Reply), Just(Cut::AfterKeep)];
    let cut = proptest::option::of((1..6_u64, cut));
    let rate = prop_oneof![Just(0_u64), Just(10_000)];
    let station = 0..STATIONS;
    prop_oneof![
        4 => (station.clone(), 1..3_000_usize)
            .prop_map(|(station, bytes)| Action::Write { station, bytes }),
        2 => (1..3_000_usize).prop_map(|bytes| Action::CountyWrites { bytes }),
        1 => (station.clone(), station.clone()).prop_map(|(from, to)| Action::Carry { from, to }),
        3 => (station, rate, cut)
            .prop_map(|(station, ms_per_kib, cut)| Action::Sync { station, ms_per_kib, cut }),
    ]
}

fn act(action: &Action, county: &mut County, stations: &mut [Station]) {
    match action {
        Action::Write { station, bytes } => {
            stations[*station].write_note(*bytes);
        }
        Action::CountyWrites { bytes } => county.write_note(*bytes),
        Action::Carry { from, to } => {
            for event in stations[*from].events.clone() {
                stations[*to].keep(event).expect("what is carried fits");
            }
        }
        Action::Sync {
            station,
            ms_per_kib,
            cut,
        } => {
            let station = &mut stations[*station];
            sync_over(station, county, *ms_per_kib, *cut).expect("an honest county is followed");
        }
    }
}

fn stations(county: &County) -> Vec<Station> {
    // The third has a copy of the first one's key: its chain parts.
    let seeds = [10, 11, 10];
    seeds
        .map(|seed| Station::new(seed, county.root.county))
        .to_vec()
}

fn count(events: usize) -> u64 {
    u64::try_from(events).expect("it is small")
}

fn assert_all_hold_the_same(county: &mut County, stations: &mut [Station]) {
    for station in &mut *stations {
        let same_log = station.log == Some(county.log);
        let (waiting, held) = if same_log {
            (station.has().unproven, station.edge.size())
        } else {
            (count(station.events.len()), 0)
        };
        let ended = sync(station, county).expect("an honest county is followed");
        // Each round brings at least one event up or one entry down; the last may bring nothing.
        let most = waiting + count(county.events.len()) - held + 2;
        assert!(
            ended.rounds <= most,
            "{} rounds, {most} at most",
            ended.rounds
        );
        let summary = ended.summary.expect("it was not cut");
        assert_eq!(summary.refusals, []);
        assert_eq!(station.has().unproven, 0);
        assert_eq!(station.has().tails, []);
        assert!(
            station
                .events
                .iter()
                .all(|event| county.ids.contains(&event.id()))
        );
    }
    for station in &mut *stations {
        sync(station, county).expect("an honest county is followed");
        assert_eq!(station.edge.root(), county.root_hash());
        assert_eq!(station.places, county.ids);
        assert_eq!(station.provisional, 0);
        let quiet = sync(station, county).expect("an honest county is followed");
        assert_eq!(
            (quiet.rounds, quiet.runs, quiet.up, quiet.down),
            (1, 0, 0, 0)
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]
    #[test]
    fn replicas_come_to_hold_the_same_log(actions in prop::collection::vec(action(), 1..40)) {
        let mut county = County::new();
        let mut stations = stations(&county);
        for action in &actions {
            act(action, &mut county, &mut stations);
        }
        assert_all_hold_the_same(&mut county, &mut stations);
    }

    #[test]
    fn county_put_back_under_a_new_log_gets_everything_again(
        actions in prop::collection::vec(action(), 1..25),
        entries in 1..20_usize,
        later in prop::collection::vec(action(), 0..10),
    ) {
        let mut county = County::new();
        let mut stations = stations(&county);
        for action in &actions {
            act(action, &mut county, &mut stations);
        }
        let mut county = county.restored(entries, LogId::from_bytes([2; 16]));
        // A restored county goes on with a new working key.
        county.working = crate::chains::tests::Writer::new(3, county.root.county);
        county.admit_working();
        for action in &later {
            act(action, &mut county, &mut stations);
        }
        assert_all_hold_the_same(&mut county, &mut stations);
    }
}

#[test]
fn own_events_come_back_by_id() {
    let mut county = County::new();
    let mut station = Station::new(10, county.root.county);
    for _ in 0..200 {
        station.write_note(1_000);
    }
    let ended = sync(&mut station, &mut county).expect("an honest county is followed");
    assert!(ended.up > 200_000, "{} bytes up", ended.up);
    // 32 bytes of id, 4 of time and 5 of tags and lengths each.
    assert!(ended.down < 201 * 60, "{} bytes down", ended.down);
    let summary = ended.summary.expect("it was not cut");
    assert_eq!(
        (summary.sent, summary.received, summary.county_size),
        (200, 201, 201)
    );
}

#[test]
fn cut_costs_at_most_a_chunk() {
    let mut county = County::new();
    let mut station = Station::new(10, county.root.county);
    for _ in 0..100 {
        station.write_note(1_000);
    }
    let mut up = 0;
    // Cut again and again in the second round, on a link that never gets beyond the first size.
    for _ in 0..60 {
        let cut = Some((2, Cut::Reply));
        let ended = sync_over(&mut station, &mut county, 625, cut).expect("followed");
        up += ended.up;
        if ended.summary.is_some() {
            break;
        }
    }
    assert_eq!(station.edge.root(), county.root_hash());
    assert_eq!(station.has().unproven, 0);
    assert!(up < 2 * 100 * 1_250, "{up} bytes up for 100 events");
}

#[test]
fn what_somebody_carried_there_is_not_sent_again() {
    let mut county = County::new();
    let mut station = Station::new(10, county.root.county);
    for _ in 0..100 {
        station.write_note(1_000);
    }
    for event in station.events.iter().take(90).cloned() {
        county.keep(event).expect("it fits");
    }
    let ended = sync(&mut station, &mut county).expect("an honest county is followed");
    // The first chunk goes up before the county's word is heard, and the ten that it lacked.
    assert!(ended.up < 16 * 1024 + 12 * 1_250, "{} bytes up", ended.up);
    assert_eq!(station.edge.root(), county.root_hash());
}

#[test]
fn county_that_holds_another_branch_gets_this_one_too() {
    let mut county = County::new();
    let mut station = Station::new(10, county.root.county);
    let mut copy = Station::new(10, county.root.county);
    // What it carries fills the first chunk, so that the county's word comes before its own chain.
    let mut carried = Station::new(11, county.root.county);
    for _ in 0..20 {
        carried.write_note(1_000);
    }
    for event in carried.events {
        station.keep(event).expect("it fits");
    }
    let shared = station.writer.note(1);
    copy.writer.head = station.writer.head;
    for replica in [&mut station, &mut copy] {
        replica.keep(shared.clone()).expect("it fits");
    }
    for bytes in 1..60 {
        station.write_note(1_000 + bytes);
    }
    for bytes in 1..40 {
        copy.write_note(2_000 + bytes);
    }
    sync(&mut copy, &mut county).expect("an honest county is followed");
    let mut stations = [station, copy];
    assert_all_hold_the_same(&mut county, &mut stations);
    assert_eq!(county.ids.len(), 1 + 20 + 1 + 59 + 39);
}

#[test]
fn clocks_are_compared() {
    let mut county = County::new();
    let mut station = Station::new(10, county.root.county);
    let ended = sync(&mut station, &mut county).expect("an honest county is followed");
    let offset = ended.summary.and_then(|summary| summary.offset_ms);
    assert_eq!(offset, Some((AHEAD_MS, 0)));
}
