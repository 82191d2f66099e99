//! What the roles of a key open at the county's door.
//!
//! What each role may sign so that it counts is shown where trust is judged, for every kind.

use sponson_link::stubs::service::county_client::CountyClient;
use sponson_link::tls::{self, Trusted};
use sponson_proto::event::v1::Role;
use sponson_proto::service::v1::{AnswerRequest, GetLimitsRequest};
use sponson_proto::sync::v1::ExchangeRequest;
use std::collections::BTreeSet;

use crate::world::{County, Station, limited};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Brings {
    Nothing,
    Events,
}

/// Joins with one role, asks everything there is, and brings one entry.
async fn check(county: &County, role: Role, seed: u64, brings: Brings) {
    let code = county.code_for(&format!("{role:?}"), &[role]).await;
    let station = Station::join_with(county, &code, seed).await;
    let trusted = Trusted::Keys(BTreeSet::from([county.host.identity.tls_key()]));
    let config = tls::client(&station.identity, trusted).expect("tls");
    let channel = tls::channel(&county.address, config).await.expect("open");
    let mut questions = CountyClient::new(channel);
    let limits = questions.get_limits(GetLimitsRequest {}).await;
    limits.expect("every admitted key may ask for the limits");
    let answer = questions.answer(AnswerRequest::default()).await;
    answer.expect("every admitted key may ask");
    let reading = ExchangeRequest {
        county_id: station.joined.county.to_bytes(),
        entries_bytes_max: 100_000,
        ..ExchangeRequest::default()
    };
    let read = station.exchanger(county).await.exchange(reading).await;
    let read = read.expect("every admitted key may read the log");
    assert!(!read.into_inner().entries.is_empty(), "{role:?}");

    station.register(&format!("Boat {seed}")).await;
    let before = county.events().await;
    let report = station.sync(county).await;
    let refused: Vec<&str> = report
        .summary
        .refusals
        .iter()
        .map(|(_, why)| why.as_str())
        .collect();
    match brings {
        Brings::Nothing => {
            assert_eq!(
                refused,
                ["KEY_ONLY_READS: this device may only read: ask the lead for a role that records"]
            );
            assert_eq!(county.events().await, before, "{role:?}");
        }
        Brings::Events => {
            assert!(refused.is_empty(), "{role:?}: {refused:?}");
            assert_eq!(county.events().await, before + 1, "{role:?}");
        }
    }
}

#[tokio::test]
async fn every_role_asks_and_reads_and_all_but_the_reader_bring_entries() {
    limited(async {
        let county = County::found(1).await;
        for (role, seed, brings) in [
            (Role::Reader, 10, Brings::Nothing),
            (Role::Crew, 20, Brings::Events),
            (Role::Maintenance, 30, Brings::Events),
            (Role::Coordinator, 40, Brings::Events),
            (Role::Lead, 50, Brings::Events),
        ] {
            check(&county, role, seed, brings).await;
        }
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_reader_brings_nothing_of_others_either() {
    limited(async {
        let county = County::found(2).await;
        let north = Station::join(&county, "North", 10).await;
        north.register("Marsh 21").await;
        let code = county.code_for("Office", &[Role::Reader]).await;
        let reader = Station::join_with(&county, &code, 20).await;
        let request = ExchangeRequest {
            county_id: reader.joined.county.to_bytes(),
            events: north.unproven().await,
            ..ExchangeRequest::default()
        };
        let before = county.events().await;
        let reply = reader.exchanger(&county).await.exchange(request).await;
        let refusals = reply.expect("answered").into_inner().refusals;
        assert_eq!(refusals.len(), 1);
        assert_eq!(refusals[0].reason, "KEY_ONLY_READS");
        assert_eq!(county.events().await, before);
        county.stop().await;
    })
    .await;
}
