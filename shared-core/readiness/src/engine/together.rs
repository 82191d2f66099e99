//! Which craft can go at once: shared gear, trailers, vehicles and crews counted once.
//!
//! Of the craft that are ready, or ready with limits, and available, the largest set that what they
//! share allows; of sets of one size the one with the earliest numbers. A station that has not said
//! which crews it can raise keeps nobody back, and is named; so is one of which nobody said how many
//! vehicles tow from there. Who goes with which crew is decided by whoever is in charge.

mod choose;

use std::collections::{BTreeMap, BTreeSet};

use super::facts::{Facts, number};
use super::index::Whereabouts;
use super::people::crews_of;
use super::sides::trusted;
use super::{County, Question, gear, place};
use crate::answer::{
    CraftAnswer, Goes, KeptBack, Readiness, Shared, Status, Together, TogetherAsked,
};
use crate::event::{GearKind, Place, SubjectKind};
use crate::ids::SubjectId;
use crate::record::Record;
use choose::choose;

/// Choices tried for each group of craft that share something: a station with 15 craft has 32,768
/// sets, and this is thirty times as many.
const STEPS_MAX: u32 = 1_000_000;

/// What one craft takes when it goes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Takes {
    /// Its station, when all agree.
    pub(super) station: Option<SubjectId>,
    /// Persons of its crew.
    pub(super) persons: u32,
    /// Whether it goes by trailer: one is recorded for it, or stands at its station for any.
    trailer: Trailer,
    /// Numbered gear and bags that are on it.
    gear: BTreeSet<(SubjectId, String)>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Trailer {
    /// Its own, which is among its gear.
    Own,
    /// Any that stands at the station.
    OfStation,
    /// None is recorded.
    NotKnown,
}

impl Takes {
    pub(super) fn of(facts: &Facts<'_>) -> Self {
        let craft = facts.record.subject;
        let kept = facts.index.gear_at(craft).iter();
        let kept = kept.chain(facts.index.bags_at(craft));
        let here = kept.filter(|kept| kept.whereabouts == Whereabouts::Here);
        let here: Vec<&Record> = here.map(|kept| kept.record).collect();
        let station = match place::stations(facts.record).as_slice() {
            [station] => Some(*station),
            _ => None,
        };
        let trailer = if here.iter().any(|record| is_trailer(record)) {
            Trailer::Own
        } else if station.is_some_and(|id| trailers_at(facts.county, id) > 0) {
            Trailer::OfStation
        } else {
            Trailer::NotKnown
        };
        let named = |record: &&Record| (record.subject, number(Some(record), record.subject));
        Self {
            station,
            persons: facts.crew(),
            trailer,
            gear: here.iter().map(named).collect(),
        }
    }

    /// How much of each thing that others could take as well.
    pub(super) fn wants(&self) -> BTreeMap<Shared, u32> {
        let mut wants: BTreeMap<Shared, u32> = BTreeMap::new();
        if let Some(station) = self.station {
            wants.insert(Shared::Crew(station), 1);
            wants.insert(Shared::Persons(station), self.persons);
            if self.trailer == Trailer::OfStation {
                wants.insert(Shared::Trailer(station), 1);
            }
            if self.trailer != Trailer::NotKnown {
                wants.insert(Shared::Vehicle(station), 1);
            }
        }
        let gear = self.gear.iter();
        wants.extend(gear.map(|(id, number)| (Shared::Gear(*id, number.clone()), 1)));
        wants
    }
}

fn is_trailer(record: &Record) -> bool {
    let mut sides = trusted(&record.gear);
    sides.any(|side| side.value.kind == GearKind::Trailer) && gear::is_usable(record)
}

/// Trailers that stand at a station for any of its craft.
fn trailers_at(county: &County<'_>, station: SubjectId) -> u32 {
    let all_say_here = |record: &&Record| {
        let mut sides = record.place.0.iter().peekable();
        sides.peek().is_some() && sides.all(|side| side.value.at == Place::Station(station))
    };
    let records = county.records.values();
    let here = records
        .filter(|record| record.kind == SubjectKind::Gear && is_trailer(record))
        .filter(all_say_here);
    u32::try_from(here.count()).unwrap_or(u32::MAX)
}

/// Which craft can go at once, of those that were judged.
pub(super) fn together(
    county: &County<'_>,
    question: &Question,
    asked: &TogetherAsked,
    judged: &[(&CraftAnswer, &Takes)],
) -> Together {
    let can_go: Vec<&(&CraftAnswer, &Takes)> =
        judged.iter().filter(|(craft, _)| can_go(craft)).collect();
    let wants: Vec<BTreeMap<Shared, u32>> = can_go.iter().map(|(_, takes)| takes.wants()).collect();
    let stations: BTreeSet<SubjectId> = can_go.iter().filter_map(|(_, it)| it.station).collect();
    let room = room(county, question, asked, &stations, &wants);
    let mut chosen = choose(&room, &wants, STEPS_MAX);
    let wanted = asked.wanted.and_then(|wanted| usize::try_from(wanted).ok());
    chosen.picked.truncate(wanted.unwrap_or(usize::MAX));
    let left = left(&room, &wants, &chosen.picked);
    let mut answer = Together {
        wanted: asked.wanted,
        craft: Vec::new(),
        kept_back: Vec::new(),
        exact: chosen.exact,
        crews_not_known: not_in(&room, &stations, Shared::Crew),
        vehicles_not_known: not_in(&room, &towing_from(&can_go), Shared::Vehicle),
    };
    for (index, ((craft, takes), wants)) in can_go.iter().zip(&wants).enumerate() {
        if chosen.picked.contains(&index) {
            answer.craft.push(Goes {
                craft: craft.id,
                number: craft.number.clone(),
                persons: takes.persons,
                takes: wants.keys().cloned().collect(),
            });
        } else {
            let short = wants
                .iter()
                .filter(|(what, need)| left.get(*what).is_some_and(|left| *left < **need));
            answer.kept_back.push(KeptBack {
                craft: craft.id,
                number: craft.number.clone(),
                lacks: short.map(|(what, _)| what.clone()).collect(),
            });
        }
    }
    answer
}

fn can_go(craft: &CraftAnswer) -> bool {
    craft.readiness <= Readiness::ReadyWithLimits && craft.status == Status::Available
}

/// Stations from which craft go by trailer.
fn towing_from(can_go: &[&(&CraftAnswer, &Takes)]) -> BTreeSet<SubjectId> {
    let by_trailer = can_go
        .iter()
        .filter(|(_, takes)| takes.trailer != Trailer::NotKnown);
    by_trailer.filter_map(|(_, takes)| takes.station).collect()
}

/// How much there is of each thing; what is not known has no line.
pub(super) fn room(
    county: &County<'_>,
    question: &Question,
    asked: &TogetherAsked,
    stations: &BTreeSet<SubjectId>,
    wants: &[BTreeMap<Shared, u32>],
) -> BTreeMap<Shared, u32> {
    let mut room = BTreeMap::new();
    for station in stations {
        if let Some(crews) = crews_of(county.records, *station, question.as_of) {
            room.insert(Shared::Crew(*station), crews.crews);
            if let Some(persons) = crews.persons {
                room.insert(Shared::Persons(*station), persons);
            }
        }
        room.insert(Shared::Trailer(*station), trailers_at(county, *station));
        if let Some(vehicles) = asked.vehicles.get(station) {
            room.insert(Shared::Vehicle(*station), *vehicles);
        }
    }
    let things = wants.iter().flat_map(BTreeMap::keys);
    let gear = things.filter(|thing| matches!(thing, Shared::Gear(..)));
    room.extend(gear.map(|thing| (thing.clone(), 1)));
    room
}

/// What those that go leave.
fn left(
    room: &BTreeMap<Shared, u32>,
    wants: &[BTreeMap<Shared, u32>],
    picked: &[usize],
) -> BTreeMap<Shared, u32> {
    let mut left = room.clone();
    let taken = picked
        .iter()
        .filter_map(|index| wants.get(*index))
        .flatten();
    for (what, need) in taken {
        if let Some(left) = left.get_mut(what) {
            *left = left.saturating_sub(*need);
        }
    }
    left
}

fn not_in(
    room: &BTreeMap<Shared, u32>,
    stations: &BTreeSet<SubjectId>,
    what: fn(SubjectId) -> Shared,
) -> Vec<SubjectId> {
    let stations = stations.iter().copied();
    stations
        .filter(|station| !room.contains_key(&what(*station)))
        .collect()
}
