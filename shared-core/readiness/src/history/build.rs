//! From events to a history: what was registered twice is joined, each subject is told by itself in
//! fold order, and what one tells of another is put together.

use std::collections::{BTreeMap, BTreeSet};

use super::between::{placed_and_metered, told_of_both};
use super::craft::FittedPast;
use super::finish::{bag, craft, gear, shelf};
use super::gather::OfSubject;
use super::placed::Placed;
use super::{Decided, History, HoldPast, LeftOut};
use crate::event::{Event, LeadDecision, Payload, SubjectKind, SubjectSeen, Trust};
use crate::ids::{EventId, FaultId, SubjectId};
use crate::moment::Moment;
use crate::record::{Joined, Said, Told, tell};

/// The moments that a history is made for.
#[derive(Clone, Copy, Debug)]
pub(super) struct Moments {
    /// Judged.
    pub(super) until: Moment,
    /// Of the asker.
    pub(super) now: Moment,
}

/// What is made one subject after another.
struct Building {
    moments: Moments,
    history: History,
    decisions: BTreeMap<EventId, Decided>,
    fitted: BTreeMap<SubjectId, Vec<FittedPast>>,
}

/// Makes the history.
pub(super) fn build(events: &[Event], moments: Moments) -> History {
    let kinds = kinds(events);
    let joined = joined(events, &kinds);
    if joined.is_empty() {
        return build_joined(events, &kinds, moments);
    }
    let renamed: Vec<Event> = events
        .iter()
        .map(|event| joined.renamed(event.clone()))
        .collect();
    build_joined(&renamed, &self::kinds(&renamed), moments)
}

fn build_joined(
    events: &[Event],
    kinds: &BTreeMap<SubjectId, SubjectKind>,
    moments: Moments,
) -> History {
    let mut building = Building {
        moments,
        history: History::empty(moments.until),
        decisions: BTreeMap::new(),
        fitted: BTreeMap::new(),
    };
    for (subject, of_subject) in by_subject(events) {
        if let Some(kind) = kinds.get(&subject) {
            building.tell(subject, *kind, &of_subject);
        }
    }
    building.finish()
}

impl Building {
    fn tell(&mut self, subject: SubjectId, kind: SubjectKind, events: &[&Event]) {
        let mut told = OfSubject::new(subject);
        let mut holds: BTreeMap<EventId, HoldPast> = BTreeMap::new();
        let mut left_out = std::mem::take(&mut self.history.left_out);
        tell(subject, events.iter().copied(), |heard| match heard {
            Told::Withdrawn(event) => _ = left_out.withdrawn.insert(event),
            Told::Beside(event) => _ = left_out.beside.insert(event),
            Told::Unconfirmed(event) => _ = left_out.unconfirmed.insert(event),
            Told::Said(said) if *said.payload() == Payload::Silent => {}
            Told::Said(said) => {
                let at = self.at(&said);
                note_left_out(&said, &mut left_out);
                told.take(&said, at);
                self.decided(&said, at);
                hold(&said, at, &mut holds);
            }
        });
        self.history.left_out = left_out;
        self.history.holds.extend(holds.into_values());
        self.keep(told, kind);
    }

    /// When it happened, as claimed and held to what is known; nothing happened after the moment that
    /// is judged.
    fn at(&self, said: &Said<'_, '_>) -> Moment {
        let possible = said.origin().interval.possible(self.moments.now);
        possible.min(self.moments.until)
    }

    fn decided(&mut self, said: &Said<'_, '_>, at: Moment) {
        let (origin, payload) = (said.origin(), said.payload());
        if let Payload::LeadDecision(decision) = payload
            && origin.trust == Trust::Trusted
            && let Some(decided) = decided(decision, said, at)
        {
            self.decisions.insert(origin.event, decided);
        }
    }

    fn keep(&mut self, mut told: OfSubject, kind: SubjectKind) {
        if let Some(first) = told.first {
            let from = self.history.from.unwrap_or(first);
            self.history.from = Some(from.min(first));
        } else {
            return;
        }
        told.sort();
        let placed = Placed::follow(told.id, &told.moved);
        for (craft, fitted) in &placed.fitted {
            let of_craft = self.fitted.entry(*craft).or_default();
            of_craft.push(fitted.clone());
        }
        let id = told.id;
        match kind {
            SubjectKind::Craft => {
                self.history.crafts.insert(id, craft(told, placed));
            }
            SubjectKind::Gear => {
                let gear = gear(told, placed);
                self.history.gear.extend(gear.map(|gear| (id, gear)));
            }
            SubjectKind::Bag => {
                self.history.bags.insert(id, bag(told, placed));
            }
            SubjectKind::Shelf => {
                self.history.stock.insert(id, shelf(told, placed));
            }
            SubjectKind::Station | SubjectKind::County | SubjectKind::Member => {}
        }
    }

    fn finish(mut self) -> History {
        let mut history = self.history;
        history.decisions = self.decisions.into_values().collect();
        history.decisions.sort_by_key(|it| (it.at, it.event));
        history.holds.sort_by_key(|it| (it.at, it.event));
        for (id, craft) in &mut history.crafts {
            craft.fitted = self.fitted.remove(id).unwrap_or_default();
            let by_time = |it: &FittedPast| (it.from, it.gear, it.until);
            craft.fitted.sort_by_key(by_time);
        }
        told_of_both(&mut history);
        placed_and_metered(&mut history);
        history
    }
}

fn note_left_out(said: &Said<'_, '_>, left_out: &mut LeftOut) {
    let origin = said.origin();
    if origin.trust != Trust::Trusted {
        left_out.unconfirmed.insert(origin.event);
    } else if let Payload::NotUnderstood { .. } = said.payload() {
        left_out.not_understood.insert(origin.event);
    }
}

fn decided(decision: &LeadDecision, said: &Said<'_, '_>, at: Moment) -> Option<Decided> {
    let things = |seen: &&SubjectSeen| matches!(seen.kind, SubjectKind::Craft | SubjectKind::Gear);
    let subjects = said.subjects().iter().filter(things);
    Some(Decided {
        event: said.origin().event,
        at,
        by: said.origin().author.clone(),
        action: decision.action?,
        faults: decision.faults.clone(),
        subjects: subjects.map(|seen| seen.id).collect(),
        part: decision.part.clone(),
        place: decision.place,
        model: decision.model.clone(),
        batch: decision.batch.clone(),
    })
}

fn hold(said: &Said<'_, '_>, at: Moment, holds: &mut BTreeMap<EventId, HoldPast>) {
    let origin = said.origin();
    if origin.trust != Trust::Trusted {
        return;
    }
    if let Payload::HeldCountyWide(hold) = said.payload() {
        let held = HoldPast {
            event: origin.event,
            at,
            by: origin.author.clone(),
            hold: hold.clone(),
            lifted: None,
        };
        holds.insert(origin.event, held);
    } else if let Payload::HoldLifted { hold } = said.payload() {
        let named = FaultId {
            event: *hold,
            ordinal: 0,
        };
        if let Some(held) = holds.get_mut(hold).filter(|_| said.may_end(&named)) {
            held.lifted.get_or_insert((at, origin.event));
        }
    }
}

/// What sort of thing each subject is: as trusted events say, else as any says.
fn kinds(events: &[Event]) -> BTreeMap<SubjectId, SubjectKind> {
    let mut kinds: BTreeMap<SubjectId, (bool, SubjectKind)> = BTreeMap::new();
    let say = events.iter().filter(|it| it.payload != Payload::Silent);
    for event in say {
        let doubted = event.trust != Trust::Trusted;
        for seen in &event.subjects {
            let known = kinds.entry(seen.id).or_insert((doubted, seen.kind));
            *known = (*known).min((doubted, seen.kind));
        }
    }
    let kinds = kinds.into_iter();
    kinds.map(|(id, (_, kind))| (id, kind)).collect()
}

fn by_subject(events: &[Event]) -> BTreeMap<SubjectId, Vec<&Event>> {
    let mut by_subject: BTreeMap<SubjectId, Vec<&Event>> = BTreeMap::new();
    for event in events {
        let subjects: BTreeSet<SubjectId> = event.subjects.iter().map(|seen| seen.id).collect();
        for subject in subjects {
            by_subject.entry(subject).or_default().push(event);
        }
    }
    by_subject
}

/// What was registered twice: as trusted events that nothing took back say, things of one sort only.
fn joined(events: &[Event], kinds: &BTreeMap<SubjectId, SubjectKind>) -> Joined {
    let is_same = |payload: &Payload| matches!(payload, Payload::SameAs { .. });
    let says_same = |event: &&Event| {
        let restated = restated(&event.payload);
        is_same(restated.unwrap_or(&event.payload))
    };
    let about = events.iter().filter(says_same).flat_map(|it| &it.subjects);
    let about: BTreeSet<SubjectId> = about.map(|seen| seen.id).collect();
    let mut pairs: BTreeSet<(SubjectId, SubjectId)> = BTreeSet::new();
    for subject in about {
        tell(subject, events, |heard| {
            if let Told::Said(said) = heard
                && said.relieves()
                && let Payload::SameAs { one, other } = said.payload()
                && kinds.get(one) == kinds.get(other)
            {
                pairs.insert((*one, *other));
            }
        });
    }
    Joined::of_pairs(pairs)
}

/// What a correction states instead.
fn restated(payload: &Payload) -> Option<&Payload> {
    if let Payload::Correction { restated, .. } = payload {
        restated.as_deref()
    } else {
        None
    }
}
