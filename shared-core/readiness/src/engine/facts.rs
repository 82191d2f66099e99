//! What every check of one craft is given: its record, its sheet, the question, what is aboard.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use super::freshness::Freshness;
use super::gear;
use super::index::Index;
use super::sides::{shown, trusted};
use super::verdict::{self, Line};
use super::{County, Question};
use crate::answer::{Asked, Effect, Subject};
use crate::conditions::Dark;
use crate::dates;
use crate::event::{CraftRegistered, Extent, Place};
use crate::ids::{LineId, MissionId, PartId, SubjectId};
use crate::moment::Moment;
use crate::record::{Checked, Origin, Record, Side};
use crate::standard::{Limits, Part, RuleEffect, Standard};

/// Id of the part that a motor serves as, the same in every sheet.
pub(super) const MOTOR: &str = "motor";

/// Id of the part that a trailer serves as, the same in every sheet.
pub(super) const TRAILER: &str = "trailer";

/// Facts about one craft for one question.
pub(super) struct Facts<'a> {
    pub(super) county: &'a County<'a>,
    pub(super) index: &'a Index<'a>,
    pub(super) asked: &'a Asked,
    pub(super) now: Moment,
    /// The county's day at the asked moment.
    pub(super) day: NaiveDate,
    pub(super) record: &'a Record,
    pub(super) registered: &'a CraftRegistered,
    pub(super) standard: &'a Standard,
    pub(super) freshness: Freshness,
    /// Kit that is supposed to be brought aboard beforehand, by line: none, save where it is asked
    /// what bringing it would do.
    pub(super) brought: BTreeMap<LineId, u32>,
}

impl<'a> Facts<'a> {
    /// Gathers the facts; none when registration or standard is not known.
    pub(super) fn new(
        county: &'a County<'a>,
        index: &'a Index<'a>,
        question: &Question,
        asked: &'a Asked,
        record: &'a Record,
    ) -> Option<Self> {
        let registered = &shown(&record.craft)?.value;
        let standard = county.standards.get(&registered.model)?;
        let mut facts = Self {
            county,
            index,
            asked,
            now: question.now,
            day: dates::day(asked.as_of, county.policy.utc_offset_min),
            record,
            registered,
            standard,
            freshness: Freshness::new(record, standard, asked.as_of, question.now),
            brought: BTreeMap::new(),
        };
        facts.freshness = Freshness::with_parts(&facts);
        Some(facts)
    }

    /// The asked mission.
    pub(super) fn mission(&self) -> Option<&'a MissionId> {
        self.asked.mission.as_ref()
    }

    /// Whether it is dark at any time of the job, as far as anybody knows.
    pub(super) fn may_be_dark(&self) -> bool {
        self.asked.dark != Dark::No
    }

    /// Crew reckoned with: as asked, else the least.
    pub(super) fn crew(&self) -> u32 {
        self.asked.crew.count.unwrap_or_else(|| self.least_crew())
    }

    /// Least crew for the asked mission.
    pub(super) fn least_crew(&self) -> u32 {
        let mission = self.mission().and_then(|id| self.standard.missions.get(id));
        let least = mission.and_then(|mission| mission.crew_min).unwrap_or(0);
        least.max(self.standard.crew_min)
    }

    /// Level that one operator must hold for the asked mission.
    pub(super) fn operator_level(&self) -> Option<&'a str> {
        let mission = self.mission().and_then(|id| self.standard.missions.get(id));
        let of_mission = mission.and_then(|mission| mission.operator_level.as_deref());
        of_mission.or(self.standard.operator_level.as_deref())
    }

    /// Limits of wind, current and towing for the asked mission: its own before the craft's.
    pub(super) fn limits(&self) -> Limits {
        let mission = self.mission().and_then(|id| self.standard.missions.get(id));
        let own = mission.map(|mission| mission.limits).unwrap_or_default();
        let every = self.standard.limits.every;
        Limits {
            wind_mm_s: own.wind_mm_s.or(every.wind_mm_s),
            current_mm_s: own.current_mm_s.or(every.current_mm_s),
            tow: own.tow.or(every.tow),
        }
    }

    /// Gear that is fitted as a part, as far as all agree, and may be used.
    pub(super) fn fitted(&self, part: &Part) -> Option<&'a Record> {
        self.index
            .gear_at(self.record.subject)
            .iter()
            .filter(|kept| kept.whereabouts.counts_here() && gear::serves(kept, part))
            .find(|kept| gear::is_usable(kept.record))
            .map(|kept| kept.record)
    }

    /// The motor, when one is fitted and all agree.
    pub(super) fn motor(&self) -> Option<&'a Record> {
        let part = self
            .standard
            .parts
            .iter()
            .find(|part| part.id.as_str() == MOTOR)?;
        self.fitted(part)
    }

    /// The craft's own record, those of subjects said to be the same craft, and those of gear
    /// that a trusted side says is here: a fault travels with the thing that it is on.
    pub(super) fn bodies(&self) -> Vec<&'a Record> {
        let twins = self.index.same_as(self.record.subject);
        let twins = twins
            .iter()
            .filter_map(|id| self.county.records.get(id))
            .filter(|twin| twin.kind == self.record.kind);
        let gear = self.index.gear_at(self.record.subject).iter();
        let gear = gear.filter(|kept| kept.whereabouts.may_be_here());
        [self.record]
            .into_iter()
            .chain(twins)
            .chain(gear.map(|kept| kept.record))
            .collect()
    }

    /// Age of what an origin shows, milliseconds: never negative, from its early end.
    pub(super) fn age_ms(&self, origin: &Origin) -> i64 {
        let at = origin.interval.earliest(self.now);
        self.asked.as_of.since(at).max(0)
    }

    /// Whether no full check could have answered a line that is asked from a day on, because it was
    /// made before that day or by a sheet without the line: it waits for the next one, which is
    /// owed within the check's interval. A line without such a day does not wait.
    pub(super) fn is_newer_than_check(&self, line: &LineId, asked_from: Option<NaiveDate>) -> bool {
        let Some(from) = asked_from.filter(|_| !self.freshness.says_it_all()) else {
            return false;
        };
        let first_in = self.standard.first_in.get(line);
        let offset_min = self.county.policy.utc_offset_min;
        if let Some(parts) = &self.freshness.in_parts {
            return dates::day(parts.at, offset_min) < from;
        }
        let could_not = |side: &Side<Checked>| {
            let by_sheet = side.value.revision.zip(first_in);
            let at = side.origin.interval.earliest(self.now);
            by_sheet.is_some_and(|(answered, first)| answered < *first)
                || dates::day(at, offset_min) < from
        };
        let full = self.record.checks.get(&Extent::Full);
        full.is_some_and(|sides| trusted(sides).all(could_not))
    }

    /// What an effect of a line does to the craft.
    pub(super) fn effect(
        &self,
        effect: RuleEffect,
        id: &LineId,
        missions: &BTreeSet<MissionId>,
    ) -> Effect {
        let line = Line {
            id,
            missions,
            asked: self.mission(),
            lights: self.asked.lights,
        };
        verdict::of_rule(effect, &line)
    }

    /// The words of the standard for a part.
    pub(super) fn part(&self, id: &PartId) -> Subject {
        let part = self.standard.parts.iter().find(|part| part.id == *id);
        let label = part.map_or_else(|| id.0.clone(), |part| part.label.clone());
        Subject::Part(id.clone(), label)
    }

    /// The name of a place, as people say it.
    pub(super) fn place_name(&self, place: Place) -> String {
        match place {
            Place::Station(id) => match self.county.stations.get(&id) {
                Some(station) => station.name.clone(),
                None => id.to_string(),
            },
            Place::Craft(id) | Place::Shelf(id) => self.number_of(id),
        }
    }

    /// The number of a subject, else its id.
    pub(super) fn number_of(&self, id: SubjectId) -> String {
        number(self.county.records.get(&id), id)
    }
}

/// The number of a record, else its id.
pub(super) fn number(record: Option<&Record>, id: SubjectId) -> String {
    match record.and_then(|record| shown(&record.number)) {
        Some(side) => side.value.clone(),
        None => id.to_string(),
    }
}
