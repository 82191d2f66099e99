//! What the buttons of forms did: so that a second press of one button records nothing twice, and
//! the page that follows says what was recorded.
//!
//! Each copy of a form has a name of its own. What one did is kept in memory, the newest some hundred:
//! whoever comes later finds it in the log.

use std::collections::VecDeque;
use std::sync::Arc;

use sponson_show::html::station::work::Kept;
use tokio::sync::{Mutex, MutexGuard};

/// Presses that are kept: a station's day of work, with a thousand bytes each.
const KEPT_MAX: usize = 300;

/// Longest name of a form's copy, which is drawn with 16 digits.
const NAME_BYTES_MAX: usize = 16;

/// What one press did.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(in crate::pages) struct Done {
    /// What was recorded.
    pub kept: Vec<Kept>,
    /// What else was said about it.
    pub notes: Vec<String>,
}

/// What presses did, by name of the form's copy.
#[derive(Debug, Default)]
pub(in crate::pages) struct Presses(VecDeque<(String, Arc<Done>)>);

/// The presses, one at a time: the second of two that come together waits, and finds the first.
#[derive(Debug, Default)]
pub(in crate::pages) struct Pressed(Mutex<Presses>);

impl Pressed {
    /// For one press; nobody else records from a form meanwhile.
    pub(super) async fn alone(&self) -> MutexGuard<'_, Presses> {
        self.0.lock().await
    }
}

impl Presses {
    /// What a copy of a form did already.
    pub(super) fn of(&self, name: &str) -> Option<Arc<Done>> {
        let mut all = self.0.iter();
        let found = all.find(|(known, _)| known == name);
        found.map(|(_, done)| Arc::clone(done))
    }

    /// Keeps what it did.
    pub(super) fn keep(&mut self, name: &str, done: Done) {
        if self.0.len() >= KEPT_MAX {
            self.0.pop_front();
        }
        self.0.push_back((name.to_owned(), Arc::new(done)));
    }
}

/// A name as a form may send it.
pub(super) fn is_name(text: &str) -> bool {
    let plain = text.bytes().all(|it| it.is_ascii_alphanumeric());
    plain && !text.is_empty() && text.len() <= NAME_BYTES_MAX
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_press_did_is_found_by_its_name_and_the_oldest_goes() {
        let mut presses = Presses::default();
        for number in 0..=KEPT_MAX {
            let note = vec![number.to_string()];
            let done = Done {
                notes: note,
                ..Done::default()
            };
            presses.keep(&format!("n{number}"), done);
        }
        assert_eq!(presses.of("n0"), None);
        assert_eq!(presses.of("n7").expect("kept").notes, ["7"]);
        for (name, fits) in [("0af3", true), ("", false), ("a b", false), ("<", false)] {
            assert_eq!(is_name(name), fits, "{name}");
        }
    }
}
