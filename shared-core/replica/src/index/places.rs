//! Places in the county log: which event stands where, when the county stored it, the tree over
//! them, and which events have no place yet.

use std::collections::BTreeSet;
use std::num::NonZeroU64;

use sponson_log::ids::EventId;
use sponson_log::tree::{Tree, leaf_hash};
use sponson_readiness::moment::{CLOCK_TOLERANCE_MS, Moment};

/// Places in the county log, as far as held.
#[derive(Debug, Default)]
pub(crate) struct Places {
    in_order: Vec<(u64, i64)>,
    /// By number of the event: its index and one, 8 bytes each.
    by_number: Vec<Option<NonZeroU64>>,
    oldest: Option<i64>,
    newest: Option<i64>,
    believed: Option<i64>,
    disowned: Option<Disowned>,
    /// The tree over them.
    pub(crate) tree: Tree,
    /// Numbers of events without a place, in the order of keeping.
    pub(crate) unproven: BTreeSet<u64>,
}

/// Times at which the county stored entries while its clock ran ahead: somebody said that its clock
/// is right now, and these lie after it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Disowned {
    /// Index of the first entry that the log had then.
    pub(crate) first: u64,
    /// Index after the last.
    pub(crate) end: u64,
    /// The county's clock then, milliseconds since 1970.
    pub(crate) said_unix_ms: i64,
}

impl Disowned {
    const fn covers(self, index: u64, received: i64) -> bool {
        self.first <= index && index < self.end && received > self.said_unix_ms
    }

    /// The same of a log in which every entry stands one place later.
    pub(crate) const fn one_later(self) -> Self {
        Self {
            first: self.first.saturating_add(1),
            end: self.end.saturating_add(1),
            ..self
        }
    }
}

/// Whether a time lies after a moment by more than clocks differ.
pub(crate) fn is_after(unix_ms: i64, now: Moment) -> bool {
    Moment(unix_ms).since(now) > CLOCK_TOLERANCE_MS
}

impl Places {
    /// Entries.
    pub(crate) const fn size(&self) -> u64 {
        self.tree.size()
    }

    /// Gives an event that is held the next place.
    pub(crate) fn push(&mut self, number: u64, id: EventId, received: i64) {
        self.note_index(number);
        self.in_order.push((number, received));
        self.oldest = Some(self.oldest.map_or(received, |oldest| oldest.min(received)));
        self.newest = self.newest.max(Some(received));
        if self
            .disowned
            .is_none_or(|it| !it.covers(self.size(), received))
        {
            self.believed = self.believed.max(Some(received));
        }
        self.tree.append(leaf_hash(&id, received));
        self.unproven.remove(&number);
    }

    fn note_index(&mut self, number: u64) {
        // More events than a machine addresses are not held.
        let Ok(place) = usize::try_from(number) else {
            return;
        };
        if self.by_number.len() <= place {
            self.by_number.resize(place + 1, None);
        }
        self.by_number[place] = NonZeroU64::MIN.checked_add(self.size());
    }

    /// Number and received time at an index.
    pub(crate) fn at(&self, index: u64) -> Option<(u64, i64)> {
        self.in_order.get(usize::try_from(index).ok()?).copied()
    }

    /// Index of an event.
    pub(crate) fn index(&self, number: u64) -> Option<u64> {
        let place = self.by_number.get(usize::try_from(number).ok()?)?;
        place.map(|after| after.get() - 1)
    }

    /// When the county stored an event.
    pub(crate) fn received(&self, number: u64) -> Option<i64> {
        self.at(self.index(number)?).map(|place| place.1)
    }

    /// The newest received time that is believed. What came back after it was lost keeps its time,
    /// so that the last entry need not have it.
    pub(crate) const fn last_received(&self) -> Option<i64> {
        self.believed
    }

    /// Whether an entry was stored later than a moment, by the county's clock as it was then: it was
    /// wrong, or the asker's is.
    pub(crate) fn is_any_after(&self, now: Moment) -> bool {
        self.newest.is_some_and(|newest| is_after(newest, now))
    }

    /// Times that the county's clock was wrong at.
    pub(crate) const fn disowned(&self) -> Option<Disowned> {
        self.disowned
    }

    /// Believes no time any more that the county's clock was wrong at.
    pub(crate) fn disown(&mut self, disowned: Disowned) {
        self.disowned = Some(disowned);
        let believed = (0..)
            .zip(&self.in_order)
            .map(|(index, (_, received))| (index, *received))
            .filter(|(index, received)| !disowned.covers(*index, *received));
        self.believed = believed.map(|(_, received)| received).max();
    }

    /// The oldest received time.
    pub(crate) const fn first_received(&self) -> Option<i64> {
        self.oldest
    }

    /// All places: number and received time of each.
    pub(crate) fn all(&self) -> &[(u64, i64)] {
        &self.in_order
    }

    /// Forgets all places: another log begins, with one leaf before those that are listed again.
    pub(crate) fn clear(&mut self, events: u64) {
        *self = Self {
            unproven: (0..events).collect(),
            disowned: self.disowned.map(Disowned::one_later),
            ..Self::default()
        };
    }
}
