//! Two stations and a county.

use crate::world::{County, Station, craft, limited};
use sponson_link::station::SyncFailure;
use sponson_link::tls::ConnectError;
use sponson_proto::service::v1::AskRequest;

#[tokio::test]
async fn what_one_station_records_the_other_and_the_county_know_after_a_sync() {
    limited(async {
        let county = County::found(1).await;
        let north = Station::join(&county, "North", 10).await;
        let south = Station::join(&county, "South", 20).await;
        north.register("Marsh 21").await;
        north.register("Marsh 22").await;
        south.register("Ridge 7").await;
        assert_eq!(north.craft().await, ["Marsh 21", "Marsh 22"]);
        assert_eq!(north.waiting().await, 2);

        let report = north.sync(&county).await;
        assert_eq!((report.summary.sent, report.waiting), (2, 0));
        assert!(report.summary.refusals.is_empty(), "{report:?}");
        south.sync(&county).await;
        north.sync(&county).await;

        let all = ["Marsh 21", "Marsh 22", "Ridge 7"];
        assert_eq!(north.craft().await, all);
        assert_eq!(south.craft().await, all);
        assert_eq!(craft(&mut county.local().await.client()).await, all);

        let again = north.sync(&county).await;
        assert_eq!((again.summary.sent, again.summary.received), (0, 0));
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn many_events_go_over_in_chunks_and_progress_is_told() {
    limited(async {
        let county = County::found(2).await;
        let north = Station::join(&county, "North", 10).await;
        for number in 0..200 {
            north.register(&format!("Quay {number}")).await;
        }
        let mut told = Vec::new();
        let at = county.at();
        let done = sponson_link::station::sync(&north.shared, &at, &north.identity, |progress| {
            told.push(progress);
        })
        .await
        .expect("synced");
        assert_eq!((done.summary.sent, done.waiting), (200, 0));
        assert!(told.len() > 2, "more than one chunk: {told:?}");
        assert!(told.windows(2).all(|pair| pair[0].sent <= pair[1].sent));

        let south = Station::join(&county, "South", 20).await;
        south.sync(&county).await;
        assert_eq!(south.craft().await.len(), 200);
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_county_that_is_gone_costs_nothing_and_is_met_again_when_it_is_back() {
    limited(async {
        let county = County::found(3).await;
        let north = Station::join(&county, "North", 10).await;
        north.sync(&county).await;
        let at = county.at();
        let (folder, hands) = county.stop().await;

        north.register("Marsh 21").await;
        let failure = north.try_sync(&at).await.expect_err("nobody is there");
        assert!(
            matches!(
                &failure,
                SyncFailure::Connect(ConnectError::Unreachable { .. })
            ),
            "{failure}"
        );
        assert!(failure.to_string().contains(&at.address), "{failure}");
        assert_eq!(north.waiting().await, 1);

        let county = County::start(folder, hands, 30).await;
        let report = north.sync(&county).await;
        assert_eq!((report.summary.sent, report.waiting), (1, 0));
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn the_clocks_difference_is_measured() {
    limited(async {
        let county = County::found(4).await;
        let north = Station::join(&county, "North", 10).await;
        let report = north.sync(&county).await;
        let (offset, round_trip) = report.summary.offset_ms.expect("measured");
        // Both read one clock, which goes on by a millisecond whenever it is read.
        assert!(offset.abs() < 100, "{offset}");
        assert!(round_trip < 100, "{round_trip}");
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_station_that_never_recorded_anything_is_heard_at_the_others() {
    limited(async {
        let county = County::found(6).await;
        let north = Station::join(&county, "North", 10).await;
        let south = Station::join(&county, "South", 20).await;
        let heard = async |station: &Station| {
            let ask = AskRequest::default();
            let reply = station.local().await.client().ask(ask).await;
            let answer = reply.expect("answered").into_inner().answer;
            let stations = answer.expect("as messages").stations;
            let south = stations.into_iter().find(|heard| heard.station == "South");
            south.and_then(|south| south.last_heard_unix_ms)
        };
        north.sync(&county).await;
        assert_eq!(heard(&north).await, None, "it did not sync yet");
        let before = county.hands.clock().now().unix_ms;
        south.sync(&county).await;
        let after = county.hands.clock().now().unix_ms;
        north.sync(&county).await;
        let first = heard(&north).await.expect("told with the sync");
        assert!((before..=after).contains(&first), "{first}");

        // It stays what it was until it is told anew.
        county.hands.move_by_ms(3_600_000);
        assert_eq!(heard(&north).await, Some(first));
        south.sync(&county).await;
        north.sync(&county).await;
        let later = heard(&north).await.expect("told again");
        assert!(later > first + 3_500_000, "{later}");
        county.stop().await;
    })
    .await;
}
