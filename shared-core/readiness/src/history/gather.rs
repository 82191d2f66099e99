//! What the events of one subject say, statement by statement, as the record takes them in.

mod checked;
mod faults;

use std::collections::BTreeMap;

use super::craft::{
    AirPast, CheckPast, FaultPast, InspectionPast, MeterPast, NoPast, OutPast, ReadingPast,
    RepairPast, SignOffPast, Unvouched, UsePast,
};
use super::gear::CountPast;
use crate::event::{
    Author, CraftRegistered, CylinderReading, GearRegistered, OutReason, Payload, Place,
    SubjectKind, Trust,
};
use crate::ids::{EventId, FaultId, PartId, SubjectId};
use crate::moment::Moment;
use crate::record::{Origin, Said};

/// A value with its moment and its event, by which lists are sorted.
pub(super) type At<T> = (Moment, EventId, T);

/// Where a thing was said to be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Moved {
    /// At a place, fitted as a part where one is named.
    To(Place, Option<PartId>),
    /// Seen aboard a craft: what it serves as there stays.
    SeenOn(SubjectId),
    /// Not on a craft any more.
    OffCraft(SubjectId),
}

/// A registration.
#[derive(Clone, Debug)]
pub(super) enum Registered {
    Craft(CraftRegistered),
    Gear(GearRegistered),
    Bag,
    Shelf,
}

/// All that is told of one subject.
#[derive(Debug)]
pub(super) struct OfSubject {
    pub(super) id: SubjectId,
    pub(super) registered: Vec<At<Registered>>,
    /// What a registration for which nobody vouches says: counts where there is no other.
    pub(super) claimed: Vec<At<Registered>>,
    pub(super) numbers: Vec<At<String>>,
    pub(super) moved: Vec<At<Moved>>,
    pub(super) condemned: Option<Moment>,
    pub(super) first: Option<Moment>,
    pub(super) uses: Vec<UsePast>,
    pub(super) meters: Vec<MeterPast>,
    pub(super) faults: BTreeMap<FaultId, FaultPast>,
    pub(super) noes: BTreeMap<FaultId, NoPast>,
    pub(super) repairs: Vec<RepairPast>,
    pub(super) sign_offs: Vec<SignOffPast>,
    pub(super) readings: Vec<ReadingPast>,
    pub(super) air: Vec<AirPast>,
    pub(super) inspections: Vec<InspectionPast>,
    pub(super) checks: Vec<CheckPast>,
    pub(super) counts: Vec<CountPast>,
    pub(super) gauges: Vec<At<CylinderReading>>,
    pub(super) out: BTreeMap<EventId, OutPast>,
    pub(super) unvouched: Vec<Unvouched>,
    signed_by: BTreeMap<FaultId, Author>,
}

/// Who said something, and when.
struct Source<'s> {
    origin: &'s Origin,
    at: Moment,
}

impl Source<'_> {
    fn of<T>(&self, value: T) -> At<T> {
        (self.at, self.origin.event, value)
    }

    fn by(&self) -> Author {
        self.origin.author.clone()
    }
}

impl OfSubject {
    pub(super) const fn new(id: SubjectId) -> Self {
        Self {
            id,
            registered: Vec::new(),
            claimed: Vec::new(),
            numbers: Vec::new(),
            moved: Vec::new(),
            condemned: None,
            first: None,
            uses: Vec::new(),
            meters: Vec::new(),
            faults: BTreeMap::new(),
            noes: BTreeMap::new(),
            repairs: Vec::new(),
            sign_offs: Vec::new(),
            readings: Vec::new(),
            air: Vec::new(),
            inspections: Vec::new(),
            checks: Vec::new(),
            counts: Vec::new(),
            gauges: Vec::new(),
            out: BTreeMap::new(),
            unvouched: Vec::new(),
            signed_by: BTreeMap::new(),
        }
    }

    /// Takes a statement that happened at a moment.
    pub(super) fn take(&mut self, said: &Said<'_, '_>, at: Moment) {
        let source = Source {
            origin: said.origin(),
            at,
        };
        self.first = Some(self.first.map_or(at, |first| first.min(at)));
        if source.origin.trust == Trust::Trusted {
            self.take_trusted(said, &source);
        } else {
            self.take_unvouched(said, &source);
        }
    }

    /// Of what nobody vouches for: faults, and what the thing is where nothing else says it.
    fn take_unvouched(&mut self, said: &Said<'_, '_>, source: &Source<'_>) {
        self.unvouched.push(Unvouched {
            event: source.origin.event,
            at: source.at,
            by: source.by(),
        });
        if let Payload::Fault(faults) = said.payload() {
            self.found(said, source, faults);
        } else if let Payload::Check(check) = said.payload() {
            self.found(said, source, &check.faults);
        } else if self.is_first(said)
            && let Some((number, _, registered)) = registration(said.payload())
        {
            self.claimed.push(source.of(registered));
            if self.numbers.is_empty() {
                self.numbers
                    .push((Moment(i64::MIN), source.origin.event, number));
            }
        }
    }

    fn take_trusted(&mut self, said: &Said<'_, '_>, source: &Source<'_>) {
        let first = self.is_first(said);
        match said.payload() {
            Payload::CraftRegistered(_)
            | Payload::GearRegistered(_)
            | Payload::BagRegistered { .. }
            | Payload::ShelfRegistered { .. } => {
                if first {
                    self.registered(said.payload(), source);
                }
            }
            Payload::NumberChanged { number } => {
                if first {
                    self.numbers.push(source.of(number.clone()));
                }
            }
            Payload::Placed(place) => {
                if first {
                    self.moved.push(source.of(Moved::To(*place, None)));
                }
            }
            Payload::Fitted { gear, craft, part } => {
                if *gear == self.id {
                    let fitted = Moved::To(Place::Craft(*craft), Some(part.clone()));
                    self.moved.push(source.of(fitted));
                }
            }
            Payload::TakenOff { gear, craft } => {
                if *gear == self.id && said.relieves() {
                    self.moved.push(source.of(Moved::OffCraft(*craft)));
                }
            }
            Payload::Condemned => {
                if first {
                    let known = self.condemned.unwrap_or(source.at);
                    self.condemned = Some(known.min(source.at));
                }
            }
            Payload::StockCounted(counts) => {
                if first {
                    self.counted(source, counts.clone());
                }
            }
            Payload::Check(check) => self.checked(said, source, check),
            Payload::AirChanged(air) => self.air_changed(source, first, air),
            Payload::Use(used) => {
                self.metered(source, first, &used.meters);
                if first {
                    self.uses.push(UsePast {
                        event: source.origin.event,
                        at: source.at,
                        by: source.by(),
                        used: used.clone(),
                    });
                }
            }
            Payload::Fault(faults) => self.found(said, source, faults),
            Payload::Repair(repair) => self.repaired(source, repair),
            Payload::SignOff { closes } => self.signed_off(said, source, closes),
            Payload::InspectionDone { .. } => self.inspected(source, said.payload()),
            Payload::OutOfService(reason) => self.went_out(source, *reason),
            Payload::Returned { ends } => self.returned(said, source, ends),
            // They are told elsewhere, or of no matter to maintenance.
            Payload::HeldCountyWide(_)
            | Payload::HoldLifted { .. }
            | Payload::LeadDecision(_)
            | Payload::SameAs { .. }
            | Payload::WaiverGranted { .. }
            | Payload::WaiverWithdrawn { .. }
            | Payload::Assigned { .. }
            | Payload::Released { .. }
            | Payload::CrewsAvailable(_)
            | Payload::MemberLevel(_)
            | Payload::Correction { .. }
            | Payload::Remark(_)
            | Payload::Silent
            | Payload::NotUnderstood { .. } => {}
        }
    }

    fn registered(&mut self, payload: &Payload, source: &Source<'_>) {
        let Some((number, place, registered)) = registration(payload) else {
            return;
        };
        if let Registered::Gear(gear) = &registered
            && let Some(gauge_kpa) = gear.cylinder.gauge_kpa
        {
            self.gauges.push(source.of(CylinderReading {
                subject: self.id,
                gauge_kpa,
                temperature_mc: gear.cylinder.gauge_mc,
            }));
        }
        self.registered.push(source.of(registered));
        self.numbers.push(source.of(number));
        self.moved.push(source.of(Moved::To(place, None)));
    }

    fn inspected(&mut self, source: &Source<'_>, payload: &Payload) {
        if let Payload::InspectionDone {
            inspection,
            passed,
            engine_s,
            run_s,
            holds,
        } = payload
        {
            self.inspections.push(InspectionPast {
                event: source.origin.event,
                at: source.at,
                by: source.by(),
                line: inspection.clone(),
                passed: *passed,
                engine_s: *engine_s,
                run_s: *run_s,
                holds: holds.clone(),
            });
        }
    }

    fn went_out(&mut self, source: &Source<'_>, reason: OutReason) {
        let out = OutPast {
            event: source.origin.event,
            at: source.at,
            by: source.by(),
            reason,
            back: None,
        };
        self.out.insert(out.event, out);
    }

    fn returned(&mut self, said: &Said<'_, '_>, source: &Source<'_>, ends: &[EventId]) {
        for event in ends {
            let named = FaultId {
                event: *event,
                ordinal: 0,
            };
            let out = self.out.get_mut(event).filter(|_| said.may_end(&named));
            if let Some(out) = out {
                out.back.get_or_insert((source.at, source.origin.event));
            }
        }
    }

    fn is_first(&self, said: &Said<'_, '_>) -> bool {
        said.subjects()
            .first()
            .is_some_and(|seen| seen.id == self.id)
    }
}

/// The first craft that a statement is about.
fn craft_of(said: &Said<'_, '_>) -> Option<SubjectId> {
    let mut subjects = said.subjects().iter();
    let craft = subjects.find(|seen| seen.kind == SubjectKind::Craft);
    craft.map(|seen| seen.id)
}

/// Number, place and what it is registered as.
fn registration(payload: &Payload) -> Option<(String, Place, Registered)> {
    if let Payload::CraftRegistered(craft) = payload {
        let place = Place::Station(craft.station);
        Some((
            craft.number.clone(),
            place,
            Registered::Craft(craft.clone()),
        ))
    } else if let Payload::GearRegistered(gear) = payload {
        let place = Place::Station(gear.station);
        Some((gear.number.clone(), place, Registered::Gear(gear.clone())))
    } else if let Payload::BagRegistered {
        number,
        station,
        craft,
    } = payload
    {
        let place = craft.map_or(Place::Station(*station), Place::Craft);
        Some((number.clone(), place, Registered::Bag))
    } else if let Payload::ShelfRegistered { number, station } = payload {
        let place = Place::Station(*station);
        Some((number.clone(), place, Registered::Shelf))
    } else {
        None
    }
}
