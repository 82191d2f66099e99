//! What there is: craft, gear, bags, shelves, stations, standards.

use std::collections::{BTreeMap, BTreeSet};

use sponson_log::ids as log;
use sponson_proto::event::v1::SubjectType;
use sponson_readiness::event::{PartPlace, Place, SubjectKind};
use sponson_readiness::ids::{FaultId, SubjectId};
use sponson_readiness::record::Record;
use sponson_readiness::standard::Policy;

use super::Replica;
use crate::index::Index;
use crate::parse::to_log_event;
use crate::values::{Catalogue, CatalogueEntry, CatalogueHold, CatalogueStandard, OpenFault};

/// How often a thing can lie in a thing: a pump in a bag on a shelf on a craft at a station.
const NESTING_MAX: usize = 8;

impl Replica {
    /// Craft, gear, bags, shelves, stations and standards that this replica knows.
    #[must_use]
    pub fn catalogue(&mut self) -> Catalogue {
        self.sheets.refresh(&self.index.registry);
        let records = self.records.judged(&self.index, &self.store);
        let registry = &self.index.registry;
        let mut entries: Vec<CatalogueEntry> = registry
            .stations()
            .iter()
            .map(|(id, facts)| CatalogueEntry {
                number: facts.name.clone(),
                ..empty(*id, SubjectType::Station)
            })
            .collect();
        let things = records.values().filter(|record| is_thing(record.kind));
        for record in things {
            let one = entry(record, records, (&self.index, self.sheets.policy()));
            entries.extend(other_numbers(record, &one));
            entries.push(one);
        }
        entries.sort_by_key(|entry| entry.id);
        let holds = records.values().flat_map(|record| &record.county_holds);
        let holds = holds
            .map(|(event, side)| CatalogueHold {
                event: to_log_event(event),
                hold: side.value.clone(),
                trust: side.origin.trust,
            })
            .collect();
        let standards = registry
            .standards()
            .iter()
            .map(|(event, sheet)| CatalogueStandard {
                event: *event,
                model: sheet.model.clone(),
                revision: sheet.revision,
                text: sheet.text.clone(),
            });
        Catalogue {
            entries,
            standards: standards.collect(),
            policy: registry.policy().map(|policy| policy.1.clone()),
            holds,
        }
    }
}

/// Whether something is found by a number of its own here: stations are listed by the registry, and
/// members by no list in the log.
const fn is_thing(kind: SubjectKind) -> bool {
    match kind {
        SubjectKind::Craft | SubjectKind::Gear | SubjectKind::Bag | SubjectKind::Shelf => true,
        SubjectKind::Station | SubjectKind::County | SubjectKind::Member => false,
    }
}

const fn empty(id: log::SubjectId, kind: SubjectType) -> CatalogueEntry {
    CatalogueEntry {
        id,
        kind,
        number: String::new(),
        model: String::new(),
        station: None,
        craft: None,
        gear: None,
        faults: Vec::new(),
        out: Vec::new(),
        assigned: Vec::new(),
    }
}

fn entry(
    record: &Record,
    records: &BTreeMap<SubjectId, Record>,
    known: (&Index, &Policy),
) -> CatalogueEntry {
    let craft = record.craft.0.first().map(|side| &side.value);
    let gear = record.gear.0.first().map(|side| &side.value);
    let number = record.number.0.first().map(|side| side.value.clone());
    let registered = || {
        craft
            .map(|it| &it.number)
            .or(gear.map(|it| &it.number))
            .cloned()
    };
    let (on_craft, station) = whereabouts(record, records);
    CatalogueEntry {
        number: number.or_else(registered).unwrap_or_default(),
        model: craft
            .map(|it| it.model.as_str().to_owned())
            .or(gear.map(|it| it.model.clone()))
            .unwrap_or_default(),
        station: station.map(to_log_subject),
        craft: on_craft.map(to_log_subject),
        gear: gear.map(|it| it.kind),
        faults: open_faults(record, known),
        out: record.out.keys().map(to_log_event).collect(),
        assigned: record.assigned.keys().map(to_log_event).collect(),
        ..empty(to_log_subject(record.subject), subject_type(record.kind))
    }
}

/// A thing is found by each of its numbers, where stations differ or it was registered twice.
fn other_numbers(record: &Record, one: &CatalogueEntry) -> Vec<CatalogueEntry> {
    let numbers: BTreeSet<&String> = record.number.iter().map(|side| &side.value).collect();
    let others = numbers.into_iter().filter(|number| **number != one.number);
    others
        .map(|number| CatalogueEntry {
            number: number.clone(),
            ..one.clone()
        })
        .collect()
}

/// The craft that a thing is on and the station where it is; neither where stations differ.
fn whereabouts(
    record: &Record,
    records: &BTreeMap<SubjectId, Record>,
) -> (Option<SubjectId>, Option<SubjectId>) {
    let mut craft = None;
    let mut here = record;
    for _ in 0..NESTING_MAX {
        let mut places = here.place.0.iter().map(|side| side.value.at);
        let Some(place) = places.next().filter(|first| places.all(|at| at == *first)) else {
            return (craft, None);
        };
        let next = match place {
            Place::Station(station) => return (craft, Some(station)),
            Place::Craft(on) => {
                craft = craft.or(Some(on));
                on
            }
            Place::Shelf(shelf) => shelf,
        };
        match records.get(&next) {
            Some(record) => here = record,
            None => return (craft, None),
        }
    }
    (craft, None)
}

fn open_faults(record: &Record, (index, policy): (&Index, &Policy)) -> Vec<OpenFault> {
    let claimed = |id: &FaultId| {
        let known = index.get(&to_log_event(&id.event));
        known.map_or(0, |known| known.times.claimed())
    };
    let faults = record
        .faults
        .iter()
        .filter(|(_, fault)| !fault.is_signed_off(policy.faults.repairer_signs_off));
    let faults = faults.map(|(id, fault)| OpenFault {
        event: to_log_event(&id.event),
        ordinal: id.ordinal,
        part: fault.fault.part.as_str().to_owned(),
        place: fault.fault.place,
        class: fault.fault.class.clone(),
        severity: Some(fault.fault.severity),
        found_unix_ms: claimed(id),
        line: String::new(),
    });
    let noes = record.open_noes.iter().map(|(id, no)| OpenFault {
        event: to_log_event(&id.event),
        ordinal: id.ordinal,
        part: String::new(),
        place: PartPlace::default(),
        class: String::new(),
        severity: None,
        found_unix_ms: claimed(id),
        line: no.value.as_str().to_owned(),
    });
    faults.chain(noes).collect()
}

const fn to_log_subject(id: SubjectId) -> log::SubjectId {
    log::SubjectId::from_bytes(*id.as_bytes())
}

const fn subject_type(kind: SubjectKind) -> SubjectType {
    match kind {
        SubjectKind::Craft => SubjectType::Craft,
        SubjectKind::Gear => SubjectType::Gear,
        SubjectKind::Bag => SubjectType::Bag,
        SubjectKind::Shelf => SubjectType::Shelf,
        SubjectKind::Station => SubjectType::Station,
        SubjectKind::County => SubjectType::County,
        SubjectKind::Member => SubjectType::Member,
    }
}
