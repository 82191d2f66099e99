//! The branches of one chain: a chain that never parted has one.
//!
//! An event whose event before is the newest of a branch lengthens that branch; any other begins
//! one. A branch is never cut, so an event stays on the branch that it was first put on. Each
//! branch knows the one that it left, and one further down (a skip pointer), so that the way down
//! takes steps in the order of the logarithm of the partings, however long the branches are and
//! however often somebody parts them.

use std::collections::BTreeMap;

use crate::ids::EventId;

/// Place of a branch in the list.
type At = usize;

/// The branches, and which events stand on others than the first.
#[derive(Clone, Debug, Default)]
pub(super) struct Branches {
    list: Vec<Branch>,
    /// Events on others than the first branch, each with the event before it: nearly all chains
    /// have none.
    aside: BTreeMap<EventId, (At, Option<EventId>)>,
}

#[derive(Clone, Copy, Debug)]
struct Branch {
    /// Seq of its first event.
    first: u64,
    /// Its newest event.
    tip: EventId,
    /// The branch that it left.
    left: Option<At>,
    /// A branch further down, or itself where there is none.
    skip: At,
    /// How many branches lie below it.
    depth: usize,
}

impl Branches {
    /// Adds an event that follows `previous`, or one that follows nothing that is held.
    pub(super) fn add(&mut self, seq: u64, id: EventId, previous: Option<&EventId>) {
        let left = previous.map(|previous| self.of(previous));
        let lengthens = left.filter(|at| {
            let tip = self.list.get(*at).map(|branch| branch.tip);
            tip.as_ref() == previous
        });
        let at = match lengthens {
            Some(at) => at,
            None => self.begin(seq, id, left),
        };
        if let Some(branch) = self.list.get_mut(at) {
            branch.tip = id;
        }
        if at != 0 {
            self.aside.insert(id, (at, previous.copied()));
        }
    }

    /// Whether `id` at `seq` stands at or below `head` on the way down from it. Both are held.
    pub(super) fn leads_to(&self, seq: u64, id: &EventId, head: &EventId) -> bool {
        let mut at = self.of(head);
        while let Some(branch) = self.list.get(at) {
            if branch.first <= seq {
                return self.of(id) == at;
            }
            let skipped = self.list.get(branch.skip);
            at = match (skipped.filter(|skipped| skipped.first > seq), branch.left) {
                (Some(_), Some(_)) => branch.skip,
                (None, Some(left)) => left,
                (_, None) => return false,
            };
        }
        false
    }

    fn of(&self, id: &EventId) -> At {
        self.aside.get(id).map_or(0, |(at, _)| *at)
    }

    /// The event before `id`, when it is one of those at the seq before.
    pub(super) fn before(&self, id: &EventId, at_seq: &[EventId]) -> Option<EventId> {
        if let Some((_, before)) = self.aside.get(id) {
            return *before;
        }
        let mut on_first = at_seq
            .iter()
            .filter(|other| !self.aside.contains_key(*other));
        on_first.next().copied()
    }

    fn begin(&mut self, first: u64, tip: EventId, left: Option<At>) -> At {
        let at = self.list.len();
        let below = left.and_then(|left| Some((left, *self.list.get(left)?)));
        let (skip, depth) = below.map_or((at, 0), |(left, branch)| {
            (self.skip_above(left, &branch), branch.depth + 1)
        });
        self.list.push(Branch {
            first,
            tip,
            left: below.map(|(left, _)| left),
            skip,
            depth,
        });
        at
    }

    /// Two skips of one length become one of both; else the skip is to the branch that was left.
    fn skip_above(&self, left: At, branch: &Branch) -> At {
        let Some(second) = self.list.get(branch.skip) else {
            return left;
        };
        let third = self.list.get(second.skip).map_or(0, |third| third.depth);
        if branch.depth - second.depth == second.depth - third {
            second.skip
        } else {
            left
        }
    }
}
