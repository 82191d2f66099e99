//! A station that syncs by itself: when it starts, one at a time, and said.

use sponson_link::local::by_itself::{SyncState, by_itself};
use sponson_proto::service::v1 as service;

use crate::world::{County, Station, limited};

/// Runs it until a sync of its own has ended; gives how it stood then.
async fn once(station: &Station, host: sponson_link::local::Host) -> SyncState {
    let mut state = station.shared.syncs().state();
    let before = state.borrow().tried_unix_ms;
    let syncing = tokio::spawn(by_itself(host));
    // What an earlier one left is not taken for this one's.
    let ended = |state: &SyncState| state.tried_unix_ms > before && !state.now;
    let next = |state: &SyncState| ended(state) && state.next_unix_ms > state.tried_unix_ms;
    let stood = state.wait_for(next).await.expect("it lives").clone();
    syncing.abort();
    let gone = |state: &SyncState| !state.by_itself && state.next_unix_ms.is_none();
    state.wait_for(gone).await.expect("it says so at its end");
    stood
}

#[tokio::test]
async fn what_waits_arrives_when_it_starts_and_about_says_how_it_stands() {
    limited(async {
        let county = County::found(40).await;
        let north = Station::join(&county, "North", 41).await;
        let south = Station::join(&county, "South", 42).await;
        north.register("Marsh 21").await;
        let before = county.events().await;
        let stood = once(&north, north.host(&county.at())).await;
        assert_eq!(county.events().await, before + 1);
        assert_eq!((stood.by_itself, stood.failed), (true, None));
        let wait = stood.next_unix_ms.zip(stood.tried_unix_ms);
        let wait_s = wait.map(|(next, tried)| (next - tried) / 1_000);
        let quarters = 15 * 60 / 4;
        assert!(
            wait_s.is_some_and(|wait_s| (quarters * 3 - 1..=quarters * 4 + 1).contains(&wait_s))
        );

        // Only what was written by somebody who had met the county before has a time for sure.
        once(&south, south.host(&county.at())).await;
        south.register("Marsh 22").await;
        once(&south, south.host(&county.at())).await;
        once(&north, north.host(&county.at())).await;
        let local = north.local().await;
        let about = local.client().about(service::AboutRequest {}).await;
        let about = about.expect("it says").into_inner();
        let state = about.sync_state.expect("of a station");
        assert!(!state.by_itself && state.tried_unix_ms.is_some());
        let heard: Vec<&str> = about.heard.iter().map(|one| one.station.as_str()).collect();
        assert_eq!(heard, ["South"]);
        assert!(about.heard[0].unix_ms.is_some());
        local.close().await;
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn without_the_county_it_says_why_and_tries_again_sooner() {
    limited(async {
        let county = County::found(43).await;
        let station = Station::join(&county, "North", 44).await;
        let host = station.host(&county.at());
        county.stop().await;
        let stood = once(&station, host).await;
        assert!(stood.failed.is_some_and(|why| why.contains("cannot reach")));
        let wait = stood.next_unix_ms.zip(stood.tried_unix_ms);
        assert!(wait.is_some_and(|(next, tried)| next - tried <= 30_100));
    })
    .await;
}
