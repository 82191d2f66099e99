//! What checks and readings tell of a craft: who went round it, what was counted, air, meters.

use super::super::craft::{AirPast, CheckPast, MeterPast, NoPast, ReadingPast};
use super::super::gear::CountPast;
use super::{Moved, OfSubject, Source, craft_of};
use crate::event::{AirChanged, AnswerValue, Check, CylinderReading, ItemCount, Meter};
use crate::ids::{FaultId, SubjectId};
use crate::record::Said;

impl OfSubject {
    pub(super) fn checked(&mut self, said: &Said<'_, '_>, source: &Source<'_>, check: &Check) {
        let first = self.is_first(said);
        self.metered(source, first, &check.meters);
        self.found(said, source, &check.faults);
        let own = check.cylinders.iter().filter(|it| it.subject == self.id);
        self.gauges.extend(own.map(|it| source.of(*it)));
        if check.found_aboard.contains(&self.id)
            && let Some(craft) = craft_of(said)
        {
            self.moved.push(source.of(Moved::SeenOn(craft)));
        }
        let in_own = check.counts.iter().filter(|it| it.bag == Some(self.id));
        let in_own: Vec<ItemCount> = in_own.cloned().collect();
        if !in_own.is_empty() {
            self.counted(source, in_own);
        }
        if first {
            self.went_round(source, check);
        }
    }

    fn went_round(&mut self, source: &Source<'_>, check: &Check) {
        let event = source.origin.event;
        let noes = (FaultId::FIRST_ANSWER..).zip(&check.answers);
        for (ordinal, answer) in noes.filter(|(_, it)| it.value == AnswerValue::No) {
            let id = FaultId { event, ordinal };
            let no = NoPast {
                id,
                line: answer.line.clone(),
                at: source.at,
                by: source.by(),
                over: None,
            };
            self.noes.insert(id, no);
        }
        for reading in &check.readings {
            self.readings.push(ReadingPast {
                event,
                at: source.at,
                by: source.by(),
                checked_by: check.checked_by.clone(),
                reading: reading.clone(),
            });
        }
        self.checks.push(CheckPast {
            event,
            at: source.at,
            by: source.by(),
            checked_by: check.checked_by.clone(),
            extent: check.extent,
            revision: check.standard_revision,
            counts: check.counts.clone(),
            answers: check.answers.clone(),
            stowage: check.stowage,
        });
    }

    pub(super) fn counted(&mut self, source: &Source<'_>, counts: Vec<ItemCount>) {
        self.counts.push(CountPast {
            event: source.origin.event,
            at: source.at,
            by: source.by(),
            counts,
        });
    }

    pub(super) fn air_changed(&mut self, source: &Source<'_>, first: bool, air: &AirChanged) {
        if first {
            self.air.push(AirPast {
                event: source.origin.event,
                at: source.at,
                by: source.by(),
                air: air.clone(),
            });
        }
        self.drawn(source, air.source_gear, air.source_after_kpa);
    }

    pub(super) fn drawn(
        &mut self,
        source: &Source<'_>,
        gear: Option<SubjectId>,
        after_kpa: Option<u32>,
    ) {
        if let Some(gauge_kpa) = after_kpa.filter(|_| gear == Some(self.id)) {
            self.gauges.push(source.of(CylinderReading {
                subject: self.id,
                gauge_kpa,
                temperature_mc: None,
            }));
        }
    }

    /// The first subject is told of all meters, a motor of its own.
    pub(super) fn metered(&mut self, source: &Source<'_>, first: bool, meters: &[Meter]) {
        for meter in meters {
            if first || meter.subject == Some(self.id) {
                self.meters.push(MeterPast {
                    event: source.origin.event,
                    at: source.at,
                    gear: meter.subject,
                    engine_s: meter.engine_s,
                });
            }
        }
    }
}
