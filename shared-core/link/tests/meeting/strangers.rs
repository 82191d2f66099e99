//! What does not belong: another county's entries, forged ones, recorded messages sent again.

use std::sync::Arc;

use bytes::Bytes;
use sponson_link::limits::{Patience, Places};
use sponson_link::refusal;
use sponson_link::station::JoinError;
use sponson_link::stubs::service::admission_client::AdmissionClient;
use sponson_link::stubs::service::admission_server::{Admission, AdmissionServer};
use sponson_link::tls::{self, Accepting, Known, Learnt, Trusted};
use sponson_link::{Code, Identity, statement};
use sponson_log::sign::Signed;
use sponson_proto::event::v1::Event;
use sponson_proto::service::v1 as service;
use sponson_proto::sync::v1::ExchangeRequest;
use tokio::net::TcpListener;
use tokio::sync::Mutex;
use tokio_rustls::TlsAcceptor;
use tonic::transport::{Channel, Server};
use tonic::{Request, Response, Status};

use crate::world::{County, Station, device, limited, try_join};

/// Pushes events through a station's connection; gives the reasons of those that were refused.
pub(crate) async fn push(county: &County, station: &Station, events: Vec<Event>) -> Vec<String> {
    let request = ExchangeRequest {
        county_id: county
            .host
            .shared
            .call(|replica| replica.county())
            .await
            .expect("open")
            .to_bytes(),
        events,
        ..ExchangeRequest::default()
    };
    let reply = station.exchanger(county).await.exchange(request).await;
    let refusals = reply.expect("answered").into_inner().refusals;
    refusals.into_iter().map(|refusal| refusal.reason).collect()
}

#[tokio::test]
async fn entries_of_another_county_are_refused_by_sync_and_by_carry_file() {
    limited(async {
        let (county, other) = (County::found(1).await, County::found(2).await);
        let north = Station::join(&county, "North", 10).await;
        let far = Station::join(&other, "Far", 20).await;
        far.register("Quay 1").await;
        let before = county.events().await;

        let refused = push(&county, &north, far.unproven().await).await;
        assert_eq!(refused, ["OTHER_COUNTY"]);
        let mut whole = far.exchanger(&other).await;
        let request = ExchangeRequest {
            county_id: north.joined.county.to_bytes(),
            ..ExchangeRequest::default()
        };
        let refused = whole.exchange(request).await.expect_err("whole");
        assert_eq!(refusal::reason(&refused).as_deref(), Some("OTHER_COUNTY"));

        let mut pieces = far
            .local()
            .await
            .client()
            .carry_out(service::CarryOutRequest { new_only: false })
            .await
            .expect("begun")
            .into_inner();
        let mut file = Vec::new();
        while let Some(piece) = pieces.message().await.expect("a piece") {
            file.push(service::CarryInRequest { data: piece.data });
        }
        for local in [county.local().await, north.local().await] {
            let mut client = local.client();
            let taken = client.carry_in(tokio_stream::iter(file.clone())).await;
            let refused = taken.expect_err("another county's stick");
            assert_eq!(refusal::reason(&refused).as_deref(), Some("OTHER_COUNTY"));
        }
        assert_eq!(county.events().await, before);
        county.stop().await;
        other.stop().await;
    })
    .await;
}

/// The event with its signature made by another key.
fn signed_by(identity: &Identity, event: &Event) -> Event {
    let signature = identity.log_key().sign(Signed::Event, &event.body);
    Event {
        signature: Bytes::copy_from_slice(&signature),
        ..event.clone()
    }
}

fn flipped(bytes: &Bytes, place: usize) -> Bytes {
    let mut bytes = bytes.to_vec();
    bytes[place] ^= 1;
    bytes.into()
}

#[tokio::test]
async fn a_station_carries_what_another_signed_and_cannot_write_as_it() {
    limited(async {
        let county = County::found(3).await;
        let north = Station::join(&county, "North", 10).await;
        let south = Station::join(&county, "South", 20).await;
        south.register("Ridge 7").await;
        let [genuine] = south.unproven().await.try_into().expect("one event");
        let before = county.events().await;

        let last = genuine.body.len() - 1;
        let forged = [
            signed_by(&north.identity, &genuine),
            signed_by(&device(99), &genuine),
            Event {
                signature: flipped(&genuine.signature, 0),
                ..genuine.clone()
            },
            Event {
                signature: flipped(&genuine.signature, 63),
                ..genuine.clone()
            },
            Event {
                signature: Bytes::new(),
                ..genuine.clone()
            },
            Event {
                algorithm: 0,
                ..genuine.clone()
            },
            Event {
                body: flipped(&genuine.body, last),
                ..genuine.clone()
            },
        ];
        for (number, event) in forged.into_iter().enumerate() {
            let refused = push(&county, &north, vec![event]).await;
            assert_eq!(refused, ["NOT_AN_EVENT"], "forgery {number}");
            assert_eq!(county.events().await, before, "forgery {number}");
        }
        let refused = push(&county, &north, vec![genuine]).await;
        assert!(refused.is_empty(), "carried: {refused:?}");
        assert_eq!(county.events().await, before + 1);
        let report = south.sync(&county).await;
        assert_eq!((report.summary.sent, report.waiting), (1, 0));
        assert_eq!(county.events().await, before + 1, "once, whoever brings it");
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_recorded_sync_that_is_sent_again_changes_nothing() {
    limited(async {
        let county = County::found(4).await;
        let north = Station::join(&county, "North", 10).await;
        let south = Station::join(&county, "South", 20).await;
        north.register("Marsh 21").await;
        north.register("Marsh 22").await;
        let recorded = ExchangeRequest {
            county_id: north.joined.county.to_bytes(),
            events: north.unproven().await,
            ..ExchangeRequest::default()
        };
        let mut client = north.exchanger(&county).await;
        client.exchange(recorded.clone()).await.expect("kept");
        let after = county.events().await;
        let root = async || {
            let root = county.host.shared.call(|replica| replica.about().root);
            root.await.expect("open")
        };
        let before = root().await;
        for station in [&north, &south] {
            let mut client = station.exchanger(&county).await;
            let reply = client.exchange(recorded.clone()).await.expect("harmless");
            assert!(reply.into_inner().refusals.is_empty());
        }
        assert_eq!((county.events().await, root().await), (after, before));
        county.stop().await;
    })
    .await;
}

async fn admission(county: &County, identity: &Identity) -> AdmissionClient<Channel> {
    let config = tls::client(identity, Trusted::Learn(Learnt::default())).expect("tls");
    let channel = tls::channel(&county.address, config).await.expect("open");
    AdmissionClient::new(channel)
}

fn asking(code: &Code, identity: &Identity) -> service::AdmitRequest {
    let signature = statement::ask(identity.log_key(), code.secret(), &identity.tls_key());
    service::AdmitRequest {
        secret: Bytes::copy_from_slice(code.secret()),
        key: identity.log_key().key().to_bytes(),
        tls_key_sha256: identity.tls_key().to_bytes(),
        signature: Bytes::copy_from_slice(&signature),
        ..service::AdmitRequest::default()
    }
}

#[tokio::test]
async fn a_recorded_request_for_admission_admits_nobody_else() {
    limited(async {
        let county = County::found(5).await;
        let code = county.code("North").await;
        let (asker, thief) = (device(10), device(11));
        let recorded = asking(&code, &asker);
        let mut client = admission(&county, &thief).await;
        let with_own_connection = service::AdmitRequest {
            tls_key_sha256: thief.tls_key().to_bytes(),
            ..recorded.clone()
        };
        let with_own_key = service::AdmitRequest {
            key: thief.log_key().key().to_bytes(),
            ..with_own_connection.clone()
        };
        for (request, wanted) in [
            (recorded.clone(), "TLS_KEY_DIFFERS"),
            (with_own_connection, "FIELD_NOT_READABLE"),
            (with_own_key, "FIELD_NOT_READABLE"),
        ] {
            let refused = client.admit(request).await.expect_err("not its own");
            assert_eq!(refusal::reason(&refused).as_deref(), Some(wanted));
        }
        // The code is as good as before, and used once it was used.
        let first = admission(&county, &asker)
            .await
            .admit(recorded.clone())
            .await;
        let again = admission(&county, &asker).await.admit(recorded).await;
        let (first, again) = (first.expect("in"), again.expect("the same"));
        assert_eq!(first.into_inner(), again.into_inner());
        county.stop().await;
    })
    .await;
}

/// Says of itself what the county said, over a connection of its own.
struct Parrot {
    heard: service::IntroduceReply,
    asked: Arc<Mutex<Vec<service::AdmitRequest>>>,
}

#[tonic::async_trait]
impl Admission for Parrot {
    async fn introduce(
        &self,
        _request: Request<service::IntroduceRequest>,
    ) -> Result<Response<service::IntroduceReply>, Status> {
        Ok(Response::new(self.heard.clone()))
    }

    async fn admit(
        &self,
        request: Request<service::AdmitRequest>,
    ) -> Result<Response<service::AdmitReply>, Status> {
        self.asked.lock().await.push(request.into_inner());
        Ok(Response::new(service::AdmitReply::default()))
    }
}

#[tokio::test]
async fn whoever_repeats_the_countys_introduction_learns_no_secret() {
    limited(async {
        let county = County::found(6).await;
        let code = county.code("North").await;
        let heard = admission(&county, &device(20))
            .await
            .introduce(service::IntroduceRequest {})
            .await
            .expect("open to all")
            .into_inner();
        let asked = Arc::new(Mutex::new(Vec::new()));
        let parrot = Parrot {
            heard,
            asked: Arc::clone(&asked),
        };
        let listener = TcpListener::bind("127.0.0.1:0").await.expect("a port");
        let address = listener.local_addr().expect("address").to_string();
        let config = tls::server(&device(21)).expect("tls");
        let mut accepting = Accepting::begin(
            listener,
            TlsAcceptor::from(config),
            Known::nobody(),
            (Patience::default(), Places::default()),
        );
        let streams = accepting.take_streams().expect("once");
        let serving = tokio::spawn(
            Server::builder()
                .add_service(AdmissionServer::new(parrot))
                .serve_with_incoming(streams),
        );
        let refused = try_join(&code, &address, &device(10)).await;
        let refused = refused.expect_err("not the county");
        let expected = matches!(&refused, JoinError::OtherCounty { why, .. }
            if why == "the connection has another key than its root key admits");
        assert!(expected, "{refused}");
        assert!(asked.lock().await.is_empty(), "no secret was sent");
        serving.abort();
        county.stop().await;
    })
    .await;
}
