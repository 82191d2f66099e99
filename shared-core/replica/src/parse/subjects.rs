//! Payloads that register things and say where they are.

use bytes::Bytes;
use sponson_proto::event::v1::{self as wire, SubjectType};
use sponson_readiness::event::{
    CraftRegistered, CylinderMarks, GearKind, GearRegistered, ItemCount, Lot, Payload, Place,
    Plate, PumpMarks, PumpPower,
};
use sponson_readiness::ids::{LineId, ModelId, PartId, SubjectId};

use super::fields::{
    COUNT, CYLINDER_KPA, TEMPERATURE_MC, choice, date, list, optional, refused, subject,
    subject_or_none, within, word, word_or_empty,
};
use super::{ParseError, Subjects, decode};

pub(super) fn craft_registered(
    payload: &Bytes,
    subjects: Subjects<'_>,
) -> Result<Payload, ParseError> {
    let message: wire::CraftRegistered = decode("craft registered", payload)?;
    subjects.first_is(SubjectType::Craft)?;
    date("made", message.made)?;
    word_or_empty("hull_number", message.hull_number)?;
    let plate = message.plate.unwrap_or_default();
    Ok(Payload::CraftRegistered(CraftRegistered {
        number: word("number", message.number)?,
        model: ModelId(word("model", message.model)?),
        station: subject("station", &message.station)?,
        plate: Plate {
            persons: plate.persons,
            persons_mass_g: plate.persons_mass_g,
            total_mass_g: plate.total_mass_g,
            power_w: plate.power_w,
            motor_mass_g: plate.motor_mass_g,
        },
        fabric: word_or_empty("fabric", message.fabric)?,
        batch: word_or_empty("batch", message.batch)?,
    }))
}

pub(super) fn gear_registered(
    payload: &Bytes,
    subjects: Subjects<'_>,
) -> Result<Payload, ParseError> {
    let message: wire::GearRegistered = decode("gear registered", payload)?;
    subjects.first_is(SubjectType::Gear)?;
    word_or_empty("serial", message.serial)?;
    let runs_on = match message.runs_on {
        0 => None,
        number => Some(choice("runs_on", number, pump_power)?),
    };
    Ok(Payload::GearRegistered(GearRegistered {
        number: word("number", message.number)?,
        kind: choice("type", message.r#type, gear_kind)?,
        model: word_or_empty("model", message.model)?,
        station: subject("station", &message.station)?,
        mass_g: message.mass_g,
        power_w: message.power_w,
        connector: word_or_empty("connector", message.connector)?,
        batch: word_or_empty("batch", message.batch)?,
        made: date("made", message.made)?,
        cylinder: Box::new(CylinderMarks {
            water_volume_ml: message.water_volume_ml,
            service_kpa: optional(
                "service_pressure_kpa",
                message.service_pressure_kpa,
                &CYLINDER_KPA,
            )?,
            specification: word_or_empty("specification", message.specification)?,
            requalified: date("requalified", message.requalified)?,
            gauge_kpa: optional("gauge_kpa", message.gauge_kpa, &CYLINDER_KPA)?,
            gauge_mc: optional("gauge_mc", message.gauge_mc, &TEMPERATURE_MC)?,
        }),
        pump: PumpMarks {
            stroke_ml: message.stroke_ml,
            most_pa: message.pressure_max_pa,
            runs_on,
        },
    }))
}

const fn pump_power(power: wire::PumpPower) -> Option<PumpPower> {
    match power {
        wire::PumpPower::Unspecified => None,
        wire::PumpPower::Hand => Some(PumpPower::Hand),
        wire::PumpPower::Foot => Some(PumpPower::Foot),
        wire::PumpPower::Battery => Some(PumpPower::Battery),
    }
}

const fn gear_kind(kind: wire::GearType) -> Option<GearKind> {
    Some(match kind {
        wire::GearType::Unspecified => return None,
        wire::GearType::Motor => GearKind::Motor,
        wire::GearType::FuelTank => GearKind::FuelTank,
        wire::GearType::FuelLine => GearKind::FuelLine,
        wire::GearType::Cylinder => GearKind::Cylinder,
        wire::GearType::InflatableFloor => GearKind::InflatableFloor,
        wire::GearType::Pump => GearKind::Pump,
        wire::GearType::Gauge => GearKind::Gauge,
        wire::GearType::Radio => GearKind::Radio,
        wire::GearType::Trailer => GearKind::Trailer,
        wire::GearType::Battery => GearKind::Battery,
        wire::GearType::BreathingSet => GearKind::BreathingSet,
    })
}

pub(super) fn bag_registered(
    payload: &Bytes,
    subjects: Subjects<'_>,
) -> Result<Payload, ParseError> {
    let message: wire::BagRegistered = decode("bag registered", payload)?;
    subjects.first_is(SubjectType::Bag)?;
    Ok(Payload::BagRegistered {
        number: word("number", message.number)?,
        station: subject("station", &message.station)?,
        craft: subject_or_none("craft", &message.craft)?,
    })
}

pub(super) fn shelf_registered(
    payload: &Bytes,
    subjects: Subjects<'_>,
) -> Result<Payload, ParseError> {
    let message: wire::ShelfRegistered = decode("shelf registered", payload)?;
    subjects.first_is(SubjectType::Shelf)?;
    Ok(Payload::ShelfRegistered {
        number: word("number", message.number)?,
        station: subject("station", &message.station)?,
    })
}

pub(super) fn number_changed(payload: &Bytes) -> Result<Payload, ParseError> {
    let message: wire::NumberChanged = decode("number changed", payload)?;
    Ok(Payload::NumberChanged {
        number: word("number", message.number)?,
    })
}

pub(super) fn placed(payload: &Bytes) -> Result<Payload, ParseError> {
    let message: wire::Placed = decode("placed", payload)?;
    let at = subject("at", &message.at)?;
    let place: fn(SubjectId) -> Place = choice("at_type", message.at_type, place_at)?;
    Ok(Payload::Placed(place(at)))
}

fn place_at(kind: SubjectType) -> Option<fn(SubjectId) -> Place> {
    match kind {
        SubjectType::Station => Some(Place::Station),
        SubjectType::Craft => Some(Place::Craft),
        SubjectType::Shelf => Some(Place::Shelf),
        SubjectType::Unspecified
        | SubjectType::Gear
        | SubjectType::Bag
        | SubjectType::County
        | SubjectType::Member => None,
    }
}

pub(super) fn fitted(payload: &Bytes, subjects: Subjects<'_>) -> Result<Payload, ParseError> {
    let message: wire::Fitted = decode("fitted", payload)?;
    Ok(Payload::Fitted {
        gear: subjects.include("gear", subject("gear", &message.gear)?)?,
        craft: subjects.include("craft", subject("craft", &message.craft)?)?,
        part: PartId(word("part", message.part)?),
    })
}

pub(super) fn taken_off(payload: &Bytes, subjects: Subjects<'_>) -> Result<Payload, ParseError> {
    let message: wire::TakenOff = decode("taken off", payload)?;
    Ok(Payload::TakenOff {
        gear: subjects.include("gear", subject("gear", &message.gear)?)?,
        craft: subjects.include("craft", subject("craft", &message.craft)?)?,
    })
}

pub(super) fn same_as(payload: &Bytes, subjects: Subjects<'_>) -> Result<Payload, ParseError> {
    let message: wire::SameAs = decode("same as", payload)?;
    let one = subjects.include("one", subject("one", &message.one)?)?;
    let other = subjects.include("other", subject("other", &message.other)?)?;
    if one == other {
        return Err(refused("other", other, "it must be another than the first"));
    }
    Ok(Payload::SameAs { one, other })
}

pub(super) fn stock_counted(payload: &Bytes) -> Result<Payload, ParseError> {
    let message: wire::StockCounted = decode("stock counted", payload)?;
    list("counts", message.counts, item_count).map(Payload::StockCounted)
}

pub(super) fn item_count(message: wire::ItemCount) -> Result<ItemCount, ParseError> {
    let count = within("count", message.count, &COUNT)?;
    if message.unserviceable > count {
        let limit = format!("of {count} counted no more can be unserviceable");
        return Err(refused("unserviceable", message.unserviceable, limit));
    }
    let lots = list("lots", message.lots, lot)?;
    let in_lots: u64 = lots.iter().map(|lot| u64::from(lot.count)).sum();
    if in_lots > u64::from(count) {
        let limit = format!("lots may add to at most the {count} counted");
        return Err(refused("lots", in_lots, limit));
    }
    Ok(ItemCount {
        item: LineId(word("item", message.item)?),
        count,
        unserviceable: message.unserviceable,
        lots,
        bag: subject_or_none("bag", &message.bag)?,
    })
}

fn lot(message: wire::Lot) -> Result<Lot, ParseError> {
    for (field, value) in [("batch", message.batch), ("serial", message.serial)] {
        word_or_empty(field, value)?;
    }
    Ok(Lot {
        count: within("lot count", message.count, &COUNT)?,
        expires: date("expires", message.expires)?,
        made: date("made", message.made)?,
    })
}
