//! What the tests of faults share: a seeded spread, copies of folders, how many faults are tried and
//! for how long, and the line that each test leaves for the table of faults.

mod asked;
mod tally;

use std::path::{Path, PathBuf};

pub use asked::{Asked, rounds, seed};
pub use sponson_made::Seeded;
pub use tally::Tally;

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
