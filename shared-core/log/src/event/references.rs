//! The events that an event names in its payload.
//!
//! Reads only what is needed to find them. Whether a payload is right, and what it means, is not
//! decided here: a payload that cannot be read names nothing, and whoever reads payloads refuses
//! it.

use bytes::Bytes;
use prost::Message;
use sponson_proto::event::v1::{self as wire, FaultRef, Kind};

use super::SignedEvent;
use crate::ids::EventId;

impl SignedEvent {
    /// Events that it refers to in its payload, in the order in which it names them.
    ///
    /// Ids of the wrong length are left out, as are the references of a kind that this version
    /// does not know, and those within the payload that a correction restates: only who holds the
    /// original knows its kind. A later version of a known kind is read as far as it is known, for
    /// field numbers never change their meaning.
    #[must_use]
    pub fn payload_references(&self) -> Vec<EventId> {
        let Ok(kind) = Kind::try_from(self.header.kind) else {
            return Vec::new();
        };
        named_in(kind, &self.payload)
            .iter()
            .filter_map(|id| EventId::parse("reference", id).ok())
            .collect()
    }
}

/// The ids that a payload of a kind names; those that are not set are empty.
fn named_in(kind: Kind, payload: &Bytes) -> Vec<Bytes> {
    match kind {
        Kind::KeyAdmitted => one(payload, |it: wire::KeyAdmitted| it.replaces_head),
        Kind::KeyEnded => one(payload, |it: wire::KeyEnded| it.last_good),
        Kind::RoleGiven => one(payload, |it: wire::RoleGiven| it.after),
        Kind::HoldLifted => one(payload, |it: wire::HoldLifted| it.hold),
        Kind::Check => one(payload, |it: wire::Check| it.standard),
        Kind::Repair => many(payload, |it: wire::Repair| events_of(it.faults)),
        Kind::SignOff => many(payload, |it: wire::SignOff| events_of(it.closes)),
        Kind::Returned => many(payload, |it: wire::Returned| it.ends),
        Kind::WaiverGranted => many(payload, |it: wire::WaiverGranted| events_of(it.faults)),
        Kind::WaiverWithdrawn => one(payload, |it: wire::WaiverWithdrawn| it.waiver),
        Kind::Released => one(payload, |it: wire::Released| it.assignment),
        Kind::Correction => one(payload, |it: wire::Correction| it.original),
        Kind::Dismissed => one(payload, |it: wire::Dismissed| it.from_event),
        Kind::LeadDecision => many(payload, |it: wire::LeadDecision| events_of(it.faults)),
        Kind::Redacted => one(payload, |it: wire::Redacted| it.event),
        Kind::Attachment => one(payload, |it: wire::Attachment| it.event),
        Kind::Unspecified
        | Kind::StationRegistered
        | Kind::Policy
        | Kind::BoatStandard
        | Kind::LogBegun
        | Kind::CraftRegistered
        | Kind::GearRegistered
        | Kind::BagRegistered
        | Kind::ShelfRegistered
        | Kind::NumberChanged
        | Kind::Placed
        | Kind::Fitted
        | Kind::TakenOff
        | Kind::Condemned
        | Kind::HeldCountyWide
        | Kind::SameAs
        | Kind::StockCounted
        | Kind::AirChanged
        | Kind::Use
        | Kind::Fault
        | Kind::InspectionDone
        | Kind::OutOfService
        | Kind::Assigned
        | Kind::CrewsAvailable
        | Kind::MemberLevel
        | Kind::Note => Vec::new(),
    }
}

fn many<M: Message + Default>(payload: &Bytes, named: impl Fn(M) -> Vec<Bytes>) -> Vec<Bytes> {
    M::decode(payload.clone()).map(named).unwrap_or_default()
}

fn one<M: Message + Default>(payload: &Bytes, named: impl Fn(M) -> Bytes) -> Vec<Bytes> {
    many(payload, |message| vec![named(message)])
}

fn events_of(faults: Vec<FaultRef>) -> Vec<Bytes> {
    faults.into_iter().map(|fault| fault.event).collect()
}
