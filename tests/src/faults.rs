//! What the tests of faults share: a seeded spread, copies of folders, how many faults are tried and
//! for how long, and the line that each test leaves for the table of faults.

mod asked;
mod tally;

use std::path::{Path, PathBuf};

pub use asked::{Asked, rounds, seed};
pub use tally::Tally;

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

impl Seeded {
    /// Places `0..count` in a random order (Fisher and Yates).
    #[must_use]
    pub fn shuffled(&mut self, count: usize) -> Vec<usize> {
        let mut places: Vec<usize> = (0..count).collect();
        for last in (1..count).rev() {
            let other = self.place(last + 1);
            places.swap(last, other);
        }
        places
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
