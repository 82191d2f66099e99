//! How many of each item are aboard: on the craft itself and in the bags that are on it.

use std::collections::BTreeMap;

use super::sealed;
use super::units::{Runs, Units, earliest, good_by_all, good_on, lots_of};
use crate::answer::Mark;
use crate::engine::facts::Facts;
use crate::engine::index::{Whereabouts, whereabouts};
use crate::engine::place;
use crate::engine::sides::{is_trusted, trusted, untrusted};
use crate::event::ItemCount;
use crate::ids::{EventId, LineId, SubjectId};
use crate::moment::Moment;
use crate::record::{Record, Side, Sides};
use crate::standard::Item;

/// What is aboard of one item.
#[derive(Debug, Default)]
pub(super) struct Aboard {
    /// Whether anybody trusted counted it, here or in a bag that belongs here.
    pub(super) counted: bool,
    /// What counts, by trusted counts.
    pub(super) have: u32,
    /// What counts when untrusted counts are believed against the craft.
    pub(super) have_at_worst: u32,
    /// All that is carried, good or not.
    pub(super) carried: u32,
    /// Age of the oldest count that counts, milliseconds.
    pub(super) oldest_ms: i64,
    /// The earliest date that has passed.
    pub(super) expired: Option<Runs>,
    /// The earliest date that is near.
    pub(super) soon: Option<Runs>,
    /// Carry no date that can be read, and so do not count.
    pub(super) undated: u32,
    /// Counts behind it.
    pub(super) events: Vec<EventId>,
}

impl Aboard {
    /// Still carried, and of no use.
    pub(super) fn worth_nothing(&mut self) {
        (self.have, self.have_at_worst) = (0, 0);
    }

    /// Known not to be there, as far as what counts goes. Its mass stays: nobody is taken aboard for
    /// kit that may be there after all.
    fn taken_away(&mut self) {
        *self = Self {
            counted: true,
            carried: self.carried,
            ..Self::default()
        };
    }

    fn bring(&mut self, units: u32) {
        for one in [&mut self.have, &mut self.have_at_worst, &mut self.carried] {
            *one = one.saturating_add(units);
        }
    }
}

/// Counts of one item by the bag that they were made in; none for the craft itself.
type ByBag<'a> = BTreeMap<Option<SubjectId>, Vec<&'a Sides<ItemCount>>>;

/// What is aboard, in the order of the standard's items, with what is supposed to be brought.
pub(super) fn count(facts: &Facts<'_>) -> Vec<Aboard> {
    let (day, marks) = (facts.day, facts.county.policy.marks);
    let counts = gather(facts);
    let without = &facts.asked.without;
    let stations = place::stations(facts.record);
    let none = ByBag::new();
    let items = facts.standard.items.iter();
    items
        .map(|item| {
            let judge = |count: &ItemCount| good_on(item, count, day, marks);
            let counts = counts.get(&item.id).unwrap_or(&none);
            let mut aboard = one(facts, item, counts, &judge);
            if without.takes_kit(&item.id, &stations) {
                aboard.taken_away();
            }
            aboard.bring(facts.brought.get(&item.id).copied().unwrap_or(0));
            aboard
        })
        .collect()
}

/// Units aboard that every sheet with the line counts, and each with a known date where any of them
/// asks for one; of the lines given, and counted recently enough.
pub(in crate::engine) fn good_for_all(
    facts: &Facts<'_>,
    lines: &BTreeMap<LineId, Vec<&Item>>,
) -> BTreeMap<LineId, u32> {
    let (day, marks) = (facts.day, facts.county.policy.marks);
    let counts = gather(facts);
    let items = facts.standard.items.iter();
    items
        .filter_map(|item| {
            let sheets = lines.get(&item.id)?;
            let judge = |count: &ItemCount| Units {
                good: good_by_all(sheets, count, day, marks),
                ..Units::default()
            };
            let aboard = one(facts, item, counts.get(&item.id)?, &judge);
            if super::is_stale(facts, item, &aboard) {
                return None;
            }
            Some((item.id.clone(), aboard.have.min(aboard.have_at_worst)))
        })
        .collect()
}

/// Units of one count that every one of several sheets counts.
pub(in crate::engine) fn good_count(
    sheets: &[&Item],
    count: &ItemCount,
    facts: (chrono::NaiveDate, crate::standard::MarkPolicy),
) -> u32 {
    good_by_all(sheets, count, facts.0, facts.1)
}

/// When each item was last looked at in every place where it is kept here, at the earliest, with the
/// entry: of several places the one that nobody looked at for longest.
pub(in crate::engine) fn looked_at<'a>(
    facts: &Facts<'a>,
) -> BTreeMap<&'a LineId, (Moment, EventId)> {
    let mut looked = BTreeMap::new();
    for (line, by_bag) in gather(facts) {
        let here = by_bag.into_iter().filter(|(bag, _)| {
            let is = bag.map_or(Whereabouts::Here, |bag| bag_is(facts, bag));
            is.counts_here()
        });
        let newest = here.filter_map(|(bag, of_bag)| {
            let sides = of_bag.into_iter().flat_map(trusted);
            let looks = sides.map(|side| sealed::looked_at(facts, bag, &side.origin));
            looks.max()
        });
        if let Some(oldest) = newest.min() {
            looked.insert(line, oldest);
        }
    }
    looked
}

/// Units that share a date, in one place where they are kept here, by one trusted count.
#[derive(Clone, Debug)]
pub(in crate::engine) struct DatedLot<'a> {
    pub(in crate::engine) item: &'a Item,
    /// The bag that they are in; none for the craft itself.
    pub(in crate::engine) bag: Option<SubjectId>,
    pub(in crate::engine) count: u32,
    /// The last day on which they are good.
    pub(in crate::engine) out: chrono::NaiveDate,
    /// How the mark was read, where it names no day.
    pub(in crate::engine) mark: Option<Mark>,
    /// The count.
    pub(in crate::engine) event: EventId,
}

/// Every dated lot aboard, by every trusted count that stands.
pub(in crate::engine) fn dated_lots<'a>(facts: &Facts<'a>) -> Vec<DatedLot<'a>> {
    let marks = facts.county.policy.marks;
    let counts = gather(facts);
    let mut lots = Vec::new();
    for item in &facts.standard.items {
        for (bag, of_bag) in counts.get(&item.id).into_iter().flatten() {
            let is = bag.map_or(Whereabouts::Here, |bag| bag_is(facts, bag));
            if !is.counts_here() {
                continue;
            }
            for side in of_bag.iter().copied().flat_map(trusted) {
                lots.extend(
                    lots_of(item, &side.value, marks).map(|(count, runs)| DatedLot {
                        item,
                        bag: *bag,
                        count,
                        out: runs.out,
                        mark: runs.mark,
                        event: side.origin.event,
                    }),
                );
            }
        }
    }
    lots
}

fn gather<'a>(facts: &Facts<'a>) -> BTreeMap<&'a LineId, ByBag<'a>> {
    let mut gathered: BTreeMap<&LineId, ByBag<'_>> = BTreeMap::new();
    for ((line, bag), sides) in &facts.record.counts {
        let of_line = gathered.entry(line).or_default();
        of_line.entry(*bag).or_default().push(sides);
    }
    for kept in facts.index.bags_at(facts.record.subject) {
        for ((line, _), sides) in &kept.record.counts {
            let of_line = gathered.entry(line).or_default();
            let of_bag = of_line.entry(Some(kept.record.subject)).or_default();
            of_bag.push(sides);
        }
    }
    gathered
}

/// Judges one count.
type Judge<'j> = &'j dyn Fn(&ItemCount) -> Units;

fn one(facts: &Facts<'_>, item: &Item, counts: &ByBag<'_>, judge: Judge<'_>) -> Aboard {
    let mut aboard = Aboard::default();
    for (bag, of_bag) in counts {
        match bag.map_or(Whereabouts::Here, |bag| bag_is(facts, bag)) {
            Whereabouts::Here => add(facts, item, (*bag, of_bag, judge), &mut aboard),
            Whereabouts::Doubted => {
                let at_worst = aboard.have_at_worst;
                add(facts, item, (*bag, of_bag, judge), &mut aboard);
                aboard.have_at_worst = at_worst;
            }
            // Counted, but in neither place until settled.
            Whereabouts::Disputed => {
                aboard.counted = true;
                aboard.events.extend(
                    of_bag
                        .iter()
                        .copied()
                        .flat_map(trusted)
                        .map(|side| side.origin.event),
                );
            }
            Whereabouts::Elsewhere | Whereabouts::Unknown => {}
        }
    }
    let used = used_up(facts, &item.id);
    aboard.have = aboard.have.saturating_sub(used.trusted);
    aboard.have_at_worst = aboard
        .have_at_worst
        .saturating_sub(used.at_worst)
        .min(aboard.have);
    aboard.events.sort_unstable();
    aboard.events.dedup();
    aboard
}

/// Where a bag is. One whose place nobody said is where it was counted, if only there.
pub(super) fn bag_is(facts: &Facts<'_>, bag: SubjectId) -> Whereabouts {
    let craft = facts.record.subject;
    let record = facts.county.records.get(&bag);
    let said = record.map_or(Whereabouts::Unknown, |record| whereabouts(record, craft));
    match said {
        Whereabouts::Unknown if facts.index.counted_only_on(bag, craft) => Whereabouts::Here,
        Whereabouts::Unknown => Whereabouts::Disputed,
        Whereabouts::Here
        | Whereabouts::Doubted
        | Whereabouts::Disputed
        | Whereabouts::Elsewhere => said,
    }
}

/// Adds one place's count: of all sides, the one with the fewest good units.
fn add(
    facts: &Facts<'_>,
    item: &Item,
    (bag, of_bag, judge): (Option<SubjectId>, &[&Sides<ItemCount>], Judge<'_>),
    aboard: &mut Aboard,
) {
    let judged = |side: &Side<ItemCount>| {
        let mut units = judge(&side.value);
        if side.value.bag.is_none() {
            let moved = moved_off(facts.record, &item.id, side.origin.event);
            units.good = units.good.saturating_sub(moved);
        }
        units
    };
    let mut fewest: Option<u32> = None;
    let mut carried = 0;
    for side in of_bag.iter().copied().flat_map(trusted) {
        let units = judged(side);
        fewest = Some(fewest.map_or(units.good, |least| least.min(units.good)));
        carried = carried.max(units.carried);
        let (looked_at, look) = sealed::looked_at(facts, bag, &side.origin);
        let age_ms = facts.asked.as_of.since(looked_at).max(0);
        aboard.oldest_ms = aboard.oldest_ms.max(age_ms);
        aboard.events.extend([side.origin.event, look]);
        note_dates(aboard, &units);
    }
    let Some(fewest) = fewest else {
        return;
    };
    let doubted = of_bag
        .iter()
        .copied()
        .flat_map(untrusted)
        .map(|side| judged(side).good)
        .min();
    aboard.counted = true;
    aboard.have = aboard.have.saturating_add(fewest);
    let worst = doubted.map_or(fewest, |doubted| doubted.min(fewest));
    aboard.have_at_worst = aboard.have_at_worst.saturating_add(worst);
    aboard.carried = aboard.carried.saturating_add(carried);
}

/// Units that left the craft in a bag, which a count of all that is aboard had not seen.
fn moved_off(record: &Record, item: &LineId, count: EventId) -> u32 {
    let moves = record.apart.moved_off.get(item).into_iter().flatten();
    moves
        .filter(|side| side.value.unseen_by.contains(&count))
        .fold(0, |sum, side| sum.saturating_add(side.value.units))
}

fn note_dates(aboard: &mut Aboard, units: &Units) {
    aboard.expired = earliest(aboard.expired, units.expired);
    aboard.soon = earliest(aboard.soon, units.soon);
    aboard.undated = aboard.undated.max(units.undated);
}

/// Units used up since they were counted.
struct UsedUp {
    /// By trusted uses.
    trusted: u32,
    /// By all.
    at_worst: u32,
}

/// A use is kept by the craft and by the bag that it took from: one event counts once.
fn used_up(facts: &Facts<'_>, item: &LineId) -> UsedUp {
    let bags = facts.index.bags_at(facts.record.subject).iter();
    let bags = bags.filter(|kept| kept.whereabouts.counts_here());
    let records = [facts.record]
        .into_iter()
        .chain(bags.map(|kept| kept.record));
    let mut by_event: BTreeMap<(bool, EventId), u32> = BTreeMap::new();
    for record in records {
        for (event, used) in uses(record, item) {
            let known = by_event.entry(event).or_default();
            *known = (*known).max(used);
        }
    }
    let sum = |used: &mut dyn Iterator<Item = &u32>| {
        used.fold(0_u32, |sum, one| sum.saturating_add(*one))
    };
    let mut trusted = by_event
        .iter()
        .filter(|((trusted, _), _)| *trusted)
        .map(|(_, used)| used);
    UsedUp {
        trusted: sum(&mut trusted),
        at_worst: sum(&mut by_event.values()),
    }
}

/// Units taken by each event, with whether it is trusted: one that took from several bags says so
/// several times.
pub(in crate::engine) fn uses(record: &Record, item: &LineId) -> BTreeMap<(bool, EventId), u32> {
    let mut uses: BTreeMap<(bool, EventId), u32> = BTreeMap::new();
    for side in record.used_up.get(item).into_iter().flatten() {
        let key = (is_trusted(&side.origin), side.origin.event);
        let used = uses.entry(key).or_default();
        *used = used.saturating_add(side.value);
    }
    uses
}
