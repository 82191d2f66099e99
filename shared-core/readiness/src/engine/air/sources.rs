//! What is aboard that adds air: items of kit, numbered pumps, cylinders and breathing sets.

use super::cylinders::{Aboard, aboard_of};
use super::feed;
use crate::air::{Amount, Cylinder, Pump};
use crate::answer::{Breathing, Feed, Subject};
use crate::engine::facts::{Facts, number};
use crate::engine::gear::is_usable;
use crate::engine::kit::{AirSource, Stores};
use crate::engine::sides::shown;
use crate::event::{GearKind, PumpMarks, PumpPower};
use crate::pressure::Air;
use crate::record::Record;
use crate::standard::PressureRule;

/// Something aboard that adds air.
pub(super) struct Source<'a> {
    pub(super) subject: Subject,
    pub(super) kind: Kind<'a>,
    /// Whether it is known to be there and of use.
    pub(super) known: AirSource,
}

/// Sorts of source.
pub(super) enum Kind<'a> {
    /// An item of kit, a numbered pump.
    Pump {
        stroke_ml: Option<u32>,
        most_pa: Option<i64>,
        runs_on: Option<PumpPower>,
    },
    /// A numbered cylinder.
    Cylinder(Aboard<'a>),
    /// A high-pressure source of which nothing is known but that it is there.
    HighPressure,
}

/// Everything aboard that adds air: kit in the order of the sheet, then gear in the order of ids.
pub(super) fn aboard<'a>(facts: &Facts<'a>, stores: &Stores<'a>) -> Vec<Source<'a>> {
    let kit = stores
        .add_air(facts)
        .into_iter()
        .map(|(item, known)| Source {
            subject: Subject::Line(item.id.clone(), item.label.clone()),
            kind: match item.high_pressure {
                true => Kind::HighPressure,
                false => Kind::Pump {
                    stroke_ml: item.stroke_ml,
                    most_pa: item.air_up_to_pa,
                    runs_on: None,
                },
            },
            known,
        });
    let gear = facts.index.gear_at(facts.record.subject).iter();
    let gear = gear
        .filter(|kept| kept.whereabouts.counts_here() && is_usable(kept.record))
        .filter_map(|kept| of_gear(facts, kept.record));
    kit.chain(gear).collect()
}

fn of_gear<'a>(facts: &Facts<'a>, record: &'a Record) -> Option<Source<'a>> {
    let registered = &shown(&record.gear)?.value;
    let subject = Subject::Gear(record.subject, number(Some(record), record.subject));
    match registered.kind {
        GearKind::Pump => {
            let PumpMarks {
                stroke_ml,
                most_pa,
                runs_on,
            } = registered.pump;
            Some(Source {
                subject,
                kind: Kind::Pump {
                    stroke_ml,
                    most_pa: most_pa.map(i64::from),
                    runs_on,
                },
                // What it reaches is not recorded: it may be too weak.
                known: match most_pa {
                    Some(_) => AirSource::Aboard,
                    None => AirSource::NotKnown,
                },
            })
        }
        GearKind::Cylinder | GearKind::BreathingSet => {
            let aboard = aboard_of(facts, record, registered);
            let known = aboard.known;
            Some(Source {
                subject,
                kind: Kind::Cylinder(aboard),
                known,
            })
        }
        GearKind::Motor
        | GearKind::FuelTank
        | GearKind::FuelLine
        | GearKind::InflatableFloor
        | GearKind::Gauge
        | GearKind::Radio
        | GearKind::Trailer
        | GearKind::Battery => None,
    }
}

impl Source<'_> {
    /// Whether it is under high pressure.
    pub(super) fn is_high(&self) -> bool {
        match self.kind {
            Kind::Pump { .. } => false,
            Kind::Cylinder(_) | Kind::HighPressure => true,
        }
    }

    /// Whether it is a numbered cylinder, or that of a breathing set.
    pub(super) fn is_cylinder(&self) -> bool {
        match self.kind {
            Kind::Cylinder(_) => true,
            Kind::Pump { .. } | Kind::HighPressure => false,
        }
    }

    /// Whether it may feed a part and reaches its wanted gauge.
    pub(super) fn reaches(&self, facts: &Facts<'_>, rule: &PressureRule) -> bool {
        match self.kind {
            Kind::Pump { most_pa, .. } => most_pa.is_none_or(|most| most >= rule.nominal_pa),
            Kind::Cylinder(_) | Kind::HighPressure => feed(facts, rule) == Feed::Any,
        }
    }

    /// Whether it does for one part that it reaches.
    pub(super) fn for_one(
        &self,
        rule: &PressureRule,
        wanted: Option<Amount>,
        here: Air,
    ) -> AirSource {
        match (self.cylinder(), wanted) {
            (None, _) => self.known,
            (Some(_), None) => self.known.min(AirSource::NotKnown),
            (Some(cylinder), Some(wanted)) => {
                match cylinder.after_pa(wanted, rule.nominal_pa, here) {
                    Some(_) => self.known,
                    None => AirSource::None,
                }
            }
        }
    }

    /// What it gives to parts up to a gauge, as far as that is known; a source whose content is not
    /// known is not counted.
    pub(super) fn gives(&self, down_to_pa: i64, here: Air) -> Option<Amount> {
        let cylinder = self
            .cylinder()
            .filter(|_| self.known == AirSource::Aboard)?;
        Some(cylinder.gives(down_to_pa, here))
    }

    /// The cylinder, as far as what is in it is known.
    pub(super) fn cylinder(&self) -> Option<Cylinder> {
        match &self.kind {
            Kind::Cylinder(aboard) => aboard.cylinder,
            Kind::Pump { .. } | Kind::HighPressure => None,
        }
    }

    /// The pump, as far as its stroke is known.
    pub(super) fn pump(&self, losses_ppm: u32) -> Option<Pump> {
        match self.kind {
            Kind::Pump { stroke_ml, .. } => Some(Pump {
                stroke_ml: stroke_ml?,
                losses_ppm,
            }),
            Kind::Cylinder(_) | Kind::HighPressure => None,
        }
    }

    /// Whether it is a firefighter's.
    pub(super) fn breathing(&self) -> Breathing {
        match &self.kind {
            Kind::Cylinder(aboard) => aboard.breathing,
            Kind::Pump { .. } | Kind::HighPressure => Breathing::No,
        }
    }
}
