//! One county in many simulated lives: the real replicas and the real sync core, with every fault
//! that can happen to them, from one seed each.
//!
//! `SPONSON_SEEDS` says how many seeds are tried, `SPONSON_SEED` tries one; `tests/run --seeds N`
//! and `tests/run --seed S` set them. `SPONSON_ACTS` ends a life after so many acts: the fewest that
//! still fail are told when one fails. `SPONSON_LONG` tries seeds for so many minutes, from
//! `SPONSON_FROM` on (hexadecimal), past those that fail; `tests/run --long` sets both. A life is
//! some days of a county in which mostly little happens; `SPONSON_DAY` says how many hours the busy
//! day of a county has, in which somebody does something every two minutes. No real network, disk,
//! clock or thread takes part in a life; lives are independent, and as many are tried at a time as
//! there are processors.

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
mod put_back;
mod report;
mod said;
mod settle;
mod stands_by;
mod tally;
mod world;

use std::panic::AssertUnwindSafe;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use tally::Tally;
use world::{Pace, Trace, World};

/// Seeds that are tried when nobody says how many.
const SEEDS: u64 = 2_000;

/// More acts than any life has.
const ACTS_MAX: u32 = 90;

/// Hours of the busy day when nobody says how many.
const DAY_HOURS: u64 = 24;

/// Lines of the trace that a failure shows.
const TRACE_SHOWN: usize = 40;

/// One life.
fn live(seed: u64, pace: Pace, trace: &Trace) -> Result<Tally, String> {
    let mut world = World::begin(seed, pace, trace.clone());
    world.play()?;
    world.settles()?;
    Ok(world.tally)
}

/// One life, and what happened in it; what went wrong when something did.
fn lived(seed: u64, pace: Pace) -> (Result<Tally, String>, Vec<String>) {
    let trace = Trace::default();
    let lived = std::panic::catch_unwind(AssertUnwindSafe(|| live(seed, pace, &trace)));
    let lived = lived.unwrap_or_else(|panic| {
        let said = panic.downcast_ref::<String>().cloned();
        let said = said.or_else(|| panic.downcast_ref::<&str>().map(|text| (*text).to_owned()));
        Err(said.unwrap_or_else(|| "it panicked".to_owned()))
    });
    let lines = trace.lock().unwrap_or_else(PoisonError::into_inner).clone();
    (lived, lines)
}

/// One life; what went wrong in it with the way to see it again, in as few acts as it takes.
fn try_seed(seed: u64) -> Result<Tally, String> {
    let acts_max = number_from("SPONSON_ACTS").and_then(|acts| u32::try_from(acts).ok());
    let acts_max = acts_max.unwrap_or(u32::MAX);
    let (tally, lines) = lived(seed, Pace::Life { acts_max });
    let Err(why) = tally else {
        return tally;
    };
    // The first acts are the same whenever a life ends: the shortest one that fails says most.
    let shorter = (1..ACTS_MAX.min(acts_max)).find_map(|acts_max| {
        let (tally, lines) = lived(seed, Pace::Life { acts_max });
        Some((acts_max, tally.err()?, lines))
    });
    let again = format!("tests/run --seed {seed}");
    Err(match shorter {
        Some((acts, why, lines)) => {
            told(seed, &why, &format!("SPONSON_ACTS={acts} {again}"), &lines)
        }
        None => told(seed, &why, &again, &lines),
    })
}

fn told(seed: u64, why: &str, again: &str, lines: &[String]) -> String {
    let shown = lines[lines.len().saturating_sub(TRACE_SHOWN)..].join("\n");
    format!(
        "seed {seed}: {why}\n\nto see it again: {again}\n\nwhat happened, the last {TRACE_SHOWN} of \
         {} lines:\n{shown}\n",
        lines.len()
    )
}

fn number_from(name: &str) -> Option<u64> {
    let said = std::env::var(name).ok()?;
    Some(
        said.parse()
            .unwrap_or_else(|_| panic!("{name} is '{said}', no number")),
    )
}

/// Which seeds are tried.
#[derive(Clone, Copy, Debug)]
struct Seeds {
    from: u64,
    /// How many; as many as the time allows when none.
    count: Option<u64>,
    /// Until when new ones are begun, whatever failed before; to the first that fails when none.
    until: Option<Instant>,
}

impl Seeds {
    fn asked() -> Self {
        let until = std::env::var("SPONSON_LONG").ok().map(|text| {
            let minutes: f64 = text.parse().expect("SPONSON_LONG is a number of minutes");
            Instant::now() + Duration::from_secs_f64(minutes * 60.0)
        });
        let from = std::env::var("SPONSON_FROM").map_or(0, |text| {
            let digits = text.trim_start_matches("0x");
            u64::from_str_radix(digits, 16).expect("SPONSON_FROM is a hexadecimal number")
        });
        let count = number_from("SPONSON_SEEDS").unwrap_or(SEEDS);
        Self {
            from,
            count: until.is_none().then_some(count),
            until,
        }
    }

    /// The n-th of them, while there is one.
    fn nth(self, nth: u64) -> Option<u64> {
        let is_one = match (self.count, self.until) {
            (Some(count), _) => nth < count,
            (None, until) => until.is_some_and(|until| Instant::now() < until),
        };
        is_one.then(|| self.from.wrapping_add(nth))
    }
}

/// What came of many lives.
#[derive(Debug, Default)]
struct Lives {
    count: u64,
    tally: Tally,
    failed: Vec<String>,
}

/// Tries seeds in as many threads as there are processors.
fn try_seeds(seeds: Seeds) -> Lives {
    let next = AtomicU64::new(0);
    let stop = AtomicBool::new(false);
    let whole = Mutex::new(Lives::default());
    let work = || {
        while !stop.load(Ordering::Relaxed) {
            let Some(seed) = seeds.nth(next.fetch_add(1, Ordering::Relaxed)) else {
                break;
            };
            let lived = try_seed(seed);
            let mut whole = whole.lock().unwrap_or_else(PoisonError::into_inner);
            whole.count += 1;
            match lived {
                Ok(lived) => whole.tally.take_in(&lived),
                Err(why) => {
                    stop.fetch_or(seeds.until.is_none(), Ordering::Relaxed);
                    whole.failed.push(why);
                }
            }
        }
    };
    let threads = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    std::thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(work);
        }
    });
    whole.into_inner().unwrap_or_else(PoisonError::into_inner)
}

#[test]
fn every_invariant_holds_in_every_life() {
    if let Some(seed) = number_from("SPONSON_SEED") {
        if let Err(why) = try_seed(seed) {
            panic!("{why}");
        }
        return;
    }
    let begun = Instant::now();
    let Lives {
        count,
        tally,
        failed,
    } = try_seeds(Seeds::asked());
    report::write(count, &tally, (begun.elapsed(), failed.len()));
    assert!(failed.is_empty(), "{}", failed.join("\n"));
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
            let lived = live(seed, Pace::Life { acts_max: u32::MAX }, &trace);
            let lines = trace.lock().unwrap_or_else(PoisonError::into_inner).clone();
            (lived, lines)
        });
        assert_eq!(once, again, "seed {seed}");
    }
}

/// A day on which somebody does something every two minutes, with all the faults of a life.
#[test]
fn every_invariant_holds_on_a_busy_day() {
    let hours = number_from("SPONSON_DAY").unwrap_or(DAY_HOURS);
    let hours = u32::try_from(hours).expect("SPONSON_DAY is a number of hours");
    let seed = number_from("SPONSON_SEED").unwrap_or(1);
    let (lived, lines) = lived(seed, Pace::Busy { hours });
    let again = format!("SPONSON_DAY={hours} tests/run --seed {seed}");
    if let Err(why) = lived {
        panic!("{}", told(seed, &why, &again, &lines));
    }
}
