//! What is where, over all records: made once for an answer.

use std::collections::{BTreeMap, BTreeSet};

use super::sides::{trusted, untrusted};
use crate::event::{Place, SubjectKind};
use crate::ids::{EventId, PartId, SubjectId};
use crate::record::{Record, Sides};

/// Gear and bags by the craft that they are said to be at, and numbers by craft.
pub(super) struct Index<'a> {
    gear: BTreeMap<SubjectId, Vec<Kept<'a>>>,
    bags: BTreeMap<SubjectId, Vec<Kept<'a>>>,
    /// Craft that carry a number.
    numbers: BTreeMap<&'a str, BTreeSet<SubjectId>>,
    /// Craft on which a bag was counted.
    counted_on: BTreeMap<SubjectId, BTreeSet<SubjectId>>,
    /// Records of members, by their number as compared.
    members: BTreeMap<String, Vec<&'a Record>>,
    /// Gear that an inspection or a use was about.
    about_gear: BTreeMap<EventId, BTreeSet<SubjectId>>,
    /// Subjects said to be the same thing, both ways.
    same: BTreeMap<SubjectId, BTreeSet<SubjectId>>,
}

/// A thing that some side says is at a craft.
#[derive(Clone, Copy)]
pub(super) struct Kept<'a> {
    /// Its record.
    pub(super) record: &'a Record,
    /// The part that it serves as, where the side that says so says it.
    pub(super) part: Option<&'a PartId>,
    /// Whether all agree.
    pub(super) whereabouts: Whereabouts,
}

/// What the sides of a place say of one craft.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Whereabouts {
    /// All say that it is here, and at least one is trusted.
    Here,
    /// All that are trusted say here; one that is not says elsewhere.
    Doubted,
    /// Of those that are trusted some say here, some elsewhere: it counts in neither.
    Disputed,
    /// All that are trusted say elsewhere.
    Elsewhere,
    /// Nobody trusted says anything.
    Unknown,
}

impl<'a> Index<'a> {
    pub(super) fn new(records: &'a BTreeMap<SubjectId, Record>) -> Self {
        let mut index = Self {
            gear: BTreeMap::new(),
            bags: BTreeMap::new(),
            numbers: BTreeMap::new(),
            counted_on: BTreeMap::new(),
            members: BTreeMap::new(),
            about_gear: BTreeMap::new(),
            same: BTreeMap::new(),
        };
        for record in records.values() {
            match record.kind {
                SubjectKind::Craft => index.add_craft(record),
                SubjectKind::Gear => index.add_gear(record),
                SubjectKind::Bag => keep(&mut index.bags, record),
                SubjectKind::Member => index.add_member(record),
                SubjectKind::Shelf | SubjectKind::Station | SubjectKind::County => {}
            }
            for other in &record.same_as {
                index.same.entry(record.subject).or_default().insert(*other);
                index.same.entry(*other).or_default().insert(record.subject);
            }
        }
        index
    }

    fn add_craft(&mut self, record: &'a Record) {
        for side in &record.number.0 {
            let craft = self.numbers.entry(side.value.as_str()).or_default();
            craft.insert(record.subject);
        }
        for bag in record.counts.keys().filter_map(|(_, bag)| *bag) {
            self.counted_on
                .entry(bag)
                .or_default()
                .insert(record.subject);
        }
    }

    fn add_member(&mut self, record: &'a Record) {
        let held = record.levels.values().flat_map(Sides::iter);
        let numbers: BTreeSet<String> = held.map(|side| member(&side.value.member)).collect();
        for number in numbers {
            self.members.entry(number).or_default().push(record);
        }
    }

    /// What is recorded of a member.
    pub(super) fn member(&self, number: &str) -> &[&'a Record] {
        self.members.get(&member(number)).map_or(&[], Vec::as_slice)
    }

    fn add_gear(&mut self, record: &'a Record) {
        keep(&mut self.gear, record);
        let inspected = record.inspections.values().flat_map(|sides| &sides.0);
        let inspected = inspected.map(|side| side.origin.event);
        let used = record.uses.iter().map(|side| side.origin.event);
        for event in inspected.chain(used) {
            let about = self.about_gear.entry(event).or_default();
            about.insert(record.subject);
        }
    }

    /// Whether an event that the craft keeps as well was about gear, and none of it this one: what
    /// was done to the motor before it was changed says nothing about the new one.
    pub(super) fn is_about_other_gear(&self, event: EventId, gear: SubjectId) -> bool {
        let about = self.about_gear.get(&event);
        about.is_some_and(|about| !about.contains(&gear))
    }

    /// Numbered gear that some side says is at the craft.
    pub(super) fn gear_at(&self, craft: SubjectId) -> &[Kept<'a>] {
        self.gear.get(&craft).map_or(&[], Vec::as_slice)
    }

    /// Bags that some side says are at the craft.
    pub(super) fn bags_at(&self, craft: SubjectId) -> &[Kept<'a>] {
        self.bags.get(&craft).map_or(&[], Vec::as_slice)
    }

    /// Other craft that carry one of the numbers.
    pub(super) fn others_with(&self, record: &Record) -> BTreeSet<SubjectId> {
        record
            .number
            .0
            .iter()
            .filter_map(|side| self.numbers.get(side.value.as_str()))
            .flatten()
            .copied()
            .filter(|other| *other != record.subject)
            .collect()
    }

    /// Whether a bag was counted on this craft alone.
    pub(super) fn counted_only_on(&self, bag: SubjectId, craft: SubjectId) -> bool {
        match self.counted_on.get(&bag) {
            Some(all) => all.len() == 1 && all.contains(&craft),
            None => false,
        }
    }

    /// Subjects that are said to be the same thing.
    pub(super) fn same_as(&self, subject: SubjectId) -> BTreeSet<SubjectId> {
        let mut same = self.same.get(&subject).cloned().unwrap_or_default();
        same.remove(&subject);
        same
    }
}

/// A member number as people type it, with or without capitals and blanks round it.
fn member(number: &str) -> String {
    number.trim().to_ascii_lowercase()
}

fn keep<'a>(kept: &mut BTreeMap<SubjectId, Vec<Kept<'a>>>, record: &'a Record) {
    let craft: BTreeSet<SubjectId> = record
        .place
        .0
        .iter()
        .filter_map(|side| match side.value.at {
            Place::Craft(craft) => Some(craft),
            Place::Station(_) | Place::Shelf(_) => None,
        })
        .collect();
    for id in craft {
        let here = Place::Craft(id);
        let part = record
            .place
            .0
            .iter()
            .filter(|side| side.value.at == here)
            .find_map(|side| side.value.part.as_ref());
        kept.entry(id).or_default().push(Kept {
            record,
            part,
            whereabouts: whereabouts(record, id),
        });
    }
}

/// Where a thing is, as seen from one craft.
pub(super) fn whereabouts(record: &Record, craft: SubjectId) -> Whereabouts {
    let here = Place::Craft(craft);
    let says_here = trusted(&record.place).any(|side| side.value.at == here);
    let says_else = trusted(&record.place).any(|side| side.value.at != here);
    let doubted = untrusted(&record.place).any(|side| side.value.at != here);
    match (says_here, says_else) {
        (false, false) => Whereabouts::Unknown,
        (false, true) => Whereabouts::Elsewhere,
        (true, true) => Whereabouts::Disputed,
        (true, false) if doubted => Whereabouts::Doubted,
        (true, false) => Whereabouts::Here,
    }
}

impl Whereabouts {
    /// Whether it counts here, as far as trusted statements go.
    pub(super) fn counts_here(self) -> bool {
        match self {
            Self::Here | Self::Doubted => true,
            Self::Disputed | Self::Elsewhere | Self::Unknown => false,
        }
    }

    /// Whether a trusted statement says that it is here.
    pub(super) fn may_be_here(self) -> bool {
        match self {
            Self::Here | Self::Doubted | Self::Disputed => true,
            Self::Elsewhere | Self::Unknown => false,
        }
    }
}
