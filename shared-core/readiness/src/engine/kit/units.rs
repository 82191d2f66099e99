//! Which units of one count are good on a day.

use chrono::{Duration, NaiveDate};

use crate::answer::Mark;
use crate::dates;
use crate::event::{DateMark, ItemCount, Lot};
use crate::standard::{Dated, Item, MarkDay, MarkPolicy, Undated};

/// Units of one count.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Units {
    /// Good on the day.
    pub(super) good: u32,
    /// All that is carried, good or not.
    pub(super) carried: u32,
    /// The earliest date that has passed.
    pub(super) expired: Option<Runs>,
    /// The earliest date that is near.
    pub(super) soon: Option<Runs>,
    /// Carry no date that can be read, and so do not count.
    pub(super) undated: u32,
}

/// The day through which a unit is good, and the mark that says so where that names no day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Runs {
    /// The last day.
    pub(super) out: NaiveDate,
    /// How the mark was read.
    pub(super) mark: Option<Mark>,
}

/// Judges one count.
///
/// What is not serviceable and what is past its date are taken to be different units: a count does
/// not say which, and this is worse for the craft.
pub(super) fn good_on(item: &Item, count: &ItemCount, day: NaiveDate, marks: MarkPolicy) -> Units {
    let mut units = Units {
        good: count.count.saturating_sub(count.unserviceable),
        carried: count.count,
        ..Units::default()
    };
    let Some(dated) = item.dated else {
        return units;
    };
    let mut known: u32 = 0;
    for (of_lot, runs) in lots_of(item, count, marks) {
        known = known.saturating_add(of_lot);
        if day > runs.out {
            units.good = units.good.saturating_sub(of_lot);
            units.expired = earliest(units.expired, Some(runs));
        } else if is_soon(day, runs.out, dated.soon_days) {
            units.soon = earliest(units.soon, Some(runs));
        }
    }
    let undated_counts = dated.undated_counts.unwrap_or(match marks.undated {
        Undated::Counts => true,
        Undated::DoesNotCount => false,
    });
    if !undated_counts {
        units.undated = count.count.saturating_sub(known);
        units.good = units.good.saturating_sub(units.undated);
    }
    units
}

/// The lots of one count whose date is known, each with how many and until when they are good.
pub(super) fn lots_of<'c>(
    item: &Item,
    count: &'c ItemCount,
    marks: MarkPolicy,
) -> impl Iterator<Item = (u32, Runs)> + 'c {
    let dated = item.dated;
    let lots = count.lots.iter();
    lots.filter_map(move |lot| Some((lot.count, runs_out(lot, dated?, marks)?)))
}

/// Units of a count that every one of several sheets counts on a day: of those that carry dates, the
/// ones whose dates are known and have not passed. What is not serviceable is taken to be among them.
pub(super) fn good_by_all(
    sheets: &[&Item],
    count: &ItemCount,
    day: NaiveDate,
    marks: MarkPolicy,
) -> u32 {
    let serviceable = count.count.saturating_sub(count.unserviceable);
    let dated: Vec<Dated> = sheets.iter().filter_map(|item| item.dated).collect();
    if dated.is_empty() {
        return serviceable;
    }
    let good = dated_by_all(&dated, count, marks);
    let good = good.filter(|(out, _)| day <= *out);
    let good = good.fold(0_u32, |sum, (_, units)| sum.saturating_add(units));
    good.saturating_sub(count.unserviceable).min(serviceable)
}

/// The same units by the last day on which they are good, none for what carries no date; those that
/// are not serviceable are taken to be the ones that would be good for longest. What no sheet has is
/// good through its printed date, and for good without one.
pub(in crate::engine) fn good_lots(
    sheets: &[&Item],
    count: &ItemCount,
    day: NaiveDate,
    marks: MarkPolicy,
) -> Vec<(Option<NaiveDate>, u32)> {
    let dated: Vec<Dated> = sheets.iter().filter_map(|item| item.dated).collect();
    let printed = [Dated {
        life_months: None,
        soon_days: 0,
        undated_counts: None,
    }];
    let known: Vec<(NaiveDate, u32)> = match (sheets.is_empty(), dated.is_empty()) {
        (true, _) => dated_by_all(&printed, count, marks).collect(),
        (false, true) => Vec::new(),
        (false, false) => dated_by_all(&dated, count, marks).collect(),
    };
    let of_known = known.iter().map(|(_, units)| *units);
    let of_known = of_known.fold(0_u32, u32::saturating_add);
    let without = match dated.is_empty() {
        true => count.count.saturating_sub(of_known),
        false => 0,
    };
    let good = known.into_iter().filter(|(out, _)| day <= *out);
    let mut lots: Vec<(Option<NaiveDate>, u32)> =
        good.map(|(out, units)| (Some(out), units)).collect();
    lots.push((None, without));
    take_longest(&mut lots, count.unserviceable);
    lots
}

/// Takes units away, of those that would be good for longest.
pub(in crate::engine) fn take_longest(lots: &mut Vec<(Option<NaiveDate>, u32)>, units: u32) {
    lots.sort_by_key(|(out, _)| (out.is_none(), *out));
    let mut left = units;
    for (_, have) in lots.iter_mut().rev() {
        let taken = left.min(*have);
        *have -= taken;
        left -= taken;
    }
    lots.retain(|(_, have)| *have > 0);
}

/// Lots whose date every one of several sheets can read, each with its earliest reading.
fn dated_by_all<'c>(
    dated: &'c [Dated],
    count: &'c ItemCount,
    marks: MarkPolicy,
) -> impl Iterator<Item = (NaiveDate, u32)> + 'c {
    let lots = count.lots.iter();
    lots.filter_map(move |lot| {
        let runs = dated.iter().map(|dated| runs_out(lot, *dated, marks));
        let runs: Option<Vec<Runs>> = runs.collect();
        let earliest = runs?.into_iter().map(|runs| runs.out).min()?;
        Some((earliest, lot.count))
    })
}

/// The earlier of the printed date and the life from making; none when neither is known.
fn runs_out(lot: &Lot, dated: Dated, marks: MarkPolicy) -> Option<Runs> {
    let printed = lot.expires.and_then(|mark| {
        let out = dates::last_day(mark, marks)?;
        let day = match mark.month {
            Some(_) => marks.month_only,
            None => marks.year_only,
        };
        Some(Runs {
            out,
            mark: read(mark, false, day),
        })
    });
    let lived = lot.made.zip(dated.life_months).and_then(|(made, months)| {
        let out = dates::life_end(made, months, marks)?;
        Some(Runs {
            out,
            mark: read(made, true, marks.month_only),
        })
    });
    earliest(printed, lived)
}

/// How a mark that names no day was read.
fn read(mark: DateMark, is_making: bool, day: MarkDay) -> Option<Mark> {
    let read = Mark {
        mark,
        is_making,
        day,
    };
    mark.day.is_none().then_some(read)
}

/// The earlier of two, as far as they are known.
pub(super) fn earliest(one: Option<Runs>, other: Option<Runs>) -> Option<Runs> {
    match (one, other) {
        (Some(one), Some(other)) => Some(one.min(other)),
        (one, other) => one.or(other),
    }
}

fn is_soon(day: NaiveDate, last: NaiveDate, soon_days: u32) -> bool {
    last.signed_duration_since(day) <= Duration::days(i64::from(soon_days))
}
