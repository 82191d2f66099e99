//! What is on a craft, for the walk round it: bags with what was last counted in them, numbered
//! gear, items counted on the craft itself.
//!
//! Gear and bags stand on the walk wherever a trusted statement puts them on the craft, also where
//! another puts them elsewhere: whoever goes round it sees.

use std::collections::{BTreeMap, BTreeSet};

use super::facts::number;
use super::index::{Index, Kept};
use super::sides::shown;
use crate::ids::{LineId, SubjectId};
use crate::record::Record;
use crate::walk::{Aboard, BagAboard, GearAboard};

/// What is on a craft, by the records of the county; nothing for one that no record knows.
#[must_use]
pub fn on_craft(records: &BTreeMap<SubjectId, Record>, craft: SubjectId) -> Aboard {
    let index = Index::new(records);
    let Some(record) = records.get(&craft) else {
        return Aboard::default();
    };
    let mut bags: Vec<BagAboard> = here(index.bags_at(craft))
        .map(|bag| BagAboard {
            id: bag.subject,
            number: number(Some(bag), bag.subject),
            items: counted_in(record, bag),
        })
        .collect();
    bags.sort_by(|one, other| (&one.number, one.id).cmp(&(&other.number, other.id)));
    let gear = index.gear_at(craft).iter();
    let gear = gear.filter(|kept| kept.whereabouts.may_be_here());
    let mut gear: Vec<GearAboard> = gear
        .filter_map(|kept| {
            Some(GearAboard {
                id: kept.record.subject,
                number: number(Some(kept.record), kept.record.subject),
                kind: shown(&kept.record.gear)?.value.kind,
                part: kept.part.cloned(),
            })
        })
        .collect();
    gear.sort_by(|one, other| (&one.number, one.id).cmp(&(&other.number, other.id)));
    let own = record.counts.keys().filter(|(_, bag)| bag.is_none());
    Aboard {
        bags,
        gear,
        on_craft: own.map(|(item, _)| item.clone()).collect(),
    }
}

fn here<'a>(kept: &[Kept<'a>]) -> impl Iterator<Item = &'a Record> {
    let here = kept.iter().filter(|kept| kept.whereabouts.may_be_here());
    here.map(|kept| kept.record)
}

/// Items that were last counted in a bag: in a check of this craft, or of the bag by itself.
fn counted_in(craft: &Record, bag: &Record) -> BTreeSet<LineId> {
    let of_craft = craft.counts.keys();
    let of_craft = of_craft.filter(|(_, of)| *of == Some(bag.subject));
    let own = bag.counts.keys();
    of_craft.chain(own).map(|(item, _)| item.clone()).collect()
}
