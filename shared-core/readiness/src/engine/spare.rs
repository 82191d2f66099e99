//! Spare kit: which serviceable units of a line a shelf, a bag, a station's store or a craft can give
//! without lacking anything itself.
//!
//! Only what every boat standard with the line counts is offered: nothing expired, unserviceable,
//! undated, moved away or counted too long ago, and of several counts the least. A craft keeps what
//! it needs (see `kit::left_over`); one that is condemned keeps nothing, since it is never made
//! ready again; one that is out of service keeps its own, since it comes back. Nothing is offered
//! from a craft that is away on an assignment, or of which it is not known where it is.

use std::collections::{BTreeMap, BTreeSet};

use super::facts::{Facts, number};
use super::kit::{self, Stores};
use super::sides::{is_trusted, trusted};
use super::{County, Question, asked, place, standing};
use crate::answer::{Asked, Status};
use crate::dates::{self, DAY_MS};
use crate::engine::index::Index;
use crate::event::{ItemCount, Place, SubjectKind};
use crate::ids::{LineId, MissionId, SubjectId};
use crate::kit_moves::{Holder, Keeps, KitAsked, Stock};
use crate::record::{Record, Sides};
use crate::standard::Item;

/// Boat standards with a line, by line.
type Sheets<'a> = BTreeMap<LineId, Vec<&'a Item>>;

/// What is known of a line on a shelf.
pub(super) enum Counted {
    /// Nobody counted it there.
    Never,
    /// Longer ago than the county's setting relies on.
    TooOld,
    /// Good units by the last day on which they are good.
    Lots(Vec<(Option<chrono::NaiveDate>, u32)>),
}

/// What the search for spare kit is given.
pub(super) struct Search<'a> {
    county: &'a County<'a>,
    index: &'a Index<'a>,
    question: &'a Question,
    sheets: Sheets<'a>,
    /// The question for each mission that any sheet has, and for none.
    asked: BTreeMap<Option<MissionId>, Asked>,
    kit: &'a KitAsked,
}

impl<'a> Search<'a> {
    /// Looks for spare units of these lines.
    pub(super) fn new(
        county: &'a County<'a>,
        index: &'a Index<'a>,
        question: &'a Question,
        (lines, kit): (&BTreeSet<LineId>, &'a KitAsked),
    ) -> Self {
        let mut sheets = Sheets::new();
        let mut missions = BTreeSet::from([None]);
        for standard in county.standards.values() {
            for item in standard.items.iter().filter(|it| lines.contains(&it.id)) {
                sheets.entry(item.id.clone()).or_default().push(item);
            }
            missions.extend(standard.missions.keys().cloned().map(Some));
        }
        let of_mission = |mission: Option<MissionId>| {
            let asked = asked(county.policy, question);
            let asked = Asked {
                mission: mission.clone(),
                ..asked
            };
            (mission, asked)
        };
        Self {
            county,
            index,
            question,
            sheets,
            asked: missions.into_iter().map(of_mission).collect(),
            kit,
        }
    }

    /// All spare kit, in order of the ids of its holders, then of the lines.
    pub(super) fn stocks(&self) -> Vec<Stock> {
        let records = self.county.records.values();
        let mut stocks: Vec<Stock> = records.flat_map(|record| self.of(record)).collect();
        stocks.sort();
        stocks
    }

    fn of(&self, record: &Record) -> Vec<Stock> {
        let Some((holder, station)) = self.holds(record) else {
            return Vec::new();
        };
        let without = &self.question.without;
        let index = self.index.same_as(record.subject).into_iter();
        if without
            .takes(index.chain([record.subject]), &[station])
            .is_some()
        {
            return Vec::new();
        }
        let units = match holder {
            Holder::Shelf | Holder::Bag | Holder::Station => self.counted(record),
            Holder::Craft | Holder::Condemned => self.aboard(record, holder),
        };
        let stock = |(line, (good, spare)): (LineId, (u32, u32))| Stock {
            id: record.subject,
            holder,
            number: self.name(record),
            station,
            label: self.label(&line),
            line,
            good,
            spare: spare.min(good),
        };
        let units = units.into_iter();
        let units = units.filter(|(line, _)| !without.takes_kit(line, &[station]));
        let given = units.map(stock);
        given.filter(|stock| stock.good > 0).collect()
    }

    /// What it is and at which station, when it is sure where.
    fn holds(&self, record: &Record) -> Option<(Holder, SubjectId)> {
        let condemned = record.condemned.iter().any(is_trusted);
        match record.kind {
            SubjectKind::Craft => {
                let [station] = place::stations(record)[..] else {
                    return None;
                };
                match standing::status(record) {
                    Status::Condemned => Some((Holder::Condemned, station)),
                    Status::Assigned { .. } => None,
                    Status::Available | Status::OutOfService { .. } => {
                        Some((Holder::Craft, station))
                    }
                }
            }
            SubjectKind::Shelf => Some((Holder::Shelf, self.stands_at(record)?)),
            SubjectKind::Bag => Some((Holder::Bag, self.stands_at(record)?)),
            SubjectKind::Station => Some((Holder::Station, record.subject)),
            SubjectKind::Gear | SubjectKind::County | SubjectKind::Member => None,
        }
        .filter(|(holder, _)| !condemned || *holder == Holder::Condemned)
    }

    /// The station of a thing that all say stands there, or on a shelf there.
    fn stands_at(&self, record: &Record) -> Option<SubjectId> {
        trusted(&record.place).next()?;
        let mut places = record.place.iter().map(|side| side.value.at);
        let first = places.next()?;
        if places.any(|at| at != first) {
            return None;
        }
        match first {
            Place::Station(station) => Some(station),
            // A shelf stands in a station, and on nothing else.
            Place::Shelf(shelf) if record.kind == SubjectKind::Bag => {
                self.stands_at(self.county.records.get(&shelf)?)
            }
            Place::Shelf(_) | Place::Craft(_) => None,
        }
    }

    /// Units of a shelf, a bag or a store: all that is good is spare.
    fn counted(&self, record: &Record) -> BTreeMap<LineId, (u32, u32)> {
        let lines = self.sheets.keys();
        lines
            .filter_map(|line| {
                let good = self.units(record, line)?;
                Some((line.clone(), (good, good)))
            })
            .collect()
    }

    fn units(&self, record: &Record, line: &LineId) -> Option<u32> {
        let sheets = self.sheets.get(line)?;
        let policy = self.county.policy;
        let as_of = self.question.as_of;
        let day = dates::day(as_of, policy.utc_offset_min);
        let sides = record.counts.get(&(line.clone(), None))?;
        if !self.is_recent(sides)? {
            return None;
        }
        let counts = sides.iter().map(|side| &side.value);
        let good = counts
            .map(|count| kit::aboard::good_count(sheets, count, (day, policy.marks)))
            .min()?;
        let used = kit::aboard::uses(record, line).into_values();
        let used = used.fold(0_u32, u32::saturating_add);
        Some(good.saturating_sub(used))
    }

    /// Whether a count is recent enough to rely on; none when nobody trusted counted.
    fn is_recent(&self, sides: &Sides<ItemCount>) -> Option<bool> {
        let age_ms = |at| self.question.as_of.since(at).max(0);
        let oldest = trusted(sides)
            .map(|side| age_ms(side.origin.interval.earliest(self.question.now)))
            .max()?;
        Some(oldest <= i64::from(self.county.policy.spares.counted_days) * DAY_MS)
    }

    /// Shelves, stores and bags on no craft, each with its station.
    pub(super) fn shelves(&self) -> Vec<(&'a Record, SubjectId)> {
        let records = self.county.records.values();
        let held = records.filter_map(|record| match self.holds(record)? {
            (Holder::Shelf | Holder::Bag | Holder::Station, station) => Some((record, station)),
            (Holder::Craft | Holder::Condemned, _) => None,
        });
        held.collect()
    }

    /// Good units of a line on a shelf, by the last day on which they are good: by the count that has
    /// the fewest, less what was used since.
    pub(super) fn lots(&self, record: &Record, line: &LineId) -> Counted {
        let Some(sides) = record.counts.get(&(line.clone(), None)) else {
            return Counted::Never;
        };
        match self.is_recent(sides) {
            None => return Counted::Never,
            Some(false) => return Counted::TooOld,
            Some(true) => {}
        }
        let sheets = self.sheets.get(line).map_or(&[][..], Vec::as_slice);
        let policy = self.county.policy;
        let day = dates::day(self.question.as_of, policy.utc_offset_min);
        let lots = sides
            .iter()
            .map(|side| kit::good_lots(sheets, &side.value, day, policy.marks));
        let fewest = lots.min_by_key(|lots| lots.iter().map(|(_, units)| *units).sum::<u32>());
        let mut lots = fewest.unwrap_or_default();
        let used = kit::aboard::uses(record, line).into_values();
        kit::take_longest(&mut lots, used.fold(0, u32::saturating_add));
        Counted::Lots(lots)
    }

    /// Units aboard of a craft, and what it can give of them.
    fn aboard(&self, record: &Record, holder: Holder) -> BTreeMap<LineId, (u32, u32)> {
        let Some(facts) = self.facts(record, None) else {
            return BTreeMap::new();
        };
        let good = kit::aboard::good_for_all(&facts, &self.sheets);
        let mut left: BTreeMap<LineId, u32> = good.clone();
        let mut missions = self.keeps_for(&facts, holder);
        // Whatever the order, the least is left: the mission that needs the most is asked first.
        missions.sort_by_key(|mission| std::cmp::Reverse(self.needed(&facts, *mission)));
        for mission in missions {
            // A further mission only ever leaves less.
            if left.values().all(|units| *units == 0) {
                break;
            }
            let Some(facts) = self.facts(record, mission) else {
                continue;
            };
            let stores = Stores::new(&facts);
            for (line, beyond) in kit::left_over(&facts, &stores) {
                if let (Some(left), Some(beyond)) = (left.get_mut(&line), beyond) {
                    *left = beyond.min(*left);
                }
            }
        }
        let units = good.into_iter();
        units
            .map(|(line, good)| {
                let left = left.get(&line).copied().unwrap_or(0);
                (line, (good, left))
            })
            .collect()
    }

    /// Units of the lines that the sheet of a craft asks for in a mission.
    fn needed(&self, facts: &Facts<'_>, mission: Option<&MissionId>) -> u32 {
        let items = facts.standard.items.iter();
        let lines = items.filter(|item| self.sheets.contains_key(&item.id));
        let counts = lines.map(|item| {
            let of_mission = mission.and_then(|id| item.count_for.get(id));
            of_mission.copied().unwrap_or(item.count)
        });
        counts.fold(0, u32::saturating_add)
    }

    /// Missions of which a craft keeps what it needs.
    fn keeps_for<'f>(&self, facts: &Facts<'f>, holder: Holder) -> Vec<Option<&'f MissionId>> {
        let own = facts.standard.missions.keys();
        let chosen: Vec<&MissionId> = match self.kit.keeps {
            Keeps::EveryMission => Vec::new(),
            Keeps::ChosenMissions => {
                let own = own.clone();
                own.filter(|it| self.kit.missions.contains(*it)).collect()
            }
        };
        match (holder, chosen.is_empty()) {
            (Holder::Condemned, _) => Vec::new(),
            (_, false) => chosen.into_iter().map(Some).collect(),
            (_, true) => std::iter::once(None).chain(own.map(Some)).collect(),
        }
    }

    /// The facts of a craft for a mission.
    pub(super) fn facts<'s>(
        &'s self,
        record: &'s Record,
        mission: Option<&MissionId>,
    ) -> Option<Facts<'s>> {
        let asked = self.asked.get(&mission.cloned())?;
        Facts::new(self.county, self.index, self.question, asked, record)
    }

    /// The first sheet's words, in the order of models.
    fn label(&self, line: &LineId) -> String {
        let sheets = self.sheets.get(line);
        let item = sheets.and_then(|sheets| sheets.first());
        item.map_or_else(|| line.to_string(), |item| item.label.clone())
    }

    fn name(&self, record: &Record) -> String {
        match self.county.stations.get(&record.subject) {
            Some(station) => station.name.clone(),
            None => number(Some(record), record.subject),
        }
    }
}

/// Of all spare kit what makes a line of a craft good, without its own: of lines that are known to
/// fit and that the sheet lets stand in.
pub(super) fn fitting<'s>(stocks: &'s [Stock], facts: &Facts<'_>, line: &LineId) -> Vec<&'s Stock> {
    let by = kit::fills(facts, line);
    let others = stocks
        .iter()
        .filter(|stock| stock.id != facts.record.subject && stock.spare > 0);
    others.filter(|stock| by.contains(&stock.line)).collect()
}

/// Which spare kit would make a line of a craft good for the asked mission; nothing when the craft is
/// not known. Givers keep what they need for any mission.
#[must_use]
pub fn spares(
    county: &County<'_>,
    question: &Question,
    craft: SubjectId,
    line: &LineId,
) -> Vec<Stock> {
    let index = Index::new(county.records);
    let kit = KitAsked::default();
    let lines = BTreeSet::new();
    let search = Search::new(county, &index, question, (&lines, &kit));
    let record = county.records.get(&craft);
    let facts = record.and_then(|record| search.facts(record, question.mission.as_ref()));
    let Some(facts) = facts else {
        return Vec::new();
    };
    let lines: BTreeSet<LineId> = kit::fills(&facts, line).into_iter().collect();
    let stocks = Search::new(county, &index, question, (&lines, &kit)).stocks();
    fitting(&stocks, &facts, line)
        .into_iter()
        .cloned()
        .collect()
}
