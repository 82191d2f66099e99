//! What it takes to start with a store and to answer from it, measured in a process of its own:
//! memory that was once taken says nothing of what is needed.

use std::path::Path;
use std::time::Instant;

use serde_json::{Value, json};
use sponson_log::sign::DeviceKey;
use sponson_readiness::engine::Question;
use sponson_readiness::moment::Moment;
use sponson_replica::Replica;

use super::size;

/// Opens a store, answers, and says what that took: milliseconds, bytes, counts.
///
/// # Panics
/// When the store cannot be opened.
#[must_use]
pub fn measured(folder: &Path, key: DeviceKey, now_ms: i64) -> Value {
    let before = size::own().rss;
    let opened = Instant::now();
    let mut replica = Replica::open(folder, key).expect("the store is whole");
    let open_ms = millis(opened);
    let index = size::own();
    let question = Question::general(Moment(now_ms), Moment(now_ms));
    let first = Instant::now();
    let answer = replica.ask(&question);
    let first_ms = millis(first);
    let again = Instant::now();
    let _ = replica.ask(&question);
    let again_ms = millis(again);
    let earlier = Instant::now();
    let _ = replica.ask(&Question::general(
        Moment(now_ms - 86_400_000 * 30),
        Moment(now_ms),
    ));
    let earlier_ms = millis(earlier);
    let answered = size::own();
    let records: Vec<usize> = replica
        .records()
        .values()
        .map(|it| it.canonical().len())
        .collect();
    let past = Instant::now();
    let history = replica.history(&question);
    let past_ms = millis(past);
    drop(history);
    json!({
        "events": replica.held().events,
        "craft": answer.craft.len(),
        "open_ms": open_ms,
        "first_answer_ms": first_ms,
        "answer_ms": again_ms,
        "answer_month_ago_ms": earlier_ms,
        "history_ms": past_ms,
        "rss_before": before,
        "rss_opened": index.rss,
        "rss_answered": answered.rss,
        "rss_most": size::own().most,
        "threads": index.threads,
        "open_files": index.open,
        "records": records.len(),
        "record_bytes": records.iter().sum::<usize>(),
        "record_bytes_most": records.iter().max(),
    })
}

fn millis(since: Instant) -> u64 {
    u64::try_from(since.elapsed().as_millis()).unwrap_or(u64::MAX)
}
