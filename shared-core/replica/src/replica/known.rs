//! Answering from what was known: the beginning of the county log, with the registry in it.
//!
//! An answer of this sort is a function of the county log's first entries and the question: every
//! replica that holds them gives the same one, whatever it has heard since.

use std::collections::{BTreeMap, BTreeSet};

use sponson_log::ids::EventId;
use sponson_log::registry::Registry;
use sponson_readiness::answer::{AskerClock, CountyAnswer, KnownBy};
use sponson_readiness::engine::{County, Question, answer};
use sponson_readiness::ids::SubjectId;
use sponson_readiness::moment::Moment;

use super::ask::stations_in;
use super::sheets::Sheets;
use super::{Replica, clock};
use crate::index::Index;
use crate::records::{Current, Until, records_at};

/// How much is taken as known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Knowing {
    /// The first so many entries of the county log.
    Size(u64),
    /// What the county had stored by a moment.
    Time(Moment),
}

/// The beginning of the county log that a question is answered from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Known {
    /// Entries.
    pub size: u64,
    /// The moment at which so much was known: the one that was asked for, else the time at which
    /// the county stored the last of the entries.
    pub at: Moment,
}

/// Events and times that an answer rests on beside the question.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Inputs {
    /// Entries of the county log.
    pub size: u64,
    /// Events held beyond them, in order of id.
    pub beyond: BTreeSet<EventId>,
    /// When stations were last heard, as whoever answered had it; none to go by the events.
    pub heard: Option<BTreeMap<SubjectId, Option<Moment>>>,
    /// What was known against the asker's clock: a second moment in it was judged too.
    pub clock: AskerClock,
}

/// An answer, and the registry that it was given by.
#[derive(Clone, Debug)]
pub struct Answered {
    /// The answer.
    pub answer: CountyAnswer,
    /// The registry as it was known.
    pub registry: Registry,
}

/// Why nothing can be answered from what was known then.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum KnownError {
    /// No county log is held.
    #[error("nothing of the county log is held here: sync first")]
    NoLog,
    /// Not one entry.
    #[error("size is 0; it must be at least 1")]
    Nothing,
    /// More than is held.
    #[error(
        "size is {size}; {held} entries of the county log are held here: sync, or ask for less"
    )]
    Beyond {
        /// The size asked for.
        size: u64,
        /// Entries held.
        held: u64,
    },
    /// Before anything was stored.
    #[error("time is {} ms; the county stored its first entry at {} ms: ask for a later one", time.0, first.0)]
    Before {
        /// The time asked for.
        time: Moment,
        /// Time of the first entry.
        first: Moment,
    },
    /// Later than the county is known to have reached: it may have stored more by then.
    #[error("time is {} ms; the county was last heard here at {} ms: sync, or ask for an earlier one", time.0, last.0)]
    After {
        /// The time asked for.
        time: Moment,
        /// The newest time of the county that is known.
        last: Moment,
    },
}

impl Replica {
    /// Finds the beginning of the county log that was known.
    ///
    /// # Errors
    /// When less is held, or nothing was known by then.
    pub fn known(&self, knowing: Knowing, now: Moment) -> Result<Known, KnownError> {
        let places = &self.index.places;
        let received = |index: u64| places.at(index).map(|(_, received)| Moment(received));
        let held = places.size();
        // A log that follows another begins with an entry that is later than those of before.
        let first = places.first_received().map(Moment);
        let (Some(first), Some(newest)) = (first, places.last_received()) else {
            return Err(KnownError::NoLog);
        };
        match knowing {
            Knowing::Size(0) => Err(KnownError::Nothing),
            Knowing::Size(size) => {
                let at = received(size - 1).ok_or(KnownError::Beyond { size, held })?;
                Ok(Known { size, at })
            }
            Knowing::Time(time) if time < first => Err(KnownError::Before { time, first }),
            Knowing::Time(time) => {
                let last = self.county_heard(now).max(Moment(newest));
                if time > last {
                    return Err(KnownError::After { time, last });
                }
                let by_then = |index: &u64| received(*index).is_some_and(|it| it <= time);
                let newest = (0..held).rev().find(by_then).unwrap_or_default();
                Ok(Known {
                    size: newest + 1,
                    at: time,
                })
            }
        }
    }

    /// Until when it is known what the county stored.
    fn county_heard(&self, now: Moment) -> Moment {
        if self.is_county() {
            return now;
        }
        let signed = self.newest_checkpoint().map(|held| Moment(held.unix_ms));
        signed.unwrap_or(Moment(i64::MIN))
    }

    /// Answers a question from the beginning of the county log alone. The asker's moment is the
    /// one judged, or the time of the last entry when that is later: her own clock has no part in
    /// it.
    #[must_use]
    pub fn ask_known(&mut self, question: &Question, known: Known) -> Answered {
        let last = known.size.checked_sub(1).and_then(|last| {
            let (_, received) = self.index.places.at(last)?;
            Some(Moment(received))
        });
        let asked = Question {
            now: question.as_of.max(last.unwrap_or(question.as_of)),
            ..question.clone()
        };
        let inputs = Inputs {
            size: known.size,
            ..Inputs::default()
        };
        self.ask_given(&asked, &inputs)
    }

    /// Answers a question from given events and times: what it was asked with is taken as it is.
    #[must_use]
    pub fn ask_given(&mut self, question: &Question, inputs: &Inputs) -> Answered {
        let mut answered = self.judge_given(question, inputs);
        if let Some(other) = inputs.clock.other() {
            let other = self.judge_given(&clock::at(question, other), inputs);
            clock::worse(&mut answered.answer, other.answer);
        }
        answered
    }

    fn judge_given(&mut self, question: &Question, inputs: &Inputs) -> Answered {
        let beyond = inputs.beyond.iter();
        let beyond: BTreeSet<u64> = beyond.filter_map(|id| self.index.number(id)).collect();
        let earlier = self.index.earlier(inputs.size, &beyond);
        let current = Current {
            trust: self.index.trust_in(&earlier),
            records: self.records.fresh(&self.index, &self.store),
            index: &self.index,
        };
        let records = records_at(
            &earlier,
            &self.store,
            Until::of(question, &earlier.places),
            &current,
        );
        let mut stations = stations_in(&earlier, question.now);
        for (id, heard) in inputs.heard.iter().flatten() {
            if let Some(station) = stations.get_mut(id) {
                station.last_heard = *heard;
            }
        }
        let sheets = Sheets::read(&earlier.registry);
        let county = County {
            policy: sheets.policy(),
            standards: sheets.standards(),
            stations: &stations,
            records: &records,
            not_understood: &sheets.not_understood(&earlier),
            known_by: &self.known_by_of(&earlier),
        };
        let mut given = answer(&county, question);
        given.asked.clock = inputs.clock;
        Answered {
            answer: given,
            registry: earlier.registry,
        }
    }

    pub(super) fn known_by_of(&self, index: &Index) -> KnownBy {
        KnownBy {
            log_id: self.log_id().map_or([0; 16], |log| *log.as_bytes()),
            size: index.places.size(),
            root: match self.log_id() {
                Some(_) => *index.places.tree.edge().root().as_bytes(),
                None => [0; 32],
            },
            beyond: index.places.unproven.len() as u64,
        }
    }

    /// Events held that the county log does not prove.
    #[must_use]
    pub fn beyond(&self) -> BTreeSet<EventId> {
        let numbers = self.index.places.unproven.iter();
        let known = numbers.filter_map(|number| self.index.at(*number));
        known.map(|known| known.id).collect()
    }
}
