//! Which units of one count are good on a day.

use chrono::{Duration, NaiveDate};

use crate::dates;
use crate::event::{ItemCount, Lot};
use crate::standard::{Dated, Item};

/// Units of one count.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Units {
    /// Good on the day.
    pub(super) good: u32,
    /// All that is carried, good or not.
    pub(super) carried: u32,
    /// The earliest date that has passed.
    pub(super) expired: Option<NaiveDate>,
    /// The earliest date that is near.
    pub(super) soon: Option<NaiveDate>,
}

/// Judges one count.
///
/// What is not serviceable and what is past its date are taken to be different units: a count does
/// not say which, and this is worse for the craft.
pub(super) fn good_on(item: &Item, count: &ItemCount, day: NaiveDate) -> Units {
    let mut units = Units {
        good: count.count.saturating_sub(count.unserviceable),
        carried: count.count,
        expired: None,
        soon: None,
    };
    let Some(dated) = item.dated else {
        return units;
    };
    let mut known: u32 = 0;
    for lot in &count.lots {
        let Some(last) = last_day(lot, dated) else {
            continue;
        };
        known = known.saturating_add(lot.count);
        if day > last {
            units.good = units.good.saturating_sub(lot.count);
            units.expired = earliest(units.expired, last);
        } else if is_soon(day, last, dated.soon_days) {
            units.soon = earliest(units.soon, last);
        }
    }
    if !dated.undated_counts {
        let undated = count.count.saturating_sub(known);
        units.good = units.good.saturating_sub(undated);
    }
    units
}

/// The earlier of the printed date and the life from making; none when neither is known.
fn last_day(lot: &Lot, dated: Dated) -> Option<NaiveDate> {
    let printed = lot.expires.and_then(dates::last_day);
    let lived = lot
        .made
        .zip(dated.life_months)
        .and_then(|(made, months)| dates::life_end(made, months));
    match (printed, lived) {
        (Some(printed), Some(lived)) => Some(printed.min(lived)),
        (printed, lived) => printed.or(lived),
    }
}

fn earliest(known: Option<NaiveDate>, date: NaiveDate) -> Option<NaiveDate> {
    Some(known.map_or(date, |known| known.min(date)))
}

fn is_soon(day: NaiveDate, last: NaiveDate, soon_days: u32) -> bool {
    last.signed_duration_since(day) <= Duration::days(i64::from(soon_days))
}
