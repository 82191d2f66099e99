//! Gauge values: of another part, far from the last reading, lower as left than as found; and the
//! air.

use super::{AskedWhy, Before, Entered, FieldRef, ask, trusted};
use crate::event::{Reading, ReadingMoment};
use crate::ids::PartId;
use crate::pressure::{Air, gauge_elsewhere_pa, standard_pressure_pa};
use crate::record::{PartReadings, Recent, Side};
use crate::standard::{Part, PressureRule};

use super::AskedBack;

/// Every reading of a check.
pub(super) fn check(entered: &Entered<'_>, before: &Before<'_>, asked: &mut Vec<AskedBack>) {
    for reading in &entered.check.readings {
        air(reading, before, asked);
        let parts = &before.standard.parts;
        let part = parts.iter().find(|part| part.id == reading.part);
        let Some((part, rule)) = part.and_then(|part| Some((part, part.pressure.as_ref()?))) else {
            continue;
        };
        let field = FieldRef::Reading(part.id.clone(), reading.moment);
        let why = of_other_part(before, part, rule, reading)
            .or_else(|| left_below_found(entered, reading))
            .or_else(|| far_from_last(before, rule, reading));
        if let Some(why) = why {
            ask(asked, field, why);
        }
    }
}

fn air(reading: &Reading, before: &Before<'_>, asked: &mut Vec<AskedBack>) {
    let policy = &before.policy.asked_back;
    let (least_mc, most_mc) = (policy.air_least_mc, policy.air_most_mc);
    let outside = |air_mc: &i32| !(least_mc..=most_mc).contains(air_mc);
    if let Some(air_mc) = reading.air_mc.filter(outside) {
        let why = AskedWhy::HardlyAnyAir {
            air_mc,
            least_mc,
            most_mc,
        };
        ask(asked, FieldRef::Air, why);
    }
}

/// Outside of what the part can show: the part whose range is nearest, of those that can show it.
fn of_other_part(
    before: &Before<'_>,
    part: &Part,
    rule: &PressureRule,
    reading: &Reading,
) -> Option<AskedWhy> {
    let gauge_pa = reading.gauge_pa;
    if can_show(rule, gauge_pa) {
        return None;
    }
    let (least_pa, most_pa) = (rule.implausible_below_pa, rule.implausible_above_pa);
    let others = before
        .standard
        .parts
        .iter()
        .filter(|other| other.id != part.id);
    let fits = others
        .filter_map(|other| Some((other, other.pressure.as_ref()?)))
        .filter(|(_, rule)| can_show(rule, gauge_pa))
        .min_by_key(|(_, rule)| off_range_pa(rule, gauge_pa));
    Some(match fits {
        Some((other, _)) => AskedWhy::OtherPart {
            gauge_pa,
            least_pa,
            most_pa,
            fits: other.id.clone(),
        },
        None => AskedWhy::NoPart {
            gauge_pa,
            least_pa,
            most_pa,
        },
    })
}

fn can_show(rule: &PressureRule, gauge_pa: i64) -> bool {
    (rule.implausible_below_pa..=rule.implausible_above_pa).contains(&gauge_pa)
}

/// How far a value is from what the sheet wants, pascal; 0 inside.
fn off_range_pa(rule: &PressureRule, gauge_pa: i64) -> i64 {
    let below = rule.low_pa.saturating_sub(gauge_pa);
    let above = gauge_pa.saturating_sub(rule.high_pa);
    below.max(above).max(0)
}

fn left_below_found(entered: &Entered<'_>, left: &Reading) -> Option<AskedWhy> {
    if left.moment != ReadingMoment::AsLeft || !entered.air_added.contains(&left.part) {
        return None;
    }
    let found = as_found(entered, &left.part)?;
    (left.gauge_pa < found.gauge_pa).then_some(AskedWhy::LeftBelowFound {
        found_pa: found.gauge_pa,
        left_pa: left.gauge_pa,
    })
}

fn as_found<'a>(entered: &Entered<'a>, part: &PartId) -> Option<&'a Reading> {
    let mut readings = entered.check.readings.iter();
    readings.find(|reading| reading.part == *part && reading.moment == ReadingMoment::AsFound)
}

/// As found, against what the last reading would show in this air, where nothing happened to the
/// part since.
fn far_from_last(before: &Before<'_>, rule: &PressureRule, reading: &Reading) -> Option<AskedWhy> {
    if reading.moment != ReadingMoment::AsFound {
        return None;
    }
    let readings = before.record()?.readings.get(&reading.part)?;
    let last = untouched_since(readings)?;
    let last_pa = match (air_of(before, &last.value), air_of(before, reading)) {
        (Some(from), Some(to)) => gauge_elsewhere_pa(last.value.gauge_pa, from, to),
        _ => last.value.gauge_pa,
    };
    let percent = i64::from(before.policy.asked_back.gauge_change_percent);
    let limit_pa = rule.nominal_pa.saturating_mul(percent) / 100;
    let apart = reading.gauge_pa.abs_diff(last_pa);
    (apart > limit_pa.unsigned_abs()).then_some(AskedWhy::FarFromLast {
        gauge_pa: reading.gauge_pa,
        last_pa,
        limit_pa,
        last_at: last.origin.interval.claimed,
    })
}

/// The last reading that stands alone and that nothing came after: no air, no repair, no use in the
/// sun, no rolling up.
fn untouched_since(readings: &PartReadings) -> Option<&Side<Reading>> {
    let mut standing = trusted(&readings.standing);
    let last = standing.next()?;
    let alone = standing.next().is_none() && readings.air_since.is_empty();
    let newest = readings.recent.last().map(|side| &side.value);
    let untouched = match newest {
        Some(Recent::Read(_)) | None => true,
        Some(Recent::Air(_) | Recent::Repaired | Recent::Rolled | Recent::Used) => false,
    };
    (alone && untouched).then_some(last)
}

/// Temperature and ambient pressure of a reading, as far as they were given.
fn air_of(before: &Before<'_>, reading: &Reading) -> Option<Air> {
    let temperature_mc = reading.fabric_mc.or(reading.air_mc)?;
    let elevation_mm = reading.elevation_mm.unwrap_or(before.policy.elevation_mm);
    let standard_pa = || standard_pressure_pa(elevation_mm);
    Some(Air {
        temperature_mc,
        ambient_pa: reading.ambient_pa.map_or_else(standard_pa, f64::from),
    })
}
