//! What comes due of each craft and each thing, by the same functions that judge it today.
//!
//! Nothing here is a rule of its own: inspections are asked of `inspections`, units of kit and what
//! lacks of `kit`, cylinders of `air`. What is added is only that it is asked of later days.

mod craft;
mod gear;
mod inspections;
mod kit;
mod needs;
mod shelves;

use std::collections::BTreeMap;

use chrono::Duration;

pub(crate) use needs::Want;
pub(crate) use shelves::{Lots, Stocked};

use super::facts::{Facts, number};
use super::index::Index;
use super::spare::Search;
use super::{County, Question, asked, place, standing};
use crate::ahead::{AheadAsked, DueItem, NotKnown, Often};
use crate::answer::{Asked, Status};
use crate::dates::{self, Day};
use crate::event::SubjectKind;
use crate::history::History;
use crate::ids::{MissionId, SubjectId};
use crate::kit_moves::KitAsked;
use crate::record::Record;
use crate::standard::Standard;

/// Everything that comes due, in no order, and what shelves must give and have.
pub(crate) struct Gathered {
    pub(crate) today: Day,
    pub(crate) until: Day,
    pub(crate) due: Vec<DueItem>,
    pub(crate) often: Vec<Often>,
    pub(crate) not_known: Vec<NotKnown>,
    pub(crate) wants: Vec<Want>,
    pub(crate) stocked: Vec<Stocked>,
}

/// The days asked about.
#[derive(Clone, Copy)]
struct Span {
    today: Day,
    until: Day,
}

/// One craft that may still be used, for one mission after another.
struct Looked<'a> {
    county: &'a County<'a>,
    history: &'a History,
    question: &'a Question,
    index: &'a Index<'a>,
    asked: &'a BTreeMap<Option<MissionId>, Asked>,
    span: Span,
    record: &'a Record,
    number: String,
    station: Option<SubjectId>,
}

/// Gathers over the county.
pub(crate) fn gather(county: &County<'_>, history: &History, ask: &AheadAsked) -> Gathered {
    let question = Question::general(ask.from, ask.now);
    let index = Index::new(county.records);
    let today = dates::day(ask.from, county.policy.utc_offset_min);
    let until = today.checked_add_signed(Duration::days(i64::from(ask.days)));
    let span = Span {
        today,
        until: until.unwrap_or(Day::MAX),
    };
    let by_mission = by_mission(county, &question);
    let mut gathered = Gathered {
        today,
        until: span.until,
        due: Vec::new(),
        often: Vec::new(),
        not_known: Vec::new(),
        wants: Vec::new(),
        stocked: Vec::new(),
    };
    for record in craft_in_use(county) {
        let looked = Looked {
            county,
            history,
            question: &question,
            index: &index,
            asked: &by_mission,
            span,
            record,
            number: number(Some(record), record.subject),
            station: one_station(record),
        };
        looked.gather(&mut gathered);
    }
    gear::gather(county, &index, span, &mut gathered.due);
    let lines = shelves::lines(county, &gathered.wants);
    let kit = KitAsked::default();
    let search = Search::new(county, &index, &question, (&lines, &kit));
    gathered.stocked = shelves::gather(&search, &lines);
    gathered
}

/// Craft that nobody condemned.
fn craft_in_use<'a>(county: &County<'a>) -> impl Iterator<Item = &'a Record> {
    let craft = county.records.values();
    craft.filter(|record| {
        record.kind == SubjectKind::Craft && standing::status(record) != Status::Condemned
    })
}

/// The station at which a craft is, when all agree.
fn one_station(record: &Record) -> Option<SubjectId> {
    match place::stations(record)[..] {
        [station] => Some(station),
        _ => None,
    }
}

/// The question for each mission that any sheet has, and for none.
fn by_mission(county: &County<'_>, question: &Question) -> BTreeMap<Option<MissionId>, Asked> {
    let missions = county.standards.values();
    let missions = missions.flat_map(|standard| standard.missions.keys().cloned().map(Some));
    let of = |mission: Option<MissionId>| {
        let asked = Asked {
            mission: mission.clone(),
            ..asked(county.policy, question)
        };
        (mission, asked)
    };
    [None].into_iter().chain(missions).map(of).collect()
}

impl<'a> Looked<'a> {
    fn gather(&self, gathered: &mut Gathered) {
        let Some(facts) = self.facts(None) else {
            return;
        };
        inspections::gather(self, &facts, gathered);
        kit::gather(self, &facts, &mut gathered.due);
        gathered.often.push(craft::full_check(self, &facts));
        gathered.due.extend(craft::waivers(self, &facts));
        gathered.wants.extend(needs::of_craft(self, &facts));
    }

    /// The facts for a mission; none when the craft's standard is not known.
    fn facts(&self, mission: Option<&MissionId>) -> Option<Facts<'a>> {
        let asked = self.asked.get(&mission.cloned())?;
        Facts::new(self.county, self.index, self.question, asked, self.record)
    }

    /// Missions of a craft's own sheet, and none.
    fn missions_of<'s>(&self, standard: &'s Standard) -> Vec<Option<&'s MissionId>> {
        let own = standard.missions.keys().map(Some);
        [None].into_iter().chain(own).collect()
    }
}
