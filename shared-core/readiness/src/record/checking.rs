//! What a look round a craft shows, and what use takes away again.

use std::collections::BTreeSet;

use super::corrected::Power;
use super::effect::Effect;
use super::{
    CLOSED_FAULTS_KEPT, Checked, FaultState, RECENT_KEPT, Recent, Record, Side, USES_KEPT, keep,
};
use crate::event::{
    AirChanged, AirDirection, AnswerValue, Check, CylinderReading, FaultFound, Fuel, ItemCount,
    LineAnswer, Meter, Place, Reading, ReadingMoment, Stowage, SubjectKind, Trust, Use,
};
use crate::ids::{FaultId, LineId, PartId};

impl Effect<'_, '_, '_> {
    pub(super) fn checked(&mut self, check: &Check) {
        if self.is_first() {
            let done = self.side(Checked {
                revision: check.standard_revision,
            });
            self.record
                .checks
                .entry(check.extent)
                .or_default()
                .put(done, &self.past);
            self.read(&check.readings);
            for (position, answer) in (0..).zip(self.taken_in(&check.answers)) {
                self.answered(position, answer);
            }
            if let Some(stowage) = check.stowage {
                let side = self.side(stowage);
                self.record.stowage.put(side, &self.past);
                if stowage == Stowage::Rolled {
                    self.happened(&Recent::Rolled, None);
                }
            }
        }
        self.counted(&check.counts);
        self.sealed(&check.seals);
        self.metered(&check.meters);
        for read in self.taken_in(&check.cylinders) {
            if read.subject == self.record.subject {
                self.charged(read.gauge_kpa, read.temperature_mc);
            }
        }
        self.fuelled(&check.fuel);
        self.found(&check.faults);
        let moves = matches!(self.record.kind, SubjectKind::Bag | SubjectKind::Gear);
        if let Some(craft) = self.craft()
            && moves
            && check.found_aboard.contains(&self.record.subject)
        {
            self.found_aboard(craft);
        }
        if let Some(craft) = self.craft().filter(|craft| *craft != self.record.subject) {
            for thing in self.taken_in(&check.found_aboard) {
                self.bag_left(*thing, Place::Craft(craft));
            }
        }
    }

    /// The entries of a list that are taken in: all that a trusted writer states.
    pub(super) fn taken_in<'t, T>(&self, entries: &'t [T]) -> &'t [T] {
        match self.statement.origin.trust {
            Trust::Trusted => entries,
            Trust::Unconfirmed(_) => entries.get(..keep::UNCONFIRMED_ENTRIES).unwrap_or(entries),
        }
    }

    /// Of one check, the value as left is what stands.
    fn read(&mut self, readings: &[Reading]) {
        let left: BTreeSet<_> = readings
            .iter()
            .filter(|reading| reading.moment == ReadingMoment::AsLeft)
            .map(|reading| &reading.part)
            .collect();
        for reading in self.taken_in(readings) {
            let side = self.side(reading.clone());
            let stands = reading.moment == ReadingMoment::AsLeft || !left.contains(&reading.part);
            let part = self
                .record
                .readings
                .entry(reading.part.clone())
                .or_default();
            let read = Side {
                value: Recent::Read(reading.clone()),
                origin: side.origin.clone(),
            };
            keep::last(&mut part.recent, RECENT_KEPT, read);
            if stands {
                part.air_since
                    .retain(|air| !side.origin.follows(&air.origin, &self.past));
                part.standing.put(side, &self.past);
                self.reading_apart(&reading.part);
            }
        }
    }

    pub(super) fn air_changed(&mut self, air: &AirChanged) {
        if self.is_first() {
            let side = self.side(air.clone());
            let part = self.record.readings.entry(air.part.clone()).or_default();
            if let (Some(source), AirDirection::Added) = (air.source, air.direction) {
                let filled = Side {
                    value: source,
                    origin: side.origin.clone(),
                };
                part.filled.put(filled, &self.past);
            }
            keep::last(&mut part.air_since, keep::AIR, side);
            let changed = Side {
                value: Recent::Air(air.clone()),
                origin: self.statement.origin.clone(),
            };
            keep::last(&mut part.recent, RECENT_KEPT, changed);
            self.air_apart(&air.part);
        }
        if air.source_gear == Some(self.record.subject) && air.direction == AirDirection::Added {
            match air.source_after_kpa {
                Some(gauge_kpa) => self.charged(gauge_kpa, None),
                None => {
                    let origin = self.statement.origin.clone();
                    keep::some(&mut self.record.drawn, keep::DRAWN, origin);
                }
            }
        }
    }

    /// The gauge of this cylinder: what was taken from it before, as far as its reader knew, is in
    /// that gauge.
    pub(super) fn charged(&mut self, gauge_kpa: u32, temperature_mc: Option<i32>) {
        let side = self.side(CylinderReading {
            subject: self.record.subject,
            gauge_kpa,
            temperature_mc,
        });
        if side.origin.trust == Trust::Trusted {
            let drawn = &mut self.record.drawn;
            drawn.retain(|origin| !side.origin.follows(origin, &self.past));
        }
        self.record.charge.put(side, &self.past);
    }

    /// Notes what no leak is to be fitted across, in the history of one part or of all; the same
    /// again says no more. Only a trusted statement can part readings: a leak seems the smaller the
    /// fewer of them are fitted together.
    pub(super) fn happened(&mut self, what: &Recent, part: Option<&PartId>) {
        let origin = &self.statement.origin;
        if origin.trust != Trust::Trusted || self.statement.power == Power::OnlyAdds {
            return;
        }
        let concerned = |id: &PartId| part.is_none_or(|part| part == id);
        let parts = self.record.readings.iter_mut();
        for (_, readings) in parts.filter(|(id, _)| concerned(id)) {
            let recent = &mut readings.recent;
            let mut trusted = recent.iter().rev();
            let last = trusted.find(|side| side.origin.trust == Trust::Trusted);
            if last.is_some_and(|side| side.value != *what) {
                let side = Side {
                    value: what.clone(),
                    origin: origin.clone(),
                };
                keep::last(recent, RECENT_KEPT, side);
            }
        }
    }

    /// A later 'yes' replaces the answer; the 'no' stays open until a sign-off names it.
    fn answered(&mut self, position: u32, answer: &LineAnswer) {
        let side = self.side(answer.value);
        self.record
            .answers
            .entry(answer.line.clone())
            .or_default()
            .put(side, &self.past);
        if answer.value == AnswerValue::No {
            let ordinal = FaultId::FIRST_ANSWER.saturating_add(position);
            let line = self.side(answer.line.clone());
            self.forget_repeated_no(&answer.line);
            let id = FaultId {
                event: self.id(),
                ordinal,
            };
            self.no_apart(id, &answer.line);
            self.record.open_noes.insert(id, line);
        }
    }

    /// Makes room for one more 'no' to a line, when it repeats one that its writer had seen.
    fn forget_repeated_no(&mut self, line: &LineId) {
        if self.statement.power == Power::OnlyAdds {
            return;
        }
        let same_line = |side: &Side<LineId>| {
            side.value == *line && side.origin.trust == self.statement.origin.trust
        };
        let open = &self.record.open_noes;
        if open.values().filter(|side| same_line(side)).count() < keep::NOES {
            return;
        }
        let origin = &self.statement.origin;
        let repeated = open
            .iter()
            .find(|(_, side)| same_line(side) && origin.follows(&side.origin, &self.past))
            .map(|(id, _)| *id);
        if let Some(id) = repeated {
            self.record.open_noes.remove(&id);
            self.record.forget_apart_of_closed();
        }
    }

    /// Counts go to the main subject, and those made in a bag to the bag's own record as well.
    pub(super) fn counted(&mut self, counts: &[ItemCount]) {
        let own = Some(self.record.subject);
        let mut items = BTreeSet::new();
        for count in self.taken_in(counts) {
            if !self.is_first() && count.bag != own {
                continue;
            }
            let bag = count.bag.filter(|_| count.bag != own);
            let side = self.side(count.clone());
            let key = (count.item.clone(), bag);
            self.record
                .counts
                .entry(key)
                .or_default()
                .put(side, &self.past);
            items.insert(&count.item);
        }
        for item in items {
            self.count_apart(item);
            self.settle_used_up(item);
        }
    }

    /// Strikes out the uses that a count had seen. Uses do not say from which bag they took, so
    /// only a count of every place where the item is known to be kept can tell.
    fn settle_used_up(&mut self, item: &LineId) {
        let origin = &self.statement.origin;
        let everywhere = self
            .record
            .counts
            .range((item.clone(), None)..)
            .take_while(|((counted, _), _)| counted == item)
            .filter(|(_, sides)| sides.iter().any(|side| side.origin.trust == Trust::Trusted))
            .all(|(_, sides)| sides.iter().any(|side| side.origin.event == origin.event));
        if !everywhere {
            return;
        }
        if let Some(uses) = self.record.used_up.get_mut(item) {
            uses.retain(|used| !origin.follows(&used.origin, &self.past));
            if uses.is_empty() {
                self.record.used_up.remove(item);
            }
        }
    }

    pub(super) fn used(&mut self, used: &Use) {
        if self.is_first() || self.record.kind == SubjectKind::Gear {
            let side = self.side(used.clone());
            keep::last(&mut self.record.uses, USES_KEPT, side);
        }
        if self.is_first() {
            self.happened(&Recent::Used, None);
        }
        self.metered(&used.meters);
        let own = Some(self.record.subject);
        for taken in self.taken_in(&used.used_up) {
            if self.is_first() || taken.bag == own {
                self.take_from(&taken.item, taken.count);
            }
        }
    }

    /// Notes what a use took. Too many uses without a count are added up, but only into one that
    /// had seen them: whoever counts after that one has then counted after them all.
    fn take_from(&mut self, item: &LineId, count: u32) {
        let mut side = self.side(count);
        let uses = self.record.used_up.entry(item.clone()).or_default();
        if uses.len() >= keep::USED_UP {
            uses.retain(|old| {
                let merges = old.origin.trust == Trust::Trusted
                    && side.origin.follows(&old.origin, &self.past);
                if merges {
                    side.value = side.value.saturating_add(old.value);
                }
                !merges
            });
        }
        uses.push(side);
    }

    /// A motor keeps its own meter; a craft keeps that of each motor by its id.
    fn metered(&mut self, meters: &[Meter]) {
        let own = Some(self.record.subject);
        for meter in self.taken_in(meters) {
            if !self.is_first() && meter.subject != own {
                continue;
            }
            let of = meter.subject.filter(|_| meter.subject != own);
            let side = self.side(meter.engine_s);
            self.record
                .meters
                .entry(of)
                .or_default()
                .put(side, &self.past);
        }
    }

    /// A tank keeps its own fuel; a craft keeps that of each tank by its id.
    fn fuelled(&mut self, fuel: &[Fuel]) {
        let own = Some(self.record.subject);
        for fuel in self.taken_in(fuel) {
            if !self.is_first() && fuel.tank != own {
                continue;
            }
            let of = fuel.tank.filter(|_| fuel.tank != own);
            let side = self.side(*fuel);
            let sides = self.record.fuel.entry(of).or_default();
            sides.put(side, &self.past);
        }
    }

    /// Faults go to the main subject, and those on numbered gear to the gear's record as well.
    pub(super) fn found(&mut self, faults: &[FaultFound]) {
        let own = Some(self.record.subject);
        for (ordinal, fault) in (0..).zip(self.taken_in(faults)) {
            if self.is_first() || fault.gear == own {
                let state = FaultState {
                    fault: fault.clone(),
                    origin: self.statement.origin.clone(),
                    repairs: Vec::new(),
                    closed: None,
                };
                let id = FaultId {
                    event: self.id(),
                    ordinal,
                };
                self.fault_apart(id, fault);
                self.record.faults.entry(id).or_insert(state);
            }
        }
    }
}

impl Record {
    /// Lets go of closed faults beyond the last ones. The claimed times of their sign-offs say
    /// which are old: this decides only what is still shown, never what is open.
    pub(super) fn forget_long_closed(&mut self) {
        let mut closed: Vec<_> = self
            .faults
            .iter()
            // Where its own repairer signed it off it may count as open: it is kept.
            .filter(|(_, state)| state.is_signed_off(false))
            .filter_map(|(id, state)| Some((state.closed.as_ref()?.interval.claimed, *id)))
            .collect();
        let surplus = closed.len().saturating_sub(CLOSED_FAULTS_KEPT);
        closed.sort_unstable();
        for (_, id) in closed.into_iter().take(surplus) {
            self.faults.remove(&id);
        }
    }
}
