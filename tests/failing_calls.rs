//! Every call that touches a file, a folder or a socket fails in turn, or is the last of its
//! process: at the county and at a station, in each operation that keeps something.
//!
//! An undisturbed run is recorded first; each of its calls is a fault then. Afterwards, with a disk
//! that works again: the operation was done whole or not at all, what was acknowledged is there, the
//! same command given again ends well, and log and answer are those of the undisturbed run. Calls
//! that the system makes to load a program are not ours and are left alone.

mod calls;
mod ground;
mod looks;
mod operations;

use std::collections::BTreeMap;

use end_to_end::faults::{Asked, Outcome, Seeded, Tally, seed};
use end_to_end::power::has_strace;

use calls::{Fault, What};
use ground::{Ground, Place};
use looks::{State, look};
use operations::{Again, OPERATIONS, Operation, Told};

const SEED: u64 = 0x0ff0_1f1f_5eed_0008;

/// Faults of the short form: about a minute of two cores.
const SHORT: usize = 90;

/// Faults that found something once: the operation, the call, where, and what became of it.
const FOUND: [(&str, &str, &str, What); 8] = [
    // Half a file stood under its name.
    ("carry out", "write", "out.carry.part", ENOSPC),
    ("carry out", "write", "out.carry.part", What::Kill),
    // The engine cleared what could not be read once.
    ("check", "pread64", "millrace/store/store/db", EIO),
    ("backup", "pread64", "county/store/store/db", EIO),
    // Neither join nor salvage took what was left.
    ("join", "write", "new/store/store/conf", ENOSPC),
    ("join", "write", "new/store/store/conf", What::Kill),
    // A whole store was taken for one that cannot be read.
    ("salvage", "openat", "millrace/store.copy/store", EIO),
    ("salvage", "openat", "millrace/store.copy/store/db", ENOSPC),
];

const EIO: What = What::Error("EIO");
const ENOSPC: What = What::Error("ENOSPC");

/// One fault in one operation.
#[derive(Clone)]
struct Case {
    undisturbed: usize,
    operation: &'static Operation,
    fault: Fault,
}

impl std::fmt::Debug for Case {
    fn fmt(&self, to: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(to, "{} with {}", self.operation.name, self.fault)
    }
}

/// What an operation does when nothing fails.
struct Undisturbed {
    before: Vec<Option<State>>,
    after: Vec<Option<State>>,
}

#[test]
fn whatever_call_fails_an_operation_was_done_whole_or_not_at_all() {
    if !has_strace() {
        return;
    }
    let seed = seed(SEED);
    let mut tally = Tally::begin(
        "failing-calls",
        "each call to files, folders and sockets in turn fails or is the last",
        seed,
    );
    let ground = Ground::new();
    let mut cases = Vec::new();
    let mut runs = Vec::new();
    for operation in &OPERATIONS {
        let (undisturbed, faults) = undisturbed(operation, &ground);
        cases.extend(faults.into_iter().map(|fault| Case {
            undisturbed: runs.len(),
            operation,
            fault,
        }));
        runs.push(undisturbed);
    }
    if Asked::now().long.is_none() && Asked::now().only.is_none() {
        cases = one_of_each(cases, seed);
    }
    let rounds = Asked::now().rounds.and_then(|it| usize::try_from(it).ok());
    tally.try_all(
        &cases,
        rounds.unwrap_or(SHORT),
        Case::found_something,
        |case, _| case.tried(&runs[case.undisturbed], &ground),
    );
    tally.end();
}

/// Of each row (operation, call, error) one, which the seed chooses; and all that found something.
fn one_of_each(cases: Vec<Case>, seed: u64) -> Vec<Case> {
    let mut rows: BTreeMap<(&str, String, String), Vec<Case>> = BTreeMap::new();
    let mut seeded = Seeded::new(seed);
    let (mut kept, others): (Vec<Case>, Vec<Case>) =
        cases.into_iter().partition(Case::found_something);
    for case in others {
        let row = (
            case.operation.name,
            case.fault.call.clone(),
            case.fault.what.to_string(),
        );
        rows.entry(row).or_default().push(case);
    }
    for mut row in rows.into_values() {
        kept.push(row.swap_remove(seeded.place(row.len())));
    }
    kept
}

fn undisturbed(operation: &'static Operation, ground: &Ground) -> (Undisturbed, Vec<Fault>) {
    let place = ground.copy();
    operation.make_ready(&place);
    let looked = |place: &Place| {
        operation
            .looks
            .iter()
            .map(|at| look(place, at).ok())
            .collect()
    };
    let before = looked(&place);
    // Looking may leave traces of its own: what is recorded begins from a fresh copy.
    let place = ground.copy();
    operation.make_ready(&place);
    let (told, trace) = operation.traced(&place);
    assert!(told.is_fine(), "{}: {told:?}", operation.name);
    let after: Vec<Option<State>> = looked(&place);
    assert!(
        after.iter().all(Option::is_some),
        "{}: {told:?}",
        operation.name
    );
    let faults = calls::faults(&trace, place.path());
    (Undisturbed { before, after }, faults)
}

impl Case {
    fn found_something(&self) -> bool {
        FOUND.iter().any(|(operation, call, path, what)| {
            self.operation.name == *operation
                && self.fault.call == *call
                && self.fault.path.as_deref() == Some(path)
                && self.fault.what == *what
        })
    }

    fn tried(&self, undisturbed: &Undisturbed, ground: &Ground) -> Outcome {
        let mut outcome = Outcome::default();
        let place = ground.copy();
        self.operation.make_ready(&place);
        let told = self.operation.performed(&place, Some(&self.fault));
        if !told.is_fine() {
            outcome.refused += 1;
        }
        for wrong in told.wrong(self.fault.what) {
            outcome.wrong(format!("{wrong}: {told:?}"));
        }
        if told.hangs {
            return outcome;
        }
        let holds = self.holds(&told, undisturbed, &place, &mut outcome);
        if holds == Holds::AsItWas {
            self.again(&told, undisturbed, &place, &mut outcome);
        }
        if !outcome.said.is_empty() {
            outcome.said.push(format!("   {told:?}"));
        }
        outcome
    }

    /// What was there is there, and of the operation all or nothing.
    fn holds(
        &self,
        told: &Told,
        undisturbed: &Undisturbed,
        place: &Place,
        outcome: &mut Outcome,
    ) -> Holds {
        let mut holds = Holds::AsItWas;
        let both = undisturbed.before.iter().zip(&undisturbed.after);
        for (at, (before, after)) in self.operation.looks.iter().zip(both) {
            // A folder that was to be made may be there by half: the command itself says what then.
            let (Some(before), Some(after)) = (before, after) else {
                continue;
            };
            let state = match look(place, at) {
                Ok(state) => state,
                Err(why) => match looks::salvaged(place, at, &why) {
                    Ok(state) => {
                        holds = Holds::Salvaged;
                        state
                    }
                    Err(why) => {
                        outcome.wrong(format!("{at}: {why}"));
                        return Holds::Not;
                    }
                },
            };
            let least = if told.is_acknowledged() {
                after
            } else {
                before
            };
            let lost = state.lacks(least);
            if !lost.is_empty() {
                outcome.lost(1, format!("{at} lacks {lost:?}"));
            }
            let more = state.more_than(after);
            if !more.is_empty() && holds == Holds::AsItWas {
                outcome.wrong(format!("{at} holds {more:?}, which nobody recorded"));
            }
            let is_either = state == *before || state == *after;
            let in_parts = matches!(self.operation.again, Again::Always | Again::GoesOn);
            if !in_parts && holds == Holds::AsItWas && !is_either {
                outcome.wrong(format!("{at} is neither as before nor as after"));
            }
        }
        holds
    }

    /// The same command once more, with nothing failing.
    fn again(&self, told: &Told, undisturbed: &Undisturbed, place: &Place, outcome: &mut Outcome) {
        let looked = || self.operation.looks.iter().map(|at| look(place, at).ok());
        let is_done = || looked().eq(undisturbed.after.iter().cloned());
        let wanted = match self.operation.again {
            Again::Always => true,
            Again::UnlessDone | Again::GoesOn => !is_done(),
            Again::UnlessThere(file) => !place.is_whole(file, outcome),
        };
        if wanted && told.is_acknowledged() && self.operation.again != Again::Always {
            outcome.lost(1, "what was acknowledged is not there".to_owned());
        }
        if wanted {
            let again = self.operation.performed(place, None);
            if !again.is_fine() {
                outcome.wrong(format!("given again: {again:?}"));
            }
            for (line, typed) in told.kept() {
                if again.asked().contains(&(line, "")) {
                    outcome.lost(1, format!("'{typed}' at {line} was kept, and is not there"));
                }
            }
        }
        for ((at, after), state) in self
            .operation
            .looks
            .iter()
            .zip(&undisturbed.after)
            .zip(looked())
        {
            if state != *after {
                outcome.wrong(format!("{at} is {state:?} in the end, not {after:?}"));
            }
        }
    }
}

/// What a look after the fault found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Holds {
    AsItWas,
    /// The store was refused, with the remedy, and that made it whole.
    Salvaged,
    Not,
}
