//! Ends of other versions: an earlier or a later county with this station, an earlier or a later station
//! with this county, in every message of a sync.

use std::sync::atomic::Ordering;

use prost::Message as _;
use sponson_proto::sync::v1::{ExchangeReply, ExchangeRequest};

use crate::between::{Between, Shapes, Speaks};
use crate::pictures::{content, jpeg, pictured};
use crate::world::{County, Station, limited};

/// Both ends hold the same after each, and nothing is sent twice. Pictures wait where the other side
/// knows of none, and go once it does.
#[tokio::test]
async fn an_end_of_another_version_syncs_all_that_it_knows() {
    for (seed, speaks) in (1..).zip([Speaks::First, Speaks::Coordinator, Speaks::Later]) {
        limited(async {
            let county = County::found(seed).await;
            let north = Station::join(&county, "North", 10).await;
            let south = Station::join(&county, "South", 11).await;
            let between = Between::begin(&county, &north.identity, speaks).await;
            let craft = north.register("Marsh 21").await;
            let photo = pictured(&north, craft, jpeg(1, 20_000)).await;
            south.register("Quay 1").await;
            south.sync(&county).await;

            let report = north.try_sync(&between.at).await.expect("it syncs");
            assert_eq!(
                (report.summary.sent, north.waiting().await),
                (2, 0),
                "{speaks:?}"
            );
            assert_eq!(north.craft().await, ["Marsh 21", "Quay 1"], "{speaks:?}");
            let held = county.events().await;
            let again = north.try_sync(&between.at).await.expect("it syncs");
            assert_eq!(
                (again.summary.sent, county.events().await),
                (0, held),
                "{speaks:?}"
            );
            let waits = u64::from(speaks != Speaks::Later);
            assert_eq!(again.pictures.waiting, waits, "{:?}", again.pictures);
            assert!(between.changed.load(Ordering::Relaxed) > 0 || speaks == Speaks::Coordinator);

            let report = north.sync(&county).await;
            assert_eq!(
                (report.summary.sent, report.pictures.waiting),
                (0, 0),
                "{speaks:?}"
            );
            let there = content(&county.host.shared, photo).await;
            assert_eq!(there, Some(jpeg(1, 20_000)), "{speaks:?}");
            county.stop().await;
        })
        .await;
    }
}

/// What an earlier version did not have is taken out, so that the test above shows something.
#[test]
fn what_the_first_version_did_not_know_is_gone() {
    let shapes = Shapes::read();
    let request = ExchangeRequest {
        county_id: vec![1; 16].into(),
        engine_version: 7,
        root_events: vec![sponson_proto::event::v1::Event::default()],
        placed: vec![sponson_proto::sync::v1::PlacedBefore::default()],
        ..ExchangeRequest::default()
    };
    let first = shapes.said_by(Speaks::First, "ExchangeRequest", &request.encode_to_vec());
    let wanted = ExchangeRequest {
        root_events: Vec::new(),
        placed: Vec::new(),
        ..request.clone()
    };
    assert_eq!(first, wanted.encode_to_vec());
    let later = shapes.said_by(Speaks::Later, "ExchangeRequest", &request.encode_to_vec());
    assert_eq!(ExchangeRequest::decode(later.as_slice()), Ok(request));
    let heard = ExchangeReply {
        heard: vec![sponson_proto::sync::v1::StationHeard::default()],
        ..ExchangeReply::default()
    };
    let first = shapes.said_by(Speaks::First, "ExchangeReply", &heard.encode_to_vec());
    assert_eq!(first, Vec::<u8>::new());
}
