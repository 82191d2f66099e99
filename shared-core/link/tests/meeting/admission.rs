//! Codes: once, in time, for the right county.

use sponson_link::Code;
use sponson_link::refusal;
use sponson_link::station::{CountyAt, JoinError, SyncFailure, join};
use sponson_link::tls::ConnectError;

use crate::world::{County, Station, device, limited, try_join};

fn reason(error: &JoinError) -> String {
    match error {
        JoinError::Refused(status) => refusal::reason(status).unwrap_or_default(),
        JoinError::Connect(_)
        | JoinError::Tls(_)
        | JoinError::OtherCounty { .. }
        | JoinError::Reply(_) => error.to_string(),
    }
}

#[tokio::test]
async fn a_code_lets_one_device_in_and_the_same_device_may_ask_again() {
    limited(async {
        let county = County::found(1).await;
        let code = county.code("North").await;
        let (one, other) = (device(10), device(11));
        let first = try_join(&code, &county.address, &one).await.expect("in");
        assert_eq!(first.station_name, "North");
        let events = county.events().await;
        let again = try_join(&code, &county.address, &one).await.expect("in");
        assert_eq!(first, again);
        assert_eq!(county.events().await, events, "nothing was written twice");

        let refused = try_join(&code, &county.address, &other).await;
        assert_eq!(reason(&refused.expect_err("used")), "CODE_USED");
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_code_ends() {
    limited(async {
        let county = County::found(2).await;
        let code = county.code("North").await;
        county.hands.move_by_ms(24 * 60 * 60 * 1000);
        let refused = try_join(&code, &county.address, &device(10)).await;
        let refused = refused.expect_err("ended");
        assert_eq!(reason(&refused), "CODE_ENDED");
        insta::assert_snapshot!(refused, @"the county refused: this code has ended: compare it with what you were given, or ask the lead for a new code");
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_stranger_who_answers_learns_no_secret() {
    limited(async {
        let (county, stranger) = (County::found(3).await, County::found(4).await);
        let code = county.code("North").await;
        let joiner = device(10);
        let refused = try_join(&code, &stranger.address, &joiner).await;
        let refused = refused.expect_err("not the county of the code");
        let expected = matches!(&refused, JoinError::OtherCounty { why, .. }
            if why == "it has another root key");
        assert!(expected, "{refused}");
        // Not even a failed try was counted at the stranger's: nothing of the code came there.
        assert_eq!(stranger.events().await, 1);
        try_join(&code, &county.address, &joiner)
            .await
            .expect("the code is as good as new");
        county.stop().await;
        stranger.stop().await;
    })
    .await;
}

#[tokio::test]
async fn guessing_is_slowed_down() {
    limited(async {
        let county = County::found(5).await;
        let right = county.code("North").await;
        for guess in 0..10 {
            let wrong = Code::new(right.county(), [guess; 10]);
            let refused = try_join(&wrong, &county.address, &device(10)).await;
            assert_eq!(reason(&refused.expect_err("a guess")), "CODE_UNKNOWN");
        }
        let refused = try_join(&right, &county.address, &device(10)).await;
        let refused = refused.expect_err("the door is shut");
        assert_eq!(reason(&refused), "TOO_MANY_TRIES");
        let JoinError::Refused(status) = refused else {
            panic!("a refusal");
        };
        assert!(refusal::retry_after(&status).is_some());
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_station_of_another_county_is_refused_by_either_side() {
    limited(async {
        let (county, other) = (County::found(6).await, County::found(7).await);
        let station = Station::join(&county, "North", 10).await;
        // By its own pins: the other county has another key.
        let failure = station.try_sync(&other.at()).await;
        // Nothing was synced yet, so the key that was introduced counts: the other county's here.
        let refused = failure.expect_err("not admitted there");
        let SyncFailure::Refused(status) = &refused else {
            panic!("{refused}");
        };
        assert_eq!(
            refusal::reason(status).as_deref(),
            Some("KEY_NOT_ADMITTED"),
            "{refused}"
        );
        // Once it holds the registry, its working key alone counts.
        station.sync(&county).await;
        let moved = CountyAt {
            address: other.address.clone(),
            tls_key: other.at().tls_key,
        };
        let refused = station.try_sync(&moved).await.expect_err("another key");
        let expected = matches!(
            &refused,
            SyncFailure::Connect(ConnectError::OtherKey { .. })
        );
        assert!(expected, "{refused}");
        county.stop().await;
        other.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_device_takes_over_from_one_of_its_own_station_only() {
    limited(async {
        let county = County::found(8).await;
        let north = Station::join(&county, "North", 10).await;
        let south = Station::join(&county, "South", 20).await;
        let (code, new) = (county.code("North").await, device(30));
        let take_over = async |old: &Station| {
            let replaces = Some((old.identity.log_key().key(), None));
            join(&code, &county.address, &new, "new tablet", replaces).await
        };
        let refused = take_over(&south).await.expect_err("another station's");
        assert_eq!(reason(&refused), "REPLACES_OTHER_STATION");
        let joined = take_over(&north).await.expect("its own station's");
        assert_eq!(joined.station, north.joined.station);
        let key = new.log_key().key();
        let admitted = county
            .host
            .shared
            .call(move |replica| replica.registry().key(&key).cloned())
            .await
            .expect("open")
            .expect("admitted");
        assert_eq!(admitted.epoch, 2);
        let old = north.identity.log_key().key();
        assert_eq!(admitted.replaces, Some((old, None)));
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn of_two_devices_that_race_with_one_code_exactly_one_is_let_in() {
    limited(async {
        let county = County::found(9).await;
        for round in 0..6 {
            let code = county.code("North").await;
            let before = county.events().await;
            let (one, other) = (device(100 + 2 * round), device(101 + 2 * round));
            let (one, other) = tokio::join!(
                try_join(&code, &county.address, &one),
                try_join(&code, &county.address, &other),
            );
            let (let_in, turned_away) = match (one, other) {
                (Ok(let_in), Err(refused)) | (Err(refused), Ok(let_in)) => (let_in, refused),
                (one, other) => panic!("{one:?} {other:?}"),
            };
            assert_eq!(let_in.station_name, "North");
            assert_eq!(reason(&turned_away), "CODE_USED");
            assert_eq!(county.events().await, before + 1, "one admission");
        }
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_code_works_once_and_ends_by_the_countys_clock_also_after_a_restart() {
    const DAY: i64 = 24 * 60 * 60 * 1000;
    limited(async {
        let county = County::found(10).await;
        let used = county.code("North").await;
        let open = county.code("South").await;
        let ending = county.code("West").await;
        let (one, other) = (device(10), device(11));
        let joined = try_join(&used, &county.address, &one).await.expect("in");
        let (folder, hands) = county.stop().await;

        let county = County::start(folder, hands, 11).await;
        let again = try_join(&used, &county.address, &one).await.expect("in");
        assert_eq!(again.admitted_by, joined.admitted_by);
        let refused = try_join(&used, &county.address, &other).await;
        assert_eq!(reason(&refused.expect_err("used")), "CODE_USED");
        county.hands.move_by_ms(DAY - 60_000);
        try_join(&open, &county.address, &other)
            .await
            .expect("a minute before its end");
        county.hands.move_by_ms(60_000);
        let (folder, hands) = county.stop().await;

        let county = County::start(folder, hands, 12).await;
        let refused = try_join(&ending, &county.address, &device(12)).await;
        assert_eq!(reason(&refused.expect_err("ended")), "CODE_ENDED");
        // A county's clock that is set back does not open what was used.
        county.hands.move_by_ms(-2 * DAY);
        let refused = try_join(&used, &county.address, &device(13)).await;
        assert_eq!(reason(&refused.expect_err("used")), "CODE_USED");
        county.stop().await;
    })
    .await;
}
