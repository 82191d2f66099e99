//! A weather report pasted as it is: text in, what it says in the trade's units out, with every group
//! that was not understood.
//!
//! FM 15 METAR and FM 16 SPECI (WMO-No. 306, Manual on Codes, volume I.1), with what stations in the
//! United States write (Federal Meteorological Handbook No. 1): statute miles, inches of mercury,
//! tenths of a degree among the remarks. Forecasts, also those appended to a report, are not read.
//!
//! Each group is read by its own shape, here and not by the `metar` library: that one reads a report
//! whole or not at all, and knows neither `M1/4SM` nor `P6SM`, a `$` at the end, a minimum by direction
//! or small letters. Where it reads a report the tests hold both against each other.

mod groups;
mod remarks;
mod shapes;
mod time;
mod wire;

use std::collections::BTreeSet;

use sponson_readiness::conditions::{Ambient, Conditions};
use sponson_readiness::moment::Moment;
use sponson_readiness::weather_report::{Reported, WeatherReport};
use sponson_show::clean;

use crate::refusal::Refusal;
use groups::Groups;

pub(crate) use wire::{by_hand, to_wire};

/// Longest text, bytes: the longest reports, with all remarks, have some 500.
const TEXT_MAX: usize = 2_048;

/// Reads a report for a question about a moment; nothing is by hand yet.
///
/// # Errors
/// When it is no report of one aerodrome, is empty, comes after the moment or long before it, or when
/// nothing in it can be used.
pub fn read(text: &str, asked: Moment) -> Result<WeatherReport, Refusal> {
    // What is kept of it is what was read: an answer that was signed is given again from that.
    let text = clean(text);
    if text.len() > TEXT_MAX {
        return Err(refused(
            &format!("has {} bytes; at most {TEXT_MAX} are allowed", text.len()),
            "paste one report",
        ));
    }
    let text = text.to_ascii_uppercase();
    let (body, rest) = text.split_once('=').unwrap_or((&text, ""));
    if !rest.trim().is_empty() {
        return Err(two_reports());
    }
    let all: Vec<&str> = body.split_whitespace().collect();
    let (station, stamp, groups) = header(&all)?;
    if groups.first() == Some(&"NIL") {
        return Err(refused(
            &format!("of {station} says NIL: nothing was reported"),
            "take another station's, or give the weather by hand",
        ));
    }
    let second = groups.iter().take_while(|it| **it != "RMK");
    if second.into_iter().any(|it| time::is_stamp(it)) {
        return Err(two_reports());
    }
    let at = time::resolve(stamp, asked)?;
    let report = Groups::read(groups).into_report(clean(&all.join(" ")), station.to_owned(), at);
    if report.offers().is_empty() {
        let groups = match report.not_understood.as_slice() {
            [] => String::new(),
            some => format!("; not understood: {}", some.join(" ")),
        };
        return Err(refused(
            &format!("of {station} has nothing that can be used{groups}"),
            "check the text, or give the weather by hand",
        ));
    }
    Ok(report)
}

/// Fills conditions that were not given by hand, and notes which were.
pub(crate) fn fill(
    mut report: WeatherReport,
    air_mc: &mut Option<i32>,
    conditions: &mut Conditions,
) -> WeatherReport {
    let by_hand = [
        (Reported::Air, air_mc.is_some()),
        (Reported::Wind, conditions.wind_mm_s.is_some()),
        (Reported::Visibility, conditions.visibility.is_some()),
        (Reported::Altimeter, conditions.ambient.is_some()),
    ];
    let by_hand: BTreeSet<Reported> = by_hand
        .into_iter()
        .filter(|(_, by_hand)| *by_hand)
        .map(|(what, _)| what)
        .collect();
    report.by_hand = by_hand.intersection(&report.offers()).copied().collect();
    *air_mc = air_mc.or(report.air_mc);
    let wind = report.wind.map(|wind| wind.counts_mm_s());
    conditions.wind_mm_s = conditions.wind_mm_s.or(wind);
    conditions.visibility = conditions.visibility.or(report.sight());
    let altimeter = report.altimeter_pa.map(Ambient::AltimeterPa);
    conditions.ambient = conditions.ambient.or(altimeter);
    report
}

/// Station and time, and the groups after them.
fn header<'t>(all: &'t [&'t str]) -> Result<(&'t str, time::Stamp, &'t [&'t str]), Refusal> {
    let groups = without_heading(all);
    let lead = |group: &&&str| matches!(**group, "METAR" | "SPECI" | "COR" | "AUTO");
    let groups = groups.get(groups.iter().take_while(lead).count()..);
    let [station, rest @ ..] = groups.unwrap_or_default() else {
        return Err(refused(
            "is empty",
            "paste it as it is, for example KRAP 281652Z 31014G32KT 10SM M05/M07 A2992",
        ));
    };
    if *station == "TAF" {
        return Err(refused(
            "begins with TAF, which is a forecast",
            "paste the METAR or SPECI of the aerodrome",
        ));
    }
    if !shapes::is_station(station) {
        return Err(refused(
            &format!("begins with '{}', which is no aerodrome", clean(station)),
            "paste it from the four letters of the aerodrome on, for example KRAP",
        ));
    }
    let stamp = rest.first().copied().unwrap_or("nothing");
    let Some(read) = time::Stamp::read(stamp) else {
        return Err(refused(
            &format!(
                "has '{}' after {station}, which is no day and time",
                clean(stamp)
            ),
            "paste it with its time, for example 281652Z: the 28th at 16:52 UTC",
        ));
    };
    let rest = rest.get(1..).unwrap_or_default();
    let modifier = |group: &&&str| shapes::is_modifier(group);
    let after = rest.iter().take_while(modifier).count();
    Ok((station, read, rest.get(after..).unwrap_or_default()))
}

/// What stands before a report where it was copied from a bulletin (`SAUS43 KUNR 281652`) or a list
/// by station (`2026/11/28 16:52`).
fn without_heading<'t>(all: &'t [&'t str]) -> &'t [&'t str] {
    let digits = |text: &str, number| text.len() == number && shapes::all_digits(text);
    let after = match all {
        [sort, place, time, ..]
            if sort.len() == 6
                && sort.get(4..).is_some_and(shapes::all_digits)
                && shapes::is_station(place)
                && digits(time, 6) =>
        {
            3
        }
        [day, time, ..] if day.matches('/').count() == 2 && time.contains(':') => 2,
        _ => 0,
    };
    all.get(after..).unwrap_or_default()
}

fn refused(what: &str, to_do: &str) -> Refusal {
    Refusal::field(format!("weather report {what}"), to_do)
}

fn two_reports() -> Refusal {
    refused("is more than one report", "paste one, the newest")
}

#[cfg(test)]
mod tests;
