//! Payloads of the registry, looked at before this replica signs one. The log reads them itself;
//! here a lead's slip is caught: a key that proves nothing, a sheet that no engine could read.

use bytes::Bytes;
use sponson_log::ids::{Digest, EventId, Key, SubjectId};
use sponson_log::sign;
use sponson_proto::event::v1::{self as wire, Kind};
use sponson_readiness::standard;

use super::fields::{refused, word};
use super::{ParseError, decode};

/// Checks a payload of a registry kind before it is signed here.
pub(crate) fn check(kind: Kind, version: u32, payload: &Bytes) -> Result<(), ParseError> {
    if version != 1 {
        let kind = kind as i32;
        return Err(ParseError::NotKnown { kind, version });
    }
    if kind == Kind::KeyAdmitted {
        key_admitted(payload)
    } else if kind == Kind::KeyEnded {
        let message: wire::KeyEnded = decode("key ended", payload)?;
        key("key", &message.key)?;
        optional_event("last_good", &message.last_good)
    } else if kind == Kind::RoleGiven {
        let message: wire::RoleGiven = decode("role given", payload)?;
        key("key", &message.key)?;
        optional_event("after", &message.after)
    } else if kind == Kind::StationRegistered {
        let message: wire::StationRegistered = decode("station", payload)?;
        word("name", message.name).map(|_| ())
    } else if kind == Kind::Policy {
        let message: wire::Policy = decode("policy", payload)?;
        standard::Policy::parse(&message.text)
            .map(|_| ())
            .map_err(|error| refused("text", "a policy", error.to_string()))
    } else if kind == Kind::LogBegun {
        // A log is begun by the county itself, with a key of its own, and never at a command.
        Err(refused(
            "kind",
            "the beginning of a log",
            "the county writes it itself",
        ))
    } else {
        boat_standard(payload)
    }
}

fn key_admitted(payload: &Bytes) -> Result<(), ParseError> {
    let message: wire::KeyAdmitted = decode("key admitted", payload)?;
    let admitted = key("key", &message.key)?;
    sign::admissible(&admitted).map_err(|error| refused("key", admitted, error.to_string()))?;
    SubjectId::parse_optional("station", &message.station).map_err(length)?;
    Digest::parse_optional("tls_key_sha256", &message.tls_key_sha256).map_err(length)?;
    Key::parse_optional("replaces_key", &message.replaces_key).map_err(length)?;
    optional_event("replaces_head", &message.replaces_head)
}

fn boat_standard(payload: &Bytes) -> Result<(), ParseError> {
    let message: wire::BoatStandard = decode("boat standard", payload)?;
    let sheet = standard::Standard::parse(&message.text)
        .map_err(|error| refused("text", "a boat standard", error.to_string()))?;
    if sheet.model.as_str() != message.model {
        let limit = format!("the sheet is for {}", sheet.model);
        return Err(refused("model", message.model, limit));
    }
    if sheet.revision != message.revision {
        let limit = format!("the sheet says {}", sheet.revision);
        return Err(refused("revision", message.revision, limit));
    }
    Ok(())
}

fn key(field: &'static str, bytes: &[u8]) -> Result<Key, ParseError> {
    Key::parse(field, bytes).map_err(length)
}

fn optional_event(field: &'static str, bytes: &[u8]) -> Result<(), ParseError> {
    EventId::parse_optional(field, bytes)
        .map(|_| ())
        .map_err(length)
}

fn length(error: sponson_log::ids::WrongLength) -> ParseError {
    let limit = format!("it must have {}", error.wanted);
    refused(error.field, format!("{} bytes long", error.length), limit)
}
