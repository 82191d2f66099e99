//! One county in many simulated lives: the real replicas and the real sync core, with every fault
//! that can happen to them, from one seed each.
//!
//! `SPONSON_SEEDS` says how many seeds are tried, `SPONSON_SEED` tries one; `tests/run --seeds N`
//! and `tests/run --seed S` set them. No real network, disk, clock or thread takes part in a life;
//! lives are independent, and as many are tried at a time as there are processors.

mod acts;
mod chance;
mod clock;
mod county;
mod crew;
mod device;
mod facts;
mod invariants;
mod lead;
mod liar;
mod machine;
mod meeting;
mod network;
mod report;
mod said;
mod settle;
mod tally;
mod world;

use std::panic::AssertUnwindSafe;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Mutex, PoisonError};
use std::time::Instant;

use tally::Tally;
use world::{Trace, World};

/// Seeds that are tried when nobody says how many.
const SEEDS: u64 = 2_000;

/// Lines of the trace that a failure shows.
const TRACE_SHOWN: usize = 40;

/// One life.
fn live(seed: u64, trace: &Trace) -> Result<Tally, String> {
    let mut world = World::begin(seed, trace.clone());
    world.play()?;
    world.settles()?;
    Ok(world.tally)
}

/// One life; what went wrong in it with the way to see it again.
fn try_seed(seed: u64) -> Result<Tally, String> {
    let trace = Trace::default();
    let lived = std::panic::catch_unwind(AssertUnwindSafe(|| live(seed, &trace)));
    let why = match lived {
        Ok(Ok(tally)) => return Ok(tally),
        Ok(Err(why)) => why,
        Err(panic) => panic
            .downcast_ref::<String>()
            .cloned()
            .or_else(|| panic.downcast_ref::<&str>().map(|text| (*text).to_owned()))
            .unwrap_or_else(|| "it panicked".to_owned()),
    };
    let lines = trace.lock().unwrap_or_else(PoisonError::into_inner);
    let shown = lines[lines.len().saturating_sub(TRACE_SHOWN)..].join("\n");
    Err(format!(
        "seed {seed}: {why}\n\nto see it again: tests/run --seed {seed}\n\nwhat happened, the last \
         {TRACE_SHOWN} of {} lines:\n{shown}\n",
        lines.len()
    ))
}

fn number_from(name: &str) -> Option<u64> {
    let said = std::env::var(name).ok()?;
    Some(
        said.parse()
            .unwrap_or_else(|_| panic!("{name} is '{said}', no number")),
    )
}

/// Tries seeds from 0 on, in as many threads as there are processors.
fn try_seeds(count: u64) -> Result<Tally, String> {
    let next = AtomicU64::new(0);
    let stop = AtomicBool::new(false);
    let whole = Mutex::new(Tally::default());
    let failed = Mutex::new(Vec::new());
    let work = || {
        let mut tally = Tally::default();
        while !stop.load(Ordering::Relaxed) {
            let seed = next.fetch_add(1, Ordering::Relaxed);
            if seed >= count {
                break;
            }
            match try_seed(seed) {
                Ok(lived) => tally.take_in(&lived),
                Err(why) => {
                    stop.store(true, Ordering::Relaxed);
                    let mut failed = failed.lock().unwrap_or_else(PoisonError::into_inner);
                    failed.push(why);
                }
            }
        }
        let mut whole = whole.lock().unwrap_or_else(PoisonError::into_inner);
        whole.take_in(&tally);
    };
    let threads = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    std::thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(work);
        }
    });
    let failed = failed.into_inner().unwrap_or_else(PoisonError::into_inner);
    match failed.into_iter().next() {
        Some(why) => Err(why),
        None => Ok(whole.into_inner().unwrap_or_else(PoisonError::into_inner)),
    }
}

#[test]
fn every_invariant_holds_in_every_life() {
    if let Some(seed) = number_from("SPONSON_SEED") {
        if let Err(why) = try_seed(seed) {
            panic!("{why}");
        }
        return;
    }
    let count = number_from("SPONSON_SEEDS").unwrap_or(SEEDS);
    let begun = Instant::now();
    let tally = try_seeds(count).unwrap_or_else(|why| panic!("{why}"));
    report::write(count, &tally, begun.elapsed());
    let never = tally.never_happened();
    assert!(
        count < SEEDS || never.is_empty(),
        "these never happened in {count} lives: {never:?}"
    );
}

#[test]
fn one_seed_is_one_life() {
    for seed in 0..3 {
        let [once, again] = [(); 2].map(|()| {
            let trace = Trace::default();
            let lived = live(seed, &trace);
            let lines = trace.lock().unwrap_or_else(PoisonError::into_inner).clone();
            (lived, lines)
        });
        assert_eq!(once, again, "seed {seed}");
    }
}
