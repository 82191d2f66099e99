//! What the county's own programs ask, and the record of a craft.

use prost::Message as _;
use sponson_link::craft_record::write_at_most;
use sponson_proto::event::v1 as event;
use sponson_proto::service::v1 as service;
use sponson_replica::Replica;
use tonic::Status;

use super::{held, long};
use crate::answer::adopt_standards;
use crate::world::{County, Station, append, limited};

#[tokio::test]
async fn what_the_county_s_own_programs_ask() {
    limited(async {
        let county = County::found(3).await;
        adopt_standards(&county).await;
        let local = county.local().await;
        let let_in = |member: usize, hours| {
            let request = service::LetInRequest {
                member: long(member),
                role: event::Role::Lead as i32,
                hours,
            };
            let mut client = local.client();
            async move { client.let_in(request).await }
        };
        held(
            let_in(32, 168).await,
            let_in(33, 168).await,
            "33 bytes; 1 to 32 bytes",
        );
        held(
            let_in(1, 168).await,
            let_in(1, 169).await,
            "hours is 169; at most 168",
        );
        let code = |name: usize, hours| {
            let request = service::MakeCodeRequest {
                station: long(name),
                hours,
                ..service::MakeCodeRequest::default()
            };
            let mut client = local.client();
            async move { client.make_code(request).await }
        };
        held(
            code(64, 720).await,
            code(65, 720).await,
            "station has 65 bytes; 1 to 64",
        );
        held(
            code(1, 720).await,
            code(1, 721).await,
            "hours is 721; at most 720",
        );
        let end = |count: usize| {
            let request = service::SignedInRequest {
                end: vec!["M-1".to_owned(); count],
                end_all: false,
            };
            let mut client = local.client();
            async move { client.signed_in(request).await }
        };
        held(
            end(200).await,
            end(201).await,
            "end has 201 names; at most 200",
        );
        let moves = |count: usize| {
            let request = service::PlanKitMovesRequest {
                missions: vec!["flood".to_owned(); count],
                ..service::PlanKitMovesRequest::default()
            };
            let mut client = local.client();
            async move { client.plan_kit_moves(request).await }
        };
        held(
            moves(64).await,
            moves(65).await,
            "missions has 65; at most 64",
        );
        let prove = |digits: usize| {
            let request = service::ProveRequest {
                event: "0".repeat(digits),
            };
            let mut client = local.client();
            async move { client.prove(request).await }
        };
        held(
            prove(8).await,
            prove(7).await,
            "has 8 to 64 hexadecimal digits",
        );
        held(
            prove(64).await,
            prove(65).await,
            "has 8 to 64 hexadecimal digits",
        );
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn entries_of_one_record_of_a_craft() {
    limited(async {
        let county = County::found(9).await;
        let station = Station::join(&county, "North", 19).await;
        let craft = station.register("Marsh 21").await;
        let moves = event::NumberChanged {
            number: "Marsh 22".to_owned(),
        };
        let subject = service::AppendSubject {
            id: craft.to_vec().into(),
            r#type: event::SubjectType::Craft.into(),
        };
        for _ in 0..2 {
            append(
                &mut station.local().await.client(),
                event::Kind::NumberChanged,
                moves.encode_to_vec(),
                vec![subject.clone()],
            )
            .await;
        }
        let now = county.hands.clock().now();
        let written = async |most: usize| {
            let request = service::CraftRecordRequest {
                craft: craft.to_vec().into(),
                ..service::CraftRecordRequest::default()
            };
            let write = move |replica: &mut Replica| {
                let written = write_at_most(most, replica, &request, &now, "test");
                written.map(|written| written.record.entries.len())
            };
            let written = station.shared.call(write).await.expect("open");
            written.map_err(Status::from)
        };
        assert_eq!(written(3).await.ok(), Some(3));
        held(
            written(3).await,
            written(2).await,
            "3 entries lie in this time; at most 2 go into one record: ask for less time: from, until",
        );
        county.stop().await;
    })
    .await;
}
