//! Counts and the dates on what was counted.

use chrono::{Months, NaiveDate};

use super::{AskedBack, AskedWhy, Before, Entered, FieldRef, ask, trusted};
use crate::dates::{day, first_day, last_day};
use crate::event::{DateMark, ItemCount};
use crate::ids::{LineId, SubjectId};
use crate::record::Side;
use crate::standard::Item;

/// Every count of a check.
pub(super) fn check(entered: &Entered<'_>, before: &Before<'_>, asked: &mut Vec<AskedBack>) {
    let on = day(before.at(entered), before.policy.utc_offset_min);
    for count in &entered.check.counts {
        let items = &before.standard.items;
        let item = items.iter().find(|item| item.id == count.item);
        let last = counted(before, &count.item, count.bag);
        if let Some(why) = too_many(before, item, count, &last) {
            ask(asked, FieldRef::Count(count.item.clone(), count.bag), why);
        }
        let field = FieldRef::Dates(count.item.clone(), count.bag);
        let life_months = item.and_then(|item| item.dated?.life_months);
        for lot in &count.lots {
            let why = lot.expires.and_then(|date| {
                over(before, date, on)
                    .or_else(|| before_last(before, date, &last))
                    .or_else(|| beyond(before, date, life_months, on))
            });
            let made = lot.made.and_then(|date| not_yet(date, on));
            for why in why.into_iter().chain(made) {
                ask(asked, field.clone(), why);
            }
        }
    }
}

/// Every tag of a bag: its earliest date, as one on what is in it.
pub(super) fn tags(entered: &Entered<'_>, before: &Before<'_>, asked: &mut Vec<AskedBack>) {
    let on = day(before.at(entered), before.policy.utc_offset_min);
    for seal in &entered.check.seals {
        let why = seal
            .earliest
            .and_then(|date| over(before, date, on).or_else(|| beyond(before, date, None, on)));
        if let Some(why) = why {
            ask(asked, FieldRef::SealDate(seal.bag), why);
        }
    }
}

/// What was last counted of an item in one place.
fn counted<'a>(
    before: &Before<'a>,
    item: &LineId,
    bag: Option<SubjectId>,
) -> Vec<&'a Side<ItemCount>> {
    let craft = before.record();
    let craft = craft.and_then(|record| record.counts.get(&(item.clone(), bag)));
    let own = bag.and_then(|bag| before.records.get(&bag));
    let own = own.and_then(|record| record.counts.get(&(item.clone(), None)));
    craft.into_iter().chain(own).flat_map(trusted).collect()
}

fn too_many(
    before: &Before<'_>,
    item: Option<&Item>,
    count: &ItemCount,
    last: &[&Side<ItemCount>],
) -> Option<AskedWhy> {
    let item = item?;
    let special = item.count_for.values().copied().max().unwrap_or(0);
    let wanted = item.count.max(special);
    let last = last.iter().map(|side| side.value.count).max();
    let most = wanted.max(last.unwrap_or(0));
    let limit = most.saturating_add(before.policy.asked_back.count_margin);
    (count.count > limit).then_some(AskedWhy::MoreThanEver {
        count: count.count,
        last,
        wanted,
    })
}

fn over(before: &Before<'_>, date: DateMark, on: NaiveDate) -> Option<AskedWhy> {
    let last = last_day(date, before.policy.marks)?;
    (last < on).then_some(AskedWhy::Over { date })
}

/// Earlier than every date that was last noted: new units come with later ones.
fn before_last(before: &Before<'_>, date: DateMark, last: &[&Side<ItemCount>]) -> Option<AskedWhy> {
    let marks = before.policy.marks;
    let lots = last.iter().flat_map(|side| &side.value.lots);
    let dated = lots.filter_map(|lot| Some((last_day(lot.expires?, marks)?, lot.expires?)));
    let (earliest, last) = dated.min()?;
    (last_day(date, marks)? < earliest).then_some(AskedWhy::BeforeLast { date, last })
}

fn beyond(
    before: &Before<'_>,
    date: DateMark,
    life_months: Option<u32>,
    on: NaiveDate,
) -> Option<AskedWhy> {
    let life_months = life_months.unwrap_or(before.policy.asked_back.date_months);
    let furthest = on.checked_add_months(Months::new(life_months))?;
    (first_day(date)? > furthest).then_some(AskedWhy::BeyondLife { date, life_months })
}

/// A day of making or filling that has not come.
pub(super) fn not_yet(date: DateMark, on: NaiveDate) -> Option<AskedWhy> {
    (first_day(date)? > on).then_some(AskedWhy::NotYet { date })
}
