//! Kit bags on the walk: each a stop of its own, its seal first, then what was last counted in it.

use std::collections::BTreeSet;

use super::at_stop::{count, is_asked};
use super::{Aboard, BagAboard, Stop, StopLabel, WalkLine};
use crate::ids::StopId;
use crate::standard::{BAG_STOP, Standard};

/// A stop for each bag.
pub(super) fn stops(standard: &Standard, aboard: &Aboard) -> Vec<Stop> {
    let mut taken = BTreeSet::new();
    let bags = aboard.bags.iter();
    bags.map(|bag| Stop {
        id: id(bag, &mut taken),
        label: StopLabel::Bag(bag.number.clone()),
        lines: lines(standard, bag),
    })
    .collect()
}

fn lines(standard: &Standard, bag: &BagAboard) -> Vec<WalkLine> {
    let here = standard
        .items
        .iter()
        .filter(|item| bag.items.contains(&item.id) && is_asked(standard, item));
    let counts = here.map(|item| count(item, Some(bag.id)));
    let seal = WalkLine::Seal { bag: bag.id };
    [seal].into_iter().chain(counts).collect()
}

/// `bag-` and the number in small letters and digits; the beginning of its id too where that is
/// taken or nothing is left of the number.
fn id(bag: &BagAboard, taken: &mut BTreeSet<String>) -> StopId {
    let mut word = String::from(BAG_STOP);
    for letter in bag.number.chars().take(NUMBER_KEPT) {
        if letter.is_ascii_alphanumeric() {
            word.push(letter.to_ascii_lowercase());
        } else if !word.ends_with('-') {
            word.push('-');
        }
    }
    if word == BAG_STOP || taken.contains(&word) {
        let bytes = bag.id.to_string();
        word = format!("{}-{bytes}", word.trim_end_matches('-'));
    }
    taken.insert(word.clone());
    StopId(word)
}

/// Letters of a bag's number that its stop's id keeps.
const NUMBER_KEPT: usize = 24;
