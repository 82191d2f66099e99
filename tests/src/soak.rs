//! A county of many stations that works for simulated years through the real replica, store and
//! sync core; what it takes of memory and disk is measured on the way.
//!
//! Two stations hold stores of their own and sync by the sync core. The others are their keys
//! alone: they sign as any device does, and the county takes in what they sign one entry at a time,
//! as syncs bring it. Nothing here is asserted, and no time decides anything: tests look at bytes,
//! counts and ratios.

pub mod county;
pub mod meeting;
pub mod open;
pub mod size;
pub mod work;

use std::path::Path;
use std::process::Command;
use std::time::Duration;

use serde_json::{Value, json};

use county::{County, Sort};

/// How long looking at one store may take: years of a county on a busy machine take minutes. A limit
/// on waiting and no more.
const OPENED_WITHIN: Duration = Duration::from_secs(1_800);

/// Days of a quarter.
pub const QUARTER_DAYS: u32 = 91;

/// Lets a county work for so many quarters, and looks at it after each: what stands on its disks,
/// what it takes to start and to answer (in a process of its own), and what a sync takes when there
/// is nothing new. `row` hears of each.
///
/// # Panics
/// When a store fails.
pub fn quarters(county: &mut County, count: u32, mut row: impl FnMut(&Value)) -> Vec<Value> {
    let mut rows = Vec::new();
    for quarter in 1..=count {
        county.days(QUARTER_DAYS);
        let looked = look(county, quarter);
        row(&looked);
        rows.push(looked);
    }
    rows
}

/// Looks at a county as it stands.
///
/// # Panics
/// When a store fails.
#[must_use]
pub fn look(county: &mut County, quarter: u32) -> Value {
    let met = county.meet_whole();
    let own = size::own();
    county.close();
    let opened = opened_apart(&county.folder(), "county", county.now_ms);
    let station = opened_apart(&county.whole_folder(0), "0", county.now_ms);
    let looked = json!({
        "quarter": quarter,
        "events": opened["events"],
        "signed_bytes": county.signed_bytes,
        "chunks": county.chunks,
        "county_bytes": size::of_folder(&county.folder()),
        "station_bytes": size::of_folder(&county.whole_folder(0)),
        "idle_rounds": met.rounds,
        "idle_bytes": met.bytes,
        "own_rss": own.rss,
        "own_threads": own.threads,
        "own_open": own.open,
        "county": opened,
        "station": station,
    });
    county.reopen();
    looked
}

/// Opens a store in a process of its own. The program stands beside the tests, as every binary of
/// this crate does.
fn opened_apart(folder: &Path, whose: &str, now_ms: i64) -> Value {
    let mut command = Command::new(crate::process::beside("soak"));
    command
        .arg("open")
        .arg(folder)
        .arg(whose)
        .arg(now_ms.to_string());
    let ended = crate::process::within(command, OPENED_WITHIN);
    let ended = ended.expect("it ends in time");
    assert_eq!(ended.code(), Some(0), "{ended:?}");
    serde_json::from_str(&ended.out).expect("it says JSON")
}

/// A county in a folder.
#[must_use]
pub fn founded(folder: &Path, sort: Sort) -> County {
    County::found(folder, sort)
}
