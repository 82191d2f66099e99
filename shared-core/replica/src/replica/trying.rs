//! What an answer would be if something were recorded: signed and read as for the log, folded into
//! copies of the records, and never kept.
//!
//! The same reading at the door, the same header, the same fold and the same engine as after
//! recording, so that the answer is the one that recording would give. Nothing is written, and what
//! is held, its chains and its records stay as they are.

use std::collections::{BTreeMap, BTreeSet};

use sponson_log::chains::Unfit;
use sponson_log::event::{Draft, SignedEvent};
use sponson_log::ids::EventId;
use sponson_readiness::answer::{CountyAnswer, CraftAnswer};
use sponson_readiness::asked_back::{AskedBack, Before, Entered, FieldRef, asked_back};
use sponson_readiness::engine::{County, Question, answer, on_craft};
use sponson_readiness::event::{AirDirection, Check, Event, Payload};
use sponson_readiness::ids::{PartId, SubjectId};
use sponson_readiness::moment::Moment;
use sponson_readiness::record::Record;
use sponson_readiness::standard::{Policy, Standard};
use sponson_readiness::walk::Aboard;

use super::Replica;
use super::append::{check_draft, latest, unfit};
use super::clock::{at, worse};
use crate::errors::AppendError;
use crate::parse::{Interpreter, ParseError, Parsed};
use crate::values::{NewEvent, Now};

/// Most events that are tried at once: those of one check, of a dozen people, and the air that each
/// of 20 parts was given.
pub const TRIED_MAX: usize = 40;

/// What recording would give.
#[derive(Clone, Debug)]
pub struct Tried {
    /// The answer for the craft; none when no record would know it.
    pub craft: Option<CraftAnswer>,
    /// The answer whole, as if recorded.
    pub answer: CountyAnswer,
    /// What does not make sense, or hardly does.
    pub asked_back: Vec<AskedBack>,
    /// The check as it was read: all that was handed in, together.
    pub check: Check,
    /// The sheet of the craft; none when none is in force.
    pub standard: Option<Standard>,
}

/// A craft as one walks round it.
#[derive(Clone, Debug)]
pub struct WalkOf {
    /// Its sheet.
    pub standard: Standard,
    /// What is on it.
    pub aboard: Aboard,
    /// The county's settings.
    pub policy: Policy,
}

impl Replica {
    /// Answers a question about a craft as if events were recorded now, in their order, and asks
    /// back what hardly makes sense about them.
    ///
    /// # Errors
    /// When one of them would be refused if it were recorded.
    pub fn try_record(
        &mut self,
        events: Vec<NewEvent>,
        craft: SubjectId,
        question: &Question,
        now: &Now,
    ) -> Result<Tried, AppendError> {
        if events.len() > TRIED_MAX {
            return Err(AppendError::Value {
                field: "events".to_owned(),
                value: events.len().to_string(),
                limit: format!("at most {TRIED_MAX} are tried at once"),
            });
        }
        let drafted = self.drafted(events, now)?;
        let (check, air_added, observed) = entered(&drafted);
        let judged_at = Moment(self.clock_worth(now).unix_ms);
        let standard = self.sheet_of(craft);
        let asked = standard.as_ref().map_or_else(Vec::new, |standard| {
            let entered = Entered {
                check: &check,
                observed,
                air_added: &air_added,
            };
            let policy = self.sheets.policy().clone();
            let before = Before {
                records: self.records.judged(&self.index, &self.store),
                craft,
                standard,
                policy: &policy,
                now: judged_at,
            };
            asked_back(&entered, &before, |_: &FieldRef| false)
        });
        let drafted: Vec<Event> = drafted.into_iter().map(|(_, event)| event).collect();
        let answer = self.ask_with(&drafted, question, now);
        let alone = answer.craft.iter().find(|answer| answer.id == craft);
        Ok(Tried {
            craft: alone.cloned(),
            answer,
            asked_back: asked,
            check,
            standard,
        })
    }

    /// A craft as one walks round it; none when nobody registered it or no sheet is in force for it.
    #[must_use]
    pub fn walk_of(&mut self, craft: SubjectId) -> Option<WalkOf> {
        let standard = self.sheet_of(craft)?;
        let aboard = on_craft(self.records.judged(&self.index, &self.store), craft);
        Some(WalkOf {
            standard,
            aboard,
            policy: self.sheets.policy().clone(),
        })
    }

    fn sheet_of(&mut self, craft: SubjectId) -> Option<Standard> {
        self.sheets.refresh(&self.index.registry);
        let record = self.records.judged(&self.index, &self.store).get(&craft)?;
        let registered = record.craft.iter().next()?;
        self.sheets
            .standards()
            .get(&registered.value.model)
            .cloned()
    }

    /// The events as they would stand in the own chain, each with what the fold would read of it.
    fn drafted(
        &mut self,
        events: Vec<NewEvent>,
        now: &Now,
    ) -> Result<Vec<(SignedEvent, Event)>, AppendError> {
        let shown = now;
        let now = self.corrected(shown);
        // So that what is one thing now is known.
        self.records.judged(&self.index, &self.store);
        let mut drafted: Vec<(SignedEvent, Event)> = Vec::new();
        for event in events {
            check_draft(&event, latest(shown, &now))?;
            let observed_to = event.observed.map(|(_, to)| to);
            let mut draft = self.draft(event, Vec::new(), &now)?;
            for (earlier, _) in &drafted {
                follow(&mut draft, earlier, observed_to);
                // At the county each takes its place in the log before the next is written.
                if let Some(held) = draft
                    .header
                    .checkpoint
                    .as_mut()
                    .filter(|_| self.is_county())
                {
                    held.size = held.size.saturating_add(1);
                }
            }
            let signed = SignedEvent::sign(draft, &self.key)?;
            let known = |id: &EventId| {
                self.holds(id) || drafted.iter().any(|(earlier, _)| earlier.id() == *id)
            };
            match self.index.chains.fits(self.county, &signed, known) {
                // After one that is only tried.
                Err(Unfit::NotNext { .. }) if !drafted.is_empty() => {}
                fits => fits.map_err(unfit)?,
            }
            let read = self.read_as_kept(&signed, now.unix_ms)?;
            drafted.push((signed, read));
        }
        Ok(drafted)
    }

    /// The event as the fold would read it once it is kept.
    fn read_as_kept(&self, signed: &SignedEvent, unix_ms: i64) -> Result<Event, AppendError> {
        let interpreter = Interpreter(&self.index);
        let not_known = || {
            AppendError::Parse(ParseError::NotKnown {
                kind: signed.header().kind,
                version: signed.header().kind_version,
            })
        };
        match interpreter.payload(signed)? {
            Parsed::Trade(_) => {}
            Parsed::Registry | Parsed::NotKnown => return Err(not_known()),
        }
        let received = self.is_county().then(|| self.county_time(unix_ms));
        interpreter.event(signed, received).ok_or_else(not_known)
    }

    /// Answers as [`Replica::ask_by_clock`] does, with events beyond those held.
    fn ask_with(&mut self, events: &[Event], question: &Question, now: &Now) -> CountyAnswer {
        let worth = self.clock_worth(now);
        let records = self.records.tried(&self.index, &self.store, events);
        let mut answer = self.judge_tried(&records, &at(question, Moment(worth.unix_ms)));
        if let Some(other) = worth.doubt.other() {
            let other = self.judge_tried(&records, &at(question, other));
            worse(&mut answer, other);
        }
        answer.asked.clock = worth.doubt;
        answer
    }

    fn judge_tried(
        &mut self,
        records: &BTreeMap<SubjectId, Record>,
        question: &Question,
    ) -> CountyAnswer {
        let question = &self.not_before_the_county(question);
        self.sheets.refresh(&self.index.registry);
        let known_by = self.known_by();
        let stations = self.stations(question.now);
        let not_understood = self.sheets.not_understood(&self.index);
        let county = County {
            policy: self.sheets.policy(),
            standards: self.sheets.standards(),
            stations: &stations,
            records,
            not_understood: &not_understood,
            known_by: &known_by,
        };
        answer(&county, question)
    }
}

/// Puts a draft behind an event that is tried before it: next in the chain, and having seen it,
/// where what it speaks of was not observed earlier.
fn follow(draft: &mut Draft, earlier: &SignedEvent, observed_to: Option<i64>) {
    let before = earlier.header();
    draft.header.seq = before.seq.saturating_add(1);
    draft.header.previous = Some(earlier.id());
    let claimed = before.observed.map_or(before.clock.unix_ms, |(_, to)| to);
    if observed_to.is_some_and(|to| claimed > to) {
        return;
    }
    for subject in &mut draft.header.subjects {
        let about = before.subjects.iter().find(|other| other.id == subject.id);
        if let Some(about) = about {
            subject.seen.retain(|id| !about.seen.contains(id));
            subject.seen.insert(0, earlier.id());
        }
    }
}

/// What was entered, together: every check's lines, the parts that got air, when it was observed.
fn entered(drafted: &[(SignedEvent, Event)]) -> (Check, BTreeSet<PartId>, Option<Moment>) {
    let mut whole = Check::default();
    let mut air_added = BTreeSet::new();
    let mut observed = None;
    for (signed, event) in drafted {
        observed = observed.max(signed.header().observed.map(|(_, to)| Moment(to)));
        if let Payload::Check(check) = &event.payload {
            add(&mut whole, check);
        }
        if let Payload::AirChanged(air) = &event.payload
            && air.direction == AirDirection::Added
        {
            air_added.insert(air.part.clone());
        }
    }
    (whole, air_added, observed)
}

fn add(whole: &mut Check, check: &Check) {
    whole.extent = check.extent;
    whole.standard_revision = check.standard_revision;
    whole.stowage = check.stowage.or(whole.stowage);
    whole.readings.extend(check.readings.iter().cloned());
    whole.counts.extend(check.counts.iter().cloned());
    whole.answers.extend(check.answers.iter().cloned());
    whole.meters.extend(&check.meters);
    whole.found_aboard.extend(&check.found_aboard);
    whole.fuel.extend(&check.fuel);
    whole.faults.extend(check.faults.iter().cloned());
    whole.cylinders.extend(&check.cylinders);
    whole.seals.extend(check.seals.iter().cloned());
}
