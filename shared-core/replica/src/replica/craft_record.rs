//! Everything that is held about one craft: its own entries, those of gear while it was on it, the
//! county's that concern it; and what proves them.
//!
//! It leaves nothing out that may be about the craft: where times are not known to the minute, an
//! entry that may lie within a gear's time aboard is taken. It says nothing in words.

use std::collections::{BTreeMap, BTreeSet};

use sponson_log::checkpoint::Checkpoint;
use sponson_log::craft_record::RecordProof;
use sponson_log::event::SignedEvent;
use sponson_log::event_proof::needs;
use sponson_log::ids::{EventId, Key, SubjectId};
use sponson_log::registry::Registry;
use sponson_proto::event::v1::{Kind, SubjectType};
use sponson_readiness::event::{CountyHold, Payload, Place};
use sponson_readiness::ids::SubjectId as TradeId;
use sponson_readiness::moment::{Interval, Moment};
use sponson_readiness::record::Record;

use super::Replica;
use super::known::Known;
use crate::errors::RowError;
use crate::index::Index;
use crate::parse::{Interpreter, Parsed, to_trade_subject};
use crate::records::{Current, Until, records_at};
use crate::values::LogLine;

/// What is wanted of a craft's record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RecordOf {
    /// The craft.
    pub craft: SubjectId,
    /// The beginning of the county log that is taken as known; none for all that is held.
    pub known: Option<Known>,
    /// The asker's moment.
    pub now: Moment,
}

/// Everything about a craft.
#[derive(Debug)]
pub struct CraftLines {
    /// Its ids: more than one when it was registered more than once.
    pub ids: BTreeSet<SubjectId>,
    /// What its events add up to; none when nothing counts yet.
    pub record: Option<Record>,
    /// The entries, in the order in which they happened.
    pub lines: Vec<CraftLine>,
    /// Adoptions of the policy and of boat standards of its model, in order of time.
    pub sheets: Vec<CraftLine>,
    /// The registry as it was known.
    pub registry: Registry,
    /// Entries of the county log that are taken as known.
    pub size: u64,
}

/// One entry.
#[derive(Clone, Debug)]
pub struct CraftLine {
    /// The entry; its trust as it was known.
    pub line: LogLine,
    /// Its place in the county log, from 0; none while the county is not known to have stored it.
    pub index: Option<u64>,
    /// When it happened.
    pub interval: Interval,
    /// Whether the lead dismissed it.
    pub dismissed: bool,
    /// Whether its author may sign faults off: decides what a correction by her does.
    pub may_sign_off: bool,
    /// Whether this program understands it.
    pub understood: bool,
    /// What it is about.
    pub via: Via,
}

/// How an entry concerns a craft.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Via {
    /// It is about the craft.
    Craft,
    /// It is about a thing that was on it.
    Aboard(SubjectId),
    /// It is about the county: a hold of its model or batch, a setting.
    County,
}

/// What a part of the log is read with.
struct Reading<'a> {
    replica: &'a Replica,
    index: &'a Index,
    now: Moment,
}

impl Replica {
    /// Everything about a craft.
    ///
    /// # Errors
    /// When a row is damaged.
    pub fn craft_lines(&mut self, of: &RecordOf) -> Result<CraftLines, RowError> {
        let earlier = of
            .known
            .map(|known| self.index.earlier(known.size, &BTreeSet::new()));
        let record = self.record_as_known(of, earlier.as_ref());
        let ids = ids_of(of.craft, record.as_ref());
        let reading = Reading {
            replica: self,
            index: earlier.as_ref().unwrap_or(&self.index),
            now: of.now,
        };
        let mut lines = reading.about(&ids)?;
        let batches = batches(record.as_ref());
        for (gear, windows) in reading.aboard(&ids)? {
            lines.extend(reading.of_gear(gear, &windows, &lines)?);
        }
        lines.extend(reading.holds(&batches)?);
        in_order(&mut lines, of.now);
        let model = batches.first().map_or("", |(model, _)| model.as_str());
        Ok(CraftLines {
            sheets: reading.sheets(model)?,
            registry: reading.index.registry.clone(),
            size: reading.index.places.size(),
            ids,
            record,
            lines,
        })
    }

    fn record_as_known(&mut self, of: &RecordOf, earlier: Option<&Index>) -> Option<Record> {
        let craft = to_trade_subject(of.craft);
        let is_it = |record: &&Record| record.subject == craft || record.same_as.contains(&craft);
        let Some(earlier) = earlier else {
            let records = self.records.judged(&self.index, &self.store);
            return records.values().find(is_it).cloned();
        };
        let current = Current {
            trust: self.index.trust_in(earlier),
            records: self.records.fresh(&self.index, &self.store),
            index: &self.index,
        };
        let records = records_at(earlier, &self.store, Until::Always, &current);
        records.values().find(is_it).cloned()
    }

    /// What proves entries, each by its id, under the newest statement of the county, as far as that
    /// reaches them; and the place of each. `signers` are the entries whose keys are shown.
    ///
    /// # Errors
    /// When a row is damaged.
    pub fn prove_several(
        &self,
        ids: &BTreeSet<EventId>,
        signers: &BTreeSet<EventId>,
        now_unix_ms: i64,
    ) -> Result<(RecordProof, BTreeMap<EventId, u64>), RowError> {
        let signed = self.checkpoint(now_unix_ms);
        let checkpoint = signed.or_else(|| self.newest_checkpoint().cloned());
        let covered = checkpoint.as_ref().map_or(0, |signed| signed.size);
        let place = |id: &EventId| {
            let (index, _) = self.place(id)?;
            (index < covered).then_some((*id, index))
        };
        let places: BTreeMap<EventId, u64> = ids.iter().filter_map(place).collect();
        let mut indices: Vec<u64> = places.values().copied().collect();
        indices.sort_unstable();
        let path = self.tree().inclusion_of_several(&indices, covered);
        let proof = RecordProof {
            path: path.unwrap_or_default(),
            registry: self.registry_of(signers, checkpoint.as_ref())?,
            checkpoint: checkpoint.map(|signed| signed.to_wire().clone()),
        };
        Ok((proof, places))
    }

    /// What the registry says of the keys of some entries, of the statement's and of the own.
    fn registry_of(
        &self,
        ids: &BTreeSet<EventId>,
        checkpoint: Option<&Checkpoint>,
    ) -> Result<Vec<sponson_proto::event::v1::Event>, RowError> {
        let Some(root) = self.registry().root() else {
            return Ok(Vec::new());
        };
        let of_entries = ids.iter().filter_map(|id| self.index.get(id));
        let mut keys: BTreeSet<Key> = of_entries.map(|known| known.key).collect();
        keys.insert(self.key());
        keys.extend(checkpoint.map(|signed| signed.key));
        let stations = keys
            .iter()
            .filter_map(|key| self.registry().station_of(key));
        let stations: BTreeSet<SubjectId> = stations.collect();
        let keys: Vec<Key> = keys.into_iter().collect();
        let mut needed: Vec<SignedEvent> = Vec::new();
        for number in self.index.registry_numbers() {
            let Some(known) = self.index.at(number) else {
                continue;
            };
            // What nobody entitled wrote changes nothing, and a proof has no place for it.
            let may_write = known.key == root || self.registry().key(&known.key).is_some();
            let is_text = [Kind::Policy as i32, Kind::BoatStandard as i32].contains(&known.kind);
            if !may_write || is_text {
                continue;
            }
            let event = self.store.event(number)?;
            let mut of_stations = stations.iter();
            if needs(&event, &root, &keys, None)
                || of_stations.any(|it| needs(&event, &root, &keys, Some(*it)))
            {
                needed.push(event);
            }
        }
        needed.sort_by_key(|event| event.header().key != root);
        Ok(needed.iter().map(SignedEvent::to_wire).collect())
    }
}

/// The ids of a craft that was registered more than once, or its own.
fn ids_of(craft: SubjectId, record: Option<&Record>) -> BTreeSet<SubjectId> {
    let record = record.into_iter();
    let joined = record.flat_map(|record| record.same_as.iter().chain([&record.subject]));
    let joined = joined.map(|id| SubjectId::from_bytes(*id.as_bytes()));
    joined.chain([craft]).collect()
}

/// Model and batch of each registration of a craft.
fn batches(record: Option<&Record>) -> Vec<(String, String)> {
    let sides = record.iter().flat_map(|record| record.craft.iter());
    sides
        .map(|side| {
            (
                side.value.model.as_str().to_owned(),
                side.value.batch.clone(),
            )
        })
        .collect()
}

/// In order of time as far as that is known, and of keeping.
fn in_order(lines: &mut Vec<CraftLine>, now: Moment) {
    lines.sort_by_key(|line| (line.interval.latest(now), line.line.number));
    let mut seen = BTreeSet::new();
    lines.retain(|line| seen.insert(line.line.number));
}

/// From when until when something was aboard, as far as it may have been.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Window {
    from: Moment,
    until: Option<Moment>,
}

impl Reading<'_> {
    fn line(&self, number: u64, via: Via) -> Result<CraftLine, RowError> {
        let read = self.replica.line(number)?;
        let places = &self.index.places;
        let index = places.index(number);
        let received = places.received(number);
        let interpreter = Interpreter(self.index);
        let trade = interpreter.event(&read.event, received);
        let dismissed = trade
            .as_ref()
            .is_some_and(|event| event.payload == Payload::Silent);
        let header = read.event.header();
        let times = crate::parse::Times::of(header);
        let interval = self.index.times(&header.key, times).interval(received);
        Ok(CraftLine {
            index,
            interval: trade.as_ref().map_or(interval, |event| event.interval),
            dismissed,
            may_sign_off: trade.as_ref().is_some_and(|event| event.may_sign_off),
            understood: matches!(
                interpreter.payload(&read.event),
                Ok(Parsed::Trade(_) | Parsed::Registry)
            ),
            via,
            line: LogLine {
                received_unix_ms: received,
                trust: interpreter.trust(&read.event),
                ..read
            },
        })
    }

    fn payload(&self, line: &CraftLine) -> Option<Payload> {
        match Interpreter(self.index).payload(&line.line.event) {
            Ok(Parsed::Trade(payload)) => Some(*payload),
            Ok(Parsed::Registry | Parsed::NotKnown) | Err(_) => None,
        }
    }

    fn about(&self, ids: &BTreeSet<SubjectId>) -> Result<Vec<CraftLine>, RowError> {
        let events = ids.iter().filter_map(|id| self.index.subjects.get(id));
        let numbers: BTreeSet<u64> = events
            .flat_map(|events| events.numbers().iter().copied())
            .collect();
        let lines = numbers.into_iter();
        lines.map(|number| self.line(number, Via::Craft)).collect()
    }

    /// Numbers of the events of a kind that count here.
    fn of_kind(&self, kinds: &[Kind]) -> Vec<u64> {
        let numbers = (0..self.index.size()).filter(|number| {
            let known = self.index.at(*number);
            known.is_some_and(|known| kinds.iter().any(|kind| *kind as i32 == known.kind))
                && self.index.counts(*number)
        });
        numbers.collect()
    }

    /// Things that were on the craft, each with its times there.
    fn aboard(
        &self,
        ids: &BTreeSet<SubjectId>,
    ) -> Result<BTreeMap<SubjectId, Vec<Window>>, RowError> {
        let is_here = |id: &TradeId| ids.contains(&SubjectId::from_bytes(*id.as_bytes()));
        let mut things = BTreeSet::new();
        for number in self.of_kind(&[Kind::Fitted, Kind::Placed, Kind::Correction]) {
            let line = self.line(number, Via::Craft)?;
            let said = match self.payload(&line) {
                Some(Payload::Correction { restated, .. }) => restated.map(|said| *said),
                said => said,
            };
            let goes_on = match &said {
                Some(Payload::Fitted { craft, .. }) => is_here(craft),
                Some(Payload::Placed(Place::Craft(craft))) => is_here(craft),
                Some(_) | None => false,
            };
            if goes_on {
                let subjects = line.line.event.header().subjects.iter();
                let moved = subjects.filter(|it| {
                    matches!(it.kind, SubjectType::Gear | SubjectType::Bag) && !ids.contains(&it.id)
                });
                things.extend(moved.map(|it| it.id));
            }
        }
        let mut aboard = BTreeMap::new();
        for thing in things {
            aboard.insert(thing, self.windows(thing, &is_here)?);
        }
        Ok(aboard)
    }

    fn windows(
        &self,
        thing: SubjectId,
        is_here: &impl Fn(&TradeId) -> bool,
    ) -> Result<Vec<Window>, RowError> {
        let mut lines = self.about(&BTreeSet::from([thing]))?;
        in_order(&mut lines, self.now);
        let mut windows: Vec<Window> = Vec::new();
        for line in lines {
            let said = match self.payload(&line) {
                Some(Payload::Correction { restated, .. }) => restated.map(|said| *said),
                said => said,
            };
            let here = match &said {
                Some(Payload::Fitted { craft, .. } | Payload::Placed(Place::Craft(craft))) => {
                    is_here(craft)
                }
                Some(Payload::Placed(_) | Payload::TakenOff { .. }) => false,
                Some(_) | None => continue,
            };
            let open = windows.last_mut().filter(|window| window.until.is_none());
            match (open, here) {
                (None, true) => windows.push(Window {
                    from: line.interval.earliest(self.now),
                    until: None,
                }),
                (Some(window), false) => window.until = Some(line.interval.latest(self.now)),
                (Some(_), true) | (None, false) => {}
            }
        }
        Ok(windows)
    }

    /// A thing's registration, and its entries that may lie within its times aboard.
    fn of_gear(
        &self,
        thing: SubjectId,
        windows: &[Window],
        known: &[CraftLine],
    ) -> Result<Vec<CraftLine>, RowError> {
        let known: BTreeSet<u64> = known.iter().map(|line| line.line.number).collect();
        let mut lines = self.about(&BTreeSet::from([thing]))?;
        lines.retain(|line| {
            let (from, until) = (
                line.interval.earliest(self.now),
                line.interval.latest(self.now),
            );
            let within = |window: &Window| {
                until >= window.from && window.until.is_none_or(|end| from <= end)
            };
            let kind = line.line.event.header().kind;
            let registers =
                [Kind::GearRegistered as i32, Kind::BagRegistered as i32].contains(&kind);
            !known.contains(&line.line.number) && (registers || windows.iter().any(within))
        });
        for line in &mut lines {
            line.via = Via::Aboard(thing);
        }
        Ok(lines)
    }

    /// County-wide holds of a model or batch, and what lifted them.
    fn holds(&self, batches: &[(String, String)]) -> Result<Vec<CraftLine>, RowError> {
        let concerns = |hold: &CountyHold| {
            batches.iter().any(|(model, batch)| {
                (hold.model.is_empty() || hold.model == *model)
                    && (hold.batch.is_empty() || hold.batch == *batch)
            })
        };
        let mut held = BTreeSet::new();
        let mut lines = Vec::new();
        for number in self.of_kind(&[Kind::HeldCountyWide, Kind::HoldLifted]) {
            let line = self.line(number, Via::County)?;
            match self.payload(&line) {
                Some(Payload::HeldCountyWide(hold)) if concerns(&hold) => {
                    held.insert(*line.line.event.id().as_bytes());
                    lines.push(line);
                }
                Some(Payload::HoldLifted { hold }) if held.contains(hold.as_bytes()) => {
                    lines.push(line);
                }
                Some(_) | None => {}
            }
        }
        Ok(lines)
    }

    /// Adoptions of the policy and of the boat standards of a model.
    fn sheets(&self, model: &str) -> Result<Vec<CraftLine>, RowError> {
        let standards = self.index.registry.standards();
        let mut lines = Vec::new();
        for number in self.of_kind(&[Kind::Policy, Kind::BoatStandard]) {
            let Some(known) = self.index.at(number) else {
                continue;
            };
            let of_model = standards
                .get(&known.id)
                .is_some_and(|sheet| sheet.model == model);
            if known.kind == Kind::Policy as i32 || of_model {
                lines.push(self.line(number, Via::County)?);
            }
        }
        in_order(&mut lines, self.now);
        Ok(lines)
    }
}
