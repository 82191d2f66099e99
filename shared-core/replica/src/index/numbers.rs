//! Which number an event has, by its id. Only the first 8 bytes of an id are kept here, 16 bytes an event
//! in all: the whole id stands with what is known of the event, and is compared there.

use std::collections::BTreeSet;

use sponson_log::ids::EventId;

/// Numbers by the first bytes of ids. Ordered, so that ids that somebody made alike cost a few
/// comparisons more and nothing else.
#[derive(Clone, Debug, Default)]
pub(super) struct Numbers(BTreeSet<(u64, u64)>);

impl Numbers {
    /// Notes the number of an event.
    pub(super) fn add(&mut self, id: &EventId, number: u64) {
        self.0.insert((first_bytes(id), number));
    }

    /// The number of an event, of those whose ids begin alike the one that `is` the event.
    pub(super) fn of(&self, id: &EventId, is: impl Fn(u64) -> bool) -> Option<u64> {
        let first = first_bytes(id);
        let alike = self.0.range((first, 0)..=(first, u64::MAX));
        alike.map(|(_, number)| *number).find(|number| is(*number))
    }
}

fn first_bytes(id: &EventId) -> u64 {
    let first = id.as_bytes().first_chunk().copied();
    first.map_or(0, u64::from_be_bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn id(first: u8, last: u8) -> EventId {
        let mut bytes = [first; EventId::LEN];
        bytes[EventId::LEN - 1] = last;
        EventId::from_bytes(bytes)
    }

    #[test]
    fn ids_that_begin_alike_are_told_apart() {
        let ids = [id(7, 1), id(7, 2), id(0, 1), id(255, 1)];
        let mut numbers = Numbers::default();
        for (number, id) in (0..).zip(&ids) {
            numbers.add(id, number);
        }
        let of = |sought: EventId| {
            numbers.of(&sought, |number| {
                usize::try_from(number).is_ok_and(|at| ids[at] == sought)
            })
        };
        assert_eq!(ids.map(of), [Some(0), Some(1), Some(2), Some(3)]);
        assert_eq!([id(7, 3), id(8, 1)].map(of), [None, None]);
    }
}
