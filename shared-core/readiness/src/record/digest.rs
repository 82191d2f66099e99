//! The canonical bytes of a record: equal records give equal bytes, different ones different
//! bytes, on every machine. Hashing them is somebody else's job.
//!
//! Integers are little-endian, lengths are 64 bits and come first, an option or a variant starts
//! with one byte. Nothing reads these bytes back; they are compared and hashed only.

use std::collections::{BTreeMap, BTreeSet};

use super::{
    Apart, Assignment, Checked, FaultState, Inspection, MovedOff, Origin, PartReadings, Placement,
    Recent, Record, SealLook, Sealed, Seals, SentApart, Side, Sides, Spot, Waiver,
};
use crate::event::{
    AirChanged, AirDirection, AirSource, AnswerValue, Author, CountyHold, CraftRegistered, Crews,
    CylinderMarks, CylinderReading, DateMark, Extent, Face, FaultFound, Fuel, GearKind,
    GearRegistered, HoldDone, HoldKind, HoldPoint, ItemCount, Lot, MemberLevel, Meter,
    NotApplicable, OutReason, PartPlace, Place, PlaceSide, Plate, PumpMarks, PumpPower, Reading,
    ReadingMoment, RepairHold, Severity, Stowage, SubjectKind, Trust, Unconfirmed, Use, ValveState,
    WaterType,
};
use crate::ids::{EventId, FaultId, LineId, MissionId, ModelId, PartId, SubjectId};
use crate::moment::{Interval, Moment};

/// Version of these bytes, at their head: a change of the record changes it.
const RECORD_BYTES_VERSION: u32 = 5;

impl Record {
    /// The canonical bytes.
    #[must_use]
    pub fn canonical(&self) -> Vec<u8> {
        let mut out = Vec::new();
        RECORD_BYTES_VERSION.put(&mut out);
        self.put(&mut out);
        out
    }
}

/// Something with canonical bytes.
trait Canonical {
    /// Appends the bytes.
    fn put(&self, out: &mut Vec<u8>);
}

macro_rules! canonical_integer {
    ($($name:ty),+) => {$(
        impl Canonical for $name {
            fn put(&self, out: &mut Vec<u8>) {
                out.extend_from_slice(&self.to_le_bytes());
            }
        }
    )+};
}

/// Takes the struct apart by name, so that a new field cannot be left out.
macro_rules! canonical_struct {
    ($($name:ident { $($field:ident),+ })+) => {$(
        impl Canonical for $name {
            fn put(&self, out: &mut Vec<u8>) {
                let Self { $($field),+ } = self;
                $($field.put(out);)+
            }
        }
    )+};
}

macro_rules! canonical_choice {
    ($($name:ident { $($variant:ident = $tag:literal),+ })+) => {$(
        impl Canonical for $name {
            fn put(&self, out: &mut Vec<u8>) {
                out.push(match self { $(Self::$variant => $tag),+ });
            }
        }
    )+};
}

macro_rules! canonical_word {
    ($($name:ty),+) => {$(
        impl Canonical for $name {
            fn put(&self, out: &mut Vec<u8>) {
                self.as_str().put(out);
            }
        }
    )+};
}

macro_rules! canonical_id {
    ($($name:ty),+) => {$(
        impl Canonical for $name {
            fn put(&self, out: &mut Vec<u8>) {
                out.extend_from_slice(self.as_bytes());
            }
        }
    )+};
}

canonical_integer!(u32, u64, i32, i64);
canonical_word!(String, PartId, LineId, ModelId, MissionId);
canonical_id!(EventId, SubjectId);

canonical_struct! {
    Record {
        subject, kind, heads, events, craft, gear, charge, drawn, number, place, condemned, out, assigned,
        readings, counts, seals, used_up, answers, open_noes, inspections, faults, waivers, holds,
        meters, fuel, uses, checks, stowage, county_holds, crews, levels, same_as, not_understood, unconfirmed,
        apart
    }
    Apart { alike, signed_off, sign_offs, returned, returns, beside_air, moved_off, sent, sent_to, releases }
    SentApart { elsewhere, out, released }
    MovedOff { bag, units, unseen_by }
    Origin { event, author, interval, trust }
    Author { key, station, member }
    Interval { early, late, claimed }
    FaultId { event, ordinal }
    Placement { at, part }
    Assignment { incident, mission }
    Checked { revision }
    Inspection { passed, engine_s, run_s, holds }
    HoldDone { part, start, end, duration_s }
    HoldPoint { gauge_pa, air_mc, ambient_pa }
    Waiver { faults, missions, until }
    Seals { noted, looked, opened }
    Sealed { number, earliest }
    SealLook { seal, vouches }
    PartReadings { standing, air_since, filled, recent }
    FaultState { fault, origin, repairs, closed }
    CraftRegistered { number, model, station, plate, fabric, batch }
    Plate { persons, persons_mass_g, total_mass_g, power_w, motor_mass_g }
    GearRegistered {
        number, kind, model, station, mass_g, power_w, connector, batch, made, cylinder, pump
    }
    CylinderMarks {
        water_volume_ml, service_kpa, specification, requalified, gauge_kpa, gauge_mc
    }
    PumpMarks { stroke_ml, most_pa, runs_on }
    CylinderReading { subject, gauge_kpa, temperature_mc }
    CountyHold { model, batch, part, missions }
    Crews { crews, persons, from, until, operators }
    MemberLevel { member, level, until }
    Reading {
        part, moment, gauge_pa, gauge, air_mc, stood_s, fabric_mc, ambient_pa, elevation_mm,
        valves, since_inflating_s
    }
    AirChanged { part, direction, before_pa, after_pa, air_mc, source, source_gear, source_after_kpa }
    ItemCount { item, count, unserviceable, lots, bag }
    Lot { count, expires, made }
    DateMark { year, month, day }
    FaultFound { part, place, class, severity, missions, gear }
    PartPlace { side, from_transom_mm, face }
    RepairHold { kind, duration_s }
    Use { duration_s, engine_s, meters, capsized, motor_immersed, hard, used_up, water }
    Meter { subject, engine_s }
    Fuel { tank, amount_ml, filled, mix }
}

canonical_choice! {
    SubjectKind {
        Craft = 1, Gear = 2, Bag = 3, Shelf = 4, Station = 5, County = 6, Member = 7
    }
    Unconfirmed { NotAdmitted = 1, NoRole = 2, AfterEnd = 3, Forked = 4 }
    GearKind {
        Motor = 1, FuelTank = 2, FuelLine = 3, Cylinder = 4, InflatableFloor = 5, Pump = 6,
        Gauge = 7, Radio = 8, Trailer = 9, Battery = 10, BreathingSet = 11
    }
    PumpPower { Hand = 1, Foot = 2, Battery = 3 }
    OutReason { Mechanical = 1, Personnel = 2, Rest = 3 }
    Extent { Full = 1, Short = 2, Part = 3 }
    ReadingMoment { AsFound = 1, AsLeft = 2 }
    ValveState { Shut = 1, Open = 2 }
    AirDirection { Added = 1, LetOut = 2 }
    AirSource {
        HandPump = 1, FootPump = 2, ElectricPump = 3, Cylinder = 4, BreathingSet = 5, Compressor = 6
    }
    NotApplicable { NotFitted = 1, CouldNotLook = 2, NotUsedHere = 3 }
    Severity { Disabling = 1, Restrictive = 2, Major = 3, Minor = 4 }
    PlaceSide { Port = 1, Starboard = 2, Centre = 3 }
    Face { Top = 1, Bottom = 2, Inboard = 3, Outboard = 4 }
    Stowage { Rigged = 1, Inflated = 2, Rolled = 3 }
    HoldKind { Inflate = 1, Launch = 2 }
    WaterType { Fresh = 1, Salt = 2, Polluted = 3 }
}

impl Canonical for Moment {
    fn put(&self, out: &mut Vec<u8>) {
        self.0.put(out);
    }
}

impl Canonical for Trust {
    fn put(&self, out: &mut Vec<u8>) {
        match self {
            Self::Trusted => out.push(0),
            Self::Unconfirmed(why) => why.put(out),
        }
    }
}

impl Canonical for Spot {
    fn put(&self, out: &mut Vec<u8>) {
        match self {
            Self::Part(part) => {
                out.push(1);
                part.put(out);
            }
            Self::Line(line) => {
                out.push(2);
                line.put(out);
            }
        }
    }
}

impl Canonical for Recent {
    fn put(&self, out: &mut Vec<u8>) {
        match self {
            Self::Read(reading) => {
                out.push(1);
                reading.put(out);
            }
            Self::Air(air) => {
                out.push(2);
                air.put(out);
            }
            Self::Repaired => out.push(3),
            Self::Rolled => out.push(4),
            Self::Used => out.push(5),
        }
    }
}

impl Canonical for AnswerValue {
    fn put(&self, out: &mut Vec<u8>) {
        match self {
            Self::Yes => out.push(1),
            Self::No => out.push(2),
            Self::NotApplicable(why) => {
                out.push(3);
                why.put(out);
            }
        }
    }
}

impl Canonical for Place {
    fn put(&self, out: &mut Vec<u8>) {
        let (tag, id) = match self {
            Self::Station(id) => (1, id),
            Self::Craft(id) => (2, id),
            Self::Shelf(id) => (3, id),
        };
        out.push(tag);
        id.put(out);
    }
}

impl<T: Canonical> Canonical for Side<T> {
    fn put(&self, out: &mut Vec<u8>) {
        let Self { value, origin } = self;
        value.put(out);
        origin.put(out);
    }
}

impl<T: Canonical> Canonical for Sides<T> {
    fn put(&self, out: &mut Vec<u8>) {
        self.0.put(out);
    }
}

impl<T: Canonical> Canonical for Box<T> {
    fn put(&self, out: &mut Vec<u8>) {
        self.as_ref().put(out);
    }
}

impl Canonical for bool {
    fn put(&self, out: &mut Vec<u8>) {
        out.push(u8::from(*self));
    }
}

impl Canonical for () {
    fn put(&self, _out: &mut Vec<u8>) {}
}

impl Canonical for str {
    fn put(&self, out: &mut Vec<u8>) {
        put_length(self.len(), out);
        out.extend_from_slice(self.as_bytes());
    }
}

impl Canonical for [u8; 32] {
    fn put(&self, out: &mut Vec<u8>) {
        out.extend_from_slice(self);
    }
}

impl<A: Canonical, B: Canonical> Canonical for (A, B) {
    fn put(&self, out: &mut Vec<u8>) {
        self.0.put(out);
        self.1.put(out);
    }
}

impl<T: Canonical> Canonical for Option<T> {
    fn put(&self, out: &mut Vec<u8>) {
        match self {
            None => out.push(0),
            Some(value) => {
                out.push(1);
                value.put(out);
            }
        }
    }
}

impl<T: Canonical> Canonical for Vec<T> {
    fn put(&self, out: &mut Vec<u8>) {
        put_length(self.len(), out);
        self.iter().for_each(|value| value.put(out));
    }
}

impl<T: Canonical> Canonical for BTreeSet<T> {
    fn put(&self, out: &mut Vec<u8>) {
        put_length(self.len(), out);
        self.iter().for_each(|value| value.put(out));
    }
}

impl<K: Canonical, V: Canonical> Canonical for BTreeMap<K, V> {
    fn put(&self, out: &mut Vec<u8>) {
        put_length(self.len(), out);
        for (key, value) in self {
            key.put(out);
            value.put(out);
        }
    }
}

fn put_length(length: usize, out: &mut Vec<u8>) {
    (length as u64).put(out);
}
