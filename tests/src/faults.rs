//! What the tests of faults share: a seeded spread, copies of folders, and the line that each of
//! them leaves for the table of faults.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Instant;

use serde_json::{Value, json};

/// SplitMix64 (Steele, Lea and Flood, 2014; constants from memory): any spread will do here.
#[derive(Clone, Debug)]
pub struct Seeded(u64);

impl Seeded {
    /// A spread from a seed.
    #[must_use]
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// A number from `low` to less than `high`.
    pub fn between(&mut self, (low, high): (u64, u64)) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        low + (mixed ^ (mixed >> 31)) % (high - low)
    }

    /// A place among so many.
    ///
    /// # Panics
    /// When there is none.
    pub fn place(&mut self, count: usize) -> usize {
        let count = u64::try_from(count).expect("fits");
        usize::try_from(self.between((0, count))).expect("it was one")
    }
}

/// Copies a folder whole, but for sockets.
///
/// # Panics
/// When it cannot be copied.
pub fn copy_folder(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("a folder") {
        let entry = entry.expect("an entry");
        let (sort, to) = (
            entry.file_type().expect("known"),
            to.join(entry.file_name()),
        );
        if sort.is_dir() {
            copy_folder(&entry.path(), &to);
        } else if sort.is_file() {
            std::fs::copy(entry.path(), &to).expect("copies");
        }
    }
}

/// What one fault did.
#[derive(Clone, Debug, Default)]
pub struct Outcome {
    /// The program refused, with the remedy.
    pub refused: u64,
    /// Acknowledged events that were lost for good.
    pub lost: u64,
    /// Answers that were wrong, and nobody was told.
    pub wrong: u64,
    /// What is wrong, with what it takes to try it again.
    pub said: Vec<String>,
}

impl Outcome {
    /// Acknowledged events were lost.
    pub fn lost(&mut self, count: u64, line: String) {
        self.lost += count;
        self.said.push(line);
    }

    /// A wrong answer.
    pub fn wrong(&mut self, line: String) {
        self.wrong += 1;
        self.said.push(line);
    }
}

/// Faults tried side by side: most of each is waiting for the engine's own threads.
const AT_ONCE: usize = 4;

/// What one kind of fault did, for the table.
#[derive(Debug)]
pub struct Tally {
    name: &'static str,
    faults: &'static str,
    seed: u64,
    begun: Instant,
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
    /// Begins. The name is that of the file; `faults` is what the table says.
    #[must_use]
    pub fn begin(name: &'static str, faults: &'static str, seed: u64) -> Self {
        Self {
            name,
            faults,
            seed,
            begun: Instant::now(),
            count: 0,
            refused: 0,
            lost: 0,
            wrong: 0,
            note: String::new(),
            said: Vec::new(),
        }
    }

    /// Takes up what some faults did.
    pub fn add(&mut self, outcome: Outcome) {
        self.refused += outcome.refused;
        self.lost += outcome.lost;
        self.wrong += outcome.wrong;
        self.said.extend(outcome.said);
    }

    /// Tries faults by their number, some side by side, each with a spread of its own.
    pub fn try_each(&mut self, count: u64, fault: impl Fn(u64, &mut Seeded) -> Outcome + Sync) {
        let next = AtomicU64::new(0);
        let seed = self.seed;
        let outcomes: Vec<Outcome> = std::thread::scope(|scope| {
            let workers: Vec<_> = (0..AT_ONCE)
                .map(|_| {
                    scope.spawn(|| {
                        let mut outcomes = Vec::new();
                        loop {
                            let number = next.fetch_add(1, Ordering::Relaxed);
                            if number >= count {
                                return outcomes;
                            }
                            let mut seeded = Seeded::new(seed.wrapping_add(number << 16));
                            outcomes.push(fault(number, &mut seeded));
                        }
                    })
                })
                .collect();
            let ended = workers.into_iter().map(|worker| worker.join());
            ended
                .flat_map(|outcomes| outcomes.expect("no panic"))
                .collect()
        });
        self.count += count;
        for outcome in outcomes {
            self.add(outcome);
        }
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

/// The seed of a test: what `SPONSON_SEED` says, else its own.
///
/// # Panics
/// When it is set to something else than a number.
#[must_use]
pub fn seed(own: u64) -> u64 {
    let Ok(text) = std::env::var("SPONSON_SEED") else {
        return own;
    };
    let text = text.trim_start_matches("0x");
    u64::from_str_radix(text, 16).expect("SPONSON_SEED is a hexadecimal number")
}

/// How many rounds a test goes: what `SPONSON_ROUNDS` says, else its own.
///
/// # Panics
/// When it is set to something else than a number.
#[must_use]
pub fn rounds(own: u64) -> u64 {
    std::env::var("SPONSON_ROUNDS").map_or(own, |text| {
        text.parse().expect("SPONSON_ROUNDS is a number")
    })
}

/// Folder of the lines.
///
/// # Panics
/// When the program does not know its own file.
#[must_use]
pub fn folder() -> PathBuf {
    let own = std::env::current_exe().expect("a program knows its file");
    // A test stands in TARGET/PROFILE/deps, a program in TARGET/PROFILE.
    let target = own
        .ancestors()
        .find(|above| above.join("CACHEDIR.TAG").exists());
    target.expect("it was built by cargo").join("faults")
}
