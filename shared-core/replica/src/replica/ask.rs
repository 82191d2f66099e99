//! Answering questions from what is held.

use std::collections::{BTreeMap, BTreeSet};

use sponson_log::chains::Chain;
use sponson_log::ids::{EventId, Key};
use sponson_readiness::answer::{CountyAnswer, KnownBy};
use sponson_readiness::conditions::Position;
use sponson_readiness::engine::{County, Question, Station, answer, kit_county};
use sponson_readiness::ids::{LineId, MissionId, SubjectId};
use sponson_readiness::kit_moves::{KitAsked, KitCounty};
use sponson_readiness::moment::{CLOCK_TOLERANCE_MS, Moment};
use sponson_readiness::record::Record;

use super::Replica;
use crate::index::{Index, SameTrust};
use crate::parse::to_trade_subject;
use crate::records::{Current, Until, known_at, records_at};

impl Replica {
    /// Answers a question from what is held.
    ///
    /// Asked by a clock that is behind what the county has shown, as after a flat battery, it
    /// answers for the county's newest time: else every check would look as if just done.
    #[must_use]
    pub fn ask(&mut self, question: &Question) -> CountyAnswer {
        self.of_county(question, answer)
    }

    /// Where the county stands before a day of kit moves, by what is held; the moment that was judged
    /// and what was known come with it. `metres` are the ways between stations.
    #[must_use]
    pub fn kit_county(
        &mut self,
        question: &Question,
        kit: &KitAsked,
        metres: BTreeMap<(SubjectId, SubjectId), u32>,
    ) -> (Moment, KnownBy, KitCounty) {
        self.of_county(question, |county, question| {
            let stands = kit_county(county, question, kit, metres);
            (question.as_of, county.known_by.clone(), stands)
        })
    }

    fn of_county<T>(
        &mut self,
        question: &Question,
        asked: impl FnOnce(&County<'_>, &Question) -> T,
    ) -> T {
        let question = &self.not_before_the_county(question);
        self.sheets.refresh(&self.index.registry);
        let known_by = self.known_by();
        let stations = self.stations(question.now);
        let not_understood = self.sheets.not_understood(&self.index);
        let then;
        let records = match Until::of(question, &self.index.places) {
            Until::Always => self.records.judged(&self.index, &self.store),
            until @ Until::Begun { .. } => {
                let current = Current {
                    records: self.records.fresh(&self.index, &self.store),
                    index: &self.index,
                    trust: SameTrust::Yes,
                };
                then = records_at(&self.index, &self.store, until, &current);
                &then
            }
        };
        let county = County {
            policy: self.sheets.policy(),
            standards: self.sheets.standards(),
            stations: &stations,
            records,
            not_understood: &not_understood,
            known_by: &known_by,
        };
        asked(&county, question)
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

    /// Kit lines of all boat standards in force, each with what the standards call it.
    #[must_use]
    pub fn kit_lines(&mut self) -> BTreeMap<LineId, BTreeSet<String>> {
        self.sheets.refresh(&self.index.registry);
        let mut lines: BTreeMap<LineId, BTreeSet<String>> = BTreeMap::new();
        let standards = self.sheets.standards().values();
        for item in standards.flat_map(|standard| &standard.items) {
            let labels = lines.entry(item.id.clone()).or_default();
            labels.insert(item.label.clone());
        }
        lines
    }

    pub(super) fn not_before_the_county(&self, question: &Question) -> Question {
        let shown = self.newest_shown().map(Moment);
        let mut asked = question.clone();
        if let Some(shown) = shown.filter(|shown| shown.since(asked.now) > CLOCK_TOLERANCE_MS) {
            if asked.as_of == asked.now {
                asked.as_of = shown;
            }
            asked.now = shown;
        }
        asked
    }

    /// Records of all craft, gear, bags and shelves, as they are judged.
    pub fn records(&mut self) -> &BTreeMap<SubjectId, Record> {
        self.records.judged(&self.index, &self.store)
    }

    /// What an answer rests on now.
    #[must_use]
    pub fn known_by(&self) -> KnownBy {
        self.known_by_of(&self.index)
    }

    /// The registered stations, and when each was last heard. The own station of a device is heard
    /// now: the asker is where it asks. A time that is still to come counts for nothing.
    #[must_use]
    pub fn stations(&self, now: Moment) -> BTreeMap<SubjectId, Station> {
        let mut stations = stations_in(&self.index, now);
        let believed = self
            .heard
            .iter()
            .filter(|(_, heard)| !is_to_come(**heard, now));
        for (id, heard) in believed {
            if let Some(station) = stations.get_mut(&to_trade_subject(*id)) {
                station.last_heard = station.last_heard.max(Some(Moment(*heard)));
            }
        }
        let own = self.own_station().and_then(|id| stations.get_mut(&id));
        if let Some(own) = own {
            own.last_heard = own.last_heard.max(Some(now));
        }
        stations
    }

    /// Stations that were heard at a time that is still to come, with that time: until they are heard
    /// again nobody knows when it was.
    #[must_use]
    pub fn heard_to_come(&self, now: Moment) -> BTreeMap<sponson_log::ids::SubjectId, Moment> {
        let heard = self
            .heard
            .iter()
            .filter(|(_, heard)| is_to_come(**heard, now));
        heard.map(|(id, heard)| (*id, Moment(*heard))).collect()
    }

    /// The station at which this device stands, while its key counts.
    fn own_station(&self) -> Option<SubjectId> {
        let admitted = self.index.registry.key(&self.key())?;
        let station = admitted.station.filter(|_| admitted.ended.is_none());
        station.filter(|_| !self.is_county()).map(to_trade_subject)
    }
}

/// The registered stations, and when each was last heard by the events of an index alone.
pub(super) fn stations_in(index: &Index, now: Moment) -> BTreeMap<SubjectId, Station> {
    let registered = index.registry.stations().iter();
    let mut stations: BTreeMap<SubjectId, Station> = registered
        .map(|(id, facts)| {
            let station = Station {
                name: facts.name.clone(),
                call: facts.call.clone(),
                position: facts
                    .position_e7
                    .map(|(lat_e7, lon_e7)| Position { lat_e7, lon_e7 }),
                elevation_mm: facts.elevation_mm,
                last_heard: None,
            };
            (to_trade_subject(*id), station)
        })
        .collect();
    for (key, chain) in index.chains.iter() {
        let station = index.registry.station_of(key).map(to_trade_subject);
        let Some(station) = station.and_then(|id| stations.get_mut(&id)) else {
            continue;
        };
        let newest = good_heads(index, key, chain);
        let newest = newest
            .iter()
            .filter_map(|id| head_time(index, id, now))
            .max();
        station.last_heard = station.last_heard.max(newest);
    }
    stations
}

/// Newest events of a chain that its station wrote, as far as anybody can tell: where the key
/// was ended, or the chain parts in two, whatever comes after is not known to be the station's.
fn good_heads(index: &Index, key: &Key, chain: &Chain) -> Vec<EventId> {
    let end = index.registry.key(key).and_then(|it| it.ended);
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
fn head_time(index: &Index, id: &EventId, now: Moment) -> Option<Moment> {
    let number = index.number(id)?;
    let received = index.places.received(number);
    let known = index.at(number)?;
    let times = index.times(&known.key, known.times);
    Some(known_at(times.signed(received), now).earliest(now))
}

/// How far a time at which a station was heard may lie after the asker's: as far as the county takes
/// its own clock at its start, ten minutes. No county counts silence in less than an hour.
const HEARD_AHEAD_MAX_MS: i64 = 10 * 60 * 1000;

/// Whether a station was heard at a time that is still to come: by a clock of the county that ran
/// ahead. It counts for nothing: else that station could not fall silent until then.
fn is_to_come(heard_unix_ms: i64, now: Moment) -> bool {
    Moment(heard_unix_ms).since(now) > HEARD_AHEAD_MAX_MS
}
