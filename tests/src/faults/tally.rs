//! Faults that are tried, in the short form and in the long one, and what they did.
//!
//! A fault that panics is one that went wrong: it is noted with what it takes to try it again, and
//! the others go on.

use std::fmt::Debug;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Instant;

use serde_json::{Value, json};

use super::{Asked, Outcome, Seeded, folder};

/// Faults tried side by side when a test says nothing else: most of each is waiting for the engine's
/// own threads.
const AT_ONCE: usize = 4;

/// What one kind of fault did, for the table.
#[derive(Debug)]
pub struct Tally {
    name: &'static str,
    faults: &'static str,
    seed: u64,
    asked: Asked,
    /// How to call this test again.
    again: String,
    begun: Instant,
    at_once: usize,
    /// Faults that were tried.
    pub count: u64,
    /// Of these: the program refused loudly, with the remedy.
    pub refused: u64,
    /// Acknowledged events that were lost for good.
    pub lost: u64,
    /// Answers that were wrong, and nobody was told.
    pub wrong: u64,
    /// What is to be said beside.
    pub note: String,
    said: Vec<String>,
}

impl Tally {
    /// Begins. The name is that of the file; `faults` is what the table says; 0 is no seed.
    #[must_use]
    pub fn begin(name: &'static str, faults: &'static str, seed: u64) -> Self {
        Self {
            name,
            faults,
            seed,
            asked: Asked::now(),
            again: again(),
            begun: Instant::now(),
            at_once: AT_ONCE,
            count: 0,
            refused: 0,
            lost: 0,
            wrong: 0,
            note: String::new(),
            said: Vec::new(),
        }
    }

    /// Tries so many side by side.
    pub const fn at_once(&mut self, count: usize) -> &mut Self {
        self.at_once = count;
        self
    }

    /// Takes up what some faults did.
    pub fn add(&mut self, outcome: Outcome) {
        self.refused += outcome.refused;
        self.lost += outcome.lost;
        self.wrong += outcome.wrong;
        self.said.extend(outcome.said);
    }

    /// Tries faults by their number, some side by side, each with a spread of its own. In the long
    /// form all numbers come again with the next seed until the time is over.
    pub fn try_each(&mut self, count: u64, fault: impl Fn(u64, &mut Seeded) -> Outcome + Sync) {
        let next = AtomicU64::new(0);
        let found = Mutex::new(Vec::new());
        let work = || {
            while let Some((pass, number)) = self.nth(next.fetch_add(1, Ordering::Relaxed), count) {
                let seed = self.seed.wrapping_add(pass);
                let outcome = self.tried(seed, number, &fault);
                found.lock().expect("no panic").push(outcome);
            }
        };
        std::thread::scope(|scope| {
            for _ in 0..self.at_once {
                scope.spawn(work);
            }
        });
        for outcome in found.into_inner().expect("no panic") {
            self.count += 1;
            self.add(outcome);
        }
    }

    /// The pass and the number of the fault that is n-th in time, while there is one.
    fn nth(&self, nth: u64, count: u64) -> Option<(u64, u64)> {
        if let Some(only) = self.asked.only {
            return (nth == 0 && only < count).then_some((0, only));
        }
        let is_short = nth < count;
        (is_short || count > 0 && self.asked.goes_on(self.begun))
            .then(|| (nth / count, nth % count))
    }

    /// Tries faults one after the other on what the one before it left, at least so many, and in the
    /// long form until the time is over. All of them hang on the one seed.
    pub fn try_in_turn(&mut self, count: u64, mut fault: impl FnMut(u64, &mut Seeded) -> Outcome) {
        let mut number = 0;
        while number < count || self.asked.goes_on(self.begun) {
            let fault = AssertUnwindSafe(|| fault(number, &mut spread(self.seed, number)));
            let outcome = catch_unwind(fault).unwrap_or_else(|panic| panicked(&*panic));
            let rounds = format!(
                "SPONSON_SEED={:#x} SPONSON_ROUNDS={}",
                self.seed,
                number + 1
            );
            let outcome = self.told(outcome, &rounds, &format!("round {number}"));
            self.count += 1;
            self.add(outcome);
            number += 1;
        }
    }

    /// Tries faults out of a list of all that there are, some side by side: a seeded sample of so
    /// many in the short form, and `always` those that found something once; in the long form all
    /// of them, in a seeded order, for as long as the time lasts. Says how many of them beside.
    pub fn try_all<T: Sync + Debug>(
        &mut self,
        all: &[T],
        sample: usize,
        always: impl Fn(&T) -> bool,
        fault: impl Fn(&T, &mut Seeded) -> Outcome + Sync,
    ) {
        let order = Seeded::new(self.seed).shuffled(all.len());
        let (kept, others): (Vec<_>, Vec<_>) = order.into_iter().partition(|at| always(&all[*at]));
        let short = (kept.len() + sample).min(all.len());
        let order = [kept, others].concat();
        let next = AtomicU64::new(0);
        let found = Mutex::new(Vec::new());
        let work = || {
            while let Some(at) = self.place(next.fetch_add(1, Ordering::Relaxed), &order, short) {
                let number = u64::try_from(at).expect("fits");
                let named = |_, seeded: &mut Seeded| {
                    let mut outcome = fault(&all[at], seeded);
                    for line in &mut outcome.said {
                        *line = format!("{:?}: {line}", all[at]);
                    }
                    outcome
                };
                let outcome = self.tried(self.seed, number, &named);
                found.lock().expect("no panic").push(outcome);
            }
        };
        std::thread::scope(|scope| {
            for _ in 0..self.at_once {
                scope.spawn(work);
            }
        });
        let found = found.into_inner().expect("no panic");
        let of_all = format!("{} of {}", found.len(), all.len());
        let parts = [self.note.as_str(), &of_all].into_iter();
        self.note = parts
            .filter(|part| !part.is_empty())
            .collect::<Vec<_>>()
            .join("; ");
        for outcome in found {
            self.count += 1;
            self.add(outcome);
        }
    }

    fn place(&self, nth: u64, order: &[usize], short: usize) -> Option<usize> {
        let nth = usize::try_from(nth).expect("fits");
        if let Some(only) = self.asked.only {
            let only = usize::try_from(only).expect("fits");
            return (nth == 0 && only < order.len()).then_some(only);
        }
        let is_asked = nth < short || self.asked.goes_on(self.begun);
        order.get(nth).copied().filter(|_| is_asked)
    }

    /// One fault with its own spread; what went wrong carries how to try it again.
    fn tried(
        &self,
        seed: u64,
        number: u64,
        fault: &dyn Fn(u64, &mut Seeded) -> Outcome,
    ) -> Outcome {
        let fault = AssertUnwindSafe(|| fault(number, &mut spread(seed, number)));
        let outcome = catch_unwind(fault).unwrap_or_else(|panic| panicked(&*panic));
        let only = format!("SPONSON_SEED={seed:#x} SPONSON_ONLY={number}");
        self.told(outcome, &only, &format!("fault {number}"))
    }

    fn told(&self, mut outcome: Outcome, variables: &str, which: &str) -> Outcome {
        for line in &mut outcome.said {
            *line = format!(
                "{which}: {line}\n  to try it again: {variables} {}",
                self.again
            );
        }
        outcome
    }

    /// Writes the line into `TARGET/faults`, then holds that nothing was lost and nothing wrong.
    ///
    /// # Panics
    /// When something was, or the file cannot be written.
    pub fn end(self) {
        let line = self.line();
        let folder = folder();
        std::fs::create_dir_all(&folder).expect("the target folder can be written");
        let file = folder.join(format!("{}.json", self.name));
        std::fs::write(&file, format!("{line}\n")).expect("the target folder can be written");
        assert!(self.count > 0, "no fault was tried");
        let said = self.said.join("\n");
        assert_eq!((self.lost, self.wrong), (0, 0), "{line}\n{said}");
    }

    fn line(&self) -> Value {
        json!({
            "faults": self.faults,
            "count": self.count,
            "refused": self.refused,
            "lost": self.lost,
            "wrong": self.wrong,
            "seconds": self.begun.elapsed().as_secs(),
            "seed": if self.seed == 0 { String::new() } else { format!("{:#x}", self.seed) },
            "note": self.note,
        })
    }
}

fn spread(seed: u64, number: u64) -> Seeded {
    Seeded::new(seed.wrapping_add(number << 16))
}

fn panicked(panic: &(dyn std::any::Any + Send)) -> Outcome {
    let said = panic
        .downcast_ref::<String>()
        .map(String::as_str)
        .or_else(|| panic.downcast_ref::<&str>().copied());
    let mut outcome = Outcome::default();
    outcome.wrong(format!("it panicked: {}", said.unwrap_or("without words")));
    outcome
}

/// The command of the running test: the test program is named by its file, the test by its thread.
fn again() -> String {
    let program = std::env::current_exe().expect("a program knows its file");
    let stem = program.file_stem().expect("a file").to_string_lossy();
    let binary = stem.rsplit_once('-').map_or(&*stem, |(name, _)| name);
    let thread = std::thread::current();
    let test = thread.name().unwrap_or_default();
    format!("cargo test --workspace --locked --test {binary} {test}")
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;

    fn tally(asked: Asked) -> Tally {
        Tally {
            asked,
            ..Tally::begin("none", "none", 7)
        }
    }

    #[test]
    fn short_tries_each_once_long_goes_on_and_what_panics_is_told_with_its_seed() {
        let numbers = Mutex::new(Vec::new());
        let note = |number: u64, seeded: &mut Seeded| {
            let mut numbers = numbers.lock().expect("no panic");
            numbers.push((number, seeded.between((0, u64::MAX))));
            Outcome::default()
        };
        let mut short = tally(Asked::default());
        short.try_each(10, note);
        assert_eq!(short.count, 10);
        let mut first = std::mem::take(&mut *numbers.lock().expect("no panic"));
        first.sort_unstable();
        let places: Vec<u64> = first.iter().map(|(number, _)| *number).collect();
        assert_eq!(places, (0..10).collect::<Vec<_>>());

        let long = Some(Duration::from_millis(20));
        let mut long = tally(Asked {
            long,
            ..Asked::default()
        });
        long.try_each(2, note);
        assert!(long.count > 4, "{}", long.count);
        let mut spreads = numbers.lock().expect("no panic").clone();
        spreads.sort_unstable();
        spreads.dedup();
        let tried = usize::try_from(long.count).expect("few");
        assert_eq!(spreads.len(), tried, "each pass has a seed of its own");

        let mut bad = tally(Asked::default());
        bad.try_each(3, |number, _| {
            assert_ne!(number, 2, "a bad number");
            Outcome::default()
        });
        assert_eq!((bad.count, bad.wrong), (3, 1));
        assert!(
            bad.said[0].contains("SPONSON_SEED=0x7 SPONSON_ONLY=2 cargo"),
            "{:?}",
            bad.said
        );
    }

    #[test]
    fn a_sample_of_all_holds_those_that_found_something_and_long_is_all() {
        let all: Vec<u64> = (0..50).collect();
        let check = |asked: Asked, expected: usize, holds: &[u64]| {
            let tried = Mutex::new(Vec::new());
            let mut tally = tally(asked);
            tally.try_all(
                &all,
                5,
                |item| *item > 47,
                |item, _| {
                    tried.lock().expect("no panic").push(*item);
                    Outcome::default()
                },
            );
            let tried = tried.into_inner().expect("no panic");
            assert_eq!(tried.len(), expected, "{tried:?}");
            assert!(holds.iter().all(|item| tried.contains(item)), "{tried:?}");
            assert_eq!(tally.note, format!("{expected} of 50"));
        };
        check(Asked::default(), 7, &[48, 49]);
        let long = Some(Duration::from_secs(600));
        check(
            Asked {
                long,
                ..Asked::default()
            },
            50,
            &[0, 25, 49],
        );
        let only = Some(25);
        check(
            Asked {
                only,
                long,
                ..Asked::default()
            },
            1,
            &[25],
        );
    }

    #[test]
    fn in_turn_goes_on_after_a_round_that_went_wrong() {
        let mut rounds = tally(Asked::default());
        rounds.try_in_turn(3, |round, _| {
            assert_ne!(round, 1, "a bad round");
            Outcome::default()
        });
        assert_eq!((rounds.count, rounds.wrong), (3, 1));
        let said = &rounds.said[0];
        assert!(
            said.contains("SPONSON_SEED=0x7 SPONSON_ROUNDS=2 cargo"),
            "{said}"
        );
    }
}
