//! Correcting and withdrawing an earlier entry: which one, and what that will do, in plain words.
//!
//! A correction restates the whole of one original, under the original's name and at its time. The
//! log decides what it does; this says it beforehand by the same roles.

use bytes::Bytes;
use prost::Message as _;
use sponson_log::trust::{may_sign, may_sign_off};
use sponson_proto::event::v1::{Body, Correction, CorrectionType, Kind, Role};
use sponson_proto::service::v1::{AboutReply, AppendSubject, LogLine};
use sponson_proto::version;

use crate::catalogue::short_event;
use crate::commands::about::doubt;
use crate::describe::kind_words;
use crate::error::CommandError;

/// The original that is corrected or withdrawn.
#[derive(Clone, Debug)]
pub struct Original {
    id: Bytes,
    kind: Kind,
    kind_version: u32,
    subjects: Vec<AppendSubject>,
}

/// What a correction will do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Effect {
    /// It stands in place of the original.
    Instead,
    /// It stands beside it, and the worse of the two counts.
    Beside,
    /// It counts for nothing yet: go and look.
    Unconfirmed,
}

impl Original {
    /// From a line of the log.
    ///
    /// # Errors
    /// When it is no entry that can be corrected: a correction, one of the registry, or of a kind
    /// that is not known here.
    pub fn of(line: &LogLine) -> Result<Self, CommandError> {
        let name = short_event(&line.event_id);
        let kind = i32::try_from(line.kind).ok();
        let kind = kind.and_then(|number| Kind::try_from(number).ok());
        let refused = |limit: String| {
            Err(CommandError::Refused {
                field: "event".to_owned(),
                value: name.clone(),
                limit,
            })
        };
        match kind {
            None | Some(Kind::Unspecified) => {
                refused("this version does not know what it says: upgrade it".to_owned())
            }
            Some(Kind::Correction) => refused(format!(
                "it is itself a correction: name the original, {}",
                short_event(&corrected_by(line))
            )),
            Some(kind) if sponson_log::registry::is_registry_kind(kind as i32) => refused(
                "it belongs to the registry, which is restated by a new entry of the county"
                    .to_owned(),
            ),
            Some(kind) => Ok(Self {
                id: line.event_id.clone(),
                kind,
                kind_version: body(line).header.unwrap_or_default().kind_version,
                subjects: line.subjects.clone(),
            }),
        }
    }

    /// The correction that restates it by a payload of its kind, about the same things.
    ///
    /// # Errors
    /// When the kind or the things differ.
    pub fn restated(
        &self,
        kind: Kind,
        payload: Vec<u8>,
        subjects: &[AppendSubject],
    ) -> Result<Correction, CommandError> {
        let refused = |value: String, limit: &str| CommandError::Refused {
            field: "--corrects".to_owned(),
            value,
            limit: limit.to_owned(),
        };
        if kind != self.kind {
            let (was, is) = (kind_words(self.kind), kind_words(kind));
            return Err(refused(
                format!("{} ({was})", short_event(&self.id)),
                &format!(
                    "it cannot become another sort of entry ({is}): withdraw it, and record anew"
                ),
            ));
        }
        let ids = |subjects: &[AppendSubject]| {
            let mut ids: Vec<Bytes> = subjects.iter().map(|subject| subject.id.clone()).collect();
            ids.sort_unstable();
            ids
        };
        if ids(subjects) != ids(&self.subjects) {
            return Err(refused(
                short_event(&self.id),
                "it is about something else: withdraw it, and record anew",
            ));
        }
        Ok(Correction {
            original: self.id.clone(),
            r#type: CorrectionType::Restated.into(),
            kind_version: version::needed(kind, &payload),
            payload: payload.into(),
        })
    }

    /// The correction that withdraws it.
    #[must_use]
    pub fn withdrawn(&self) -> Correction {
        Correction {
            original: self.id.clone(),
            r#type: CorrectionType::Withdrawn.into(),
            payload: Bytes::new(),
            kind_version: self.kind_version,
        }
    }

    /// What it is about: a correction is about the same.
    #[must_use]
    pub fn subjects(&self) -> &[AppendSubject] {
        &self.subjects
    }

    /// The name by which others name what is stated now: the original's while the correction
    /// stands in its place.
    #[must_use]
    pub fn known_as(&self, about: &AboutReply, correction: Bytes) -> Bytes {
        match self.effect(about) {
            Effect::Instead => self.id.clone(),
            Effect::Beside | Effect::Unconfirmed => correction,
        }
    }

    /// What correcting it does, for whoever records it.
    #[must_use]
    pub fn says(&self, about: &AboutReply) -> String {
        let name = short_event(&self.id);
        match self.effect(about) {
            Effect::Instead => format!("stands in place of {name} from now on"),
            Effect::Beside => format!(
                "stands beside {name} until maintenance or the lead confirms it by the same correction: until then the worse of the two counts"
            ),
            Effect::Unconfirmed => format!(
                "{name} still counts: this device may not record such a correction, so it stays unconfirmed until the lead says something"
            ),
        }
    }

    fn effect(&self, about: &AboutReply) -> Effect {
        let roles: Vec<Role> = about.roles().collect();
        // A device that is not admitted yet counts from its first entry once it is, with the roles
        // that it is then given; nobody knows them here.
        let counts = about.admitted && doubt(about).is_none();
        let entitled =
            may_sign(Kind::Correction as i32, &roles) && may_sign(self.kind as i32, &roles);
        if !counts || !entitled {
            Effect::Unconfirmed
        } else if may_sign_off(&roles) {
            Effect::Instead
        } else {
            Effect::Beside
        }
    }
}

fn body(line: &LogLine) -> Body {
    let body = line.event.as_ref().map(|event| event.body.clone());
    Body::decode(body.unwrap_or_default()).unwrap_or_default()
}

fn corrected_by(line: &LogLine) -> Bytes {
    let correction = Correction::decode(body(line).payload).unwrap_or_default();
    correction.original
}
