//! What was stated apart: of the statements that a record keeps, those that neither saw the other.
//!
//! Sides of one value show for themselves that their writers differ. A fault and a sign-off, or
//! being out of service and a return, are statements of different kinds: what they did not know of
//! each other is noted here while the fold still knows who had seen what. Changes nothing that is
//! judged, save readings beside air and kit that was moved away, which the engine reads. Only
//! trusted statements are noted: of the others the record says 'go and look'.

use std::collections::{BTreeMap, BTreeSet};

use super::assigning::SentApart;
use super::corrected::Power;
use super::effect::Effect;
use super::{FaultState, Origin, Record, Side, keep};
use crate::event::{FaultFound, Place, SubjectKind, Trust};
use crate::ids::{EventId, FaultId, LineId, PartId, SubjectId};

/// What writers who did not know of each other stated about one thing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Apart {
    /// Of an open fault, or an open 'no': others like it. Both ways.
    pub alike: BTreeMap<FaultId, BTreeSet<FaultId>>,
    /// Of an open fault, or an open 'no': sign-offs at the same spot that had not seen it.
    pub signed_off: BTreeMap<FaultId, Vec<Origin>>,
    /// The last [`keep::SIGN_OFFS`] sign-offs, with the spots of what they closed.
    pub sign_offs: Vec<Side<BTreeSet<Spot>>>,
    /// Of a statement of being out of service: returns that had not seen it.
    pub returned: BTreeMap<EventId, Vec<Origin>>,
    /// The last [`keep::RETURNS`] returns.
    pub returns: Vec<Origin>,
    /// Standing readings beside which air was added or let out: neither had seen the other.
    pub beside_air: BTreeMap<PartId, BTreeSet<EventId>>,
    /// Kit that left the craft in a bag, by item.
    pub moved_off: BTreeMap<LineId, Vec<Side<MovedOff>>>,
    /// Of an assignment that stands: what it did not know of, and what did not know of it.
    pub sent: BTreeMap<EventId, SentApart>,
    /// Incidents of the last [`keep::ASSIGNMENTS`] assignments.
    pub sent_to: Vec<Side<String>>,
    /// The last [`keep::RELEASES`] releases, with the incident that each was from.
    pub releases: Vec<Side<String>>,
}

/// Where a fault is, as far as a sign-off of another one can be meant for it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Spot {
    /// At a part.
    Part(PartId),
    /// An answer 'no' to a line.
    Line(LineId),
}

/// Units of one item that left a craft in a bag.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MovedOff {
    /// The bag.
    pub bag: SubjectId,
    /// How many were last counted in it on this craft.
    pub units: u32,
    /// Standing counts of the craft, in one number with its bags, that had not seen it leave.
    pub unseen_by: BTreeSet<EventId>,
}

impl Effect<'_, '_, '_> {
    /// Notes what a new fault was written apart from.
    pub(super) fn fault_apart(&mut self, id: FaultId, fault: &FaultFound) {
        if self.statement.power == Power::OnlyAdds {
            return;
        }
        let open = self.record.faults.iter();
        let alike = open.filter(|(_, state)| is_open(state) && same_defect(&state.fault, fault));
        let alike = alike.map(|(other, state)| (*other, &state.origin));
        let alike = self.unseen(alike).collect();
        self.apart(id, alike, &Spot::Part(fault.part.clone()));
    }

    /// Notes what a new 'no' was written apart from.
    pub(super) fn no_apart(&mut self, id: FaultId, line: &LineId) {
        if self.statement.power == Power::OnlyAdds {
            return;
        }
        let open = self.record.open_noes.iter();
        let alike = open.filter(|(_, side)| side.value == *line);
        let alike = alike.map(|(other, side)| (*other, &side.origin));
        let alike = self.unseen(alike).collect();
        self.apart(id, alike, &Spot::Line(line.clone()));
    }

    fn apart(&mut self, id: FaultId, alike: BTreeSet<FaultId>, spot: &Spot) {
        let sign_offs = self.record.apart.sign_offs.iter();
        let there = sign_offs.filter(|side| side.value.contains(spot));
        let unseen = there.filter(|side| !self.past.saw(&side.origin.event));
        let unseen: Vec<Origin> = unseen.map(|side| side.origin.clone()).collect();
        let apart = &mut self.record.apart;
        if !unseen.is_empty() {
            apart.signed_off.insert(id, unseen);
        }
        for other in &alike {
            let of_other = apart.alike.entry(*other).or_default();
            if of_other.len() < keep::ANY {
                of_other.insert(id);
            }
        }
        if !alike.is_empty() {
            apart.alike.insert(id, alike);
        }
    }

    /// Of others that are trusted, those that the statement had not seen.
    fn unseen<'o>(
        &self,
        others: impl Iterator<Item = (FaultId, &'o Origin)>,
    ) -> impl Iterator<Item = FaultId> {
        let own = self.id();
        let unseen = others.filter(move |(_, origin)| {
            let trusted = origin.trust == Trust::Trusted;
            trusted && origin.event != own && !self.past.saw(&origin.event)
        });
        unseen.map(|(id, _)| id).take(keep::ANY)
    }

    /// Where the faults are that a sign-off is about to close.
    pub(super) fn spots(&self, closes: &[FaultId]) -> BTreeSet<Spot> {
        let spot = |id: &FaultId| {
            let fault = self.record.faults.get(id);
            let part = fault.map(|state| Spot::Part(state.fault.part.clone()));
            let no = self.record.open_noes.get(id);
            part.or_else(|| no.map(|side| Spot::Line(side.value.clone())))
        };
        closes.iter().filter_map(spot).collect()
    }

    /// Notes a sign-off, and the open faults at its spots that it had not seen.
    pub(super) fn sign_off_apart(&mut self, spots: BTreeSet<Spot>, closes: &[FaultId]) {
        if self.statement.power == Power::OnlyAdds || spots.is_empty() {
            return;
        }
        let faults = self.record.faults.iter();
        let faults = faults.filter(|(_, state)| is_open(state));
        let faults = faults.map(|(id, state)| {
            let spot = Spot::Part(state.fault.part.clone());
            (*id, &state.origin, spot)
        });
        let noes = self.record.open_noes.iter();
        let noes = noes.map(|(id, side)| (*id, &side.origin, Spot::Line(side.value.clone())));
        let unseen: Vec<FaultId> = faults
            .chain(noes)
            .filter(|(_, origin, spot)| spots.contains(spot) && origin.trust == Trust::Trusted)
            .filter(|(_, origin, _)| !self.past.saw(&origin.event))
            .map(|(id, _, _)| id)
            .collect();
        let side = self.side(spots);
        for id in unseen {
            let sign_offs = self.record.apart.signed_off.entry(id).or_default();
            keep::last(sign_offs, keep::SIGN_OFFS, side.origin.clone());
        }
        keep::last(&mut self.record.apart.sign_offs, keep::SIGN_OFFS, side);
        self.looked_at(closes);
    }

    /// Somebody worked on these faults, or signed them off: what that person had seen is settled.
    pub(super) fn looked_at(&mut self, faults: &[FaultId]) {
        if self.statement.power == Power::OnlyAdds {
            return;
        }
        let past = &self.past;
        let apart = &mut self.record.apart;
        for id in faults {
            let known = |other: &FaultId| past.saw(&other.event);
            if let Some(alike) = apart.alike.get_mut(id) {
                let settled: BTreeSet<FaultId> = alike.iter().copied().filter(known).collect();
                alike.retain(|other| !settled.contains(other));
                for other in settled {
                    if let Some(of_other) = apart.alike.get_mut(&other) {
                        of_other.remove(id);
                    }
                }
            }
            if let Some(sign_offs) = apart.signed_off.get_mut(id) {
                sign_offs.retain(|origin| !past.saw(&origin.event));
            }
        }
        apart.alike.retain(|_, alike| !alike.is_empty());
        apart
            .signed_off
            .retain(|_, sign_offs| !sign_offs.is_empty());
    }

    /// Notes a statement of being out of service, and the returns that it stands beside.
    pub(super) fn out_apart(&mut self) {
        if self.statement.power == Power::OnlyAdds {
            return;
        }
        let id = self.id();
        let past = &self.past;
        let apart = &mut self.record.apart;
        // Whoever declares it again, having seen both, has settled what was apart before.
        apart.returned.retain(|out, returns| {
            if past.saw(out) {
                returns.retain(|back| !past.saw(&back.event));
            }
            !returns.is_empty()
        });
        let unseen = apart.returns.iter().filter(|back| !past.saw(&back.event));
        let unseen: Vec<Origin> = unseen.cloned().collect();
        if !unseen.is_empty() {
            apart.returned.insert(id, unseen);
        }
    }

    /// Notes a return, and what is still declared that it had not seen.
    pub(super) fn returned_apart(&mut self) {
        if self.statement.power == Power::OnlyAdds {
            return;
        }
        let origin = self.statement.origin.clone();
        let past = &self.past;
        let out = self.record.out.iter();
        let unseen: Vec<EventId> = out
            .filter(|(id, side)| side.origin.trust == Trust::Trusted && !past.saw(id))
            .map(|(id, _)| *id)
            .collect();
        let apart = &mut self.record.apart;
        for id in unseen {
            let returns = apart.returned.entry(id).or_default();
            keep::last(returns, keep::RETURNS, origin.clone());
        }
        apart
            .returned
            .retain(|id, _| self.record.out.contains_key(id));
        keep::last(&mut apart.returns, keep::RETURNS, origin);
    }

    /// A change of air takes the place of the readings that it had seen; the others stand.
    pub(super) fn air_apart(&mut self, part: &PartId) {
        if self.statement.power == Power::OnlyAdds {
            return;
        }
        let Some(readings) = self.record.readings.get(part) else {
            return;
        };
        let own = self.id();
        let mut air = readings.air_since.iter();
        let had_air =
            air.any(|side| side.origin.trust == Trust::Trusted && side.origin.event != own);
        let beside = self
            .record
            .apart
            .beside_air
            .entry(part.clone())
            .or_default();
        for side in &readings.standing {
            let event = side.origin.event;
            if self.past.saw(&event) {
                beside.remove(&event);
            } else if !had_air && side.origin.trust == Trust::Trusted {
                beside.insert(event);
            }
        }
        if beside.is_empty() {
            self.record.apart.beside_air.remove(part);
        }
    }

    /// A reading that leaves changes of air standing had not seen them, nor they it.
    pub(super) fn reading_apart(&mut self, part: &PartId) {
        let Some(readings) = self.record.readings.get(part) else {
            return;
        };
        let own = self.id();
        let mut air = readings.air_since.iter();
        let stands = air.any(|side| side.origin.trust == Trust::Trusted);
        let trusted = self.statement.power == Power::Relieves;
        let standing: BTreeSet<EventId> = readings
            .standing
            .iter()
            .map(|side| side.origin.event)
            .collect();
        let beside = self
            .record
            .apart
            .beside_air
            .entry(part.clone())
            .or_default();
        if stands && trusted {
            beside.insert(own);
        }
        beside.retain(|event| stands && standing.contains(event));
        if beside.is_empty() {
            self.record.apart.beside_air.remove(part);
        }
    }

    /// A bag is somewhere else: notes what left the craft with it, and which of its counts had not
    /// seen that.
    pub(super) fn bag_left(&mut self, bag: SubjectId, at: Place) {
        let here = Place::Craft(self.record.subject);
        let craft = self.record.kind == SubjectKind::Craft;
        if !craft || at == here || self.statement.power == Power::OnlyAdds {
            return;
        }
        let in_bag = self.record.counts.iter();
        let in_bag = in_bag.filter(|((_, counted_in), _)| *counted_in == Some(bag));
        let left: Vec<(LineId, MovedOff)> = in_bag
            .filter_map(|((item, _), sides)| {
                let units = sides.iter().map(|side| side.value.count).max()?;
                let loose = self.record.counts.get(&(item.clone(), None));
                let loose = loose.into_iter().flatten().map(|side| &side.origin);
                let unseen_by = loose
                    .filter(|origin| origin.trust == Trust::Trusted)
                    .filter(|origin| !self.past.saw(&origin.event))
                    .filter(|origin| !sides.iter().any(|side| side.origin.event == origin.event))
                    .map(|origin| origin.event)
                    .collect();
                let moved = MovedOff {
                    bag,
                    units,
                    unseen_by,
                };
                (units > 0).then(|| (item.clone(), moved))
            })
            .collect();
        for (item, moved) in left {
            let side = self.side(moved);
            let list = self.record.apart.moved_off.entry(item).or_default();
            keep::last(list, keep::MOVED_OFF, side);
        }
    }

    /// A count of the craft itself, beside the moves that it had not seen.
    pub(super) fn count_apart(&mut self, item: &LineId) {
        let event = self.id();
        let trusted = self.statement.power == Power::Relieves;
        let counts = &self.record.counts;
        let standing: BTreeSet<EventId> = counts
            .get(&(item.clone(), None))
            .into_iter()
            .flatten()
            .map(|side| side.origin.event)
            .collect();
        let Some(moved) = self.record.apart.moved_off.get_mut(item) else {
            return;
        };
        for side in &mut *moved {
            let in_bag = counts.get(&(item.clone(), Some(side.value.bag)));
            let apart_from_bag = in_bag
                .into_iter()
                .flatten()
                .any(|counted| counted.origin.event == event);
            if trusted && !apart_from_bag && !self.past.saw(&side.origin.event) {
                side.value.unseen_by.insert(event);
            }
            side.value.unseen_by.retain(|one| standing.contains(one));
        }
        let past = &self.past;
        moved.retain(|side| !(side.value.unseen_by.is_empty() && past.saw(&side.origin.event)));
        if moved.is_empty() {
            self.record.apart.moved_off.remove(item);
        }
    }
}

impl Record {
    /// Lets go of what was noted of faults that are open no longer.
    pub(super) fn forget_apart_of_closed(&mut self) {
        let (faults, noes) = (&self.faults, &self.open_noes);
        let open = |id: &FaultId| faults.get(id).is_some_and(is_open) || noes.contains_key(id);
        let apart = &mut self.apart;
        apart.signed_off.retain(|id, _| open(id));
        apart.alike.retain(|id, alike| {
            alike.retain(open);
            open(id) && !alike.is_empty()
        });
    }
}

/// Whether two faults may be one: the same part, place, class and gear.
#[must_use]
pub fn same_defect(one: &FaultFound, other: &FaultFound) -> bool {
    one.part == other.part
        && one.place == other.place
        && one.class == other.class
        && one.gear == other.gear
}

/// Whether no trusted sign-off has closed a fault.
fn is_open(state: &FaultState) -> bool {
    state.closed.is_none()
}
