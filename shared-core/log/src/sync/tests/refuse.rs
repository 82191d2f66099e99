//! What a station does not take from a county, and a county not from a station.

use sponson_proto::county::v1::SignedCheckpoint;
use sponson_proto::sync::v1::{ExchangeReply, ExchangeRequest, county_entry::What};

use super::model::{County, Cut, Link, Station, run, sync, sync_over};
use crate::chains::Chains;
use crate::chains::tests::Writer;
use crate::checkpoint::Checkpoint;
use crate::event::SignedEvent;
use crate::ids::LogId;
use crate::sync::county::{EVENTS_MAX, Request, RequestError, TAILS_MAX, tail};
use crate::sync::station::SyncError;

/// A county of 60 entries of 1 KiB (four chunks), and a station that holds the first 20.
fn county_and_station() -> (County, Station) {
    let mut county = County::new();
    let mut station = Station::new(10, county.root.county);
    for _ in 0..19 {
        county.write_note(1_000);
    }
    sync(&mut station, &mut county).expect("an honest county is followed");
    for _ in 0..40 {
        county.write_note(1_000);
    }
    (county, station)
}

/// Syncs over a link on which one reply is changed.
fn changed(round: u32, mut change: impl FnMut(&mut ExchangeReply)) -> Result<(), SyncError> {
    let (mut county, mut station) = county_and_station();
    let mut rounds = 0;
    let mut at_round = |reply: &mut ExchangeReply| {
        rounds += 1;
        if rounds == round {
            change(reply);
        }
    };
    let link = Link {
        ms_per_kib: 625,
        cut: None,
        change: &mut at_round,
    };
    let ended = run(&mut station, &mut county, link);
    if ended.is_err() {
        // What was kept before is still the beginning of the county's log.
        assert_eq!(station.provisional, 0);
        sync(&mut station, &mut county).expect("an honest county is followed");
        assert_eq!(station.edge.root(), county.root_hash());
    }
    assert!(rounds >= round, "there was no such round");
    ended.map(|_| ())
}

#[test]
fn changed_entries_are_refused_in_the_first_and_in_the_last_chunk() {
    for round in [1, 3] {
        let received = changed(round, |reply| reply.entries[1].received_unix_ms += 1);
        assert!(
            matches!(received, Err(SyncError::Inconsistent(_))),
            "{received:?}"
        );
        let order = changed(round, |reply| reply.entries.swap(0, 1));
        assert!(
            matches!(order, Err(SyncError::Inconsistent(_))),
            "{order:?}"
        );
        let left_out = changed(round, |reply| drop(reply.entries.remove(0)));
        assert!(
            matches!(left_out, Err(SyncError::Inconsistent(_))),
            "{left_out:?}"
        );
        let byte = changed(round, |reply| {
            if let Some(What::Event(event)) = &mut reply.entries[1].what {
                let mut body = event.body.to_vec();
                *body.last_mut().expect("a body has bytes") ^= 1;
                event.body = body.into();
            }
        });
        assert!(matches!(byte, Err(SyncError::BadEntry { .. })), "{byte:?}");
        let nothing = changed(round, |reply| reply.entries[1].what = None);
        assert!(
            matches!(nothing, Err(SyncError::BadEntry { .. })),
            "{nothing:?}"
        );
    }
}

#[test]
fn unchanged_replies_are_taken() {
    assert_eq!(changed(1, |_| ()), Ok(()));
    assert_eq!(changed(3, |_| ()), Ok(()));
}

#[test]
fn proofs_that_do_not_belong_are_refused() {
    let cases: [fn(&mut ExchangeReply); 4] = [
        |reply| reply.consistency = None,
        |reply| {
            let proof = reply
                .consistency
                .as_mut()
                .expect("the chunk is not the last");
            proof.path.pop();
        },
        |reply| {
            let proof = reply
                .consistency
                .as_mut()
                .expect("the chunk is not the last");
            proof.old_size += 1;
        },
        |reply| {
            let proof = reply
                .consistency
                .as_mut()
                .expect("the chunk is not the last");
            proof.path[0] = vec![1; 32].into();
        },
    ];
    for case in cases {
        let refused = changed(1, case);
        assert!(
            matches!(refused, Err(SyncError::Inconsistent(_))),
            "{refused:?}"
        );
    }
    let short = changed(1, |reply| {
        let proof = reply
            .consistency
            .as_mut()
            .expect("the chunk is not the last");
        proof.path[0] = vec![1; 31].into();
    });
    assert!(matches!(short, Err(SyncError::Unreadable(_))), "{short:?}");
}

#[test]
fn checkpoints_that_are_not_this_countys_are_refused() {
    let county = County::new();
    let sign = |writer: &Writer, reply: &ExchangeReply| -> SignedCheckpoint {
        let signed = reply.checkpoint.clone().expect("there is one");
        let open = Checkpoint::open(signed).expect("it is right");
        let (tree, log) = (open.tree(), open.log);
        let signed = Checkpoint::sign(&writer.device, writer.county, log, tree, open.unix_ms);
        signed.to_wire().clone()
    };
    let stranger = Writer::new(99, county.root.county);
    let refused = changed(3, |reply| reply.checkpoint = Some(sign(&stranger, reply)));
    assert!(
        matches!(refused, Err(SyncError::NotThisCounty(_))),
        "{refused:?}"
    );
    let elsewhere = Writer::root(98);
    let refused = changed(1, |reply| reply.checkpoint = Some(sign(&elsewhere, reply)));
    assert!(
        matches!(refused, Err(SyncError::NotThisCounty(_))),
        "{refused:?}"
    );
    let missing = changed(1, |reply| reply.checkpoint = None);
    assert!(
        matches!(missing, Err(SyncError::Unreadable(_))),
        "{missing:?}"
    );
    let said = changed(1, |reply| reply.other_log = true);
    assert!(matches!(said, Err(SyncError::Inconsistent(_))), "{said:?}");
}

#[test]
fn county_that_is_less_than_it_signed_is_refused() {
    let (county, mut station) = county_and_station();
    let mut older = county.restored(10, county.log);
    let refused = sync(&mut station, &mut older).map(|_| ());
    assert!(
        matches!(refused, Err(SyncError::Inconsistent(_))),
        "{refused:?}"
    );
    let request = ExchangeRequest {
        county_id: county.root.county.to_bytes(),
        log_id: county.log.to_bytes(),
        size: 20,
        ..ExchangeRequest::default()
    };
    let request = Request::open(county.root.county, request).expect("it is right");
    assert!(request.is_beyond(county.log, 10) && !request.is_beyond(county.log, 20));
    assert!(!request.is_beyond(LogId::from_bytes([7; 16]), 10));
}

#[test]
fn county_that_goes_on_otherwise_than_it_signed_is_refused() {
    // The station knows a checkpoint of more than it holds: its sync was cut after a chunk.
    let (mut county, mut station) = county_and_station();
    let mut other = county.clone();
    county.write_note(1_000);
    let cut = Some((1, Cut::AfterKeep));
    sync_over(&mut station, &mut county, 625, cut).expect("it was cut");
    let signed = station
        .checkpoint
        .as_ref()
        .map(|checkpoint| checkpoint.size);
    assert!(station.edge.size() < 60 && signed == Some(61));
    // As many entries as it signed, and more; the same as far as the station holds them.
    for _ in 0..3 {
        other.write_note(1_001);
        let mut station = station.clone();
        let refused = sync(&mut station, &mut other).map(|_| ());
        assert!(
            matches!(refused, Err(SyncError::Inconsistent(_))),
            "{refused:?}"
        );
        assert!(station.edge.size() < 61);
    }
}

#[test]
fn entry_of_another_county_is_refused() {
    let (mut county, mut station) = county_and_station();
    county.enter_unchecked(Writer::root(97).note(1));
    let refused = sync(&mut station, &mut county).map(|_| ());
    assert!(
        matches!(refused, Err(SyncError::BadEntry { index: 60, .. })),
        "{refused:?}"
    );
}

#[test]
fn station_holds_what_it_sent_and_what_is_below_its_tails() {
    let mut writer = Writer::new(10, County::new().root.county);
    let (one, two, three) = (writer.note(1), writer.note(2), writer.note(3));
    let mut chains = Chains::default();
    for event in [&one, &two, &three] {
        chains.add(event);
    }
    let open = |events: Vec<SignedEvent>, tails| {
        let request = ExchangeRequest {
            county_id: writer.county.to_bytes(),
            events: events.iter().map(SignedEvent::to_wire).collect(),
            tails,
            ..ExchangeRequest::default()
        };
        let request = Request::open(writer.county, request).expect("it is right");
        [&one, &two, &three].map(|event| request.holds(event, &chains))
    };
    let tail_at = |event: &SignedEvent| tail(&writer.key(), event.header().seq, &event.id());
    assert_eq!(open(vec![], vec![]), [false; 3]);
    assert_eq!(open(vec![two.clone()], vec![]), [false, true, false]);
    assert_eq!(open(vec![], vec![tail_at(&two)]), [true, true, false]);
    // A head that the county does not hold says nothing of what it does hold.
    let unknown = tail(&writer.key(), 3, &crate::ids::EventId::from_bytes([9; 32]));
    assert_eq!(open(vec![], vec![unknown]), [false; 3]);
}

#[test]
fn county_that_brings_nothing_is_given_up() {
    let (mut county, mut station) = county_and_station();
    let mut rounds = 0;
    let mut empty = |reply: &mut ExchangeReply| {
        rounds += 1;
        reply.entries.clear();
        reply.consistency = None;
    };
    let mut fresh = Station::new(11, county.root.county);
    let link = Link {
        ms_per_kib: 0,
        cut: None,
        change: &mut empty,
    };
    let refused = run(&mut fresh, &mut county, link).map(|_| ());
    assert!(
        matches!(refused, Err(SyncError::Inconsistent(_))),
        "{refused:?}"
    );
    assert_eq!(rounds, 8);
    sync(&mut station, &mut county).expect("an honest county is followed");
}

#[test]
fn checkpoint_of_a_key_admitted_further_on_is_provisional_until_then() {
    let mut county = County::new();
    let mut station = Station::new(10, county.root.county);
    for _ in 0..40 {
        county.write_note(1_000);
    }
    county.working = Writer::new(3, county.root.county);
    county.admit_working();
    let cut = Some((1, Cut::AfterKeep));
    sync_over(&mut station, &mut county, 625, cut).expect("it was cut");
    assert!(station.provisional > 0 && station.checkpoint.is_none());
    sync(&mut station, &mut county).expect("an honest county is followed");
    assert_eq!(station.provisional, 0);
    assert_eq!(station.edge.root(), county.root_hash());
}

#[test]
fn events_that_the_county_refuses_are_named_and_do_not_stop_the_rest() {
    let mut county = County::new();
    let mut station = Station::new(10, county.root.county);
    let mut lost = Writer::new(11, county.root.county);
    lost.note(1);
    let orphan = lost.note(2);
    // As from a damaged store: the event before is not there.
    station.events.push(orphan.clone());
    let own = station.write_note(3);
    let ended = sync(&mut station, &mut county).expect("an honest county is followed");
    let summary = ended.summary.expect("it was not cut");
    assert_eq!(summary.refusals.len(), 1);
    assert_eq!(summary.refusals[0].0, orphan.id());
    assert!(county.ids.contains(&own) && station.places.contains(&own));
}

#[test]
fn requests_beyond_the_limits_are_refused() {
    let county = County::new();
    let id = county.root.county;
    let good = ExchangeRequest {
        county_id: id.to_bytes(),
        ..ExchangeRequest::default()
    };
    let open = |request: ExchangeRequest| Request::open(id, request).map(|request| request.size);
    assert_eq!(open(good.clone()), Ok(0));
    let other = open(ExchangeRequest {
        county_id: vec![5; 16].into(),
        ..good.clone()
    });
    assert!(
        matches!(other, Err(RequestError::OtherCounty { .. })),
        "{other:?}"
    );
    let events = open(ExchangeRequest {
        events: vec![Default::default(); EVENTS_MAX + 1],
        ..good.clone()
    });
    assert!(
        matches!(events, Err(RequestError::TooMany { count: 10_001, .. })),
        "{events:?}"
    );
    let tails = open(ExchangeRequest {
        tails: vec![Default::default(); TAILS_MAX + 1],
        ..good.clone()
    });
    assert!(
        matches!(tails, Err(RequestError::TooMany { count: 1_025, .. })),
        "{tails:?}"
    );
    let log = open(ExchangeRequest {
        log_id: vec![1; 3].into(),
        ..good.clone()
    });
    assert!(
        matches!(
            log,
            Err(RequestError::Unreadable {
                field: "log_id",
                ..
            })
        ),
        "{log:?}"
    );
    // An event that is none is refused by itself.
    let request = ExchangeRequest {
        events: vec![Default::default()],
        ..good
    };
    let request = Request::open(id, request).expect("it is right");
    assert_eq!((request.events.len(), request.refusals().len()), (0, 1));
}

#[test]
fn a_station_is_heard_only_once_all_that_it_has_is_held() {
    let county = County::new();
    let mut writer = Writer::new(10, county.root.county);
    let events = [writer.note(10), writer.note(10), writer.note(10)];
    let request = ExchangeRequest {
        county_id: county.root.county.to_bytes(),
        tails: vec![tail(&writer.key(), 3, &events[2].id())],
        ..ExchangeRequest::default()
    };
    let request = Request::open(county.root.county, request).expect("it is right in form");
    let mut chains = Chains::default();
    for event in &events {
        assert!(
            !request.is_all_held(county.log, &chains),
            "{}",
            event.header().seq
        );
        chains.add(event);
    }
    assert!(request.is_all_held(county.log, &chains));
    // What another log proved may have been lost here since.
    let mut elsewhere = request;
    elsewhere.log = Some(LogId::from_bytes([9; 16]));
    assert!(!elsewhere.is_all_held(county.log, &chains));
}
