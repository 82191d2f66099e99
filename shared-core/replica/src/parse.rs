//! The door between the log and the trade: an encoded payload in, a checked value out.
//!
//! The same for every replica: what one cannot read no other of the same version can. Errors name
//! the field, its value and the limit. Judges nothing: whether an event is trusted, and what it
//! does to a craft, is decided elsewhere.

mod context;
mod fields;
mod registry;
mod status;
mod subjects;
mod work;

use bytes::Bytes;
use sponson_log::event::Subject;
use sponson_proto::event::v1::{Kind, SubjectType};
use sponson_proto::version;
use sponson_readiness::event::Payload;
use sponson_readiness::ids::{EventId, SubjectId};

pub(crate) use context::{
    Interpreter, RECORDED_FROM, TimeParts, Times, subject_kind, to_log_event, to_trade_event,
    to_trade_subject,
};
pub(crate) use registry::check as check_registry;

/// Why a payload is not one of its kind.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ParseError {
    /// Bytes that are no message of the kind.
    #[error("{what} cannot be read: {detail}")]
    Unreadable {
        /// The message.
        what: &'static str,
        /// The decoder's words.
        detail: String,
    },
    /// A field with a value that cannot be.
    #[error("{field} is {value}; {limit}")]
    Value {
        /// The field.
        field: String,
        /// Its value.
        value: String,
        /// What is allowed.
        limit: String,
    },
    /// A kind or version that this program does not know.
    #[error("kind {kind} in version {version} is not known here: use the newer program")]
    NotKnown {
        /// The kind.
        kind: i32,
        /// Its version.
        version: u32,
    },
}

/// What a payload is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Parsed {
    /// An event of the trade.
    Trade(Box<Payload>),
    /// One of the registry, which the log reads itself.
    Registry,
    /// Of a kind or version that this program does not know.
    NotKnown,
}

/// What a payload is read with: events that it may name.
pub(crate) struct Context<'a> {
    /// Kind of an event that is held.
    pub(crate) kind_of: &'a dyn Fn(&EventId) -> Option<i32>,
    /// Revision of the boat standard that an event adopted.
    pub(crate) revision_of: &'a dyn Fn(&EventId) -> Option<u32>,
}

/// The subjects of an event.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Subjects<'a>(pub(crate) &'a [Subject]);

impl Subjects<'_> {
    /// The first subject must be of this type.
    fn first_is(self, wanted: SubjectType) -> Result<(), ParseError> {
        let found = self.0.first().map(|subject| subject.kind);
        if found == Some(wanted) {
            return Ok(());
        }
        Err(ParseError::Value {
            field: "first subject".to_owned(),
            value: found.map_or("missing", type_name).to_owned(),
            limit: format!("it must be {}", type_name(wanted)),
        })
    }

    /// A subject that the payload names must be one of the event's.
    fn include(self, field: &'static str, id: SubjectId) -> Result<SubjectId, ParseError> {
        if self
            .0
            .iter()
            .any(|subject| subject.id.as_bytes() == id.as_bytes())
        {
            return Ok(id);
        }
        Err(fields::refused(
            field,
            id,
            "it must be among the event's subjects",
        ))
    }
}

const fn type_name(kind: SubjectType) -> &'static str {
    match kind {
        SubjectType::Unspecified => "of no known type",
        SubjectType::Craft => "a craft",
        SubjectType::Gear => "a piece of gear",
        SubjectType::Bag => "a bag",
        SubjectType::Shelf => "a shelf",
        SubjectType::Station => "a station",
        SubjectType::County => "the county",
        SubjectType::Member => "a member",
    }
}

/// Reads a payload.
pub(crate) fn payload(
    kind: i32,
    version: u32,
    payload: &Bytes,
    subjects: Subjects<'_>,
    context: &Context<'_>,
) -> Result<Parsed, ParseError> {
    let Ok(kind) = Kind::try_from(kind) else {
        return Ok(Parsed::NotKnown);
    };
    if is_registry(kind) {
        return Ok(Parsed::Registry);
    }
    if version == 0 || version > version::newest(kind) || kind == Kind::Unspecified {
        return Ok(Parsed::NotKnown);
    }
    let needed = version::needed(kind, payload);
    if version < needed {
        // An older replica would pass over what this one reads, and the two would not agree.
        let limit = format!("its fields are those of version {needed}");
        return Err(fields::refused("kind_version", version, limit));
    }
    if subjects.0.is_empty() {
        return Err(fields::refused(
            "subjects",
            "empty",
            "at least one must be named",
        ));
    }
    if kind == Kind::Correction {
        return status::correction(payload, subjects, context);
    }
    let read = trade(kind, payload, subjects, context)?;
    Ok(Parsed::Trade(Box::new(read)))
}

fn trade(
    kind: Kind,
    payload: &Bytes,
    subjects: Subjects<'_>,
    context: &Context<'_>,
) -> Result<Payload, ParseError> {
    match kind {
        Kind::CraftRegistered => subjects::craft_registered(payload, subjects),
        Kind::GearRegistered => subjects::gear_registered(payload, subjects),
        Kind::BagRegistered => subjects::bag_registered(payload, subjects),
        Kind::ShelfRegistered => subjects::shelf_registered(payload, subjects),
        Kind::NumberChanged => subjects::number_changed(payload),
        Kind::Placed => subjects::placed(payload),
        Kind::Fitted => subjects::fitted(payload, subjects),
        Kind::TakenOff => subjects::taken_off(payload, subjects),
        Kind::Condemned => decode::<sponson_proto::event::v1::Condemned>("condemned", payload)
            .map(|_| Payload::Condemned),
        Kind::SameAs => subjects::same_as(payload, subjects),
        Kind::StockCounted => subjects::stock_counted(payload),
        Kind::Check => work::check(payload, context),
        Kind::AirChanged => work::air_changed(payload),
        Kind::Use => work::used(payload),
        Kind::Fault => work::fault_found(payload),
        Kind::Repair => work::repair(payload),
        Kind::SignOff => status::sign_off(payload),
        Kind::InspectionDone => status::inspection_done(payload),
        Kind::OutOfService => status::out_of_service(payload),
        Kind::Returned => status::returned(payload),
        Kind::WaiverGranted => status::waiver_granted(payload),
        Kind::WaiverWithdrawn => status::waiver_withdrawn(payload),
        Kind::Assigned => status::assigned(payload),
        Kind::Released => status::released(payload),
        Kind::HeldCountyWide => status::held_county_wide(payload, subjects),
        Kind::HoldLifted => status::hold_lifted(payload, subjects),
        Kind::CrewsAvailable => status::crews_available(payload, subjects),
        Kind::MemberLevel => status::member_level(payload),
        Kind::Dismissed => status::dismissed(payload),
        Kind::LeadDecision => status::lead_decision(payload),
        Kind::Attachment => status::attachment(payload),
        Kind::Note => status::note(payload),
        Kind::Redacted => status::redacted(payload),
        Kind::Unspecified
        | Kind::Correction
        | Kind::KeyAdmitted
        | Kind::KeyEnded
        | Kind::StationRegistered
        | Kind::RoleGiven
        | Kind::Policy
        | Kind::BoatStandard
        | Kind::LogBegun => Err(ParseError::NotKnown {
            kind: kind as i32,
            version: 1,
        }),
    }
}

/// Whether the registry reads a kind, and no record does.
pub(crate) const fn is_registry(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::KeyAdmitted
            | Kind::KeyEnded
            | Kind::StationRegistered
            | Kind::RoleGiven
            | Kind::Policy
            | Kind::BoatStandard
            | Kind::LogBegun
    )
}

/// Whether an event of a kind can change the fitness of its subjects.
pub(crate) const fn changes_fitness(kind: Kind) -> bool {
    !matches!(
        kind,
        Kind::Note
            | Kind::Redacted
            | Kind::Attachment
            | Kind::LeadDecision
            | Kind::MemberLevel
            | Kind::CrewsAvailable
            | Kind::LogBegun
    )
}

fn decode<M: prost::Message + Default>(
    what: &'static str,
    payload: &Bytes,
) -> Result<M, ParseError> {
    M::decode(payload.clone()).map_err(|error| ParseError::Unreadable {
        what,
        detail: error.to_string(),
    })
}
