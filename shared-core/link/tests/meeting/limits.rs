//! Every limit on what a caller may send to the county: just under passes, just over is refused.

use bytes::Bytes;
use prost::Message as _;
use sponson_link::limits::{CHUNK_BYTES_MAX, DEVICE_BYTES_MAX};
use sponson_link::refusal;
use sponson_link::station::join;
use sponson_link::stubs::service::admission_client::AdmissionClient;
use sponson_link::stubs::service::county_client::CountyClient;
use sponson_link::tls::{self, Learnt, Trusted};
use sponson_log::event::BODY_BYTES_MAX;
use sponson_log::sync::county::{EVENTS_MAX, ROOT_EVENTS_MAX, TAILS_MAX};
use sponson_proto::answer::v1::Question;
use sponson_proto::event::v1::Event;
use sponson_proto::service::v1 as service;
use sponson_proto::sync::v1::county_entry::What;
use sponson_proto::sync::v1::{ChainTail, CountyEntry, ExchangeRequest, PlacedBefore};
use tonic::Status;
use tonic::transport::Channel;

use crate::answer::adopt_standards;
use crate::world::{County, Station, device, limited};

fn reason(status: &Status) -> String {
    refusal::reason(status).unwrap_or_default()
}

async fn exchanged(
    county: &County,
    station: &Station,
    request: ExchangeRequest,
) -> Result<Vec<String>, String> {
    let request = ExchangeRequest {
        county_id: station.joined.county.to_bytes(),
        ..request
    };
    match station.exchanger(county).await.exchange(request).await {
        Ok(reply) => {
            let refusals = reply.into_inner().refusals.into_iter();
            Ok(refusals.map(|refusal| refusal.detail).collect())
        }
        Err(status) => Err(reason(&status)),
    }
}

#[tokio::test]
async fn a_sync_request_has_room_for_so_many_events_and_tails() {
    limited(async {
        let county = County::found(1).await;
        let north = Station::join(&county, "North", 10).await;
        let tail = |number: usize| ChainTail {
            key: number.to_be_bytes().repeat(4).into(),
            seq: 1,
            head: vec![7; 32].into(),
        };
        let events = |count| ExchangeRequest {
            events: vec![Event::default(); count],
            ..ExchangeRequest::default()
        };
        let tails = |count| ExchangeRequest {
            tails: (0..count).map(tail).collect(),
            ..ExchangeRequest::default()
        };
        let refused = exchanged(&county, &north, events(EVENTS_MAX)).await;
        assert_eq!(
            refused.expect("just fits").len(),
            EVENTS_MAX,
            "each by itself"
        );
        let refused = exchanged(&county, &north, tails(TAILS_MAX)).await;
        assert!(refused.expect("just fits").is_empty());
        for over in [events(EVENTS_MAX + 1), tails(TAILS_MAX + 1)] {
            let refused = exchanged(&county, &north, over).await;
            assert_eq!(refused.expect_err("one more"), "FIELD_NOT_READABLE");
        }
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_sync_request_has_room_for_so_many_root_events_and_places() {
    limited(async {
        let county = County::found(6).await;
        let north = Station::join(&county, "North", 10).await;
        let root_events = |count| ExchangeRequest {
            root_events: vec![Event::default(); count],
            ..ExchangeRequest::default()
        };
        let placed = |count| ExchangeRequest {
            placed: vec![PlacedBefore::default(); count],
            ..ExchangeRequest::default()
        };
        for (request, limit, too_many) in [
            (root_events(ROOT_EVENTS_MAX), ROOT_EVENTS_MAX, false),
            (root_events(ROOT_EVENTS_MAX + 1), ROOT_EVENTS_MAX, true),
            (placed(EVENTS_MAX), EVENTS_MAX, false),
            (placed(EVENTS_MAX + 1), EVENTS_MAX, true),
        ] {
            let request = ExchangeRequest {
                county_id: north.joined.county.to_bytes(),
                ..request
            };
            // None of them is right in form, so that each request is refused for something.
            let reply = north.exchanger(&county).await.exchange(request).await;
            let said = reply.err().map(|status| status.message().to_owned());
            let told = said
                .iter()
                .any(|said| said.contains(&format!("at most {limit} ")));
            assert_eq!(told, too_many, "{said:?}");
        }
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn the_body_of_an_event_has_64_kib() {
    limited(async {
        let county = County::found(2).await;
        let north = Station::join(&county, "North", 10).await;
        for (length, too_long) in [(BODY_BYTES_MAX, false), (BODY_BYTES_MAX + 1, true)] {
            let request = ExchangeRequest {
                events: vec![Event {
                    body: vec![0; length].into(),
                    ..Event::default()
                }],
                ..ExchangeRequest::default()
            };
            let refused = exchanged(&county, &north, request).await.expect("read");
            assert_eq!(refused.len(), 1, "no body is all zeros");
            let told = refused[0].contains(&format!("{length} bytes"));
            assert_eq!(told, too_long, "{refused:?}");
        }
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn the_name_of_a_device_has_64_bytes_and_a_secret_10() {
    limited(async {
        let county = County::found(3).await;
        let code = county.code("North").await;
        let joiner = device(10);
        let named = async |length: usize| {
            let name = "x".repeat(length);
            join(&code, &county.address, &joiner, &name, None).await
        };
        let refused = named(DEVICE_BYTES_MAX + 1).await.expect_err("too long");
        insta::assert_snapshot!(refused, @"the county refused: device has 65 bytes; at most 64 are allowed: give the device a shorter name");
        named(DEVICE_BYTES_MAX).await.expect("just fits");

        let config = tls::client_without_key(Trusted::Learn(Learnt::default())).expect("tls");
        let channel = tls::channel(&county.address, config).await.expect("open");
        let mut client: AdmissionClient<Channel> = AdmissionClient::new(channel);
        for length in [0, 9, 11] {
            let request = service::AdmitRequest {
                secret: Bytes::from(vec![1; length]),
                ..service::AdmitRequest::default()
            };
            let refused = client.admit(request).await.expect_err("no secret");
            assert_eq!(reason(&refused), "FIELD_NOT_READABLE");
        }
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn what_a_question_names_has_64_bytes() {
    limited(async {
        let county = County::found(4).await;
        adopt_standards(&county).await;
        let north = Station::join(&county, "North", 10).await;
        let trusted = Trusted::Learn(Learnt::default());
        let config = tls::client(&north.identity, trusted).expect("tls");
        let channel = tls::channel(&county.address, config).await.expect("open");
        let mut client = CountyClient::new(channel);
        let craft = |length| Question {
            craft: "x".repeat(length),
            ..Question::default()
        };
        let mission = |length| Question {
            mission: "x".repeat(length),
            ..Question::default()
        };
        for (question, wanted) in [
            (craft(64), "CRAFT_NOT_KNOWN"),
            (craft(65), "FIELD_NOT_READABLE"),
            (mission(64), "MISSION_NOT_KNOWN"),
            (mission(65), "FIELD_NOT_READABLE"),
        ] {
            let request = service::AnswerRequest {
                question: Some(question),
            };
            let refused = client.answer(request).await.expect_err("nothing so named");
            assert_eq!(reason(&refused), wanted, "{refused}");
        }
        county.stop().await;
    })
    .await;
}

/// Entries as they go down, and how long each is.
fn entry_bytes(entries: &[CountyEntry]) -> Vec<usize> {
    let event = |entry: &CountyEntry| match &entry.what {
        Some(What::Event(event)) => event.encoded_len(),
        other => panic!("whole, since nobody holds it: {other:?}"),
    };
    entries.iter().map(event).collect()
}

#[tokio::test]
async fn a_reply_to_a_sync_has_512_kib_of_entries() {
    limited(async {
        let county = County::found(7).await;
        let north = Station::join(&county, "North", 10).await;
        for _ in 0..6 {
            adopt_standards(&county).await;
        }
        let entries = county
            .host
            .shared
            .call(|it| it.entries(0, usize::MAX, &|_| false));
        let all = entry_bytes(&entries.await.expect("open"));
        let mut sums = all.iter().scan(0, |sum, bytes| {
            *sum += bytes;
            Some(*sum)
        });
        let fit = sums
            .by_ref()
            .take_while(|sum| *sum <= CHUNK_BYTES_MAX)
            .count();
        assert!(
            fit < all.len(),
            "{} bytes are more than one chunk",
            all.iter().sum::<usize>()
        );
        let most = u32::try_from(CHUNK_BYTES_MAX).expect("fits");
        for (asked, given) in [
            (u32::MAX, fit),
            (most + 1, fit),
            (most, fit),
            (1, 1),
            (0, 0),
        ] {
            let request = ExchangeRequest {
                county_id: north.joined.county.to_bytes(),
                entries_bytes_max: asked,
                ..ExchangeRequest::default()
            };
            let reply = north.exchanger(&county).await.exchange(request).await;
            let reply = reply.expect("answered").into_inner();
            assert_eq!(entry_bytes(&reply.entries), all[..given], "{asked}");
        }
        county.stop().await;
    })
    .await;
}
