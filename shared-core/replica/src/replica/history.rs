//! The county's past from what is held: every event is read once, as the records read them.

use std::collections::BTreeMap;

use sponson_readiness::answer::KnownBy;
use sponson_readiness::engine::{County, NotUnderstood, Question, Station};
use sponson_readiness::event::Event;
use sponson_readiness::history::History;
use sponson_readiness::ids::{ModelId, SubjectId};
use sponson_readiness::moment::Moment;
use sponson_readiness::record::Record;
use sponson_readiness::standard::{Policy, Standard};

use super::Replica;
use crate::index::SameTrust;
use crate::parse::Interpreter;
use crate::records::{Current, Until, keep_begun, records_at};

/// What happened in a county, with what it is judged by.
#[derive(Clone, Debug)]
pub struct CountyPast {
    /// What happened.
    pub history: History,
    /// The records as they are judged at the same moment.
    pub records: BTreeMap<SubjectId, Record>,
    /// Boat standards in force, by model.
    pub standards: BTreeMap<ModelId, Standard>,
    /// The policy in force.
    pub policy: Policy,
    /// Stations, and when each was last heard.
    pub stations: BTreeMap<SubjectId, Station>,
    /// What of the log is not understood, beside what records hold themselves.
    pub not_understood: NotUnderstood,
    /// What it rests on.
    pub known_by: KnownBy,
    /// The moment asked about.
    pub as_of: Moment,
    /// The asker's moment.
    pub now: Moment,
}

impl CountyPast {
    /// The county as the engine reads it.
    #[must_use]
    pub const fn county(&self) -> County<'_> {
        County {
            policy: &self.policy,
            standards: &self.standards,
            stations: &self.stations,
            records: &self.records,
            not_understood: &self.not_understood,
            known_by: &self.known_by,
        }
    }
}

impl Replica {
    /// What happened in the county until the moment that a question judges; of the question only its
    /// moments count. Rows that cannot be read are counted, and keep nothing else from being told.
    #[must_use]
    pub fn history(&mut self, question: &Question) -> CountyPast {
        let question = &self.not_before_the_county(question);
        self.sheets.refresh(&self.index.registry);
        let until = Until::of(question, &self.index.places);
        let records = match until {
            Until::Always => self.records.judged(&self.index, &self.store).clone(),
            Until::Begun { .. } => {
                let current = Current {
                    records: self.records.fresh(&self.index, &self.store),
                    index: &self.index,
                    trust: SameTrust::Yes,
                };
                records_at(&self.index, &self.store, until, &current)
            }
        };
        let (mut events, damaged) = self.all_events();
        if let Until::Begun { as_of, now } = until {
            keep_begun(&mut events, as_of, now);
        }
        let mut history = History::of(&events, question.as_of, question.now);
        history.left_out.damaged = damaged;
        CountyPast {
            history,
            records,
            standards: self.sheets.standards().clone(),
            policy: self.sheets.policy().clone(),
            stations: self.stations(question.now),
            not_understood: self.sheets.not_understood(&self.index),
            known_by: self.known_by(),
            as_of: question.as_of,
            now: question.now,
        }
    }

    /// Every event but the registry's, and how many rows could not be read.
    fn all_events(&self) -> (Vec<Event>, u64) {
        let (mut events, mut damaged) = (Vec::new(), 0);
        for number in 0..self.index.size() {
            let is_registry = self.index.at(number).is_some_and(|it| it.is_registry());
            if is_registry {
                continue;
            }
            match self.store.event(number) {
                Ok(event) => {
                    let received = self.index.places.received(number);
                    events.extend(Interpreter(&self.index).event(&event, received));
                }
                Err(error) => {
                    tracing::error!(store.row = %error.row, "{error}");
                    damaged += 1;
                }
            }
        }
        (events, damaged)
    }
}
