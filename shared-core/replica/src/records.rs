//! Records, kept up to date lazily: an event that has seen all heads of its subject is one step;
//! anything else marks the subject, and the next question folds it afresh.

use std::collections::{BTreeMap, BTreeSet};

use sponson_log::ids::SubjectId as LogSubjectId;
use sponson_proto::event::v1::Kind;
use sponson_readiness::engine::Question;
use sponson_readiness::event::{
    Author, Event, Payload, SubjectKind, SubjectSeen, Trust, Unconfirmed,
};
use sponson_readiness::ids::{EventId, SubjectId};
use sponson_readiness::moment::{Interval, Moment};
use sponson_readiness::record::{Joined, Record, Stepped, fold};

use crate::index::{Index, Places, SameTrust, SubjectEvents, is_after};
use crate::parse::{Interpreter, RECORDED_FROM, to_trade_event, to_trade_subject};
use crate::store::Store;

/// Records of craft, gear, bags, shelves, stations, members and the county.
#[derive(Debug, Default)]
pub(crate) struct Records {
    records: BTreeMap<SubjectId, Record>,
    marked: BTreeSet<LogSubjectId>,
    judged: Judged,
}

/// The records that are judged, where they are not those of each subject alone.
#[derive(Debug, Default)]
enum Judged {
    /// Not known since the last change.
    #[default]
    Old,
    /// Nothing was registered twice.
    Alone,
    /// Something was.
    Joined(BTreeMap<SubjectId, Record>),
}

/// Which events count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Until {
    /// All.
    Always,
    /// Those whose interval begins by `as_of`, for somebody who asks at `now`. What the county
    /// stored later than that, by its clock as it was then, happened at a time that nobody knows.
    Begun {
        /// The moment judged.
        as_of: Moment,
        /// The asker's moment.
        now: Moment,
    },
}

impl Until {
    /// Those that count for a question.
    pub(crate) fn of(question: &Question, places: &Places) -> Self {
        let (as_of, now) = (question.as_of, question.now);
        if as_of < now || places.is_any_after(now) {
            Self::Begun { as_of, now }
        } else {
            Self::Always
        }
    }
}

impl Records {
    /// Marks every subject: trust or times have changed.
    pub(crate) fn mark_all(&mut self, index: &Index) {
        let recorded = index
            .subjects
            .iter()
            .filter(|(_, events)| events.recorded());
        self.marked = recorded.map(|(subject, _)| *subject).collect();
    }

    /// Marks the subjects of one event.
    pub(crate) fn mark(&mut self, subjects: impl IntoIterator<Item = LogSubjectId>) {
        self.marked.extend(subjects);
    }

    /// Takes an event that the index has just added.
    pub(crate) fn take(&mut self, event: &Event) {
        self.judged = Judged::Old;
        for subject in &event.subjects {
            let marked_as = LogSubjectId::from_bytes(*subject.id.as_bytes());
            if self.marked.contains(&marked_as) {
                continue;
            }
            let stepped = self
                .records
                .get_mut(&subject.id)
                .and_then(|record| (record.kind == subject.kind).then(|| record.step(event)));
            if stepped != Some(Stepped::Done) {
                self.marked.insert(marked_as);
            }
        }
    }

    /// Folds what was marked, and gives the records as they are judged: those of things that were
    /// registered twice as one.
    pub(crate) fn judged(&mut self, index: &Index, store: &Store) -> &BTreeMap<SubjectId, Record> {
        self.fresh(index, store);
        if matches!(self.judged, Judged::Old) {
            self.judged = match joined(index, store, Until::Always, &self.records, &[]) {
                Some(records) => Judged::Joined(records),
                None => Judged::Alone,
            };
        }
        match &self.judged {
            Judged::Joined(records) => records,
            Judged::Old | Judged::Alone => &self.records,
        }
    }

    /// The records as they would be judged with events beyond those held, in this order; nothing that
    /// is held changes.
    pub(crate) fn tried(
        &mut self,
        index: &Index,
        store: &Store,
        beyond: &[Event],
    ) -> BTreeMap<SubjectId, Record> {
        let mut alone = self.fresh(index, store).clone();
        let about = beyond.iter().flat_map(|event| &event.subjects);
        let about: BTreeSet<SubjectId> = about.map(|seen| seen.id).collect();
        for subject in about {
            let stepped = alone
                .get(&subject)
                .and_then(|record| stepped(record, beyond));
            let record = stepped.or_else(|| folded_with(index, store, subject, beyond));
            if let Some(record) = record {
                alone.insert(subject, record);
            }
        }
        joined(index, store, Until::Always, &alone, beyond).unwrap_or(alone)
    }

    /// Other ids of what a subject is, as far as was judged last.
    pub(crate) fn same_as(&self, subject: &LogSubjectId) -> BTreeSet<LogSubjectId> {
        let Judged::Joined(records) = &self.judged else {
            return BTreeSet::new();
        };
        let subject = to_trade_subject(*subject);
        let same =
            |record: &&Record| record.subject == subject || record.same_as.contains(&subject);
        let Some(record) = records.values().find(same) else {
            return BTreeSet::new();
        };
        let all = record.same_as.iter().chain([&record.subject]);
        all.filter(|id| **id != subject)
            .map(|id| LogSubjectId::from_bytes(*id.as_bytes()))
            .collect()
    }

    /// Folds what was marked, and gives the records of each subject alone.
    pub(crate) fn fresh(&mut self, index: &Index, store: &Store) -> &BTreeMap<SubjectId, Record> {
        if !self.marked.is_empty() {
            self.judged = Judged::Old;
        }
        for subject in std::mem::take(&mut self.marked) {
            let Some(events) = index.subjects.get(&subject) else {
                continue;
            };
            let folded = fold_subject(index, store, subject, events, Until::Always);
            match folded {
                Some(record) => self.records.insert(record.subject, record),
                None => self.records.remove(&to_trade_subject(subject)),
            };
        }
        &self.records
    }
}

/// The records as they are now, and the index that they are of: where nothing sets a subject apart
/// its record is taken from here instead of folded.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Current<'a> {
    /// The records.
    pub(crate) records: &'a BTreeMap<SubjectId, Record>,
    /// Their index.
    pub(crate) index: &'a Index,
    /// Whether events are trusted as in the index that is folded.
    pub(crate) trust: SameTrust,
}

/// Records of an index at a moment: of its events, as far as they count, as they are judged.
pub(crate) fn records_at(
    index: &Index,
    store: &Store,
    until: Until,
    current: &Current<'_>,
) -> BTreeMap<SubjectId, Record> {
    let alone = alone_at(index, store, until, current);
    joined(index, store, until, &alone, &[]).unwrap_or(alone)
}

fn alone_at(
    index: &Index,
    store: &Store,
    until: Until,
    current: &Current<'_>,
) -> BTreeMap<SubjectId, Record> {
    let records = index.subjects.iter().filter_map(|(subject, events)| {
        if current.serves(index, subject) && all_count(index, events, until) {
            let record = current.records.get(&to_trade_subject(*subject))?;
            return Some((record.subject, record.clone()));
        }
        let record = fold_subject(index, store, *subject, events, until)?;
        Some((record.subject, record))
    });
    records.collect()
}

/// The same where things that were registered twice are one, with events beyond those held; none when
/// nothing was.
pub(crate) fn joined(
    index: &Index,
    store: &Store,
    until: Until,
    alone: &BTreeMap<SubjectId, Record>,
    beyond: &[Event],
) -> Option<BTreeMap<SubjectId, Record>> {
    let joined = Joined::of(alone);
    if joined.is_empty() {
        return None;
    }
    let together = joined.all();
    let mut records = BTreeMap::new();
    for (id, record) in alone {
        if joined.id(*id) != *id {
            continue;
        }
        let ids = together.get(id).cloned().unwrap_or_default();
        let record = if ids.is_empty() && !joined.concern(record) {
            record.clone()
        } else {
            let ids: BTreeSet<SubjectId> = ids.into_iter().chain([*id]).collect();
            let about = |event: &&Event| event.subjects.iter().any(|it| ids.contains(&it.id));
            let events = events_of(index, store, &ids, until);
            let events = events.chain(beyond.iter().filter(about).cloned());
            let events: Vec<Event> = events.map(|event| joined.renamed(event)).collect();
            let mut folded = fold(*id, record.kind, &events);
            folded.same_as = ids;
            folded.same_as.remove(id);
            folded
        };
        records.insert(*id, record);
    }
    Some(records)
}

/// The events of several subjects, each once, as far as they count.
fn events_of(
    index: &Index,
    store: &Store,
    subjects: &BTreeSet<SubjectId>,
    until: Until,
) -> impl Iterator<Item = Event> {
    let mut events: BTreeMap<EventId, Event> = BTreeMap::new();
    for subject in subjects {
        let subject = LogSubjectId::from_bytes(*subject.as_bytes());
        let Some(of_subject) = index.subjects.get(&subject) else {
            continue;
        };
        let read = read_events(index, store, subject, of_subject, until);
        events.extend(read.into_iter().map(|event| (event.id, event)));
    }
    events.into_values()
}

impl Current<'_> {
    fn serves(&self, index: &Index, subject: &LogSubjectId) -> bool {
        self.trust == SameTrust::Yes && self.index.same_events(index, subject)
    }
}

/// Whether surely none of a subject's events is silenced. A correction stands at the place of its
/// original, so that its own time says nothing.
fn all_count(index: &Index, events: &SubjectEvents, until: Until) -> bool {
    let Until::Begun { as_of, now } = until else {
        return true;
    };
    events.numbers().iter().all(|number| {
        index.at(*number).is_some_and(|known| {
            let times = index.times(&known.key, known.times);
            let interval = times.interval(index.places.received(*number));
            known.kind != Kind::Correction as i32
                && interval.earliest(now) <= as_of
                && known_at(interval, now) == interval
        })
    })
}

/// A record after events that each have seen all heads of it; none when one has not.
fn stepped(record: &Record, events: &[Event]) -> Option<Record> {
    let mut record = record.clone();
    for event in events {
        let own = event.subjects.iter().find(|seen| seen.id == record.subject);
        let same_kind = own.is_none_or(|seen| seen.kind == record.kind);
        if !same_kind || record.step(event) != Stepped::Done {
            return None;
        }
    }
    Some(record)
}

/// The record of a subject with events beyond those held.
fn folded_with(
    index: &Index,
    store: &Store,
    subject: SubjectId,
    beyond: &[Event],
) -> Option<Record> {
    let in_log = LogSubjectId::from_bytes(*subject.as_bytes());
    let held = index.subjects.get(&in_log);
    let mut events = held.map_or_else(Vec::new, |events| {
        read_events(index, store, in_log, events, Until::Always)
    });
    let about = |event: &&Event| event.subjects.iter().any(|seen| seen.id == subject);
    events.extend(beyond.iter().filter(about).cloned());
    let kind = kind_of(subject, &events)?;
    Some(fold(subject, kind, &events))
}

fn fold_subject(
    index: &Index,
    store: &Store,
    subject: LogSubjectId,
    events: &SubjectEvents,
    until: Until,
) -> Option<Record> {
    if !events.recorded() {
        return None;
    }
    let read = read_events(index, store, subject, events, until);
    let subject = to_trade_subject(subject);
    let kind = kind_of(subject, &read)?;
    Some(fold(subject, kind, &read))
}

fn read_events(
    index: &Index,
    store: &Store,
    subject: LogSubjectId,
    events: &SubjectEvents,
    until: Until,
) -> Vec<Event> {
    let mut read: Vec<Event> = events
        .numbers()
        .iter()
        .filter_map(|number| read_event(index, store, subject, *number))
        .collect();
    if let Until::Begun { as_of, now } = until {
        keep_begun(&mut read, as_of, now);
    }
    read
}

/// An interval as far as somebody knows it who asks at `now`. What the county stored later than that
/// was stored while its clock ran ahead: that clock bounds nothing, and neither does a checkpoint
/// that it gave. The claim is left; one that lies after `now` as well shows nothing, so that what
/// was checked then counts as not checked since long. Else it would look as if just done, until the
/// clock has come to where it stood.
pub(crate) fn known_at(interval: Interval, now: Moment) -> Interval {
    let is_ahead = |end: Option<Moment>| end.is_some_and(|end| is_after(end.0, now));
    let early_ahead = is_ahead(interval.early);
    let late_ahead = is_ahead(interval.late) || (interval.late.is_none() && early_ahead);
    if !late_ahead {
        return interval;
    }
    Interval {
        early: if early_ahead {
            Some(RECORDED_FROM)
        } else {
            interval.early
        },
        late: None,
        ..interval
    }
}

/// Silences the events that had not begun. They keep their places: what saw one of them, and had
/// begun by another clock, has still seen all that came before it.
pub(crate) fn keep_begun(events: &mut [Event], as_of: Moment, now: Moment) {
    for event in events.iter_mut() {
        event.interval = known_at(event.interval, now);
    }
    let begun: BTreeSet<EventId> = events
        .iter()
        .filter(|event| event.interval.earliest(now) <= as_of)
        .map(|event| event.id)
        .collect();
    let about: BTreeSet<EventId> = events.iter().map(|event| event.id).collect();
    for event in events {
        // A correction stands at the place of its original. One whose original is about something
        // else stands by itself: it corrects nothing here, and may be somebody's who is not trusted.
        let original = if let Payload::Correction { original, .. } = &event.payload {
            Some(*original).filter(|original| about.contains(original))
        } else {
            None
        };
        let counts = begun.contains(&original.unwrap_or(event.id));
        if !counts {
            event.payload = Payload::Silent;
        }
    }
}

/// What sort of thing a subject is: as trusted events say, else as any says; of several the first
/// in the order of sorts, so that the order of arrival does not matter.
fn kind_of(subject: SubjectId, events: &[Event]) -> Option<SubjectKind> {
    let kinds = |trusted_only: bool| {
        events
            .iter()
            .filter(|event| event.payload != Payload::Silent)
            .filter(move |event| !trusted_only || event.trust == Trust::Trusted)
            .flat_map(|event| &event.subjects)
            .filter(move |seen| seen.id == subject)
            .map(|seen| seen.kind)
            .min()
    };
    kinds(true).or_else(|| kinds(false))
}

/// What a subject is taken for where an event of it cannot be read: a station as the registry says,
/// else a craft, so that somebody goes and looks.
fn kind_if_damaged(index: &Index, subject: LogSubjectId) -> SubjectKind {
    if index.registry.stations().contains_key(&subject) {
        SubjectKind::Station
    } else {
        SubjectKind::Craft
    }
}

/// Reads an event for a fold. One whose row was damaged since the store was opened holds its
/// subject as unproven: a loss never makes a craft readier.
fn read_event(index: &Index, store: &Store, subject: LogSubjectId, number: u64) -> Option<Event> {
    let received = index.places.received(number);
    match store.event(number) {
        Ok(event) => Interpreter(index).event(&event, received),
        Err(error) => {
            tracing::error!(store.row = %error.row, "{error}");
            let known = index.at(number)?;
            Some(Event {
                id: to_trade_event(known.id),
                author: Author {
                    key: *known.key.as_bytes(),
                    station: None,
                    member: String::new(),
                },
                subjects: vec![SubjectSeen {
                    id: to_trade_subject(subject),
                    kind: kind_if_damaged(index, subject),
                    seen: Vec::new(),
                }],
                interval: index.times(&known.key, known.times).interval(received),
                trust: Trust::Unconfirmed(Unconfirmed::NotAdmitted),
                payload: Payload::NotUnderstood { hold: true },
                may_sign_off: false,
            })
        }
    }
}
