//! Which gauge values stand for a part, and how settled each is.

use std::collections::{BTreeMap, BTreeSet};

use crate::engine::facts::Facts;
use crate::engine::sides::{is_trusted, trusted, untrusted};
use crate::event::{AirChanged, Reading, ValveState};
use crate::ids::{EventId, PartId};
use crate::pressure::{Air, standard_pressure_pa};
use crate::record::{Origin, PartReadings, Record, Side};
use crate::standard::{Part, PressureRule};

/// One gauge value with what is known of the moment at which it was taken.
#[derive(Clone, Copy)]
pub(super) struct Taken<'a> {
    pub(super) gauge_pa: i64,
    pub(super) origin: &'a Origin,
    air_mc: Option<i32>,
    stood_s: Option<u32>,
    fabric_mc: Option<i32>,
    ambient_pa: Option<u32>,
    elevation_mm: Option<i32>,
    valves: Option<ValveState>,
    since_inflating_s: Option<u32>,
}

/// What stands for a part by trusted events.
pub(super) struct Standing<'a> {
    pub(super) taken: Vec<Taken<'a>>,
    /// Air was added or let out since, and nobody read the gauge afterwards.
    pub(super) unread_air: bool,
}

/// The coldest and hottest that the part can have been when it was read, whether that is one
/// temperature, and the bay that it stood in where that was measured.
pub(super) struct WhenRead {
    pub(super) cold: Air,
    pub(super) hot: Air,
    pub(super) settled: Settled,
    pub(super) bay_mc: Option<i32>,
    pub(super) ambient_measured: bool,
}

/// Whether a reading can be taken at its word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Settled {
    /// It can.
    Settled,
    /// Its temperature is not sure, it came too soon after inflating, or chambers were joined.
    Provisional,
}

/// The trusted values that stand. Air added or let out since a reading replaces it: by the gauge
/// afterwards where somebody read it. Of each writer the last such statement counts. A reading
/// that had not seen the air, nor the air it, stands beside it.
pub(super) fn what_stands<'a>(facts: &Facts<'a>, part: &Part) -> Standing<'a> {
    let Some(readings) = facts.record.readings.get(&part.id) else {
        return Standing {
            taken: Vec::new(),
            unread_air: false,
        };
    };
    let air = last_of_each_writer(readings);
    if air.is_empty() {
        return Standing {
            taken: trusted(&readings.standing).map(Taken::of_reading).collect(),
            unread_air: false,
        };
    }
    let mut taken: Vec<Taken<'a>> = air.iter().filter_map(|side| Taken::of_air(side)).collect();
    let unread_air = taken.len() < air.len();
    let beside = facts.record.apart.beside_air.get(&part.id);
    let apart = trusted(&readings.standing).filter(|side| is_beside(side, beside));
    taken.extend(apart.map(Taken::of_reading));
    Standing { taken, unread_air }
}

/// Values of untrusted events: they can only make a part look worse.
pub(super) fn untrusted_readings<'a>(record: &'a Record, part: &PartId) -> Vec<Taken<'a>> {
    let Some(readings) = record.readings.get(part) else {
        return Vec::new();
    };
    let air = readings.air_since.iter();
    let air = air.filter(|side| !is_trusted(&side.origin));
    untrusted(&readings.standing)
        .map(Taken::of_reading)
        .chain(air.filter_map(Taken::of_air))
        .collect()
}

/// Every trusted value that is kept of a part, standing or before, and of air changed.
pub(super) fn kept_readings(readings: &PartReadings) -> impl Iterator<Item = Taken<'_>> {
    let read = trusted(&readings.standing).map(Taken::of_reading);
    let recent = readings.recent.iter();
    let recent = recent.filter(|side| is_trusted(&side.origin));
    let recent = recent.filter_map(|side| Some(Taken::of(side.value.reading()?, &side.origin)));
    let air = readings.air_since.iter();
    let air = air.filter(|side| is_trusted(&side.origin));
    read.chain(recent).chain(air.filter_map(Taken::of_air))
}

fn is_beside(side: &Side<Reading>, beside: Option<&BTreeSet<EventId>>) -> bool {
    beside.is_some_and(|beside| beside.contains(&side.origin.event))
}

/// All sides of a part's pressure, trusted or not: gauge value and where it comes from.
pub(in crate::engine) fn gauge_sides<'a>(
    readings: &'a PartReadings,
    beside: Option<&BTreeSet<EventId>>,
) -> Vec<(i64, &'a Origin)> {
    let air = last_of_each_writer(readings);
    let stands = |side: &&Side<Reading>| {
        air.is_empty() || !is_trusted(&side.origin) || is_beside(side, beside)
    };
    let read = readings.standing.iter().filter(stands);
    let read = read.map(|side| (side.value.gauge_pa, &side.origin));
    let after = air.iter();
    let after = after.filter_map(|side| Some((side.value.after_pa?, &side.origin)));
    after.chain(read).collect()
}

fn last_of_each_writer(readings: &PartReadings) -> Vec<&Side<AirChanged>> {
    let air = readings.air_since.iter();
    let last: BTreeMap<[u8; 32], &Side<AirChanged>> = air
        .filter(|side| is_trusted(&side.origin))
        .map(|side| (side.origin.author.key, side))
        .collect();
    last.into_values().collect()
}

impl<'a> Taken<'a> {
    fn of_reading(side: &'a Side<Reading>) -> Self {
        Self::of(&side.value, &side.origin)
    }

    const fn of(reading: &'a Reading, origin: &'a Origin) -> Self {
        Self {
            gauge_pa: reading.gauge_pa,
            origin,
            air_mc: reading.air_mc,
            stood_s: reading.stood_s,
            fabric_mc: reading.fabric_mc,
            ambient_pa: reading.ambient_pa,
            elevation_mm: reading.elevation_mm,
            valves: reading.valves,
            since_inflating_s: reading.since_inflating_s,
        }
    }

    /// The gauge after air was changed: read at once, so never settled.
    fn of_air(side: &'a Side<AirChanged>) -> Option<Self> {
        Some(Self {
            gauge_pa: side.value.after_pa?,
            origin: &side.origin,
            air_mc: side.value.air_mc,
            stood_s: None,
            fabric_mc: None,
            ambient_pa: None,
            elevation_mm: None,
            valves: None,
            since_inflating_s: Some(0),
        })
    }

    /// The air of the part when it was read: at the worse ends of what it can have been.
    ///
    /// Settled when the fabric was measured, or the craft had stood long enough in air that was;
    /// in both cases not soon after inflating, and with its chambers shut off.
    pub(super) fn when_read(&self, facts: &Facts<'_>, rule: &PressureRule) -> WhenRead {
        let policy = facts.county.policy;
        let stood = self.stood_s.is_some_and(|stood_s| stood_s >= rule.stand_s);
        let rested = self
            .since_inflating_s
            .is_none_or(|since_s| since_s >= rule.settle_s);
        let wide = i32::try_from(policy.unsettled_spread_mk).unwrap_or(i32::MAX);
        let (middle_mc, either_way) = match (self.fabric_mc, self.air_mc) {
            (Some(fabric_mc), _) if rested => (fabric_mc, 0),
            (None, Some(air_mc)) if rested && stood => (air_mc, 0),
            (Some(known_mc), _) | (None, Some(known_mc)) => (known_mc, wide),
            // The bay was not measured at all: it may be heated, or stand in the sun or in frost.
            (None, None) => (policy.air_mc, wide.saturating_mul(2)),
        };
        let ambient_pa = self.ambient_pa(facts);
        let at = |temperature_mc| Air {
            temperature_mc,
            ambient_pa,
        };
        let settled = match (either_way, self.valves) {
            (0, Some(ValveState::Shut) | None) => Settled::Settled,
            (_, Some(ValveState::Open | ValveState::Shut) | None) => Settled::Provisional,
        };
        WhenRead {
            cold: at(middle_mc.saturating_sub(either_way)),
            hot: at(middle_mc.saturating_add(either_way)),
            settled,
            bay_mc: self.air_mc.filter(|_| stood),
            ambient_measured: self.ambient_pa.is_some(),
        }
    }

    /// The chamber was read with others joined to it.
    pub(super) fn is_joined(&self) -> bool {
        self.valves == Some(ValveState::Open)
    }

    /// The warmth that this value shows: of the fabric, else of the air.
    pub(super) fn met(&self, facts: &Facts<'_>) -> Option<Air> {
        let temperature_mc = self.fabric_mc.max(self.air_mc)?;
        Some(Air {
            temperature_mc,
            ambient_pa: self.ambient_pa(facts),
        })
    }

    /// As measured, else by the elevation said, else by that of the station that wrote it.
    fn ambient_pa(&self, facts: &Facts<'_>) -> f64 {
        if let Some(ambient_pa) = self.ambient_pa {
            return f64::from(ambient_pa);
        }
        let station = self.origin.author.station;
        let station = station.and_then(|id| facts.county.stations.get(&id));
        let elevation_mm = self
            .elevation_mm
            .or_else(|| station.and_then(|station| station.elevation_mm))
            .unwrap_or(facts.county.policy.elevation_mm);
        standard_pressure_pa(elevation_mm)
    }
}
