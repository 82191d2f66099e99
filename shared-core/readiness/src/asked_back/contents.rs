//! Engine meters, fuel and cylinders.

use super::kit::not_yet;
use super::{AskedBack, AskedWhy, Before, Entered, FieldRef, ask, trusted};
use crate::dates::{day, first_day, last_day};
use crate::event::{CylinderReading, Fuel, Meter};
use crate::moment::Moment;

/// Every meter, tank and cylinder of a check.
pub(super) fn check(entered: &Entered<'_>, before: &Before<'_>, asked: &mut Vec<AskedBack>) {
    for read in &entered.check.meters {
        let at = before.at(entered);
        if let Some(why) = meter(before, read, at) {
            ask(asked, FieldRef::Meter(read.subject), why);
        }
    }
    for fuel in &entered.check.fuel {
        if let Some(why) = above_tank(before, fuel) {
            ask(asked, FieldRef::Fuel(fuel.tank), why);
        }
        if let Some(why) = filled(entered, before, fuel) {
            ask(asked, FieldRef::Filled(fuel.tank), why);
        }
    }
    for read in &entered.check.cylinders {
        if let Some(why) = above_service(before, read) {
            ask(asked, FieldRef::Cylinder(read.subject), why);
        }
    }
}

/// Less than it showed, or more than it can have run since.
fn meter(before: &Before<'_>, read: &Meter, at: Moment) -> Option<AskedWhy> {
    let sides = before.sides(read.subject, |record| &record.meters);
    let last = sides.into_iter().max_by_key(|side| side.value)?;
    let (engine_s, last_s) = (read.engine_s, last.value);
    if engine_s < last_s {
        return Some(AskedWhy::MeterBack { engine_s, last_s });
    }
    let since = last.origin.interval.earliest(before.now);
    let passed_ms = u64::try_from(at.since(since)).unwrap_or(0);
    let slack_s = u64::from(before.policy.asked_back.meter_slack_s);
    let passed_s = (passed_ms / 1_000).saturating_add(slack_s);
    (engine_s - last_s > passed_s).then_some(AskedWhy::MeterFast {
        engine_s,
        last_s,
        passed_s,
    })
}

fn above_tank(before: &Before<'_>, fuel: &Fuel) -> Option<AskedWhy> {
    let of_sheet = before.standard.fuel.as_ref().and_then(|rule| rule.tank_ml);
    let most_ml = of_sheet.unwrap_or(before.policy.asked_back.tank_ml);
    (fuel.amount_ml > most_ml).then_some(AskedWhy::AboveTank {
        amount_ml: fuel.amount_ml,
        most_ml,
    })
}

/// Filled on a day that has not come, or before the day that was last noted.
fn filled(entered: &Entered<'_>, before: &Before<'_>, fuel: &Fuel) -> Option<AskedWhy> {
    let date = fuel.filled?;
    let on = day(before.at(entered), before.policy.utc_offset_min);
    let earlier = || {
        let sides = before.sides(fuel.tank, |record| &record.fuel);
        let noted = sides.iter().filter_map(|side| side.value.filled);
        let dated = noted.filter_map(|mark| Some((first_day(mark)?, mark)));
        let (latest, last) = dated.max()?;
        (last_day(date, before.policy.marks)? < latest)
            .then_some(AskedWhy::BeforeLast { date, last })
    };
    not_yet(date, on).or_else(earlier)
}

fn above_service(before: &Before<'_>, read: &CylinderReading) -> Option<AskedWhy> {
    let record = before.records.get(&read.subject)?;
    let marks = trusted(&record.gear).filter_map(|side| side.value.cylinder.service_kpa);
    let service_kpa = marks.max()?;
    let percent = u64::from(before.policy.asked_back.cylinder_over_percent);
    let most = u64::from(service_kpa).saturating_mul(100 + percent) / 100;
    (u64::from(read.gauge_kpa) > most).then_some(AskedWhy::AboveService {
        gauge_kpa: read.gauge_kpa,
        service_kpa,
    })
}
