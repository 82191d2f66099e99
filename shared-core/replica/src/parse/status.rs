//! Payloads of status, permissions, corrections and remarks.

use bytes::Bytes;
use sponson_log::ids::Key;
use sponson_proto::event::v1 as wire;
use sponson_readiness::event::{
    CountyHold, Crews, HoldDone, HoldPoint, LeadAction, LeadDecision, MemberLevel, OutReason,
    Payload, Remark,
};
use sponson_readiness::ids::{LineId, MissionId, PartId};
use sponson_readiness::moment::Moment;

use super::fields::{
    AMBIENT_PA, GAUGE_PA, PEOPLE, TEMPERATURE_MC, choice, date, event, faults, list, missions,
    refused, some, within, word, word_or_empty,
};
use super::work::place;
use super::{Context, ParseError, Parsed, Subjects, decode};

pub(super) fn sign_off(payload: &Bytes) -> Result<Payload, ParseError> {
    let message: wire::SignOff = decode("sign-off", payload)?;
    Ok(Payload::SignOff {
        closes: faults("closes", some("closes", message.closes)?)?,
    })
}

pub(super) fn inspection_done(payload: &Bytes) -> Result<Payload, ParseError> {
    let message: wire::InspectionDone = decode("inspection", payload)?;
    Ok(Payload::InspectionDone {
        inspection: LineId(word("inspection", message.inspection)?),
        passed: choice("result", message.result, |result| match result {
            wire::InspectionResult::Unspecified => None,
            wire::InspectionResult::Passed => Some(true),
            wire::InspectionResult::Failed => Some(false),
        })?,
        engine_s: message.engine_s,
        run_s: message.run_s,
        holds: list("holds", message.holds, hold_test)?,
    })
}

fn hold_test(message: wire::HoldTest) -> Result<HoldDone, ParseError> {
    let both = "it is given at both ends or at neither";
    if message.start_mc.is_some() != message.end_mc.is_some() {
        return Err(refused("start_mc and end_mc", "one alone", both));
    }
    if message.start_ambient_pa.is_some() != message.end_ambient_pa.is_some() {
        let field = "start_ambient_pa and end_ambient_pa";
        return Err(refused(field, "one alone", both));
    }
    let temperature = |field, mc| within_or_none(field, mc, &TEMPERATURE_MC);
    let ambient = |field, pa| within_or_none(field, pa, &AMBIENT_PA);
    Ok(HoldDone {
        part: PartId(word("hold part", message.part)?),
        start: HoldPoint {
            gauge_pa: within("start_gauge_pa", message.start_gauge_pa, &GAUGE_PA)?,
            air_mc: temperature("start_mc", message.start_mc)?,
            ambient_pa: ambient("start_ambient_pa", message.start_ambient_pa)?,
        },
        end: HoldPoint {
            gauge_pa: within("end_gauge_pa", message.end_gauge_pa, &GAUGE_PA)?,
            air_mc: temperature("end_mc", message.end_mc)?,
            ambient_pa: ambient("end_ambient_pa", message.end_ambient_pa)?,
        },
        duration_s: message.duration_s,
    })
}

fn within_or_none<T: PartialOrd + Copy + std::fmt::Display>(
    field: &str,
    value: Option<T>,
    range: &std::ops::RangeInclusive<T>,
) -> Result<Option<T>, ParseError> {
    value.map(|value| within(field, value, range)).transpose()
}

pub(super) fn out_of_service(payload: &Bytes) -> Result<Payload, ParseError> {
    let message: wire::OutOfService = decode("out of service", payload)?;
    let reason = choice("reason", message.reason, |reason| match reason {
        wire::OutReason::Unspecified => None,
        wire::OutReason::Mechanical => Some(OutReason::Mechanical),
        wire::OutReason::Personnel => Some(OutReason::Personnel),
        wire::OutReason::Rest => Some(OutReason::Rest),
    })?;
    Ok(Payload::OutOfService(reason))
}

pub(super) fn returned(payload: &Bytes) -> Result<Payload, ParseError> {
    let message: wire::Returned = decode("returned", payload)?;
    let ends = some("ends", message.ends)?;
    Ok(Payload::Returned {
        ends: list("ends", ends, |id| event("ends", &id))?,
    })
}

pub(super) fn waiver_granted(payload: &Bytes) -> Result<Payload, ParseError> {
    let message: wire::WaiverGranted = decode("waiver", payload)?;
    Ok(Payload::WaiverGranted {
        faults: faults("faults", some("faults", message.faults)?)?,
        missions: missions("missions", some("missions", message.missions)?)?,
        until: Moment(message.until_unix_ms),
    })
}

pub(super) fn waiver_withdrawn(payload: &Bytes) -> Result<Payload, ParseError> {
    let message: wire::WaiverWithdrawn = decode("waiver withdrawn", payload)?;
    Ok(Payload::WaiverWithdrawn {
        waiver: event("waiver", &message.waiver)?,
    })
}

pub(super) fn assigned(payload: &Bytes) -> Result<Payload, ParseError> {
    let message: wire::Assigned = decode("assigned", payload)?;
    Ok(Payload::Assigned {
        incident: word("incident", message.incident)?,
        mission: MissionId(word_or_empty("mission", message.mission)?),
    })
}

pub(super) fn released(payload: &Bytes) -> Result<Payload, ParseError> {
    let message: wire::Released = decode("released", payload)?;
    Ok(Payload::Released {
        assignment: event("assignment", &message.assignment)?,
    })
}

/// A correction reads the restated payload as one of the original's kind.
pub(super) fn correction(
    payload: &Bytes,
    subjects: Subjects<'_>,
    context: &Context<'_>,
) -> Result<Parsed, ParseError> {
    let message: wire::Correction = decode("correction", payload)?;
    let original = event("original", &message.original)?;
    let restated = choice("type", message.r#type, |kind| match kind {
        wire::CorrectionType::Unspecified => None,
        wire::CorrectionType::Restated => Some(true),
        wire::CorrectionType::Withdrawn => Some(false),
    })?;
    let kind = (context.kind_of)(&original)
        .ok_or_else(|| refused("original", original, "it must be held here: sync first"))?;
    if kind == wire::Kind::Correction as i32 {
        let limit = "a correction is not corrected: name the first original";
        return Err(refused("original", original, limit));
    }
    if !restated {
        if !message.payload.is_empty() {
            let length = format!("{} bytes long", message.payload.len());
            return Err(refused("payload", length, "a withdrawal has none"));
        }
        return Ok(Parsed::Trade(Box::new(Payload::Correction {
            original,
            restated: None,
        })));
    }
    match super::payload(
        kind,
        message.kind_version,
        &message.payload,
        subjects,
        context,
    )? {
        Parsed::Trade(restated) => Ok(Parsed::Trade(Box::new(Payload::Correction {
            original,
            restated: Some(restated),
        }))),
        Parsed::Registry => Err(refused(
            "original",
            original,
            "the registry is restated by new events, not corrected",
        )),
        Parsed::NotKnown => Ok(Parsed::NotKnown),
    }
}

pub(super) fn held_county_wide(
    payload: &Bytes,
    subjects: Subjects<'_>,
) -> Result<Payload, ParseError> {
    let message: wire::HeldCountyWide = decode("county-wide hold", payload)?;
    subjects.first_is(wire::SubjectType::County)?;
    Ok(Payload::HeldCountyWide(CountyHold {
        model: word_or_empty("model", message.model)?,
        batch: word_or_empty("batch", message.batch)?,
        part: word_or_empty("part", message.part)?,
        missions: missions("missions", message.missions)?,
    }))
}

pub(super) fn hold_lifted(payload: &Bytes, subjects: Subjects<'_>) -> Result<Payload, ParseError> {
    let message: wire::HoldLifted = decode("hold lifted", payload)?;
    subjects.first_is(wire::SubjectType::County)?;
    Ok(Payload::HoldLifted {
        hold: event("hold", &message.hold)?,
    })
}

pub(super) fn crews_available(
    payload: &Bytes,
    subjects: Subjects<'_>,
) -> Result<Payload, ParseError> {
    let message: wire::CrewsAvailable = decode("crews available", payload)?;
    subjects.first_is(wire::SubjectType::Station)?;
    Ok(Payload::CrewsAvailable(Crews {
        crews: within("crews", message.crews, &PEOPLE)?,
        persons: Some(within("persons", message.persons, &PEOPLE)?).filter(|number| *number > 0),
        from: Moment(message.from_unix_ms),
        until: Moment(message.until_unix_ms),
        operators: list("operators", message.operators, |member| {
            word("operator", member)
        })?,
    }))
}

pub(super) fn member_level(payload: &Bytes) -> Result<Payload, ParseError> {
    let message: wire::MemberLevel = decode("member level", payload)?;
    Ok(Payload::MemberLevel(MemberLevel {
        member: word("member", message.member)?,
        level: word("level", message.level)?,
        until: date("until", message.until)?,
    }))
}

pub(super) fn dismissed(payload: &Bytes) -> Result<Payload, ParseError> {
    let message: wire::Dismissed = decode("dismissed", payload)?;
    let key = message.key.len();
    if key != Key::LEN {
        return Err(refused("key", format!("{key} bytes long"), "a key has 32"));
    }
    event("from_event", &message.from_event)?;
    Ok(Payload::Remark(Remark::Dismissed))
}

/// A decision. One whose action is not known here is kept as one that says nothing: it changes
/// nothing that is judged.
pub(super) fn lead_decision(payload: &Bytes) -> Result<Payload, ParseError> {
    let message: wire::LeadDecision = decode("decision", payload)?;
    let action = match message.action() {
        wire::LeadAction::Unspecified => None,
        wire::LeadAction::RepairAgain => Some(LeadAction::RepairAgain),
        wire::LeadAction::SendToMaker => Some(LeadAction::SendToMaker),
        wire::LeadAction::TakeOut => Some(LeadAction::TakeOut),
        wire::LeadAction::Condemn => Some(LeadAction::Condemn),
        wire::LeadAction::HoldBatch => Some(LeadAction::Hold),
        wire::LeadAction::Watch => Some(LeadAction::Watch),
    };
    let part = word_or_empty("part", message.part)?;
    Ok(Payload::LeadDecision(LeadDecision {
        action,
        faults: faults("faults", message.faults)?,
        part: Some(PartId(part)).filter(|part| !part.0.is_empty()),
        place: place(message.place)?,
        model: word_or_empty("model", message.model)?,
        batch: word_or_empty("batch", message.batch)?,
    }))
}

pub(super) fn attachment(payload: &Bytes) -> Result<Payload, ParseError> {
    let message: wire::Attachment = decode("attachment", payload)?;
    event("event", &message.event)?;
    Ok(Payload::Remark(Remark::Attachment))
}

pub(super) fn redacted(payload: &Bytes) -> Result<Payload, ParseError> {
    let message: wire::Redacted = decode("redaction", payload)?;
    event("event", &message.event)?;
    if message.parts.is_empty() {
        return Err(refused("parts", "empty", "at least one must be named"));
    }
    if message.reason() == wire::RedactionReason::Unspecified {
        let reason = message.reason;
        return Err(refused(
            "reason",
            reason,
            "one of those known must be given",
        ));
    }
    Ok(Payload::Remark(Remark::Redacted))
}

pub(super) fn note(payload: &Bytes) -> Result<Payload, ParseError> {
    decode::<wire::Note>("note", payload)?;
    Ok(Payload::Remark(Remark::Note))
}
