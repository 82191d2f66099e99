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
    for lot in &count.lots {
        let Some(runs) = runs_out(lot, dated, marks) else {
            continue;
        };
        known = known.saturating_add(lot.count);
        if day > runs.out {
            units.good = units.good.saturating_sub(lot.count);
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
    let is_good = |lot: &&Lot| {
        let mut runs = dated.iter().map(|dated| runs_out(lot, *dated, marks));
        runs.all(|runs| runs.is_some_and(|runs| day <= runs.out))
    };
    let good = count.lots.iter().filter(is_good);
    let good = good.fold(0_u32, |sum, lot| sum.saturating_add(lot.count));
    good.saturating_sub(count.unserviceable).min(serviceable)
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
