//! From a signed event, with its trust and its times, to the event that the fold reads.

use sponson_log::event::{Header, SignedEvent};
use sponson_log::ids as log;
use sponson_log::trust::{
    Stands, Trust as LogTrust, Unconfirmed as LogUnconfirmed, may_sign, may_sign_off,
};
use sponson_proto::event::v1::{IfNotUnderstood, Kind, SubjectType};
use sponson_readiness::event::{
    Author, Event, Payload, SubjectKind, SubjectSeen, Trust, Unconfirmed,
};
use sponson_readiness::ids::{EventId, SubjectId};
use sponson_readiness::moment::{CLOCK_TOLERANCE_MS, Interval, Moment};

use super::{Context, Parsed, Subjects};
use crate::index::Index;

/// Reads events with what the index knows.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Interpreter<'a>(pub(crate) &'a Index);

impl Interpreter<'_> {
    /// What a payload is, in this replica's knowledge of the events that it names.
    pub(crate) fn payload(&self, event: &SignedEvent) -> Result<Parsed, super::ParseError> {
        let header = event.header();
        if self.0.not_known.contains(&header.kind) {
            return Ok(Parsed::NotKnown);
        }
        let kind_of = |id: &EventId| self.0.get(&to_log_event(id)).map(|known| known.kind);
        let revision_of = |id: &EventId| {
            let standard = self.0.registry.standards().get(&to_log_event(id))?;
            Some(standard.revision)
        };
        let context = Context {
            kind_of: &kind_of,
            revision_of: &revision_of,
        };
        super::payload(
            header.kind,
            header.kind_version,
            event.payload(),
            Subjects(&header.subjects),
            &context,
        )
    }

    /// Whether an event is trusted. A correction needs the role of its original's kind as well.
    pub(crate) fn trust(&self, event: &SignedEvent) -> LogTrust {
        let judged = sponson_log::trust::trust(&self.0.registry, &self.0.chains, event);
        if judged != LogTrust::Trusted || event.header().kind != Kind::Correction as i32 {
            return judged;
        }
        let named = event.payload_references();
        let originals = named.iter().filter_map(|id| self.0.get(id));
        self.may_correct(&Stands::of(event), originals.map(|known| known.kind))
    }

    /// The same, of an event that begins no log, by where it stands and the kinds that it corrects.
    pub(crate) fn trust_at(&self, at: &Stands, corrects: impl Iterator<Item = i32>) -> LogTrust {
        let judged = sponson_log::trust::trust_at(&self.0.registry, &self.0.chains, at);
        if judged == LogTrust::Trusted {
            return self.may_correct(at, corrects);
        }
        judged
    }

    /// Whether what is trusted else is so as a correction of these kinds.
    fn may_correct(&self, at: &Stands, mut kinds: impl Iterator<Item = i32>) -> LogTrust {
        let roles = self.0.registry.roles_at(&at.key, at.seq).unwrap_or(&[]);
        if kinds.all(|kind| may_sign(kind, roles)) {
            LogTrust::Trusted
        } else {
            LogTrust::Unconfirmed(LogUnconfirmed::NoRole)
        }
    }

    /// The event as the fold reads it; none for one of the registry. One that is not trusted and
    /// was dismissed says nothing, but keeps its place among those that saw it.
    pub(crate) fn event(&self, event: &SignedEvent, received: Option<i64>) -> Option<Event> {
        let header = event.header();
        let (registry, chains) = (&self.0.registry, &self.0.chains);
        let judged = self.trust(event);
        let dismissed = judged != LogTrust::Trusted
            && self
                .0
                .dismissals
                .cover(&Stands::of(event), registry, chains);
        let payload = match self.payload(event) {
            Ok(Parsed::Registry) => return None,
            _ if dismissed => Payload::Silent,
            Ok(Parsed::Trade(payload)) => *payload,
            Ok(Parsed::NotKnown) => Payload::NotUnderstood {
                hold: header.if_not_understood != IfNotUnderstood::Ignore,
            },
            Err(_) => Payload::NotUnderstood { hold: true },
        };
        let roles = registry.roles_at(&header.key, header.seq);
        Some(Event {
            id: to_trade_event(event.id()),
            author: Author {
                key: *header.key.as_bytes(),
                station: registry
                    .key(&header.key)
                    .and_then(|key| key.station)
                    .map(to_trade_subject),
                member: header.member.clone(),
            },
            subjects: subjects_seen(header),
            interval: self
                .0
                .times(&header.key, Times::of(header))
                .interval(received),
            trust: trust(judged),
            may_sign_off: roles.is_some_and(may_sign_off),
            payload,
        })
    }
}

fn subjects_seen(header: &Header) -> Vec<SubjectSeen> {
    let known = header.subjects.iter().filter_map(|subject| {
        Some(SubjectSeen {
            id: to_trade_subject(subject.id),
            kind: subject_kind(subject.kind)?,
            seen: subject.seen.iter().map(|id| to_trade_event(*id)).collect(),
        })
    });
    known.collect()
}

/// Nothing was recorded before 2025-01-01T00:00:00Z: there was nothing to record it with. What a
/// device wrote before its first sync begins here, so that a dead clock at 1970 is not believed.
/// What was observed earlier, and entered from paper, may be older.
const RECORDED_FROM_UNIX_MS: i64 = 1_735_689_600_000;

/// The same as a moment.
pub(crate) const RECORDED_FROM: Moment = Moment(RECORDED_FROM_UNIX_MS);

/// What a header says about when its event happened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Times {
    checkpoint: Option<i64>,
    clock: i64,
    observed: Option<(i64, i64)>,
    start: ([u8; 16], u64),
    claim: Claim,
}

/// The times of a header, each by itself.
#[derive(Clone, Copy, Debug)]
pub(crate) struct TimeParts {
    /// Time of the checkpoint that was held.
    pub(crate) checkpoint: Option<i64>,
    /// Claimed wall time.
    pub(crate) clock: i64,
    /// When it was seen, of what was entered later.
    pub(crate) observed: Option<(i64, i64)>,
    /// The start of the device, and the count since.
    pub(crate) start: ([u8; 16], u64),
}

/// What the claimed time of a device is worth.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Claim {
    /// It counts when it lies within what is known.
    Counts,
    /// The clock was set in this start of the device: it does not count.
    Doubted,
}

impl Times {
    /// The times of a header.
    pub(crate) fn of(header: &Header) -> Self {
        Self {
            checkpoint: header.checkpoint.map(|held| held.unix_ms),
            clock: header.clock.unix_ms,
            observed: header.observed,
            start: (header.clock.boot_id, header.clock.monotonic_ms),
            claim: Claim::Counts,
        }
    }

    /// What they are made of; whether the claim counts is not part of it.
    pub(crate) const fn parts(&self) -> TimeParts {
        TimeParts {
            checkpoint: self.checkpoint,
            clock: self.clock,
            observed: self.observed,
            start: self.start,
        }
    }

    /// The times of these parts.
    pub(crate) const fn from_parts(parts: TimeParts) -> Self {
        Self {
            checkpoint: parts.checkpoint,
            clock: parts.clock,
            observed: parts.observed,
            start: parts.start,
            claim: Claim::Counts,
        }
    }

    /// The same, of a start in which the clock was set.
    pub(crate) const fn doubted(self) -> Self {
        Self {
            claim: Claim::Doubted,
            ..self
        }
    }

    /// The start of the device.
    pub(crate) const fn boot_id(&self) -> [u8; 16] {
        self.start.0
    }

    /// The start of the device, the count since, and wall time less the count; none when the clock
    /// was plainly wrong.
    pub(crate) fn count(&self) -> Option<([u8; 16], u64, i64)> {
        let (boot_id, count_ms) = self.start;
        let plausible = self.clock >= self.not_before().saturating_sub(CLOCK_TOLERANCE_MS);
        let counted = i64::try_from(count_ms).unwrap_or(i64::MAX);
        plausible.then(|| (boot_id, count_ms, self.clock.saturating_sub(counted)))
    }

    /// No event was signed before this.
    fn not_before(&self) -> i64 {
        self.checkpoint
            .unwrap_or(i64::MIN)
            .max(RECORDED_FROM_UNIX_MS)
    }

    /// The moment that the device, or for a late entry the person, named. What was seen lies before
    /// it was entered, as far as the device's clock can be right at all.
    pub(crate) fn claimed(&self) -> i64 {
        self.observed.map_or(self.clock, |(_, to)| {
            to.min(self.clock.max(self.not_before()))
        })
    }

    /// When the event was signed, whenever that of which it speaks was observed.
    pub(crate) fn signed(self, received: Option<i64>) -> Interval {
        Self {
            observed: None,
            ..self
        }
        .interval(received)
    }

    /// When the event happened. A late entry whose moment the person knew only roughly keeps both
    /// ends of what she said: its claimed time is put outside, so that rules take the worse end.
    pub(crate) fn interval(&self, received: Option<i64>) -> Interval {
        let claimed = self.claimed();
        match self.observed {
            Some((from, _)) if from < claimed => {
                let late = received.map_or(claimed, |received| received.min(claimed));
                Interval {
                    early: Some(Moment(from)),
                    late: Some(Moment(late)),
                    claimed: Moment(claimed).plus_ms(CLOCK_TOLERANCE_MS + 1),
                }
            }
            Some(_) => Interval {
                early: None,
                late: received.map(Moment),
                claimed: Moment(claimed),
            },
            None => Interval {
                early: Some(Moment(self.not_before())),
                late: received.map(Moment),
                claimed: match self.claim {
                    Claim::Counts => Moment(claimed),
                    // Outside of everything, so that nobody believes it.
                    Claim::Doubted => Moment(i64::MAX),
                },
            },
        }
    }
}

const fn trust(trust: LogTrust) -> Trust {
    match trust {
        LogTrust::Trusted => Trust::Trusted,
        LogTrust::Unconfirmed(why) => Trust::Unconfirmed(match why {
            LogUnconfirmed::NotAdmitted => Unconfirmed::NotAdmitted,
            LogUnconfirmed::NoRole => Unconfirmed::NoRole,
            LogUnconfirmed::AfterEnd => Unconfirmed::AfterEnd,
            LogUnconfirmed::Parted => Unconfirmed::Forked,
        }),
    }
}

/// Sort of a subject; none when this program does not know it.
pub(crate) const fn subject_kind(kind: SubjectType) -> Option<SubjectKind> {
    Some(match kind {
        SubjectType::Unspecified => return None,
        SubjectType::Craft => SubjectKind::Craft,
        SubjectType::Gear => SubjectKind::Gear,
        SubjectType::Bag => SubjectKind::Bag,
        SubjectType::Shelf => SubjectKind::Shelf,
        SubjectType::Station => SubjectKind::Station,
        SubjectType::County => SubjectKind::County,
        SubjectType::Member => SubjectKind::Member,
    })
}

/// An event's id in the words of the trade.
pub(crate) const fn to_trade_event(id: log::EventId) -> EventId {
    EventId::from_bytes(*id.as_bytes())
}

/// An event's id in the words of the log.
pub(crate) const fn to_log_event(id: &EventId) -> log::EventId {
    log::EventId::from_bytes(*id.as_bytes())
}

/// A subject's id in the words of the trade.
pub(crate) const fn to_trade_subject(id: log::SubjectId) -> SubjectId {
    SubjectId::from_bytes(*id.as_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOUR: i64 = 3_600_000;

    /// A moment in hours after the first that can have been recorded.
    const fn hour(hours: i64) -> i64 {
        RECORDED_FROM_UNIX_MS + hours * HOUR
    }

    /// Earliest and latest moment in hours, asked at hour 100.
    fn ends(times: Times, received: Option<i64>) -> (i64, i64) {
        let interval = times.interval(received);
        let now = Moment(hour(100));
        let hours = |moment: Moment| (moment.0 - RECORDED_FROM_UNIX_MS) / HOUR;
        (hours(interval.earliest(now)), hours(interval.latest(now)))
    }

    #[test]
    fn rules_take_the_worse_end_of_what_is_known() {
        let plain = |clock: i64| Times {
            checkpoint: Some(hour(10)),
            clock: hour(clock),
            observed: None,
            start: ([1; 16], 0),
            claim: Claim::Counts,
        };
        let never = |clock: i64| Times {
            checkpoint: None,
            ..plain(clock)
        };
        let late = |from: i64, to: i64| Times {
            observed: Some((hour(from), hour(to))),
            ..plain(50)
        };
        let cases = [
            ("inside", plain(50), Some(60), (50, 50)),
            ("not stored yet", plain(50), None, (50, 50)),
            ("clock behind", plain(5), Some(60), (10, 60)),
            ("clock ahead", plain(70), Some(60), (10, 60)),
            (
                "dead clock, never synced",
                never(-400_000),
                Some(60),
                (0, 60),
            ),
            ("never synced", never(50), Some(60), (50, 50)),
            ("set in this start", plain(50).doubted(), Some(60), (10, 60)),
            ("set, not stored yet", plain(50).doubted(), None, (10, 100)),
            ("set, from paper", late(2, 2).doubted(), Some(60), (2, 2)),
            ("from paper", late(2, 2), Some(60), (2, 2)),
            (
                "from paper, entered by a dead clock",
                Times {
                    clock: 0,
                    ..late(2, 2)
                },
                Some(60),
                (2, 2),
            ),
            ("from paper, before all", late(-9, -9), Some(60), (-9, -9)),
            ("from paper, roughly", late(2, 4), Some(60), (2, 4)),
            (
                "from paper, roughly, not stored yet",
                late(2, 4),
                None,
                (2, 4),
            ),
            (
                "said to be later than the clock",
                late(70, 80),
                Some(60),
                (50, 50),
            ),
        ];
        for (name, times, received, expected) in cases {
            let received = received.map(hour);
            assert_eq!(ends(times, received), expected, "{name}");
        }
    }
}
