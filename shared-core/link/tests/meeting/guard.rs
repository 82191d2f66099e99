//! What a connection may do without a key, with an unknown one, with an ended one.

use std::collections::BTreeSet;

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

/// Methods of every service, `/package.Service/Method`.
fn methods() -> Vec<String> {
    let set = FileDescriptorSet::decode(DESCRIPTORS).expect("descriptors");
    let mut methods = Vec::new();
    for file in &set.file {
        for service in &file.service {
            for method in &service.method {
                methods.push(format!(
                    "/{}.{}/{}",
                    file.package(),
                    service.name(),
                    method.name()
                ));
            }
        }
    }
    methods
}

/// Calls any method with an empty message.
async fn call(channel: Channel, path: &str) -> Result<(), Status> {
    let mut grpc = tonic::client::Grpc::new(channel);
    grpc.ready().await.map_err(|_| Status::unavailable(""))?;
    let codec = tonic_prost::ProstCodec::<(), ()>::default();
    let path = path.parse().expect("a path");
    grpc.unary(Request::new(()), path, codec).await.map(|_| ())
}

fn pinned(county: &County) -> Trusted {
    Trusted::Keys(BTreeSet::from([county.host.identity.tls_key()]))
}

#[tokio::test]
async fn without_a_key_every_method_but_admission_refuses() {
    limited(async {
        let county = County::found(1).await;
        let config = tls::client_without_key(pinned(&county)).expect("tls");
        let channel = tls::channel(&county.address, config).await.expect("open");
        let methods = methods();
        let open: Vec<&String> = methods
            .iter()
            .filter(|path| path.starts_with("/sponson.service.v1.Admission/"))
            .collect();
        assert_eq!(open.len(), 2);
        assert!(methods.len() >= 13, "{methods:?}");
        for path in methods.iter().filter(|path| !open.contains(path)) {
            let refused = call(channel.clone(), path).await.expect_err(path);
            assert_eq!(refused.code(), Code::Unauthenticated, "{path}: {refused}");
            assert_eq!(refusal::reason(&refused).as_deref(), Some("NO_KEY"));
        }
        // Denied by default: also what nobody serves.
        for path in ["/sponson.service.v1.Later/Method", "/x/y"] {
            let refused = call(channel.clone(), path).await.expect_err(path);
            assert_eq!(refused.code(), Code::Unauthenticated, "{path}");
        }
        call(channel.clone(), "/sponson.service.v1.Admission/Introduce")
            .await
            .expect("open to all");
        call(channel, "/grpc.health.v1.Health/Check")
            .await
            .expect("open to all");
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn the_local_service_is_not_on_the_network() {
    limited(async {
        let county = County::found(2).await;
        let station = Station::join(&county, "North", 10).await;
        let config = tls::client(&station.identity, pinned(&county)).expect("tls");
        let channel = tls::channel(&county.address, config).await.expect("open");
        let local = methods()
            .into_iter()
            .filter(|path| path.starts_with("/sponson.service.v1.Local/"));
        for path in local {
            let refused = call(channel.clone(), &path).await.expect_err("not served");
            assert_eq!(refused.code(), Code::Unimplemented, "{path}");
        }
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn an_unknown_key_an_admitted_one_and_an_ended_one() {
    limited(async {
        let county = County::found(3).await;
        let limits = async |identity: &Identity| {
            let config = tls::client(identity, pinned(&county)).expect("tls");
            let channel = tls::channel(&county.address, config).await.expect("open");
            let mut client = CountyClient::new(channel);
            client.get_limits(GetLimitsRequest {}).await
        };
        let unknown = limits(&device(99)).await.expect_err("unknown");
        assert_eq!(unknown.code(), Code::PermissionDenied);
        assert_eq!(
            refusal::reason(&unknown).as_deref(),
            Some("KEY_NOT_ADMITTED")
        );

        let station = Station::join(&county, "North", 10).await;
        let reply = limits(&station.identity).await.expect("admitted");
        assert_eq!(reply.into_inner().message_bytes_max, 4 * 1024 * 1024);

        county.end_key(&station.identity).await;
        let ended = limits(&station.identity).await.expect_err("ended");
        assert_eq!(refusal::reason(&ended).as_deref(), Some("KEY_ENDED"));
        let failure = station.try_sync(&county.at()).await.expect_err("ended");
        assert!(matches!(failure, SyncFailure::Refused(_)), "{failure}");
        insta::assert_snapshot!(failure, @"the county refused: the lead ended this device's key: ask the lead for a new code and join again");
        county.stop().await;
    })
    .await;
}
