//! Recording: fills the header, signs, reads back as everybody else will, keeps.

mod seen;
mod texts;

use std::collections::BTreeSet;

use bytes::Bytes;
use prost::Message as _;
use sponson_log::chains::Unfit;
use sponson_log::event::{Beside, CheckpointHeld, Clock, Draft, Header, SignedEvent, commitment};
use sponson_log::ids::{Digest, EventId, SubjectId};
use sponson_proto::event::v1::{self as wire, BesideContent, BesideType, IfNotUnderstood, Kind};
use sponson_proto::store::v1::ChunkSource;
use sponson_readiness::answer::AskerClock;
use sponson_readiness::event::Payload;
use sponson_readiness::moment::CLOCK_TOLERANCE_MS;

use super::{Replica, Standing};
use crate::errors::AppendError;
use crate::parse::{
    Interpreter, ParseError, Parsed, changes_fitness, check_registry, to_log_event,
};
use crate::values::{Appended, NewEvent, Now};

/// Texts beside one event: one for each fault of a bad day.
pub const TEXTS_MAX: usize = 16;

/// Greatest length of a text: 4 KiB is a page.
pub const TEXT_BYTES_MAX: usize = 4 * 1024;

/// What a person was shown before a decision, kept as it was read: a report has up to 8 KiB, fifty
/// candidates of a call-out 30 KiB. Two of them stay far below what one event may carry.
const PAGE_BYTES_MAX: usize = 32 * 1024;

/// What such a text belongs to.
const PAGES: [&str; 2] = ["shown", "listed"];

/// Greatest length of what a text belongs to: a word, a colon and a line's id of 64 bytes.
pub(super) const BELONGS_TO_BYTES_MAX: usize = 80;

impl Replica {
    /// Signs an event and keeps it durably. At the county it also enters the county log.
    ///
    /// # Errors
    /// When it cannot be read back as an event of its kind, or the store fails.
    pub fn append(&mut self, event: NewEvent, now: &Now) -> Result<Appended, AppendError> {
        self.append_with_pictures(event, &[], now)
    }

    /// Signs an event that commits to pictures which are kept here already. They stay files: the
    /// event goes without them.
    ///
    /// # Errors
    /// As for [`Self::append`]; when a picture is not here.
    pub fn append_with_pictures(
        &mut self,
        event: NewEvent,
        pictures: &[(String, Digest)],
        now: &Now,
    ) -> Result<Appended, AppendError> {
        if self.is_paused() {
            return Err(AppendError::Paused);
        }
        let corrected = &self.corrected(now);
        check_draft(&event, latest(now, corrected))?;
        self.restates_one_line(&event)?;
        let now = corrected;
        let beside = self.committed(pictures)?;
        let kind = event.kind;
        // So that what is one thing now is known.
        self.records.judged(&self.index, &self.store);
        let signed = SignedEvent::sign(self.draft(event, beside, now)?, &self.key)?;
        self.index
            .chains
            .fits(self.county, &signed, |id| self.holds(id))
            .map_err(unfit)?;
        match Interpreter(&self.index).payload(&signed)? {
            Parsed::Trade(payload) => {
                if let Payload::Correction { original, .. } = *payload {
                    self.keeps_subjects(&signed, &to_log_event(&original))?;
                }
            }
            Parsed::Registry => {
                check_registry(kind, signed.header().kind_version, signed.payload())?;
            }
            Parsed::NotKnown => {
                return Err(AppendError::Parse(ParseError::NotKnown {
                    kind: kind as i32,
                    version: signed.header().kind_version,
                }));
            }
        }
        let appended = Appended {
            id: signed.id(),
            seq: signed.header().seq,
        };
        self.bind(pictures)?;
        self.keep(vec![signed], ChunkSource::Own, now.unix_ms)?;
        Ok(appended)
    }

    /// The clocks as the device claims them. One that a sync of this start showed to be wrong is
    /// not claimed: the county's time is, by the count since that sync. Everything else it shows as
    /// it is, for others to bound.
    pub(super) fn corrected(&self, now: &Now) -> Now {
        let worth = self.clock_worth(now);
        match worth.doubt {
            AskerClock::Off { .. } => Now {
                unix_ms: worth.unix_ms,
                ..*now
            },
            AskerClock::NotDoubted
            | AskerClock::BeforeCounty { .. }
            | AskerClock::WasOff { .. }
            | AskerClock::Changed { .. } => *now,
        }
    }

    /// A correction is about the same subjects as its original.
    fn keeps_subjects(&self, correction: &SignedEvent, id: &EventId) -> Result<(), AppendError> {
        let Some(original) = self.event(id).map_err(crate::errors::StoreError::Row)? else {
            return Err(AppendError::NotHeld(*id));
        };
        let subjects = |event: &SignedEvent| -> BTreeSet<SubjectId> {
            let subjects = event.header().subjects.iter();
            subjects.map(|subject| subject.id).collect()
        };
        if subjects(correction) == subjects(&original) {
            return Ok(());
        }
        Err(AppendError::Value {
            field: "subjects".to_owned(),
            value: "other than those of the original".to_owned(),
            limit: "a correction names the same".to_owned(),
        })
    }

    /// What a correction restates is a payload of its original's kind.
    fn restates_one_line(&self, event: &NewEvent) -> Result<(), AppendError> {
        if event.kind != Kind::Correction {
            return Ok(());
        }
        // What cannot be read is for its reader to refuse.
        let Ok(correction) = wire::Correction::decode(event.payload.as_slice()) else {
            return Ok(());
        };
        let original = EventId::parse("original", &correction.original).ok();
        let known = original.and_then(|id| self.index.get(&id));
        match known.and_then(|known| Kind::try_from(known.kind).ok()) {
            Some(kind) => texts::payload(kind, &correction.payload),
            None => Ok(()),
        }
    }

    pub(super) fn draft(
        &self,
        event: NewEvent,
        pictures: Vec<Beside>,
        now: &Now,
    ) -> Result<Draft, AppendError> {
        let (seq, previous) = self.next_place();
        let subjects = self
            .subjects_seen(&event)
            .map_err(crate::errors::StoreError::Row)?;
        let (mut beside, contents) = beside(event.texts);
        beside.extend(pictures);
        let header = Header {
            county: self.county,
            key: self.key.key(),
            seq,
            previous,
            kind: event.kind as i32,
            kind_version: event.kind_version,
            if_not_understood: if changes_fitness(event.kind) {
                IfNotUnderstood::Hold
            } else {
                IfNotUnderstood::Ignore
            },
            subjects,
            clock: Clock {
                unix_ms: now.unix_ms,
                utc_offset_min: now.utc_offset_min,
                boot_id: now.boot_id,
                monotonic_ms: now.monotonic_ms,
            },
            checkpoint: self.checkpoint_held(now.unix_ms),
            observed: event.observed,
            member: event.member,
            beside,
        };
        Ok(Draft {
            header,
            payload: event.payload.into(),
            beside: contents,
        })
    }

    /// How many entries this device recorded in its own chain.
    #[must_use]
    pub fn recorded(&self) -> u64 {
        self.next_place().0.saturating_sub(1)
    }

    /// Seq and event before, at the end of the own chain; of the longest branch if it parted.
    fn next_place(&self) -> (u64, Option<EventId>) {
        let heads = self.index.chains.get(&self.key.key());
        let last = heads
            .into_iter()
            .flat_map(|chain| chain.heads())
            .max_by_key(|(_, seq)| **seq);
        last.map_or((1, None), |(id, seq)| (seq + 1, Some(*id)))
    }

    fn checkpoint_held(&self, now_unix_ms: i64) -> Option<CheckpointHeld> {
        match self.standing {
            Standing::County { log, .. } => Some(CheckpointHeld {
                log,
                size: self.index.places.size(),
                unix_ms: self.county_time(now_unix_ms),
            }),
            Standing::Station { .. } => self.checkpoint.as_ref().map(|held| CheckpointHeld {
                log: held.log,
                size: held.size,
                unix_ms: held.unix_ms,
            }),
        }
    }

    /// The county's time: its clock, never before the last entry.
    pub(super) fn county_time(&self, now_unix_ms: i64) -> i64 {
        let last = self.index.places.last_received();
        last.map_or(now_unix_ms, |last| last.max(now_unix_ms))
    }
}

/// The later of what a device's clock shows and of what a sync says that it should: whoever says when
/// she saw something goes by a watch, and where the two differ nothing shows which of them is wrong.
pub(super) fn latest(shown: &Now, corrected: &Now) -> i64 {
    shown.unix_ms.max(corrected.unix_ms)
}

pub(super) fn check_draft(event: &NewEvent, now_unix_ms: i64) -> Result<(), AppendError> {
    texts::one_line("member", &event.member)?;
    texts::payload(event.kind, &event.payload)?;
    let refused = |field: &str, value: String, limit: String| {
        Err(AppendError::Value {
            field: field.to_owned(),
            value,
            limit,
        })
    };
    if event.texts.len() > TEXTS_MAX {
        let limit = format!("at most {TEXTS_MAX} are allowed");
        return refused("texts", event.texts.len().to_string(), limit);
    }
    for (belongs_to, text, _) in &event.texts {
        let page = PAGES.contains(&belongs_to.as_str());
        let bytes_max = if page { PAGE_BYTES_MAX } else { TEXT_BYTES_MAX };
        if text.len() > bytes_max {
            let limit = format!("at most {bytes_max} are allowed: write a second note");
            return refused("note", format!("{} bytes long", text.len()), limit);
        }
        if belongs_to.len() > BELONGS_TO_BYTES_MAX {
            let limit = format!("at most {BELONGS_TO_BYTES_MAX} are allowed");
            return refused(
                "belongs_to",
                format!("{} bytes long", belongs_to.len()),
                limit,
            );
        }
        texts::one_line("belongs_to", belongs_to)?;
    }
    let ids: BTreeSet<SubjectId> = event.subjects.iter().map(|subject| subject.0).collect();
    if ids.len() != event.subjects.len() {
        let limit = "each may be named once".to_owned();
        return refused("subjects", "named twice".to_owned(), limit);
    }
    if let Some((from, to)) = event.observed {
        if from > to {
            let limit = format!("it may not be after its end {to}");
            return refused("observed from", from.to_string(), limit);
        }
        if to > now_unix_ms.saturating_add(CLOCK_TOLERANCE_MS) {
            let limit = format!("it may not be after now, {now_unix_ms}: set the clock right");
            return refused("observed to", to.to_string(), limit);
        }
    }
    Ok(())
}

pub(super) fn unfit(unfit: Unfit) -> AppendError {
    match unfit {
        Unfit::Missing(missing) => {
            let first = missing.first().copied();
            AppendError::NotHeld(first.unwrap_or(EventId::from_bytes([0; 32])))
        }
        Unfit::OtherCounty(_) | Unfit::NotNext { .. } => AppendError::Value {
            field: "chain".to_owned(),
            value: "broken".to_owned(),
            limit: unfit.to_string(),
        },
    }
}

fn beside(texts: Vec<(String, String, [u8; 16])>) -> (Vec<Beside>, Vec<BesideContent>) {
    let pairs = (0_u32..)
        .zip(texts)
        .map(|(index, (belongs_to, text, salt))| {
            let committed = Beside {
                commitment: commitment(&salt, text.as_bytes()),
                kind: BesideType::Text,
                size: u32::try_from(text.len()).unwrap_or(u32::MAX),
                belongs_to,
            };
            let content = wire::BesideContent {
                index,
                salt: Bytes::copy_from_slice(&salt),
                content: text.into(),
            };
            (committed, content)
        });
    pairs.unzip()
}
