//! The groups of a grouping: what belongs to each, and what each is set against.

mod by_place;
mod by_repair;

use std::collections::{BTreeMap, BTreeSet};

use crate::history::History;
use crate::ids::{ModelId, PartId, SubjectId};
use crate::moment::Moment;
use crate::standard::{Policy, Standard};

use super::again::{Life, lives};
use super::counted::{Counted, Faults, Placed};
use super::group::{GroupKey, Kind};
use super::watched::{Span, Watched, watched};
use super::{Against, Asked, Grouping};

/// A group with what it is set against.
#[derive(Clone, Debug)]
pub(super) struct Draft<'a> {
    pub(super) key: GroupKey,
    /// Groups of one number are drawn towards each other.
    pub(super) alike: u32,
    pub(super) own: Vec<Span<'a>>,
    pub(super) rest: Vec<Span<'a>>,
}

/// Everything that was watched, with its faults.
pub(super) struct Seen<'a> {
    pub(super) asked: &'a Asked,
    pub(super) until: Moment,
    pub(super) units: Vec<Watched<'a>>,
    pub(super) lives: Vec<Life<'a>>,
    pub(super) counted: Counted,
    parts: BTreeMap<&'a str, BTreeSet<PartId>>,
}

impl<'a> Seen<'a> {
    pub(super) fn of(
        history: &'a History,
        standards: &'a BTreeMap<ModelId, Standard>,
        policy: &Policy,
        asked: &'a Asked,
        faults: &'a Faults<'a>,
    ) -> Self {
        let mut counted = Counted {
            unconfirmed: faults.unconfirmed,
            once: faults.once.clone(),
            ..Counted::default()
        };
        let mut of_things: BTreeMap<SubjectId, Vec<Placed<'a>>> = BTreeMap::new();
        for placed in faults.counted() {
            if is_asked(asked, &placed) {
                of_things.entry(placed.on).or_default().push(placed);
            } else {
                counted.not_asked += 1;
            }
        }
        let units = watched(history, policy, asked, of_things);
        for unit in &units {
            let all = count(unit.faults.len());
            let inside = unit.whole(|_| true);
            let faults = inside.as_ref().map_or(0, |span| count(span.faults.len()));
            counted.faults += faults;
            counted.not_watched += all - faults;
            counted.units_not_watched += u32::from(inside.is_none());
        }
        Self {
            asked,
            until: history.until,
            parts: parts(&units, standards),
            units,
            lives: lives(history, faults),
            counted,
        }
    }

    /// The earliest moment from which anything was watched.
    pub(super) fn from(&self) -> Option<Moment> {
        let watched = self.units.iter().filter(|unit| unit.from < unit.until);
        watched.map(|unit| unit.from).min()
    }

    /// The groups of a grouping.
    pub(super) fn drafts(&self, grouping: Grouping) -> Vec<Draft<'a>> {
        let batch = |unit: &Watched<'_>| GroupKey::Batch {
            kind: unit.kind,
            model: unit.model.to_owned(),
            batch: unit.batch.to_owned(),
        };
        let model = |unit: &Watched<'_>| GroupKey::Model {
            kind: unit.kind,
            model: unit.model.to_owned(),
        };
        let is_craft = |unit: &Watched<'_>| unit.kind == Kind::Craft;
        match grouping {
            Grouping::Craft => self.by(|unit| is_craft(unit).then_some(GroupKey::Craft(unit.id))),
            Grouping::Fabric => self.by(|unit| {
                let said = is_craft(unit) && !unit.fabric.is_empty();
                said.then(|| GroupKey::Fabric(unit.fabric.to_owned()))
            }),
            Grouping::Batch => self.by(|unit| (!unit.batch.is_empty()).then(|| batch(unit))),
            Grouping::Model => self.by(|unit| (!unit.model.is_empty()).then(|| model(unit))),
            Grouping::Gear => self.by(|unit| (!is_craft(unit)).then_some(GroupKey::Gear(unit.id))),
            Grouping::Place => self.by_place(),
            Grouping::CraftPlace => self.by_craft_place(),
            Grouping::Class => self.by_class(),
            Grouping::Station => self.by_station(),
            Grouping::Method => self.by_repair(|life| GroupKey::Method(life.repair.method.clone())),
            Grouping::GlueBatch => {
                self.by_repair(|life| GroupKey::GlueBatch(life.repair.glue_batch.clone()))
            }
        }
    }

    fn craft(&self) -> impl Iterator<Item = &Watched<'a>> {
        self.units.iter().filter(|unit| unit.kind == Kind::Craft)
    }

    /// Whole things, each in one group at most, against the others of their kind.
    fn by(&self, key: impl Fn(&Watched<'a>) -> Option<GroupKey>) -> Vec<Draft<'a>> {
        let spans: Vec<(Kind, Option<GroupKey>, Span<'a>)> = self
            .units
            .iter()
            .filter_map(|unit| Some((unit.kind, key(unit), unit.whole(|_| true)?)))
            .collect();
        let keys: BTreeSet<(Kind, &GroupKey)> = spans
            .iter()
            .filter_map(|(kind, key, _)| Some((*kind, key.as_ref()?)))
            .collect();
        let kinds: BTreeSet<Kind> = keys.iter().map(|(kind, _)| *kind).collect();
        let draft = |(kind, key): &(Kind, &GroupKey)| {
            let of_kind = spans.iter().filter(|(of, _, _)| of == kind);
            let (own, rest): (Vec<_>, Vec<_>) =
                of_kind.partition(|(_, of, _)| of.as_ref() == Some(*key));
            let spans = |all: Vec<&(Kind, Option<GroupKey>, Span<'a>)>| {
                all.into_iter().map(|(_, _, span)| span.clone()).collect()
            };
            Draft {
                key: (*key).clone(),
                alike: count(kinds.iter().position(|of| of == kind).unwrap_or(0)),
                own: spans(own),
                rest: spans(rest),
            }
        };
        keys.iter().map(draft).collect()
    }

    /// A class on the craft of a model, against the same class on craft of other models.
    fn by_class(&self) -> Vec<Draft<'a>> {
        let faults = self.craft().flat_map(|unit| &unit.faults);
        let classes: BTreeSet<&str> = faults.map(|placed| placed.fault.class.as_str()).collect();
        let models: BTreeSet<&'a str> = self.craft().map(|unit| unit.model).collect();
        let mut drafts = Vec::new();
        for (alike, class) in classes.iter().enumerate() {
            for model in &models {
                let spans = |is_own: bool| {
                    self.craft()
                        .filter(|unit| (unit.model == *model) == is_own)
                        .filter_map(|unit| unit.whole(|placed| placed.fault.class == *class))
                        .collect()
                };
                drafts.push(Draft {
                    key: GroupKey::Class {
                        model: ModelId::from(*model),
                        class: (*class).to_owned(),
                    },
                    alike: count(alike),
                    own: spans(true),
                    rest: spans(false),
                });
            }
        }
        drafts
    }

    /// Craft while they were at a station, against craft while they were at others.
    fn by_station(&self) -> Vec<Draft<'a>> {
        let mut stays: Vec<(SubjectId, Span<'a>)> = Vec::new();
        for unit in self.craft() {
            for (index, (from, station)) in unit.stations.iter().enumerate() {
                let next = unit.stations.get(index + 1).map(|(at, _)| *at);
                let until = next.unwrap_or(unit.until);
                let span = unit.span(*from, until, |_| true);
                stays.extend(span.map(|span| (*station, span)));
            }
        }
        let stations: BTreeSet<SubjectId> = stays.iter().map(|(station, _)| *station).collect();
        let draft = |station: SubjectId| {
            let spans = |is_own: bool| {
                let chosen = stays.iter().filter(|(of, _)| (*of == station) == is_own);
                chosen.map(|(_, span)| span.clone()).collect()
            };
            Draft {
                key: GroupKey::Station(station),
                alike: 0,
                own: spans(true),
                rest: spans(false),
            }
        };
        stations.into_iter().map(draft).collect()
    }
}

/// What the usual of a group is taken from.
pub(super) const fn against(grouping: Grouping) -> Against {
    match grouping {
        Grouping::Craft
        | Grouping::Fabric
        | Grouping::Batch
        | Grouping::Station
        | Grouping::Model
        | Grouping::Gear => Against::Others,
        Grouping::Place => Against::OtherParts,
        Grouping::CraftPlace => Against::SamePlace,
        Grouping::Class => Against::SameClass,
        Grouping::Method | Grouping::GlueBatch => Against::OtherRepairs,
    }
}

fn is_asked(asked: &Asked, placed: &Placed<'_>) -> bool {
    let severity = asked.severities.is_empty() || asked.severities.contains(&placed.fault.severity);
    severity && (asked.classes.is_empty() || asked.classes.contains(&placed.fault.class))
}

/// Parts of each model that can fail as part of the craft: those of its sheet that are not gear with
/// a record of its own, and whatever else failed.
fn parts<'a>(
    units: &[Watched<'a>],
    standards: &BTreeMap<ModelId, Standard>,
) -> BTreeMap<&'a str, BTreeSet<PartId>> {
    let mut parts: BTreeMap<&'a str, BTreeSet<PartId>> = BTreeMap::new();
    for unit in units.iter().filter(|unit| unit.kind == Kind::Craft) {
        let of = parts.entry(unit.model).or_default();
        of.extend(unit.faults.iter().map(|placed| placed.place.part.clone()));
    }
    for (model, of) in &mut parts {
        let sheet = standards.get(&ModelId::from(*model));
        let listed = sheet.into_iter().flat_map(|sheet| &sheet.parts);
        let own = listed.filter(|part| part.gear.is_none());
        of.extend(own.map(|part| part.id.clone()));
    }
    parts
}

pub(super) fn count(len: usize) -> u32 {
    u32::try_from(len).unwrap_or(u32::MAX)
}
