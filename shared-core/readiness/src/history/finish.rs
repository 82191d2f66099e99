//! From what is told of one subject to what a history keeps of it: lists in order of time, ties by
//! event id.

use std::collections::BTreeMap;

use super::craft::{CraftPast, FaultPast, MeterPast, ReadingPast};
use super::gather::{OfSubject, Registered};
use super::gear::{BagPast, GearPast, ShelfPast};
use super::placed::Placed;
use crate::event::{CraftRegistered, GearRegistered, Plate};
use crate::ids::{EventId, ModelId};
use crate::moment::Moment;

impl OfSubject {
    /// Puts every list in order of time, ties by event id.
    pub(super) fn sort(&mut self) {
        self.gauges.sort_by_key(|(at, event, _)| (*at, *event));
        // Of what was said at one moment the later in fold order holds from then on.
        self.registered.sort_by_key(|(at, ..)| *at);
        self.claimed.sort_by_key(|(at, ..)| *at);
        self.numbers.sort_by_key(|(at, ..)| *at);
        self.moved.sort_by_key(|(at, ..)| *at);
        self.uses.sort_by_key(|it| (it.at, it.event));
        self.meters.sort_by_key(|it| (it.at, it.event));
        self.repairs.sort_by_key(|it| (it.at, it.event));
        self.sign_offs.sort_by_key(|it| (it.at, it.event));
        self.air.sort_by_key(|it| (it.at, it.event));
        self.inspections.sort_by_key(|it| (it.at, it.event));
        self.checks.sort_by_key(|it| (it.at, it.event));
        self.counts.sort_by_key(|it| (it.at, it.event));
        self.unvouched.sort_by_key(|it| (it.at, it.event));
        // As found comes before as left within one check.
        let by_moment = |it: &ReadingPast| (it.at, it.event, it.reading.moment);
        self.readings.sort_by_key(by_moment);
        let when: BTreeMap<EventId, Moment> =
            self.repairs.iter().map(|it| (it.event, it.at)).collect();
        for fault in self.faults.values_mut() {
            fault.repairs.sort_by_key(|it| (when.get(it), *it));
        }
    }

    fn number(&self) -> String {
        let newest = self.numbers.last();
        newest.map_or_else(String::new, |(_, _, number)| number.clone())
    }

    /// What the first, and what the newest registration says; one that nobody vouches for where there
    /// is no other.
    fn registrations(&self) -> Option<(Moment, &Registered)> {
        let said = [&self.registered, &self.claimed];
        let said = said.into_iter().find(|said| !said.is_empty())?;
        let (first, newest) = (said.first()?, said.last()?);
        Some((first.0, &newest.2))
    }

    fn faults_by_time(&mut self) -> Vec<FaultPast> {
        let faults = std::mem::take(&mut self.faults);
        let mut faults: Vec<FaultPast> = faults.into_values().collect();
        faults.sort_by_key(|fault| (fault.found, fault.id));
        faults
    }
}

/// A craft, apart from what was fitted to it.
pub(super) fn craft(mut told: OfSubject, placed: Placed) -> CraftPast {
    let faults = told.faults_by_time();
    let number = told.number();
    let registered = match told.registrations() {
        Some((at, Registered::Craft(craft))) => (at, craft.clone()),
        Some(_) | None => (told.first.unwrap_or(Moment(0)), unknown_craft(&told)),
    };
    let (registered, said): (Moment, CraftRegistered) = registered;
    let mut noes: Vec<_> = told.noes.into_values().collect();
    noes.sort_by_key(|it| (it.at, it.id));
    let mut out: Vec<_> = told.out.into_values().collect();
    out.sort_by_key(|it| (it.at, it.event));
    CraftPast {
        id: told.id,
        number,
        model: said.model,
        fabric: said.fabric,
        batch: said.batch,
        plate: said.plate,
        registered,
        ended: told.condemned,
        stations: placed.stations,
        uses: told.uses,
        meters: told.meters,
        faults,
        noes,
        repairs: told.repairs,
        sign_offs: told.sign_offs,
        readings: told.readings,
        air: told.air,
        inspections: told.inspections,
        checks: told.checks,
        fitted: Vec::new(),
        out,
        unvouched: told.unvouched,
    }
}

/// Events speak of it, and no registration of it is held.
fn unknown_craft(told: &OfSubject) -> CraftRegistered {
    CraftRegistered {
        number: told.number(),
        model: ModelId(String::new()),
        station: told.id,
        plate: Plate::default(),
        fabric: String::new(),
        batch: String::new(),
    }
}

/// None where no registration says what sort of gear it is.
pub(super) fn gear(mut told: OfSubject, placed: Placed) -> Option<GearPast> {
    let faults = told.faults_by_time();
    let number = told.number();
    let (registered, said): (Moment, GearRegistered) = match told.registrations()? {
        (at, Registered::Gear(gear)) => (at, gear.clone()),
        (_, Registered::Craft(_) | Registered::Bag | Registered::Shelf) => return None,
    };
    let mut out: Vec<_> = told.out.into_values().collect();
    out.sort_by_key(|it| (it.at, it.event));
    // A motor's meter is told of by its id, or as its own.
    let own = told.id;
    let meters = told.meters.into_iter();
    let meters = meters.filter(|it| it.gear.is_none_or(|gear| gear == own));
    let gauges = told.gauges.into_iter();
    Some(GearPast {
        id: own,
        number,
        kind: said.kind,
        model: said.model,
        batch: said.batch,
        made: said.made,
        cylinder: *said.cylinder,
        registered,
        ended: told.condemned,
        stations: placed.stations,
        on: placed.on,
        meters: meters
            .map(|it| MeterPast {
                gear: Some(own),
                ..it
            })
            .collect(),
        faults,
        repairs: told.repairs,
        sign_offs: told.sign_offs,
        inspections: told.inspections,
        gauges: gauges.collect(),
        out,
        unvouched: told.unvouched,
    })
}

pub(super) fn bag(told: OfSubject, placed: Placed) -> BagPast {
    BagPast {
        id: told.id,
        number: told.number(),
        stations: placed.stations,
        on: placed.on,
        counts: told.counts,
    }
}

pub(super) fn shelf(told: OfSubject, placed: Placed) -> ShelfPast {
    ShelfPast {
        id: told.id,
        number: told.number(),
        stations: placed.stations,
        counts: told.counts,
    }
}
