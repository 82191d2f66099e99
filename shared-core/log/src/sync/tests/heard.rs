//! When stations were heard, as a reply says it.

use sponson_proto::sync::v1::{ExchangeReply, StationHeard};

use super::model::{County, Link, Station, run};
use crate::ids::SubjectId;
use crate::sync::county::HEARD_MAX;
use crate::sync::station::{Summary, SyncError};

/// Syncs with replies that say this of stations.
fn told(mut change: impl FnMut(&mut ExchangeReply)) -> Result<Summary, SyncError> {
    let mut county = County::new();
    county.write_note(100);
    let mut station = Station::new(10, county.root.county);
    let link = Link {
        ms_per_kib: 10,
        cut: None,
        change: &mut change,
    };
    let ended = run(&mut station, &mut county, link)?;
    Ok(ended.summary.expect("nothing cut it"))
}

fn heard(number: usize, unix_ms: i64) -> StationHeard {
    let bytes = u128::try_from(number).expect("small").to_be_bytes();
    StationHeard {
        station: SubjectId::from_bytes(bytes).to_bytes(),
        unix_ms,
    }
}

#[test]
fn the_last_word_on_each_station_is_taken_and_none_from_after_the_reply() {
    let summary = told(|reply| {
        reply.sent_unix_ms = 1_000;
        reply.heard = vec![heard(1, 900), heard(2, 5_000)];
    });
    let heard: Vec<i64> = summary.expect("synced").heard.into_values().collect();
    assert_eq!(heard, [900, 1_000]);
}

#[test]
fn so_many_stations_are_taken_and_no_more() {
    let of = |count: usize| told(|reply| reply.heard = (0..count).map(|n| heard(n, 1)).collect());
    assert_eq!(of(HEARD_MAX).expect("just fits").heard.len(), HEARD_MAX);
    let refused = of(HEARD_MAX + 1).expect_err("one more");
    assert!(matches!(refused, SyncError::Unreadable(_)), "{refused}");
    let no_station = told(|reply| {
        reply.heard = vec![StationHeard {
            station: vec![1; 3].into(),
            unix_ms: 1,
        }];
    });
    let refused = no_station.expect_err("no id");
    assert!(matches!(refused, SyncError::Unreadable(_)), "{refused}");
}
