//! Answering questions from what is held.

use std::collections::{BTreeMap, BTreeSet};

use sponson_log::chains::Chain;
use sponson_log::ids::{EventId, Key};
use sponson_readiness::answer::{CountyAnswer, KnownBy};
use sponson_readiness::engine::{County, Question, Station, answer};
use sponson_readiness::ids::{MissionId, SubjectId};
use sponson_readiness::moment::{CLOCK_TOLERANCE_MS, Moment};
use sponson_readiness::record::Record;

use super::Replica;
use crate::parse::to_trade_subject;
use crate::records::records_as_of;

impl Replica {
    /// Answers a question from what is held.
    ///
    /// Asked by a clock that is behind what the county has shown, as after a flat battery, it
    /// answers for the county's newest time: else every check would look as if just done.
    #[must_use]
    pub fn ask(&mut self, question: &Question) -> CountyAnswer {
        let question = &self.not_before_the_county(question);
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

    /// Missions that any boat standard in force has.
    #[must_use]
    pub fn missions(&mut self) -> BTreeSet<MissionId> {
        self.sheets.refresh(&self.index.registry);
        let standards = self.sheets.standards().values();
        standards
            .flat_map(|standard| standard.missions.keys().cloned())
            .collect()
    }

    fn not_before_the_county(&self, question: &Question) -> Question {
        let signed = self
            .checkpoint
            .as_ref()
            .map(|checkpoint| checkpoint.unix_ms);
        let shown = signed.max(self.index.places.last_received()).map(Moment);
        let mut asked = question.clone();
        if let Some(shown) = shown.filter(|shown| shown.since(asked.now) > CLOCK_TOLERANCE_MS) {
            if asked.as_of == asked.now {
                asked.as_of = shown;
            }
            asked.now = shown;
        }
        asked
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

    /// The registered stations, and when each was last heard. The own station of a device is heard
    /// now: the asker is where it asks.
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
            let newest = self.good_heads(key, chain);
            let newest = newest.iter().filter_map(|id| self.head_time(id, now)).max();
            station.last_heard = station.last_heard.max(newest);
        }
        let own = self.own_station().and_then(|id| stations.get_mut(&id));
        if let Some(own) = own {
            own.last_heard = own.last_heard.max(Some(now));
        }
        stations
    }

    /// The station at which this device stands, while its key counts.
    fn own_station(&self) -> Option<SubjectId> {
        let admitted = self.index.registry.key(&self.key())?;
        let station = admitted.station.filter(|_| admitted.ended.is_none());
        station.filter(|_| !self.is_county()).map(to_trade_subject)
    }

    /// Newest events of a chain that its station wrote, as far as anybody can tell: where the key
    /// was ended, or the chain parts in two, whatever comes after is not known to be the station's.
    fn good_heads(&self, key: &Key, chain: &Chain) -> Vec<EventId> {
        let end = self.index.registry.key(key).and_then(|it| it.ended);
        match (end, chain.parted_at()) {
            (Some(end), _) => {
                let last = end.last_good.into_iter();
                last.filter(|id| chain.contains(end.last_good_seq, id))
                    .collect()
            }
            (None, Some(parted)) => {
                let before = parted.checked_sub(1).and_then(|seq| chain.at(seq));
                before.into_iter().flatten().copied().collect()
            }
            (None, None) => chain.heads().keys().copied().collect(),
        }
    }

    /// When a head was signed, at the earliest: what it speaks of is no younger.
    fn head_time(&self, id: &EventId, now: Moment) -> Option<Moment> {
        let number = self.index.number(id)?;
        let received = self.index.places.received(number);
        let times = self.index.at(number)?.times;
        Some(times.signed(received).earliest(now))
    }
}
