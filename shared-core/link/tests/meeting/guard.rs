//! What a connection may do: every method there is, with every kind of key and with none.
//!
//! The list here is whole: a method that is not on it fails the test until somebody wrote down
//! whether it is open, and why.

use std::collections::{BTreeMap, BTreeSet};

use prost::Message as _;
use prost_types::FileDescriptorSet;
use sponson_link::station::SyncFailure;
use sponson_link::stubs::service::county_client::CountyClient;
use sponson_link::tls::{self, Trusted};
use sponson_link::{Identity, refusal};
use sponson_proto::DESCRIPTORS;
use sponson_proto::service::v1::GetLimitsRequest;
use tonic::transport::Channel;
use tonic::{Code, Request, Status};

use crate::world::{County, Station, device, limited};

/// Who may call a method.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Door {
    /// Anybody, for this reason.
    Open(&'static str),
    /// A connection whose key the registry admits.
    Keyed,
    /// Nobody over the network.
    OwnMachine,
}

/// Every method of every service, with who may call it.
fn doors() -> BTreeMap<&'static str, Door> {
    const ADMISSION: Door = Door::Open("a device that is not admitted yet has no admitted key");
    const HEALTH: Door = Door::Open("says whether services are up, nothing about the county");
    const FORMS: Door = Door::Open("the forms of messages are published");
    BTreeMap::from([
        ("/sponson.service.v1.Admission/Introduce", ADMISSION),
        ("/sponson.service.v1.Admission/Admit", ADMISSION),
        ("/grpc.health.v1.Health/Check", HEALTH),
        ("/grpc.health.v1.Health/Watch", HEALTH),
        (
            "/grpc.reflection.v1.ServerReflection/ServerReflectionInfo",
            FORMS,
        ),
        (
            "/grpc.reflection.v1alpha.ServerReflection/ServerReflectionInfo",
            FORMS,
        ),
        ("/sponson.service.v1.County/Answer", Door::Keyed),
        ("/sponson.service.v1.County/GetLimits", Door::Keyed),
        ("/sponson.sync.v1.Sync/Exchange", Door::Keyed),
        ("/sponson.service.v1.Pictures/OfferPictures", Door::Keyed),
        ("/sponson.service.v1.Pictures/PutPicture", Door::Keyed),
        ("/sponson.service.v1.Pictures/GetPicture", Door::Keyed),
        ("/sponson.service.v1.Local/KeepPicture", Door::OwnMachine),
        ("/sponson.service.v1.Local/GivePicture", Door::OwnMachine),
        ("/sponson.service.v1.Local/Append", Door::OwnMachine),
        ("/sponson.service.v1.Local/UnderWay", Door::OwnMachine),
        ("/sponson.service.v1.Local/Begin", Door::OwnMachine),
        ("/sponson.service.v1.Local/Enter", Door::OwnMachine),
        ("/sponson.service.v1.Local/RecordUnderWay", Door::OwnMachine),
        ("/sponson.service.v1.Local/EndUnderWay", Door::OwnMachine),
        ("/sponson.service.v1.Local/WatchUnderWay", Door::OwnMachine),
        ("/sponson.service.v1.Local/TryCheck", Door::OwnMachine),
        ("/sponson.service.v1.Local/OnCraft", Door::OwnMachine),
        ("/sponson.service.v1.Local/Ask", Door::OwnMachine),
        ("/sponson.service.v1.Local/Catalogue", Door::OwnMachine),
        ("/sponson.service.v1.Local/Log", Door::OwnMachine),
        ("/sponson.service.v1.Local/Verify", Door::OwnMachine),
        ("/sponson.service.v1.Local/SyncNow", Door::OwnMachine),
        ("/sponson.service.v1.Local/CarryOut", Door::OwnMachine),
        ("/sponson.service.v1.Local/CarryIn", Door::OwnMachine),
        ("/sponson.service.v1.Local/Prove", Door::OwnMachine),
        ("/sponson.service.v1.Local/AskSigned", Door::OwnMachine),
        ("/sponson.service.v1.Local/CheckAnswer", Door::OwnMachine),
        ("/sponson.service.v1.Local/About", Door::OwnMachine),
        ("/sponson.service.v1.Local/MakeCode", Door::OwnMachine),
        ("/sponson.service.v1.Local/LetIn", Door::OwnMachine),
        ("/sponson.service.v1.Local/PlanKitMoves", Door::OwnMachine),
        ("/sponson.service.v1.Local/KeepsFailing", Door::OwnMachine),
        ("/sponson.service.v1.Local/Decisions", Door::OwnMachine),
        ("/sponson.service.v1.Local/Gauges", Door::OwnMachine),
        ("/sponson.service.v1.Local/Leaks", Door::OwnMachine),
        ("/sponson.service.v1.Local/CraftRecord", Door::OwnMachine),
        ("/sponson.service.v1.Local/Ahead", Door::OwnMachine),
        ("/sponson.service.v1.Local/SignedIn", Door::OwnMachine),
        ("/sponson.service.v1.Local/Devices", Door::OwnMachine),
        ("/sponson.service.v1.Local/Chain", Door::OwnMachine),
    ])
}

/// Methods that are described anywhere: the project's services, health, reflection.
fn described() -> BTreeSet<String> {
    let sets = [
        DESCRIPTORS,
        tonic_health::pb::FILE_DESCRIPTOR_SET,
        tonic_reflection::pb::v1::FILE_DESCRIPTOR_SET,
        tonic_reflection::pb::v1alpha::FILE_DESCRIPTOR_SET,
    ];
    let mut methods = BTreeSet::new();
    for set in sets {
        let set = FileDescriptorSet::decode(set).expect("descriptors");
        for file in &set.file {
            for service in &file.service {
                for method in &service.method {
                    methods.insert(format!(
                        "/{}.{}/{}",
                        file.package(),
                        service.name(),
                        method.name()
                    ));
                }
            }
        }
    }
    methods
}

/// Calls any method with an empty message; a stream is let go once it begins.
async fn call(channel: Channel, path: &str) -> Result<(), Status> {
    let mut grpc = tonic::client::Grpc::new(channel);
    grpc.ready().await.map_err(|_| Status::unavailable(""))?;
    let codec = tonic_prost::ProstCodec::<(), ()>::default();
    let path = path.parse().expect("a path");
    let once = tokio_stream::once(());
    grpc.streaming(Request::new(once), path, codec)
        .await
        .map(|_| ())
}

fn pinned(county: &County) -> Trusted {
    Trusted::Keys(BTreeSet::from([county.host.identity.tls_key()]))
}

/// A connection with a device's key, or with none.
async fn connect(county: &County, identity: Option<&Identity>) -> Channel {
    let config = match identity {
        Some(identity) => tls::client(identity, pinned(county)),
        None => tls::client_without_key(pinned(county)),
    };
    let config = config.expect("tls");
    tls::channel(&county.address, config).await.expect("open")
}

#[test]
fn every_method_there_is_stands_in_the_list() {
    let listed: BTreeSet<String> = doors().keys().map(ToString::to_string).collect();
    assert_eq!(described(), listed, "say who may call it, and why");
    for (path, door) in doors() {
        if let Door::Open(why) = door {
            assert!(!why.is_empty(), "{path}");
        }
    }
}

#[tokio::test]
async fn whoever_is_not_admitted_is_refused_at_every_method_that_is_not_open() {
    limited(async {
        let county = County::found(1).await;
        let other_county = County::found(2).await;
        let ended = Station::join(&county, "North", 10).await;
        county.end_key(&ended.identity).await;
        let elsewhere = Station::join(&other_county, "Far", 20).await;
        let unknown = device(99);
        let callers = [
            (None, Code::Unauthenticated, "NO_KEY"),
            (Some(&unknown), Code::PermissionDenied, "KEY_NOT_ADMITTED"),
            (
                Some(&*elsewhere.identity),
                Code::PermissionDenied,
                "KEY_NOT_ADMITTED",
            ),
            (Some(&*ended.identity), Code::PermissionDenied, "KEY_ENDED"),
        ];
        for (identity, code, reason) in callers {
            let channel = connect(&county, identity).await;
            let doors = doors();
            let shut = doors
                .iter()
                .filter(|(_, door)| !matches!(door, Door::Open(_)))
                .map(|(path, _)| *path);
            // Denied by default: also what nobody serves, and what only looks like an open one.
            let nowhere = [
                "/sponson.service.v1.Later/Method",
                "/sponson.service.v1.Admission/Later",
                "/sponson.service.v1.Admission/Admit/",
                "/grpc.health.v1.Health/",
                "//sponson.service.v1.Admission/Admit",
                "/x/y",
            ];
            for path in shut.chain(nowhere) {
                let refused = call(channel.clone(), path).await.expect_err(path);
                assert_eq!(refused.code(), code, "{path}: {refused}");
                assert_eq!(refusal::reason(&refused).as_deref(), Some(reason), "{path}");
            }
            for (path, _) in doors
                .iter()
                .filter(|(_, door)| matches!(door, Door::Open(_)))
            {
                match call(channel.clone(), path).await {
                    Ok(()) => {}
                    // An empty request for admission came in, and is refused for its contents.
                    Err(status) => {
                        let reason = refusal::reason(&status);
                        assert_eq!(reason.as_deref(), Some("FIELD_NOT_READABLE"), "{path}");
                    }
                }
            }
        }
        county.stop().await;
        other_county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn an_admitted_key_reaches_what_is_served_and_the_local_service_is_not() {
    limited(async {
        let county = County::found(2).await;
        let station = Station::join(&county, "North", 10).await;
        let channel = connect(&county, Some(&station.identity)).await;
        for (path, door) in doors() {
            let called = call(channel.clone(), path).await;
            match door {
                Door::OwnMachine => {
                    let refused = called.expect_err("not served");
                    assert_eq!(refused.code(), Code::Unimplemented, "{path}");
                }
                Door::Keyed | Door::Open(_) => {
                    let code = called.err().map(|status| status.code());
                    let reached = !matches!(
                        code,
                        Some(Code::Unimplemented | Code::Unauthenticated | Code::PermissionDenied)
                    );
                    assert!(reached, "{path}: {code:?}");
                }
            }
        }
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_key_that_ends_while_its_connection_stands_is_refused_at_the_next_call() {
    limited(async {
        let county = County::found(3).await;
        let station = Station::join(&county, "North", 10).await;
        let mut client = CountyClient::new(connect(&county, Some(&station.identity)).await);
        let reply = client.get_limits(GetLimitsRequest {}).await;
        let reply = reply.expect("admitted").into_inner();
        assert_eq!(reply.message_bytes_max, 4 * 1024 * 1024);

        county.end_key(&station.identity).await;
        let ended = client.get_limits(GetLimitsRequest {}).await;
        let ended = ended.expect_err("the same connection");
        assert_eq!(refusal::reason(&ended).as_deref(), Some("KEY_ENDED"));
        let failure = station.try_sync(&county.at()).await.expect_err("ended");
        assert!(matches!(failure, SyncFailure::Refused(_)), "{failure}");
        insta::assert_snapshot!(failure, @"the county refused: the lead ended this device's key: ask the lead for a new code and join again");
        county.stop().await;
    })
    .await;
}
