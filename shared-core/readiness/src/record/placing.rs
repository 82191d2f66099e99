//! Registrations, numbers and places: what a thing is and where.

use std::collections::BTreeSet;

use super::corrected::Power;
use super::effect::Effect;
use super::{Placement, keep};
use crate::event::{CraftRegistered, GearRegistered, Place};
use crate::ids::{PartId, SubjectId};

impl Effect<'_, '_, '_> {
    pub(super) fn craft_registered(&mut self, craft: &CraftRegistered) {
        if self.is_first() {
            let side = self.side(craft.clone());
            self.record.craft.put(side, &self.past);
            self.named_and_placed(&craft.number, Place::Station(craft.station));
        }
    }

    pub(super) fn gear_registered(&mut self, gear: &GearRegistered) {
        if self.is_first() {
            let side = self.side(gear.clone());
            self.record.gear.put(side, &self.past);
            if let Some(gauge_kpa) = gear.cylinder.gauge_kpa {
                self.charged(gauge_kpa, gear.cylinder.gauge_mc);
            }
            self.named_and_placed(&gear.number, Place::Station(gear.station));
        }
    }

    pub(super) fn bag_registered(
        &mut self,
        number: &str,
        station: SubjectId,
        craft: Option<SubjectId>,
    ) {
        if self.is_first() {
            self.named_and_placed(number, craft.map_or(Place::Station(station), Place::Craft));
        }
    }

    pub(super) fn shelf_registered(&mut self, number: &str, station: SubjectId) {
        if self.is_first() {
            self.named_and_placed(number, Place::Station(station));
        }
    }

    pub(super) fn number_changed(&mut self, number: &str) {
        if self.is_first() {
            let side = self.side(number.to_owned());
            self.record.number.put(side, &self.past);
        }
    }

    pub(super) fn placed(&mut self, at: Place) {
        if self.is_first() {
            self.put_at(at, None);
        } else if let Some(bag) = self.statement.subjects.first() {
            self.bag_left(bag.id, at);
        }
    }

    pub(super) fn fitted(&mut self, gear: SubjectId, craft: SubjectId, part: &PartId) {
        if gear == self.record.subject {
            self.put_at(Place::Craft(craft), Some(part.clone()));
        }
    }

    /// Says only where the gear is not: what it had seen of that craft goes, nothing comes.
    pub(super) fn taken_off(&mut self, gear: SubjectId, craft: SubjectId) {
        if gear == self.record.subject && self.statement.power == Power::Relieves {
            let (origin, past) = (&self.statement.origin, &self.past);
            self.record.place.drop_where(|side| {
                side.value.at == Place::Craft(craft) && origin.follows(&side.origin, past)
            });
        }
    }

    /// A check saw the thing aboard. That does not unfit it: a motor known to serve as a part of
    /// the same craft still does.
    pub(super) fn found_aboard(&mut self, craft: SubjectId) {
        let at = Place::Craft(craft);
        let parts: BTreeSet<PartId> = self
            .record
            .place
            .iter()
            .filter(|side| side.value.at == at && self.may_rest_on(side))
            .filter_map(|side| side.value.part.clone())
            .collect();
        if parts.is_empty() {
            self.put_at(at, None);
        }
        for part in parts {
            self.put_at(at, Some(part));
        }
    }

    pub(super) fn condemned(&mut self) {
        if self.is_first() {
            let origin = self.statement.origin.clone();
            keep::some(&mut self.record.condemned, keep::CONDEMNED, origin);
        }
    }

    /// Joining two records can make a craft readier, so it takes the power to.
    pub(super) fn same_as(&mut self, one: SubjectId, other: SubjectId) {
        if self.statement.power == Power::OnlyAdds || self.record.same_as.len() >= keep::ANY {
            return;
        }
        let twin = match self.record.subject {
            subject if subject == one => other,
            subject if subject == other => one,
            _ => return,
        };
        self.record.same_as.insert(twin);
    }

    fn named_and_placed(&mut self, number: &str, at: Place) {
        self.number_changed(number);
        self.put_at(at, None);
    }

    fn put_at(&mut self, at: Place, part: Option<PartId>) {
        let side = self.side(Placement { at, part });
        self.record.place.put(side, &self.past);
    }
}
