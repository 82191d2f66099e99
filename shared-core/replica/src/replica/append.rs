//! Recording: fills the header, signs, reads back as everybody else will, keeps.

use std::collections::BTreeSet;

use bytes::Bytes;
use sponson_log::chains::Unfit;
use sponson_log::event::{
    Beside, CheckpointHeld, Clock, Draft, Header, SEEN_MAX, SignedEvent, Subject, commitment,
};
use sponson_log::ids::{EventId, SubjectId};
use sponson_log::trust::Trust;
use sponson_proto::event::v1::{self as wire, BesideContent, BesideType, IfNotUnderstood};
use sponson_proto::store::v1::ChunkSource;
use sponson_readiness::moment::CLOCK_TOLERANCE_MS;

use super::{Replica, Standing};
use crate::errors::{AppendError, RowError};
use crate::parse::{Interpreter, ParseError, Parsed, changes_fitness, check_registry};
use crate::values::{Appended, NewEvent, Now};

/// Texts beside one event: one for each fault of a bad day.
pub const TEXTS_MAX: usize = 16;

/// Greatest length of a text: 4 KiB is a page.
pub const TEXT_BYTES_MAX: usize = 4 * 1024;

/// Greatest number of heads that one event recorded here names, over all its subjects: 512 of 34
/// bytes are 17 KiB, and leave 47 KiB of a body. With the most subjects, 64, each has 8.
const SEEN_TOTAL_MAX: usize = 512;

/// Greatest length of what a text belongs to: a word, a colon and a line's id of 64 bytes.
const BELONGS_TO_BYTES_MAX: usize = 80;

impl Replica {
    /// Signs an event and keeps it durably. At the county it also enters the county log.
    ///
    /// # Errors
    /// When it cannot be read back as an event of its kind, or the store fails.
    pub fn append(&mut self, event: NewEvent, now: &Now) -> Result<Appended, AppendError> {
        check_draft(&event, now)?;
        let kind = event.kind;
        let signed = SignedEvent::sign(self.draft(event, now)?, &self.key)?;
        self.index
            .chains
            .fits(self.county, &signed, |id| self.holds(id))
            .map_err(unfit)?;
        match Interpreter(&self.index).payload(&signed)? {
            Parsed::Trade(_) => {}
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
        self.keep(vec![signed], ChunkSource::Own, now.unix_ms)?;
        Ok(appended)
    }

    fn draft(&self, event: NewEvent, now: &Now) -> Result<Draft, AppendError> {
        let (seq, previous) = self.next_place();
        let subjects = self
            .subjects_seen(&event)
            .map_err(crate::errors::StoreError::Row)?;
        let (beside, contents) = beside(event.texts);
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

    /// The subjects, each with the heads that were seen of it. Whoever wrote many heads apart
    /// must not make an event too long to be recorded.
    fn subjects_seen(&self, event: &NewEvent) -> Result<Vec<Subject>, RowError> {
        let observed_to = event.observed.map(|(_, to)| to);
        let mut subjects = Vec::with_capacity(event.subjects.len());
        for (id, kind) in &event.subjects {
            subjects.push(Subject {
                id: *id,
                kind: *kind,
                seen: self.seen(id, observed_to)?,
            });
        }
        let total: usize = subjects.iter().map(|subject| subject.seen.len()).sum();
        if total > SEEN_TOTAL_MAX {
            let share = SEEN_TOTAL_MAX / subjects.len().max(1);
            for subject in &mut subjects {
                subject.seen.truncate(share);
            }
        }
        Ok(subjects)
    }

    /// Heads of a subject over all events that are held. Of too many those come first that no
    /// trusted event had seen and that are trusted themselves: a flood of what counts for nothing
    /// must not keep this device from having seen what does.
    fn heads_seen(&self, subject: &SubjectId) -> Result<Vec<EventId>, RowError> {
        let newest = self.index.heads(subject, SEEN_MAX + 1);
        let Some(events) = self.index.subjects.get(subject) else {
            return Ok(newest);
        };
        if newest.len() <= SEEN_MAX {
            return Ok(newest);
        }
        let mut trusted: Vec<EventId> = Vec::new();
        for number in events.numbers() {
            let Some(known) = self.index.at(*number).filter(|known| !known.is_registry()) else {
                continue;
            };
            let event = self.store.event(*number)?;
            if Interpreter(&self.index).trust(&event) == Trust::Trusted {
                let seen = seen_of(&event, subject);
                trusted.retain(|head| !seen.contains(head));
                trusted.push(known.id);
            }
        }
        trusted.reverse();
        trusted.truncate(SEEN_MAX);
        let held: BTreeSet<EventId> = trusted.iter().copied().collect();
        trusted.extend(newest.into_iter().filter(|head| !held.contains(head)));
        trusted.truncate(SEEN_MAX);
        Ok(trusted)
    }

    /// Newest events of a subject, as this device holds them. For something observed earlier:
    /// the newest of those that were observed by then, and of which all that they had seen was.
    fn seen(
        &self,
        subject: &SubjectId,
        observed_to: Option<i64>,
    ) -> Result<Vec<EventId>, RowError> {
        let Some(observed_to) = observed_to else {
            return self.heads_seen(subject);
        };
        let Some(events) = self.index.subjects.get(subject) else {
            return Ok(Vec::new());
        };
        let mut before = BTreeSet::new();
        let mut heads: Vec<EventId> = Vec::new();
        for number in events.numbers() {
            let Some(known) = self.index.at(*number) else {
                continue;
            };
            if known.times.claimed() > observed_to || known.is_registry() {
                continue;
            }
            let event = self.store.event(*number)?;
            let seen = seen_of(&event, subject);
            if seen.iter().all(|id| before.contains(id)) {
                before.insert(known.id);
                heads.retain(|head| !seen.contains(head));
                heads.push(known.id);
            }
        }
        Ok(heads.into_iter().rev().take(SEEN_MAX).collect())
    }
}

/// Heads of a subject that an event had seen.
fn seen_of(event: &SignedEvent, subject: &SubjectId) -> BTreeSet<EventId> {
    let subjects = event.header().subjects.iter();
    subjects
        .filter(|seen| seen.id == *subject)
        .flat_map(|seen| seen.seen.iter().copied())
        .collect()
}

fn check_draft(event: &NewEvent, now: &Now) -> Result<(), AppendError> {
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
        if text.len() > TEXT_BYTES_MAX {
            let limit = format!("at most {TEXT_BYTES_MAX} are allowed: write a second note");
            return refused("text", format!("{} bytes long", text.len()), limit);
        }
        if belongs_to.len() > BELONGS_TO_BYTES_MAX {
            let limit = format!("at most {BELONGS_TO_BYTES_MAX} are allowed");
            return refused(
                "belongs_to",
                format!("{} bytes long", belongs_to.len()),
                limit,
            );
        }
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
        if to > now.unix_ms.saturating_add(CLOCK_TOLERANCE_MS) {
            let limit = format!(
                "it may not be after now, {}: set the clock right",
                now.unix_ms
            );
            return refused("observed to", to.to_string(), limit);
        }
    }
    Ok(())
}

fn unfit(unfit: Unfit) -> AppendError {
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
