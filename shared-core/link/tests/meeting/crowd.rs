//! Many callers at a time: whoever takes every place that it can get leaves room for the others. The
//! CVE number is from memory.

use std::sync::Arc;

use prost::Message as _;
use rustls::ClientConfig;
use sponson_link::Identity;
use sponson_link::limits::{
    ARRIVING_PER_ADDRESS_MAX, CALLS_PER_KEY_MAX, CONNECTIONS_PER_KEY_MAX,
    HANDSHAKES_PER_ADDRESS_MAX, STRANGERS_MAX, STRANGERS_PER_ADDRESS_MAX,
};
use sponson_link::tls::{self, Learnt, Trusted};
use sponson_proto::service::v1::IntroduceReply;

use crate::raw::{DATA, END_HEADERS, END_STREAM, HEADERS, PING, Raw, frame, head, message, tcp};
use crate::world::{County, Station, device, limited};

const INTRODUCE: &str = "/sponson.service.v1.Admission/Introduce";
const GET_LIMITS: &str = "/sponson.service.v1.County/GetLimits";

fn config(identity: Option<&Identity>) -> Arc<ClientConfig> {
    let trusted = Trusted::Learn(Learnt::default());
    match identity {
        Some(identity) => tls::client(identity, trusted),
        None => tls::client_without_key(trusted),
    }
    .expect("tls")
}

/// Connects, and says whether the other side let it stay: its first frame shows it.
async fn stays(from: &str, county: &County, identity: Option<&Identity>) -> Option<Raw> {
    let raw = Raw::connect_from(from, &county.address, config(identity)).await;
    let mut raw = raw.ok()?;
    raw.begin(&[]).await.ok()?;
    raw.next().await.map(|_| raw)
}

#[tokio::test]
async fn handshakes_that_never_end_hold_up_their_own_address_alone() {
    limited(async {
        let county = County::found(1).await;
        let mut idle = Vec::new();
        for _ in 1..HANDSHAKES_PER_ADDRESS_MAX {
            idle.push(tcp("127.0.0.1", &county.address).await.expect("open"));
        }
        stays("127.0.0.1", &county, None)
            .await
            .expect("one is left");
        idle.push(tcp("127.0.0.1", &county.address).await.expect("open"));
        // As many as may wait beside them; the next is turned away.
        while idle.len() < ARRIVING_PER_ADDRESS_MAX {
            idle.push(tcp("127.0.0.1", &county.address).await.expect("open"));
        }
        let turned_away = Raw::connect(&county.address, config(None)).await;
        assert!(turned_away.is_err(), "no room for one more of that address");
        stays("127.0.0.2", &county, None)
            .await
            .expect("another address");
        drop(idle);
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn strangers_take_no_place_of_a_station_and_few_of_each_other() {
    limited(async {
        let county = County::found(2).await;
        let north = Station::join(&county, "North", 10).await;
        let unknown = device(99);
        let mut held = Vec::new();
        for address in 1..=STRANGERS_MAX / STRANGERS_PER_ADDRESS_MAX {
            let from = format!("127.0.1.{address}");
            for number in 0..STRANGERS_PER_ADDRESS_MAX {
                // A key that nobody admitted is no better than none.
                let shown = (number % 2 == 0).then_some(&unknown);
                let mut raw = stays(&from, &county, shown).await.expect("room");
                raw.call(1, INTRODUCE, &message(0, 0, &[]))
                    .await
                    .expect("sent");
                let reply = introduction(&mut raw).await.expect("an introduction");
                assert!(!reply.root_key.is_empty());
                held.push(raw);
            }
            let one_more = stays(&from, &county, Some(&unknown)).await;
            assert!(one_more.is_none(), "that address has enough");
        }
        let one_more = stays("127.0.2.1", &county, None).await;
        assert!(one_more.is_none(), "strangers have enough");
        north.register("Quay 1").await;
        north.sync(&county).await;
        held.pop();
        // Its place is free as soon as the county noticed.
        loop {
            if stays("127.0.2.1", &county, None).await.is_some() {
                break;
            }
        }
        county.stop().await;
    })
    .await;
}

/// The reply to a call of `Introduce`.
async fn introduction(raw: &mut Raw) -> Option<IntroduceReply> {
    loop {
        let got = raw.next().await?;
        if got.kind == DATA && got.payload.len() > 5 {
            return IntroduceReply::decode(&got.payload[5..]).ok();
        }
    }
}

#[tokio::test]
async fn one_device_of_the_county_takes_no_place_of_another() {
    limited(async {
        let county = County::found(3).await;
        let north = Station::join(&county, "North", 10).await;
        let south = Station::join(&county, "South", 20).await;
        let mut held = Vec::new();
        for _ in 0..CONNECTIONS_PER_KEY_MAX {
            let raw = stays("127.0.0.1", &county, Some(&north.identity)).await;
            held.push(raw.expect("room"));
        }
        let one_more = stays("127.0.0.1", &county, Some(&north.identity)).await;
        assert!(one_more.is_none(), "that key has enough");
        south.sync(&county).await;
        county.stop().await;
    })
    .await;
}

#[tokio::test]
async fn replies_that_nobody_takes_hold_up_their_own_device_alone() {
    limited(async {
        let county = County::found(4).await;
        let north = Station::join(&county, "North", 10).await;
        let south = Station::join(&county, "South", 20).await;
        let mut raw = Raw::connect(&county.address, config(Some(&north.identity))).await;
        let raw = raw.as_mut().expect("open");
        // SETTINGS_INITIAL_WINDOW_SIZE of 0 (CVE-2019-9517): replies are asked for and never taken.
        raw.begin(&[(4, 0)]).await.expect("begun");
        let call = |stream: u32| {
            let mut bytes = frame(HEADERS, END_HEADERS, stream, &head(GET_LIMITS, &[]));
            bytes.extend(frame(DATA, END_STREAM, stream, &message(0, 0, &[])));
            bytes
        };
        for number in 0..u32::try_from(CALLS_PER_KEY_MAX).expect("fits") {
            raw.bytes(&call(1 + 2 * number)).await.expect("sent");
            while raw.next().await.expect("a head").kind != HEADERS {}
        }
        let refused = north
            .try_sync(&county.at())
            .await
            .expect_err("no place left");
        assert!(
            refused.to_string().contains("16 of this device"),
            "{refused}"
        );
        south.sync(&county).await;
        // Until here it took nothing, and was there.
        raw.frame(PING, 0, 0, b"12345678")
            .await
            .expect("still open");
        county.stop().await;
    })
    .await;
}
