//! One event with its fields, for whoever wants to know all of it.

use bytes::Bytes;
use prost::Message;
use sponson_proto::event::v1::{self as wire, Kind};
use sponson_show::clean;
use sponson_show::units::print;

use super::words::one_fault;
use crate::catalogue::{Catalogue, short_event};

/// The fields of an event's message, one a line; the longer kinds in the trade's words, the others
/// by the names that the log gives them.
#[must_use]
pub fn fields(kind: Kind, payload: &Bytes, catalogue: &Catalogue) -> Vec<String> {
    match kind {
        Kind::Check => wire::Check::decode(payload.clone())
            .map_or_else(|error| cannot(&error), |message| check(&message, catalogue)),
        Kind::BoatStandard => wire::BoatStandard::decode(payload.clone())
            .map_or_else(|error| cannot(&error), |message| sheet(&message.text)),
        Kind::Policy => wire::Policy::decode(payload.clone())
            .map_or_else(|error| cannot(&error), |message| sheet(&message.text)),
        Kind::CraftRegistered => raw::<wire::CraftRegistered>(payload),
        Kind::GearRegistered => raw::<wire::GearRegistered>(payload),
        Kind::AirChanged => raw::<wire::AirChanged>(payload),
        Kind::Use => raw::<wire::Use>(payload),
        Kind::Fault => wire::Fault::decode(payload.clone())
            .map_or_else(|error| cannot(&error), |message| faults(&message.faults)),
        Kind::LeadDecision => wire::LeadDecision::decode(payload.clone())
            .map_or_else(|error| cannot(&error), |message| rests_on(&message)),
        Kind::Repair => raw::<wire::Repair>(payload),
        Kind::InspectionDone => raw::<wire::InspectionDone>(payload),
        Kind::StationRegistered => raw::<wire::StationRegistered>(payload),
        Kind::LogBegun => raw::<wire::LogBegun>(payload),
        Kind::Unspecified
        | Kind::KeyAdmitted
        | Kind::KeyEnded
        | Kind::RoleGiven
        | Kind::BagRegistered
        | Kind::ShelfRegistered
        | Kind::NumberChanged
        | Kind::Placed
        | Kind::Fitted
        | Kind::TakenOff
        | Kind::Condemned
        | Kind::HeldCountyWide
        | Kind::HoldLifted
        | Kind::SameAs
        | Kind::StockCounted
        | Kind::SignOff
        | Kind::OutOfService
        | Kind::Returned
        | Kind::WaiverGranted
        | Kind::WaiverWithdrawn
        | Kind::Assigned
        | Kind::Released
        | Kind::CrewsAvailable
        | Kind::MemberLevel
        | Kind::Correction
        | Kind::Dismissed
        | Kind::Redacted
        | Kind::Attachment
        | Kind::Note => Vec::new(),
    }
}

fn cannot(error: &prost::DecodeError) -> Vec<String> {
    vec![format!(
        "its message cannot be read: {}",
        clean(&error.to_string())
    )]
}

/// The fields as the log names them, each on a line of its own, so that nothing is left out.
fn raw<M: Message + Default + std::fmt::Debug>(payload: &Bytes) -> Vec<String> {
    match M::decode(payload.clone()) {
        Err(error) => cannot(&error),
        Ok(message) => format!("{message:#?}")
            .lines()
            .filter(|line| line.starts_with(' '))
            .map(|line| clean(line.trim_end_matches(',')))
            .collect(),
    }
}

fn sheet(text: &str) -> Vec<String> {
    text.lines().map(clean).collect()
}

fn faults(faults: &[wire::FaultFound]) -> Vec<String> {
    let numbered = faults.iter().enumerate();
    numbered
        .map(|(ordinal, fault)| format!("fault {ordinal}: {}{}", one_fault(fault), place(fault)))
        .collect()
}

fn rests_on(message: &wire::LeadDecision) -> Vec<String> {
    let names = message.faults.iter();
    names
        .map(|fault| {
            let name = short_event(&fault.event);
            format!("rests on fault {name}-{}", fault.ordinal)
        })
        .collect()
}

fn place(fault: &wire::FaultFound) -> String {
    let Some(place) = fault.place else {
        return String::new();
    };
    let side = match place.side() {
        wire::Side::Unspecified => None,
        wire::Side::Port => Some("port".to_owned()),
        wire::Side::Starboard => Some("starboard".to_owned()),
        wire::Side::Centre => Some("centre".to_owned()),
    };
    let face = match place.face() {
        wire::Face::Unspecified => None,
        wire::Face::Top => Some("top".to_owned()),
        wire::Face::Bottom => Some("bottom".to_owned()),
        wire::Face::Inboard => Some("inboard".to_owned()),
        wire::Face::Outboard => Some("outboard".to_owned()),
    };
    let along = place
        .from_transom_mm
        .map(|mm| format!("{} cm from the transom", mm / 10));
    let words: Vec<String> = [side, along, face].into_iter().flatten().collect();
    format!(", {}", words.join(", "))
}

fn check(message: &wire::Check, catalogue: &Catalogue) -> Vec<String> {
    let mut lines = Vec::new();
    lines.extend(
        message
            .readings
            .iter()
            .map(|reading| line_of_reading(reading, catalogue)),
    );
    for count in &message.counts {
        let mut line = format!("count: {} {}", clean(&count.item), count.count);
        if count.unserviceable > 0 {
            line.push_str(&format!(", {} not serviceable", count.unserviceable));
        }
        for lot in &count.lots {
            let expires = lot
                .expires
                .map(|mark| format!(" until {}", date_mark(mark)));
            let made = lot.made.map(|mark| format!(" made {}", date_mark(mark)));
            let dates = expires.into_iter().chain(made).collect::<String>();
            let stood_by = if lot.affirmed { ", stood by" } else { "" };
            line.push_str(&format!(", {} x{dates}{stood_by}", lot.count));
        }
        lines.push(line);
    }
    for answer in &message.answers {
        let value = match answer.value() {
            wire::AnswerValue::Unspecified => "not answered",
            wire::AnswerValue::Yes => "yes",
            wire::AnswerValue::No => "no",
            wire::AnswerValue::NotApplicable => match answer.not_applicable() {
                wire::NotApplicableReason::Unspecified => "not applicable",
                wire::NotApplicableReason::NotFitted => "not fitted",
                wire::NotApplicableReason::CouldNotLook => "could not look",
                wire::NotApplicableReason::NotUsedHere => "not used here",
            },
        };
        lines.push(format!("answer: {} {value}", clean(&answer.line)));
    }
    for meter in &message.meters {
        let whose = if meter.subject.is_empty() {
            "the craft".to_owned()
        } else {
            catalogue.number(&meter.subject)
        };
        lines.push(format!("meter: {whose} {}", print::engine(meter.engine_s)));
    }
    lines.extend(
        message
            .fuel
            .iter()
            .map(|fuel| line_of_fuel(fuel, catalogue)),
    );
    let aboard = message.found.iter();
    lines.extend(aboard.map(|found| format!("aboard: {}", catalogue.number(&found.subject))));
    lines.extend(faults(&message.faults));
    lines
}

fn date_mark(mark: wire::DateMark) -> String {
    let mut text = mark.year.to_string();
    let parts = [mark.month, mark.day].into_iter();
    for part in parts.take_while(|part| *part > 0) {
        text.push_str(&format!("-{part:02}"));
    }
    text
}

fn line_of_fuel(fuel: &wire::FuelAboard, catalogue: &Catalogue) -> String {
    let whose = if fuel.tank.is_empty() {
        "the craft".to_owned()
    } else {
        catalogue.number(&fuel.tank)
    };
    let amount = print::volume(u64::from(fuel.amount_ml), catalogue.policy().units);
    let mix = match fuel.mix_ratio {
        0 => String::new(),
        parts => format!(", mixed {parts}:1"),
    };
    let filled = fuel
        .filled
        .map_or_else(String::new, |mark| format!(", filled {}", date_mark(mark)));
    format!("fuel: {whose} {amount}{mix}{filled}")
}

fn line_of_reading(reading: &wire::Reading, catalogue: &Catalogue) -> String {
    let units = catalogue.policy().units;
    let moment = match reading.moment() {
        wire::ReadingMoment::AsFound => "as found",
        wire::ReadingMoment::AsLeft => "as left",
        wire::ReadingMoment::Unspecified => "",
    };
    let mut line = format!(
        "reading: {} {} {moment}",
        clean(&reading.part),
        print::pressure(reading.gauge_pa, units)
    );
    if let Some(air) = reading.air_mc {
        line.push_str(&format!(", air {}", print::temperature(air, units)));
    }
    if let Some(stood) = reading.stood_s {
        line.push_str(&format!(", stood {}", print::span(i64::from(stood) * 1000)));
    }
    if let Some(fabric) = reading.fabric_mc {
        line.push_str(&format!(", fabric {}", print::temperature(fabric, units)));
    }
    if let Some(elevation) = reading.elevation_mm {
        line.push_str(&format!(", at {}", print::elevation(elevation, units)));
    }
    if let Some(since) = reading.since_inflating_s {
        let since = print::span(i64::from(since) * 1000);
        line.push_str(&format!(", {since} after inflating"));
    }
    match reading.intercommunication() {
        wire::ValveState::Unspecified => {}
        wire::ValveState::Shut => line.push_str(", valves shut"),
        wire::ValveState::Open => line.push_str(", valves open"),
    }
    if reading.affirmed {
        line.push_str(", stood by");
    }
    line
}
