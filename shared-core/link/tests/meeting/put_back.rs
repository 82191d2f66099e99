//! A county whose folder was put back to an older state: it notices, begins another log, and gets
//! back what stations hold.

use std::path::Path;

use sponson_link::refusal;
use sponson_log::begun::BegunReason;
use sponson_log::checkpoint::Checkpoint;
use sponson_log::ids::LogId;
use sponson_log::sign::DeviceKey;
use sponson_proto::sync::v1::ExchangeRequest;
use tempfile::TempDir;

use crate::world::{County, Station, craft, limited};

fn copy_folder(from: &Path, to: &Path) {
    for entry in std::fs::read_dir(from).expect("folder") {
        let entry = entry.expect("entry");
        let target = to.join(entry.file_name());
        if entry.file_type().expect("type").is_dir() {
            std::fs::create_dir(&target).expect("folder");
            copy_folder(&entry.path(), &target);
        } else {
            std::fs::copy(entry.path(), target).expect("file");
        }
    }
}

/// Stops a county, copies its folder, and starts it again.
async fn copied(county: County) -> (County, TempDir) {
    let (folder, hands) = county.stop().await;
    let copy = tempfile::tempdir().expect("folder");
    copy_folder(folder.path(), copy.path());
    (County::start(folder, hands, 50).await, copy)
}

/// Puts the copy in the place of a county.
async fn put_back(county: County, copy: TempDir, seed: u64) -> County {
    let (_, hands) = county.stop().await;
    County::start(copy, hands, seed).await
}

/// Received times of all events that a county's log lists, with the events' ids.
async fn listed(county: &County) -> Vec<(String, i64)> {
    let listed = county.host.shared.call(|replica| {
        let entries = replica.entries(0, usize::MAX, &|_| true);
        let entries = entries.into_iter().map(|entry| {
            let Some(sponson_proto::sync::v1::county_entry::What::HeldEventId(id)) = entry.what
            else {
                panic!("asked for ids only");
            };
            let id: String = id.iter().map(|byte| format!("{byte:02x}")).collect();
            (id, entry.received_unix_ms)
        });
        entries.collect::<Vec<_>>()
    });
    listed.await.expect("open")
}

#[tokio::test]
async fn what_stations_hold_comes_back_with_its_times() {
    limited(async {
        let county = County::found(5).await;
        let north = Station::join(&county, "North", 10).await;
        let south = Station::join(&county, "South", 20).await;
        north.sync(&county).await;
        south.sync(&county).await;
        let (county, copy) = copied(county).await;

        north.register("Marsh 21").await;
        north.sync(&county).await;
        south.register("Ridge 7").await;
        south.sync(&county).await;
        // North lacks what South sent last; the county admitted somebody in between.
        let _code = county.code("Weir").await;
        south.sync(&county).await;
        let before = listed(&county).await;
        county.hands.move_by_ms(3_600_000);
        let county = put_back(county, copy, 51).await;

        north.register("Marsh 22").await;
        let report = north.sync(&county).await;
        let moved = report.summary.moved.clone().expect("it went over");
        assert_eq!(moved.given_back, 1, "{report:?}");
        assert!(matches!(moved.begun.reason, BegunReason::Shown { .. }));
        assert_eq!(report.waiting, 0);
        let report = south.sync(&county).await;
        let moved = report.summary.moved.clone().expect("it went over");
        assert_eq!(moved.given_back, 2, "{report:?}");
        north.sync(&county).await;

        let all = ["Marsh 21", "Marsh 22", "Ridge 7"];
        assert_eq!(north.craft().await, all);
        assert_eq!(south.craft().await, all);
        assert_eq!(craft(&mut county.local().await.client()).await, all);
        let after = listed(&county).await;
        assert!(
            before.iter().all(|entry| after.contains(entry)),
            "as it was stored"
        );
        // The beginning, and Marsh 22.
        assert_eq!(after.len(), before.len() + 2);
        let about = county.host.shared.call(|replica| replica.about()).await;
        let about = about.expect("open");
        let begun = about.begun.expect("another log");
        assert_eq!((begun.back.len(), begun.to_hear.len()), (2, 0));
        assert!(about.paused);
        let found = county
            .host
            .shared
            .call(|replica| replica.verify(&mut |_, _| ()))
            .await;
        assert_eq!(found.expect("open").wrong, Vec::<String>::new());
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn the_county_signs_no_event_until_the_root_key_admits_another_key() {
    limited(async {
        let county = County::found(6).await;
        let north = Station::join(&county, "North", 10).await;
        north.sync(&county).await;
        let (county, copy) = copied(county).await;
        // An event of the county's own chain, which North holds and the copy does not.
        let _code = county.code("Weir").await;
        north.sync(&county).await;
        let county = put_back(county, copy, 51).await;
        north.sync(&county).await;

        let mut client = county.local().await.client();
        let made = client.make_code(sponson_proto::service::v1::MakeCodeRequest {
            station: "Quay".to_owned(),
            ..Default::default()
        });
        let refused = made.await.expect_err("paused");
        assert_eq!(
            refusal::reason(&refused).as_deref(),
            Some("COUNTY_PUT_BACK")
        );
        assert!(refused.message().contains("renew-key"), "{refused}");
        // Its chain came back whole, and did not part.
        let parted = county.host.shared.call(|replica| {
            let chains = replica.chains();
            chains.iter().any(|(_, chain)| chain.parted_at().is_some())
        });
        assert!(!parted.await.expect("open"));
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn put_back_twice_and_other_stations_still_in_the_first_log() {
    limited(async {
        let county = County::found(7).await;
        let north = Station::join(&county, "North", 10).await;
        let south = Station::join(&county, "South", 20).await;
        north.sync(&county).await;
        south.sync(&county).await;
        let (county, copy) = copied(county).await;
        let again = tempfile::tempdir().expect("folder");
        copy_folder(copy.path(), again.path());
        north.register("Marsh 21").await;
        north.sync(&county).await;
        south.register("Ridge 7").await;
        south.sync(&county).await;
        let county = put_back(county, copy, 51).await;
        north.sync(&county).await;
        // The old folder once more: North stands in a log of which it knows nothing.
        let county = put_back(county, again, 52).await;
        let report = north.sync(&county).await;
        assert!(report.summary.moved.is_some());
        let report = south.sync(&county).await;
        assert!(report.summary.moved.is_some());
        north.sync(&county).await;
        assert_eq!(north.craft().await, ["Marsh 21", "Ridge 7"]);
        assert_eq!(south.craft().await, ["Marsh 21", "Ridge 7"]);
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_checkpoint_that_the_county_did_not_sign_begins_nothing() {
    limited(async {
        let county = County::found(8).await;
        let north = Station::join(&county, "North", 10).await;
        north.sync(&county).await;
        let before = county
            .host
            .shared
            .call(|replica| (replica.log_id(), replica.tree().size()));
        let before = before.await.expect("open");
        let id = county.host.shared.call(|replica| replica.county());
        let id = id.await.expect("open");
        let log = before.0.expect("a county has a log");
        let root = sponson_log::ids::Digest::from_bytes([7; 32]);
        for (key, log) in [
            (DeviceKey::from_seed([77; 32]), log),
            (north.identity.log_key().clone(), log),
            (DeviceKey::from_seed([77; 32]), LogId::from_bytes([5; 16])),
        ] {
            let forged = Checkpoint::sign(&key, id, log, (before.1 + 10, root), 1);
            let request = ExchangeRequest {
                county_id: id.to_bytes(),
                log_id: log.to_bytes(),
                size: 1,
                checkpoint: Some(forged.to_wire().clone()),
                ..ExchangeRequest::default()
            };
            let reply = north.exchanger(&county).await.exchange(request).await;
            assert!(reply.is_ok(), "{reply:?}");
        }
        // One that was signed, and then changed, is no checkpoint at all.
        let real = county.host.shared.call(|replica| replica.checkpoint(1));
        let real = real.await.expect("open").expect("a county signs");
        let mut changed = real.to_wire().clone();
        let mut body = changed.body.to_vec();
        let last = body.len() - 1;
        body[last] ^= 1;
        changed.body = body.into();
        let request = ExchangeRequest {
            county_id: id.to_bytes(),
            checkpoint: Some(changed),
            ..ExchangeRequest::default()
        };
        assert!(
            north
                .exchanger(&county)
                .await
                .exchange(request)
                .await
                .is_err()
        );
        let after = county
            .host
            .shared
            .call(|replica| (replica.log_id(), replica.tree().size()));
        assert_eq!(after.await.expect("open"), before);
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn a_county_that_is_behind_and_is_shown_no_proof_refuses() {
    limited(async {
        let county = County::found(9).await;
        let north = Station::join(&county, "North", 10).await;
        north.sync(&county).await;
        let at = county
            .host
            .shared
            .call(|replica| (replica.county(), replica.log_id()));
        let (id, log) = at.await.expect("open");
        let request = ExchangeRequest {
            county_id: id.to_bytes(),
            log_id: log.expect("a log").to_bytes(),
            size: 1_000,
            ..ExchangeRequest::default()
        };
        let refused = north
            .exchanger(&county)
            .await
            .exchange(request)
            .await
            .expect_err("behind");
        assert_eq!(refusal::reason(&refused).as_deref(), Some("COUNTY_BEHIND"));
        county.stop().await;
    })
    .await;
}
