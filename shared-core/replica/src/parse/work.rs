//! Payloads of work: checks, air, use, faults, repairs.

use bytes::Bytes;
use sponson_proto::event::v1 as wire;
use sponson_readiness::event::{
    AirChanged, AirDirection, AirSource, AnswerValue, BagSeal, Check, CylinderReading, Extent,
    Face, FaultFound, Fuel, HoldKind, LineAnswer, Meter, NotApplicable, PartPlace, Payload,
    PlaceSide, Reading, ReadingMoment, Repair, RepairHold, Severity, Stowage, Use, ValveState,
    WaterType,
};
use sponson_readiness::ids::{LineId, PartId};

use super::fields::{
    AMBIENT_PA, CYLINDER_KPA, ELEVATION_MM, GAUGE_PA, TEMPERATURE_MC, choice, date, faults, list,
    missions, optional, refused, some, subject, subject_or_none, within, word, word_or_empty,
};
use super::subjects::item_count;
use super::{Context, ParseError, decode};

pub(super) fn check(payload: &Bytes, context: &Context<'_>) -> Result<Payload, ParseError> {
    let message: wire::Check = decode("check", payload)?;
    let checked_by = word_or_empty("checked_by", message.checked_by)?;
    let standard = if message.standard.is_empty() {
        None
    } else {
        Some(super::fields::event("standard", &message.standard)?)
    };
    Ok(Payload::Check(Check {
        extent: choice("extent", message.extent, extent)?,
        standard_revision: standard.and_then(|id| (context.revision_of)(&id)),
        readings: list("readings", message.readings, reading)?,
        counts: list("counts", message.counts, item_count)?,
        answers: list("answers", message.answers, answer)?,
        meters: list("meters", message.meters, meter)?,
        found_aboard: list("found", message.found, |found| {
            subject("found", &found.subject)
        })?,
        fuel: list("fuel", message.fuel, fuel)?,
        faults: list("faults", message.faults, fault)?,
        stowage: stowage(message.stowage)?,
        cylinders: list("cylinders", message.cylinders, cylinder)?,
        seals: list("seals", message.seals, seal)?,
        checked_by,
    }))
}

fn seal(message: wire::BagSeal) -> Result<BagSeal, ParseError> {
    Ok(BagSeal {
        bag: subject("seal bag", &message.bag)?,
        number: Some(word_or_empty("seal", message.seal)?).filter(|number| !number.is_empty()),
        earliest: date("seal date", message.earliest)?,
    })
}

const fn extent(extent: wire::CheckExtent) -> Option<Extent> {
    match extent {
        wire::CheckExtent::Unspecified => None,
        wire::CheckExtent::Full => Some(Extent::Full),
        wire::CheckExtent::Short => Some(Extent::Short),
        wire::CheckExtent::Part => Some(Extent::Part),
    }
}

/// Reads a choice that may be left open.
fn open_choice<E: TryFrom<i32>, T>(
    field: &str,
    number: i32,
    read: impl Fn(E) -> Option<T>,
) -> Result<Option<T>, ParseError> {
    if number == 0 {
        return Ok(None);
    }
    choice(field, number, read).map(Some)
}

fn stowage(number: i32) -> Result<Option<Stowage>, ParseError> {
    open_choice("stowage", number, |stowage| match stowage {
        wire::Stowage::Unspecified => None,
        wire::Stowage::Rigged => Some(Stowage::Rigged),
        wire::Stowage::Inflated => Some(Stowage::Inflated),
        wire::Stowage::Rolled => Some(Stowage::Rolled),
    })
}

fn reading(message: wire::Reading) -> Result<Reading, ParseError> {
    Ok(Reading {
        part: PartId(word("reading part", message.part)?),
        moment: choice("reading moment", message.moment, |moment| match moment {
            wire::ReadingMoment::Unspecified => None,
            wire::ReadingMoment::AsFound => Some(ReadingMoment::AsFound),
            wire::ReadingMoment::AsLeft => Some(ReadingMoment::AsLeft),
        })?,
        gauge_pa: within("gauge_pa", message.gauge_pa, &GAUGE_PA)?,
        gauge: subject_or_none("gauge", &message.gauge)?,
        air_mc: optional("air_mc", message.air_mc, &TEMPERATURE_MC)?,
        stood_s: message.stood_s,
        fabric_mc: optional("fabric_mc", message.fabric_mc, &TEMPERATURE_MC)?,
        ambient_pa: optional("ambient_pa", message.ambient_pa, &AMBIENT_PA)?,
        elevation_mm: optional("elevation_mm", message.elevation_mm, &ELEVATION_MM)?,
        valves: open_choice(
            "intercommunication",
            message.intercommunication,
            |valve| match valve {
                wire::ValveState::Unspecified => None,
                wire::ValveState::Shut => Some(ValveState::Shut),
                wire::ValveState::Open => Some(ValveState::Open),
            },
        )?,
        since_inflating_s: message.since_inflating_s,
    })
}

fn answer(message: wire::Answer) -> Result<LineAnswer, ParseError> {
    let why = open_choice("not_applicable", message.not_applicable, |why| match why {
        wire::NotApplicableReason::Unspecified => None,
        wire::NotApplicableReason::NotFitted => Some(NotApplicable::NotFitted),
        wire::NotApplicableReason::CouldNotLook => Some(NotApplicable::CouldNotLook),
        wire::NotApplicableReason::NotUsedHere => Some(NotApplicable::NotUsedHere),
    })?;
    let value = if message.value == wire::AnswerValue::NotApplicable as i32 {
        let limit = "it must say why the line is not applicable";
        AnswerValue::NotApplicable(why.ok_or_else(|| refused("not_applicable", "missing", limit))?)
    } else {
        choice("answer", message.value, |value| match value {
            wire::AnswerValue::Yes => Some(AnswerValue::Yes),
            wire::AnswerValue::No => Some(AnswerValue::No),
            wire::AnswerValue::Unspecified | wire::AnswerValue::NotApplicable => None,
        })?
    };
    Ok(LineAnswer {
        line: LineId(word("answer line", message.line)?),
        value,
    })
}

fn meter(message: wire::MeterReading) -> Result<Meter, ParseError> {
    Ok(Meter {
        subject: subject_or_none("meter subject", &message.subject)?,
        engine_s: message.engine_s,
    })
}

fn cylinder(message: wire::CylinderReading) -> Result<CylinderReading, ParseError> {
    Ok(CylinderReading {
        subject: subject("cylinder", &message.subject)?,
        gauge_kpa: within("gauge_kpa", message.gauge_kpa, &CYLINDER_KPA)?,
        temperature_mc: optional("temperature_mc", message.temperature_mc, &TEMPERATURE_MC)?,
    })
}

fn fuel(message: wire::FuelAboard) -> Result<Fuel, ParseError> {
    Ok(Fuel {
        tank: subject_or_none("tank", &message.tank)?,
        amount_ml: message.amount_ml,
        filled: date("filled", message.filled)?,
        mix: Some(message.mix_ratio).filter(|mix| *mix > 0),
    })
}

pub(super) fn place(place: Option<wire::PartPlace>) -> Result<PartPlace, ParseError> {
    let place = place.unwrap_or_default();
    Ok(PartPlace {
        side: open_choice("side", place.side, |side| match side {
            wire::Side::Unspecified => None,
            wire::Side::Port => Some(PlaceSide::Port),
            wire::Side::Starboard => Some(PlaceSide::Starboard),
            wire::Side::Centre => Some(PlaceSide::Centre),
        })?,
        from_transom_mm: place.from_transom_mm,
        face: open_choice("face", place.face, |face| match face {
            wire::Face::Unspecified => None,
            wire::Face::Top => Some(Face::Top),
            wire::Face::Bottom => Some(Face::Bottom),
            wire::Face::Inboard => Some(Face::Inboard),
            wire::Face::Outboard => Some(Face::Outboard),
        })?,
    })
}

fn fault(message: wire::FaultFound) -> Result<FaultFound, ParseError> {
    Ok(FaultFound {
        part: PartId(word("fault part", message.part)?),
        place: place(message.place)?,
        class: word("fault class", message.class)?,
        severity: choice("severity", message.severity, |severity| match severity {
            wire::Severity::Unspecified => None,
            wire::Severity::Disabling => Some(Severity::Disabling),
            wire::Severity::Restrictive => Some(Severity::Restrictive),
            wire::Severity::Major => Some(Severity::Major),
            wire::Severity::Minor => Some(Severity::Minor),
        })?,
        missions: missions("fault missions", message.missions)?,
        gear: subject_or_none("fault gear", &message.gear)?,
    })
}

pub(super) fn air_changed(payload: &Bytes) -> Result<Payload, ParseError> {
    let message: wire::AirChanged = decode("air changed", payload)?;
    Ok(Payload::AirChanged(AirChanged {
        source: open_choice("source", message.source, |source| match source {
            wire::AirSource::Unspecified => None,
            wire::AirSource::HandPump => Some(AirSource::HandPump),
            wire::AirSource::FootPump => Some(AirSource::FootPump),
            wire::AirSource::ElectricPump => Some(AirSource::ElectricPump),
            wire::AirSource::Cylinder => Some(AirSource::Cylinder),
            wire::AirSource::BreathingSet => Some(AirSource::BreathingSet),
            wire::AirSource::Compressor => Some(AirSource::Compressor),
        })?,
        source_gear: subject_or_none("source_gear", &message.source_gear)?,
        source_after_kpa: optional("source_after_kpa", message.source_after_kpa, &CYLINDER_KPA)?,
        part: PartId(word("part", message.part)?),
        direction: choice("direction", message.direction, |way| match way {
            wire::AirDirection::Unspecified => None,
            wire::AirDirection::Added => Some(AirDirection::Added),
            wire::AirDirection::LetOut => Some(AirDirection::LetOut),
        })?,
        before_pa: optional("gauge_before_pa", message.gauge_before_pa, &GAUGE_PA)?,
        after_pa: optional("gauge_after_pa", message.gauge_after_pa, &GAUGE_PA)?,
        air_mc: optional("air_mc", message.air_mc, &TEMPERATURE_MC)?,
    }))
}

pub(super) fn used(payload: &Bytes) -> Result<Payload, ParseError> {
    let message: wire::Use = decode("use", payload)?;
    word_or_empty("mission", message.mission)?;
    Ok(Payload::Use(Use {
        duration_s: message.duration_s,
        engine_s: message.engine_s,
        meters: list("meters", message.meters, meter)?,
        capsized: message.capsized,
        motor_immersed: message.motor_immersed,
        hard: message.hard,
        used_up: list("used_up", message.used_up, item_count)?,
        water: open_choice("water", message.water, |water| match water {
            wire::WaterType::Unspecified => None,
            wire::WaterType::Fresh => Some(WaterType::Fresh),
            wire::WaterType::Salt => Some(WaterType::Salt),
            wire::WaterType::Polluted => Some(WaterType::Polluted),
        })?,
    }))
}

pub(super) fn fault_found(payload: &Bytes) -> Result<Payload, ParseError> {
    let message: wire::Fault = decode("fault", payload)?;
    let found = some("faults", message.faults)?;
    list("faults", found, fault).map(Payload::Fault)
}

pub(super) fn repair(payload: &Bytes) -> Result<Payload, ParseError> {
    let message: wire::Repair = decode("repair", payload)?;
    let glue_batch = word_or_empty("adhesive_batch", message.adhesive_batch)?;
    Ok(Payload::Repair(Repair {
        faults: faults("faults", message.faults)?,
        part: PartId(word("part", message.part)?),
        method: word("method", message.method)?,
        glue_batch,
        holds: list("holds", message.holds, |hold| {
            Ok(RepairHold {
                kind: choice("hold type", hold.r#type, |kind| match kind {
                    wire::HoldType::Unspecified => None,
                    wire::HoldType::Inflate => Some(HoldKind::Inflate),
                    wire::HoldType::Launch => Some(HoldKind::Launch),
                })?,
                duration_s: hold.duration_s,
            })
        })?,
    }))
}
