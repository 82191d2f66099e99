//! The events of one chain by seq. Nearly always there is one at each, from the first on, so they stand
//! in a row of 32 bytes each; a county writes 100,000 entries a year.

use std::collections::BTreeMap;

use crate::ids::EventId;

/// Events by seq, ascending by id where there are several.
#[derive(Clone, Debug, Default)]
pub(super) struct BySeq {
    /// The event at seq 1, at seq 2 and so on.
    row: Vec<EventId>,
    /// All events of a seq at which there are several, or before which one is missing.
    apart: BTreeMap<u64, Vec<EventId>>,
}

impl BySeq {
    /// Adds an event that is not there; gives how many stand at its seq now.
    pub(super) fn add(&mut self, seq: u64, id: EventId) -> usize {
        let here = self.at(seq).unwrap_or_default();
        let next = seq == self.row.len() as u64 + 1;
        if here.is_empty() && next {
            self.row.push(id);
            return 1;
        }
        let mut here = here.to_vec();
        if let Err(place) = here.binary_search(&id) {
            here.insert(place, id);
        }
        let count = here.len();
        self.apart.insert(seq, here);
        count
    }

    /// Events at a seq, ascending by id; none when there is none.
    pub(super) fn at(&self, seq: u64) -> Option<&[EventId]> {
        if let Some(apart) = self.apart.get(&seq) {
            return Some(apart);
        }
        let place = usize::try_from(seq.checked_sub(1)?).ok()?;
        self.row.get(place).map(std::slice::from_ref)
    }

    /// All events with their seqs, ascending.
    pub(super) fn all(&self) -> impl Iterator<Item = (u64, &EventId)> {
        let in_row = self.row.len() as u64;
        let row = (1..=in_row).filter_map(|seq| Some((seq, self.at(seq)?)));
        let beyond = self.apart.range(in_row + 1..);
        let beyond = beyond.map(|(seq, ids)| (*seq, ids.as_slice()));
        row.chain(beyond)
            .flat_map(|(seq, ids)| ids.iter().map(move |id| (seq, id)))
    }
}

/// Equal when the same events are held, in whatever order they came.
impl PartialEq for BySeq {
    fn eq(&self, other: &Self) -> bool {
        self.all().eq(other.all())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn id(byte: u8) -> EventId {
        EventId::from_bytes([byte; EventId::LEN])
    }

    fn of(events: &[(u64, u8)]) -> BySeq {
        let mut by_seq = BySeq::default();
        for (seq, byte) in events {
            by_seq.add(*seq, id(*byte));
        }
        by_seq
    }

    #[test]
    fn every_order_of_arrival_holds_the_same() {
        // One at each seq, several at a seq, and a gap that is filled later.
        let orders: [&[(u64, u8)]; 3] = [
            &[(1, 1), (2, 2), (2, 9), (3, 3), (4, 4)],
            &[(1, 1), (2, 9), (4, 4), (2, 2), (3, 3)],
            &[(4, 4), (3, 3), (2, 2), (1, 1), (2, 9)],
        ];
        let expected = [(1, id(1)), (2, id(2)), (2, id(9)), (3, id(3)), (4, id(4))];
        for order in orders {
            let by_seq = of(order);
            let all: Vec<(u64, EventId)> = by_seq.all().map(|(seq, id)| (seq, *id)).collect();
            assert_eq!(all, expected, "{order:?}");
            assert_eq!(by_seq, of(orders[0]), "{order:?}");
            assert_eq!(by_seq.at(2), Some([id(2), id(9)].as_slice()));
            assert_eq!((by_seq.at(0), by_seq.at(5)), (None, None));
        }
        assert_ne!(of(&[(1, 1), (2, 2)]), of(&[(1, 1), (2, 9)]));
    }

    #[test]
    fn it_says_how_many_stand_there() {
        let mut by_seq = of(&[(1, 1)]);
        assert_eq!([by_seq.add(1, id(3)), by_seq.add(1, id(2))], [2, 3]);
        assert_eq!(by_seq.at(1), Some([id(1), id(2), id(3)].as_slice()));
    }
}
