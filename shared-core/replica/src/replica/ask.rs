//! Answering questions from what is held.

use std::collections::BTreeMap;

use sponson_readiness::answer::{CountyAnswer, KnownBy};
use sponson_readiness::engine::{County, Question, Station, answer};
use sponson_readiness::ids::SubjectId;
use sponson_readiness::moment::Moment;
use sponson_readiness::record::Record;

use super::Replica;
use crate::parse::to_trade_subject;
use crate::records::records_as_of;

impl Replica {
    /// Answers a question from what is held.
    #[must_use]
    pub fn ask(&mut self, question: &Question) -> CountyAnswer {
        self.sheets.refresh(&self.index.registry);
        let known_by = self.known_by();
        let stations = self.stations(question.now);
        let then;
        let records = if question.as_of < question.now {
            then = records_as_of(&self.index, &self.store, question.as_of, question.now);
            &then
        } else {
            self.records.fresh(&self.index, &self.store)
        };
        let county = County {
            policy: self.sheets.policy(),
            standards: self.sheets.standards(),
            stations: &stations,
            records,
            known_by: &known_by,
        };
        answer(&county, question)
    }

    /// Records of all craft, gear, bags and shelves.
    pub fn records(&mut self) -> &BTreeMap<SubjectId, Record> {
        self.records.fresh(&self.index, &self.store)
    }

    /// What an answer rests on now.
    #[must_use]
    pub fn known_by(&self) -> KnownBy {
        let places = &self.index.places;
        KnownBy {
            log_id: self.log_id().map_or([0; 16], |log| *log.as_bytes()),
            size: places.size(),
            root: match self.log_id() {
                Some(_) => *places.tree.edge().root().as_bytes(),
                None => [0; 32],
            },
            beyond: places.unproven.len() as u64,
        }
    }

    /// The registered stations, and when each was last heard.
    #[must_use]
    pub fn stations(&self, now: Moment) -> BTreeMap<SubjectId, Station> {
        let registered = self.index.registry.stations().iter();
        let mut stations: BTreeMap<SubjectId, Station> = registered
            .map(|(id, facts)| {
                let station = Station {
                    name: facts.name.clone(),
                    elevation_mm: facts.elevation_mm,
                    last_heard: self.heard.get(id).copied().map(Moment),
                };
                (to_trade_subject(*id), station)
            })
            .collect();
        for (key, chain) in self.index.chains.iter() {
            let station = self.index.registry.station_of(key).map(to_trade_subject);
            let Some(station) = station.and_then(|id| stations.get_mut(&id)) else {
                continue;
            };
            let heads = chain.heads().keys();
            let newest = heads.filter_map(|id| self.head_time(id, now)).max();
            station.last_heard = station.last_heard.max(newest);
        }
        stations
    }

    /// When a head was signed: as claimed where nothing contradicts it, else when it was stored.
    fn head_time(&self, id: &sponson_log::ids::EventId, now: Moment) -> Option<Moment> {
        let number = self.index.number(id)?;
        let received = self.index.places.received(number);
        let interval = self.index.at(number)?.times.interval(received);
        interval.believed(now).or(interval.late)
    }
}
