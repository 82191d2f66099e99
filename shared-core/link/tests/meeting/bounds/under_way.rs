//! Checks under way: begun, entered, recorded, tried.

use prost::Message as _;
use sponson_link::local::under_way::{OPEN_MAX, UNDER_WAY_FOLDER};
use sponson_link::local::{Local, Opening, Side, connect};
use sponson_proto::service::v1 as service;

use super::{held, long};
use crate::answer::adopt_standards;
use crate::world::{County, Station, entropy, limited};

/// A station's folder, opened as a command opens it.
async fn opened(county: &County, station: &Station) -> Local {
    let opening = Opening {
        folder: station.folder.path().to_owned(),
        side: Side::Station(county.at()),
        clock: county.hands.clock(),
        entropy: entropy(77),
        version: "test".to_owned(),
        places: None,
    };
    connect(opening).await.expect("opened")
}

fn begin(craft: &[u8], number: usize, member: usize) -> service::BeginRequest {
    service::BeginRequest {
        craft: craft.to_vec().into(),
        craft_number: long(number),
        kind: service::UnderWayKind::Full as i32,
        member: long(member),
        ..service::BeginRequest::default()
    }
}

#[tokio::test]
async fn a_check_under_way() {
    limited(async {
        let county = County::found(4).await;
        let station = Station::join(&county, "North", 14).await;
        let craft = station.register("Marsh 21").await;
        station.shared.close().await;
        let local = opened(&county, &station).await;
        let mut client = local.client();
        let mut one = async |request| client.begin(request).await;
        let number = (
            one(begin(&craft, 64, 1)).await,
            one(begin(&craft, 65, 1)).await,
        );
        held(number.0, number.1, "a number of at most 64 bytes");
        let member = (
            one(begin(&craft, 1, 32)).await,
            one(begin(&craft, 1, 33)).await,
        );
        held(member.0, member.1, "at most 32 bytes");
        let longer = [craft.as_slice(), &[0]].concat();
        let named = (
            one(begin(&craft, 1, 1)).await,
            one(begin(&longer, 1, 1)).await,
        );
        held(named.0, named.1, "name one by its id");
        let standard = |bytes: usize| service::BeginRequest {
            standard: vec![7; bytes].into(),
            ..begin(&craft, 1, 1)
        };
        let by = (one(standard(32)).await, one(standard(33)).await);
        held(by.0, by.1, "standard has 33 bytes");
        // Four are under way by now.
        for _ in 4..OPEN_MAX - 1 {
            one(begin(&craft, 1, 1)).await.expect("there is room");
        }
        let last = (
            one(begin(&craft, 1, 1)).await,
            one(begin(&craft, 1, 1)).await,
        );
        held(last.0, last.1, "64 checks are under way here");
        local.close().await;
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn fields_of_a_check_under_way() {
    limited(async {
        let county = County::found(5).await;
        let station = Station::join(&county, "North", 15).await;
        let craft = station.register("Marsh 21").await;
        station.shared.close().await;
        let local = opened(&county, &station).await;
        let mut client = local.client();
        let mut fresh = async || {
            let begun = client.begin(begin(&craft, 1, 1)).await.expect("begins");
            begun.into_inner().check.expect("a check").id
        };
        let (id, full, wide) = (fresh().await, fresh().await, fresh().await);
        let enter = |id: &str, fields: Vec<(String, String)>| {
            let fields = fields.into_iter();
            let request = service::EnterRequest {
                id: id.to_owned(),
                member: "M-1".to_owned(),
                fields: fields
                    .map(|(name, value)| service::FieldTyped { name, value })
                    .collect(),
            };
            let mut client = local.client();
            async move { client.enter(request).await }
        };
        let fields = |from: usize, count: usize, value: usize| -> Vec<(String, String)> {
            let names = (from..from + count).map(|at| format!("f{at}"));
            names.map(|name| (name, long(value))).collect()
        };
        let at_once = (
            enter(&id, fields(0, 256, 1)).await,
            enter(&id, fields(0, 257, 1)).await,
        );
        held(
            at_once.0,
            at_once.1,
            "257 fields were sent at once: send at most 256",
        );
        let named = |length| vec![(long(length), "1".to_owned())];
        let name = (enter(&id, named(160)).await, enter(&id, named(161)).await);
        held(name.0, name.1, "too long");
        let value = (
            enter(&id, fields(0, 1, 4_096)).await,
            enter(&id, fields(0, 1, 4_097)).await,
        );
        held(value.0, value.1, "at most 4096 bytes");
        // A thousand fields, and not one more; one that is there already can still be changed.
        for from in [0, 250, 500, 750] {
            enter(&full, fields(from, 250, 1))
                .await
                .expect("there is room");
        }
        let more = (
            enter(&full, fields(0, 1, 2)).await,
            enter(&full, fields(1_000, 1, 1)).await,
        );
        held(more.0, more.1, "record it");
        // A mebibyte of entries: 200 values of 4 KiB fit once, and not twice.
        let bytes = (
            enter(&wide, fields(0, 200, 4_096)).await,
            enter(&wide, fields(0, 200, 4_095)).await,
        );
        held(bytes.0, bytes.1, "record it");
        let check = enter(&id, Vec::new()).await.expect("entered").into_inner();
        let check = check.check.expect("a check");
        let record = |count: usize| {
            let request = service::RecordUnderWayRequest {
                id: check.id.clone(),
                member: "M-1".to_owned(),
                events: vec![service::AppendRequest::default(); count],
                entries: check.entries,
            };
            let mut client = local.client();
            async move { client.record_under_way(request).await }
        };
        let over = record(33).await;
        held(
            record(32).await,
            over,
            "33 events were sent: a check becomes 1 to 32",
        );
        local.close().await;
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn fields_that_somebody_stands_by() {
    limited(async {
        let county = County::found(7).await;
        adopt_standards(&county).await;
        let station = Station::join(&county, "North", 17).await;
        let craft = station.register("Marsh 21").await;
        let local = station.local().await;
        let tried = |count: usize| {
            let request = service::TryCheckRequest {
                craft: craft.to_vec().into(),
                affirmed: vec!["reading.tube-1.found".to_owned(); count],
                ..service::TryCheckRequest::default()
            };
            let mut client = local.client();
            async move { client.try_check(request).await }
        };
        held(
            tried(500).await,
            tried(501).await,
            "501 fields are stood by: at most 500",
        );
        county.stop().await;
    })
    .await;
}

/// Length of the text of an event in a check's file (RFC 4648 section 4).
fn as_text(event: &service::AppendRequest) -> usize {
    event.encoded_len().div_ceil(3) * 4
}

/// An event that takes so many bytes of text, a multiple of 4.
fn event_of(text: usize) -> service::AppendRequest {
    // Before its one field stand its number, and its length in four bytes.
    let event = service::AppendRequest {
        payload: vec![7; text / 4 * 3 - 5].into(),
        ..service::AppendRequest::default()
    };
    assert_eq!(as_text(&event), text);
    event
}

#[tokio::test]
async fn what_is_to_be_recorded_of_a_check() {
    limited(async {
        let county = County::found(8).await;
        let station = Station::join(&county, "North", 18).await;
        let craft = station.register("Marsh 21").await;
        station.shared.close().await;
        let local = opened(&county, &station).await;
        let record = async |id: &str, member: usize, event: service::AppendRequest| {
            let asked = service::UnderWayRequest {
                id: id.to_owned(),
                ..service::UnderWayRequest::default()
            };
            let listed = local.client().under_way(asked).await.expect("it is there");
            let request = service::RecordUnderWayRequest {
                id: id.to_owned(),
                member: long(member),
                events: vec![event],
                entries: listed.into_inner().checks[0].entries,
            };
            local.client().record_under_way(request).await.map(|_| ())
        };
        // With what is in the file already, to the byte; the rest is for noting what was recorded.
        let most = 3 * 1024 * 1024 - 64 * 1024;
        let mut said = Vec::new();
        for bytes in [most, most + 1] {
            let begun = local.client().begin(begin(&craft, 1, 1)).await;
            let id = begun
                .expect("begins")
                .into_inner()
                .check
                .expect("a check")
                .id;
            let folder = station.folder.path().join(UNDER_WAY_FOLDER);
            let file = folder.join(&id).with_extension("check");
            // No event is of no kind: it is written down, refused, and the check is open again.
            let probe = service::AppendRequest {
                payload: vec![7; 30].into(),
                ..service::AppendRequest::default()
            };
            record(&id, 4, probe.clone()).await.expect_err("no kind");
            let text = std::fs::read_to_string(&file).expect("there");
            let line = text.lines().rev().nth(1).expect("what was to be recorded");
            let around = line.len() + 1 - as_text(&probe) - 4;
            let left = bytes - text.len() - around;
            // The member's number fills what is no multiple of 4.
            let member = 4 + left % 4;
            said.push(record(&id, member, event_of(left - member)).await);
        }
        let over = said.pop().expect("two");
        held(
            said.pop().expect("two"),
            over,
            "this check takes 3080193 bytes with what is to be recorded, and at most 3080192",
        );
        local.close().await;
        county.stop().await;
    })
    .await;
}
