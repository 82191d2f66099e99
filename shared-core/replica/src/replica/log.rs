//! The log in pages, for people.

use super::Replica;
use crate::errors::RowError;
use crate::parse::Interpreter;
use crate::values::{LogLine, Page};
use sponson_log::ids::SubjectId;

/// Greatest page: a thousand lines of a few kilobytes.
const PAGE_LINES_MAX: usize = 1_000;

impl Replica {
    /// Events of one subject, or all, newest last. At most so many, and at most 1,000.
    ///
    /// # Errors
    /// When a row is damaged.
    pub fn log_page(
        &self,
        subject: Option<&SubjectId>,
        page: Page,
        lines: usize,
    ) -> Result<Vec<LogLine>, RowError> {
        let numbers = match subject {
            Some(subject) => self.page_of(self.numbers_of(subject), page, lines),
            None => self.page_of(0..self.index.size(), page, lines),
        };
        numbers
            .into_iter()
            .map(|number| self.line(number))
            .collect()
    }

    fn numbers_of(&self, subject: &SubjectId) -> impl DoubleEndedIterator<Item = u64> + '_ {
        let events = self.index.subjects.get(subject);
        let numbers = events.map(|events| events.numbers()).unwrap_or_default();
        numbers.iter().copied()
    }

    fn page_of(
        &self,
        numbers: impl DoubleEndedIterator<Item = u64>,
        page: Page,
        lines: usize,
    ) -> Vec<u64> {
        let lines = lines.min(PAGE_LINES_MAX);
        let before = match page {
            Page::After(after) => {
                return numbers
                    .filter(|number| *number > after)
                    .take(lines)
                    .collect();
            }
            Page::Before(before) => before,
            Page::Newest => self.index.size(),
        };
        let newest_first = numbers.rev().filter(|number| *number < before).take(lines);
        let mut page: Vec<u64> = newest_first.collect();
        page.reverse();
        page
    }

    pub(super) fn line(&self, number: u64) -> Result<LogLine, RowError> {
        let event = self.store.event(number)?;
        Ok(LogLine {
            number,
            received_unix_ms: self.index.places.received(number),
            trust: Interpreter(&self.index).trust(&event),
            removed: self.removed(&event.id()),
            event,
        })
    }
}
