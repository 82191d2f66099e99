//! What one statement does to the record of one of its subjects: the table of contents.

use super::corrected::{Power, Statement};
use super::{Assignment, Inspection, Past, Recent, Record, Side, Waiver, keep};
use crate::event::{Payload, RepairHold, SubjectKind, Trust};
use crate::ids::{EventId, FaultId, LineId, SubjectId};

/// A statement on its way into a record.
pub(super) struct Effect<'r, 's, 'a> {
    pub(super) record: &'r mut Record,
    pub(super) statement: &'s Statement<'a>,
    /// What the statement may replace: nothing when it only adds.
    pub(super) past: Past<'s>,
}

impl<'a> Effect<'_, '_, 'a> {
    /// Applies the payload.
    pub(super) fn apply(&mut self) {
        let payload: &'a Payload = self.statement.payload;
        match payload {
            Payload::CraftRegistered(craft) => self.craft_registered(craft),
            Payload::GearRegistered(gear) => self.gear_registered(gear),
            Payload::BagRegistered {
                number,
                station,
                craft,
            } => {
                self.bag_registered(number, *station, *craft);
            }
            Payload::ShelfRegistered { number, station } => self.shelf_registered(number, *station),
            Payload::NumberChanged { number } => self.number_changed(number),
            Payload::Placed(place) => self.placed(*place),
            Payload::Fitted { gear, craft, part } => self.fitted(*gear, *craft, part),
            Payload::TakenOff { gear, craft } => self.taken_off(*gear, *craft),
            Payload::Condemned => self.condemned(),
            Payload::SameAs { one, other } => self.same_as(*one, *other),
            Payload::StockCounted(counts) => {
                self.counted(counts);
                self.sealed(&[]);
            }
            Payload::Check(check) => self.checked(check),
            Payload::AirChanged(air) => self.air_changed(air),
            Payload::Use(used) => self.used(used),
            Payload::Fault(faults) => self.found(faults),
            Payload::Repair(repair) => {
                self.repaired(&repair.faults, &repair.holds);
                self.happened(&Recent::Repaired, Some(&repair.part));
            }
            Payload::SignOff { closes } => self.signed_off(closes),
            Payload::InspectionDone {
                inspection,
                passed,
                engine_s,
                run_s,
                holds,
            } => {
                let done = Inspection {
                    passed: *passed,
                    engine_s: *engine_s,
                    run_s: *run_s,
                    holds: self.taken_in(holds).to_vec(),
                };
                self.inspected(inspection, done);
            }
            Payload::OutOfService(reason) => {
                let out = self.side(*reason);
                self.record.out.insert(self.id(), out);
                self.out_apart();
                self.out_beside_sent();
            }
            Payload::Returned { ends } => {
                self.ended(ends, |record, id| {
                    record.out.remove(id);
                });
                self.returned_apart();
                self.forget_sent();
            }
            Payload::Assigned { incident, mission } => {
                self.assigned(Assignment {
                    incident: incident.clone(),
                    mission: mission.clone(),
                });
            }
            Payload::HeldCountyWide(hold) => {
                let side = self.side(hold.clone());
                self.record.county_holds.insert(self.id(), side);
            }
            // Ends only the hold that it names: one made apart from it stays.
            Payload::HoldLifted { hold } => self.ended(&[*hold], |record, id| {
                record.county_holds.remove(id);
            }),
            Payload::CrewsAvailable(crews) => self.crews_raised(crews),
            Payload::MemberLevel(level) => self.level_held(level),
            Payload::Released { assignment } => self.released(*assignment),
            Payload::WaiverGranted {
                faults,
                missions,
                until,
            } => self.waived(Waiver {
                faults: faults.iter().copied().collect(),
                missions: missions.iter().cloned().collect(),
                until: *until,
            }),
            // Anybody may: a craft is never readier for a waiver less.
            Payload::WaiverWithdrawn { waiver } => {
                self.record.waivers.remove(waiver);
            }
            Payload::NotUnderstood { hold: true } => {
                let id = self.id();
                keep::first(&mut self.record.not_understood, id);
            }
            // Corrections act through the statements that they leave at their original's place.
            Payload::NotUnderstood { hold: false }
            | Payload::Silent
            | Payload::Correction { .. }
            | Payload::LeadDecision(_)
            | Payload::Remark(_) => {}
        }
    }

    fn repaired(&mut self, faults: &[FaultId], holds: &[RepairHold]) {
        for fault in faults {
            if let Some(state) = self.record.faults.get_mut(fault) {
                state.take_repair(&self.statement.origin);
            }
        }
        self.looked_at(faults);
        for hold in holds {
            let side = self.side(*hold);
            keep::last(&mut self.record.holds, keep::HOLDS, side);
        }
    }

    /// Closes what it names and nothing else.
    fn signed_off(&mut self, closes: &[FaultId]) {
        let spots = self.spots(closes);
        for fault in closes {
            if !self.may_end(fault) {
                continue;
            }
            if let Some(state) = self.record.faults.get_mut(fault) {
                state.take_sign_off(&self.statement.origin);
            }
            self.record.open_noes.remove(fault);
        }
        self.sign_off_apart(spots, closes);
        self.record.forget_apart_of_closed();
        self.record.forget_long_closed();
    }

    fn inspected(&mut self, line: &LineId, done: Inspection) {
        let side = self.side(done);
        self.record
            .inspections
            .entry(line.clone())
            .or_default()
            .put(side, &self.past);
    }

    /// Ends the statements that it names.
    pub(super) fn ended(&mut self, named: &[EventId], end: impl Fn(&mut Record, &EventId)) {
        for id in named {
            if self.may_end(&FaultId {
                event: *id,
                ordinal: 0,
            }) {
                end(self.record, id);
            }
        }
    }

    fn waived(&mut self, waiver: Waiver) {
        if self.statement.power == Power::OnlyAdds {
            return;
        }
        let side = self.side(waiver);
        let waivers = &mut self.record.waivers;
        waivers.insert(self.statement.origin.event, side);
        if waivers.len() > keep::WAIVERS {
            let soonest = waivers
                .iter()
                .min_by_key(|(id, side)| (side.value.until, **id));
            if let Some(id) = soonest.map(|(id, _)| *id) {
                waivers.remove(&id);
            }
        }
    }

    /// Whether it may end a statement that it names. Naming is having seen; only a restated
    /// payload can name something that is not in the past of its place. What a correction has made
    /// another thing since is ended only by who saw the correction.
    fn may_end(&self, named: &FaultId) -> bool {
        self.statement.power == Power::Relieves && self.past.saw_as_it_stands(named)
    }

    /// A value with the statement's origin.
    pub(super) fn side<T>(&self, value: T) -> Side<T> {
        Side {
            value,
            origin: self.statement.origin.clone(),
        }
    }

    /// The id under which others name the statement.
    pub(super) fn id(&self) -> EventId {
        self.statement.origin.event
    }

    /// Whether the record's subject is the one that the statement is mainly about.
    pub(super) fn is_first(&self) -> bool {
        self.statement
            .subjects
            .first()
            .is_some_and(|seen| seen.id == self.record.subject)
    }

    /// The first craft that the statement is about.
    pub(super) fn craft(&self) -> Option<SubjectId> {
        let mut subjects = self.statement.subjects.iter();
        subjects
            .find(|seen| seen.kind == SubjectKind::Craft)
            .map(|seen| seen.id)
    }

    /// Whether a side stated by the statement may rest on another one.
    pub(super) fn may_rest_on<T>(&self, other: &Side<T>) -> bool {
        other.origin.trust == Trust::Trusted || self.statement.origin.trust != Trust::Trusted
    }
}
