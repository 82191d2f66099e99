//! Faults that were found, mended and signed off.

use super::super::craft::{FaultPast, RepairPast, SignOffPast};
use super::{OfSubject, Source, craft_of};
use crate::event::{Author, FaultFound, Repair, SubjectKind, Trust};
use crate::ids::FaultId;
use crate::record::Said;

impl OfSubject {
    pub(super) fn found(
        &mut self,
        said: &Said<'_, '_>,
        source: &Source<'_>,
        faults: &[FaultFound],
    ) {
        let (event, first) = (source.origin.event, self.is_first(said));
        let about = said.subjects().first();
        let about_gear = about.filter(|seen| seen.kind == SubjectKind::Gear);
        for (ordinal, fault) in (0..).zip(faults) {
            if !first && fault.gear != Some(self.id) {
                continue;
            }
            let id = FaultId { event, ordinal };
            self.faults.entry(id).or_insert_with(|| FaultPast {
                id,
                craft: craft_of(said),
                gear: fault.gear.or_else(|| about_gear.map(|seen| seen.id)),
                part: fault.part.clone(),
                place: fault.place,
                class: fault.class.clone(),
                severity: fault.severity,
                found: source.at,
                station: None,
                by: source.by(),
                engine_s: None,
                repairs: Vec::new(),
                over: None,
                confirmed: source.origin.trust == Trust::Trusted,
            });
        }
    }

    pub(super) fn repaired(&mut self, source: &Source<'_>, repair: &Repair) {
        let event = source.origin.event;
        for id in &repair.faults {
            let fault = self.faults.get_mut(id);
            if let Some(fault) = fault.filter(|it| !it.repairs.contains(&event)) {
                fault.repairs.push(event);
            }
        }
        self.repairs.push(RepairPast {
            event,
            at: source.at,
            faults: repair.faults.clone(),
            part: repair.part.clone(),
            method: repair.method.clone(),
            glue_batch: repair.glue_batch.clone(),
            by: source.by(),
        });
    }

    /// Of several the first by somebody who did not repair the fault, else the first: as in the record.
    pub(super) fn signed_off(
        &mut self,
        said: &Said<'_, '_>,
        source: &Source<'_>,
        closes: &[FaultId],
    ) {
        let over = (source.at, source.origin.event);
        for id in closes.iter().filter(|id| said.may_end(id)) {
            if let Some(no) = self.noes.get_mut(id) {
                no.over.get_or_insert(over);
            }
            let better = self.signed_by.get(id).is_none_or(|held| {
                self.was_repaired_by(id, held) && !self.was_repaired_by(id, &source.origin.author)
            });
            if let Some(fault) = self.faults.get_mut(id).filter(|_| better) {
                fault.over = Some(over);
                self.signed_by.insert(*id, source.by());
            }
        }
        self.sign_offs.push(SignOffPast {
            event: over.1,
            at: over.0,
            by: source.by(),
            closes: closes.to_vec(),
        });
    }

    fn was_repaired_by(&self, fault: &FaultId, author: &Author) -> bool {
        let mut repairs = self.repairs.iter().filter(|it| it.faults.contains(fault));
        repairs.any(|repair| repair.by.is_same_person(author))
    }
}
