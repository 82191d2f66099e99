//! Bad messages, great messages, and the end of the server.

use std::collections::BTreeSet;

use prost::Message as _;
use sponson_link::limits::MESSAGE_BYTES_MAX;
use sponson_link::refusal;
use sponson_link::tls::{self, Trusted};
use sponson_proto::county::v1::SignedCheckpoint;
use sponson_proto::event::v1::Event;
use sponson_proto::sync::v1::{ChainTail, ExchangeRequest};
use tokio::io::AsyncReadExt as _;
use tokio::net::TcpStream;
use tonic::Code;

use crate::world::{County, Station, limited};

#[tokio::test]
async fn a_request_that_is_not_right_is_refused_whole() {
    limited(async {
        let county = County::found(1).await;
        let station = Station::join(&county, "North", 10).await;
        let before = county.events().await;
        let right = ExchangeRequest {
            county_id: station.joined.county.to_bytes(),
            ..ExchangeRequest::default()
        };
        let cases = [
            (
                "OTHER_COUNTY",
                ExchangeRequest {
                    county_id: vec![1; 16].into(),
                    ..right.clone()
                },
            ),
            ("OTHER_COUNTY", ExchangeRequest::default()),
            (
                "FIELD_NOT_READABLE",
                ExchangeRequest {
                    log_id: vec![1; 3].into(),
                    ..right.clone()
                },
            ),
            (
                "FIELD_NOT_READABLE",
                ExchangeRequest {
                    checkpoint: Some(SignedCheckpoint::default()),
                    ..right.clone()
                },
            ),
            (
                "FIELD_NOT_READABLE",
                ExchangeRequest {
                    tails: vec![ChainTail::default()],
                    ..right.clone()
                },
            ),
        ];
        let mut client = station.exchanger(&county).await;
        for (wanted, request) in cases {
            let refused = client.exchange(request).await.expect_err(wanted);
            assert_eq!(refusal::reason(&refused).as_deref(), Some(wanted));
        }
        let event = Event {
            body: vec![7; 40].into(),
            ..Event::default()
        };
        let with_event = ExchangeRequest {
            events: vec![event],
            ..right
        };
        let reply = client.exchange(with_event).await.expect("the rest is fine");
        let refusals = reply.into_inner().refusals;
        assert_eq!(refusals.len(), 1);
        assert_eq!(refusals[0].reason, "NOT_AN_EVENT");
        assert_eq!(county.events().await, before);
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_message_over_4_mib_is_refused() {
    limited(async {
        let county = County::found(2).await;
        let station = Station::join(&county, "North", 10).await;
        let mut client = station.exchanger(&county).await;
        let request = |body: usize| ExchangeRequest {
            county_id: station.joined.county.to_bytes(),
            events: vec![Event {
                body: vec![7; body].into(),
                ..Event::default()
            }],
            ..ExchangeRequest::default()
        };
        // What stands round the body takes as much for each of these lengths.
        let round = request(MESSAGE_BYTES_MAX).encoded_len() - MESSAGE_BYTES_MAX;
        let (fits, over) = (
            request(MESSAGE_BYTES_MAX - round),
            MESSAGE_BYTES_MAX - round + 1,
        );
        assert_eq!(fits.encoded_len(), MESSAGE_BYTES_MAX);
        let reply = client.exchange(fits).await.expect("fits");
        assert_eq!(reply.into_inner().refusals.len(), 1, "read, then refused");
        let refused = client.exchange(request(over)).await.expect_err("too long");
        assert_eq!(refused.code(), Code::OutOfRange, "{refused}");
        let told = "found 4194305 bytes, the limit is: 4194304 bytes";
        assert!(refused.message().contains(told), "{refused}");
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn what_is_no_tls_is_dropped_and_holds_nobody_up() {
    limited(async {
        let county = County::found(3).await;
        let mut idle = Vec::new();
        for _ in 0..8 {
            idle.push(TcpStream::connect(&county.address).await.expect("open"));
        }
        let mut plain = TcpStream::connect(&county.address).await.expect("open");
        tokio::io::AsyncWriteExt::write_all(&mut plain, b"GET / HTTP/1.1\r\n\r\n")
            .await
            .expect("sent");
        let mut answer = Vec::new();
        // The server closes; whether cleanly or not does not matter.
        let _ = plain.read_to_end(&mut answer).await;
        assert!(!answer.starts_with(b"HTTP"), "no plain answers");
        Station::join(&county, "North", 10).await;
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_server_that_is_told_to_stop_ends_although_connections_are_open() {
    limited(async {
        let county = County::found(4).await;
        let station = Station::join(&county, "North", 10).await;
        let mut client = station.exchanger(&county).await;
        let request = ExchangeRequest {
            county_id: station.joined.county.to_bytes(),
            ..ExchangeRequest::default()
        };
        client.exchange(request.clone()).await.expect("served");
        county.stop().await;
        client.exchange(request).await.expect_err("nobody is there");
    })
    .await;
}

#[tokio::test]
async fn a_call_that_never_ends_is_cut_when_the_server_stops() {
    limited(async {
        let county = County::found(5).await;
        let pinned = Trusted::Keys(BTreeSet::from([county.host.identity.tls_key()]));
        let config = tls::client_without_key(pinned).expect("tls");
        let channel = tls::channel(&county.address, config).await.expect("open");
        let mut grpc = tonic::client::Grpc::new(channel);
        grpc.ready().await.expect("ready");
        let path = "/grpc.reflection.v1.ServerReflection/ServerReflectionInfo";
        let endless = tonic::Request::new(tokio_stream::pending::<()>());
        let codec = tonic_prost::ProstCodec::<(), ()>::default();
        let path = path.parse().expect("a path");
        let mut replies = grpc
            .streaming(endless, path, codec)
            .await
            .expect("begun")
            .into_inner();
        county.stop().await;
        replies.message().await.expect_err("cut");
    })
    .await;
}
