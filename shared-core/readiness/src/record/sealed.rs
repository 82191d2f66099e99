//! The seal of a bag: what was noted of it when all in the bag was last counted, and what was seen
//! of it since.
//!
//! A check that counts everything that is known to be in the bag is its full count, and takes the
//! place of what was noted and seen before, as far as its writer knew. Any other mention of the
//! seal is a look: with the number noted at a full count that its writer knew, it vouches for that
//! count; with another number, or none, the bag was opened, which only a full count settles.

use std::collections::BTreeSet;

use super::corrected::Power;
use super::effect::Effect;
use super::{Side, Sides, keep};
use crate::event::{BagSeal, DateMark, ItemCount, SubjectKind, Trust};
use crate::ids::EventId;

/// What is known of a bag's seal.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Seals {
    /// The seal that was put on at a full count. Only trusted statements stand here.
    pub noted: Sides<Sealed>,
    /// Looks at the seal since.
    pub looked: Sides<SealLook>,
    /// Looks that found another seal than was noted, or none, since the last full count.
    pub opened: Vec<Side<Sealed>>,
}

/// A seal as somebody wrote it down.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sealed {
    /// Its number; none when it is broken or gone.
    pub number: Option<String>,
    /// Earliest date on its tag.
    pub earliest: Option<DateMark>,
}

/// A look at a seal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SealLook {
    /// What was seen.
    pub seal: Sealed,
    /// Full counts that its writer knew, and that had noted this number.
    pub vouches: BTreeSet<EventId>,
}

impl Effect<'_, '_, '_> {
    /// Takes in what is said of the seal of the bag whose record this is, after its counts.
    pub(super) fn sealed(&mut self, seals: &[BagSeal]) {
        if self.record.kind != SubjectKind::Bag {
            return;
        }
        let own = self.record.subject;
        let seals = self.taken_in(seals).iter();
        let seals: Vec<Sealed> = seals
            .filter(|seal| seal.bag == own)
            .map(|seal| Sealed {
                number: seal.number.clone(),
                earliest: seal.earliest,
            })
            .collect();
        if self.statement.power == Power::Relieves && self.counted_all() {
            self.full_count(seals);
            return;
        }
        for seal in seals {
            self.looked_at_seal(seal);
        }
    }

    /// Whether the statement counts every line that is known to be in the bag; what nobody trusted
    /// counted is not known.
    fn counted_all(&self) -> bool {
        let event = self.id();
        let known = |sides: &&Sides<ItemCount>| {
            let mut sides = sides.iter();
            sides.any(|side| side.origin.trust == Trust::Trusted)
        };
        let mut counts = self.record.counts.values().filter(known).peekable();
        let has_any = counts.peek().is_some();
        has_any && counts.all(|sides| sides.iter().any(|side| side.origin.event == event))
    }

    fn full_count(&mut self, seals: Vec<Sealed>) {
        let origin = &self.statement.origin;
        let past = &self.past;
        let known = &mut self.record.seals;
        known
            .opened
            .retain(|side| !origin.follows(&side.origin, past));
        known
            .looked
            .drop_where(|side| origin.follows(&side.origin, past));
        known
            .noted
            .drop_where(|side| origin.follows(&side.origin, past));
        for seal in seals {
            let side = self.side(seal);
            self.record.seals.noted.put(side, &self.past);
        }
    }

    fn looked_at_seal(&mut self, seal: Sealed) {
        let noted = &self.record.seals.noted.0;
        let same = |side: &&Side<Sealed>| side.value.number == seal.number;
        let is_noted = noted.is_empty() || noted.iter().any(|side| same(&side));
        let opened = seal.number.is_none() || !is_noted;
        let relieves = self.statement.power == Power::Relieves && !opened;
        let seen = |side: &&Side<Sealed>| relieves && self.past.saw(&side.origin.event);
        let vouches = noted.iter().filter(same).filter(seen);
        let look = SealLook {
            vouches: vouches.map(|side| side.origin.event).collect(),
            seal: seal.clone(),
        };
        let look = self.side(look);
        let side = self.side(seal);
        let known = &mut self.record.seals;
        known.looked.put(look, &self.past);
        if opened {
            keep::some(&mut known.opened, keep::SEALS, side);
        }
    }
}
