//! A report as it was taken, between messages and the trade's types.

use sponson_proto::answer::v1 as wire;
use sponson_readiness::weather_report::{ReportAsked, Reported};

use std::collections::BTreeSet;

/// Writes what was taken.
pub(crate) fn to_wire(asked: &ReportAsked) -> wire::WeatherReport {
    let report = &asked.report;
    let wind = report.wind;
    let far = report.visibility;
    let by_hand = report.by_hand.iter().map(|what| what.id().to_owned());
    wire::WeatherReport {
        text: report.text.clone(),
        station: report.station.clone(),
        at_unix_ms: report.at.0,
        age_s: asked.age_s,
        old_above_s: asked.old_above_s,
        air_mc: report.air_mc,
        dew_point_mc: report.dew_point_mc,
        wind_mm_s: wind.map(|wind| wind.mean_mm_s),
        gust_mm_s: wind.and_then(|wind| wind.gust_mm_s),
        wind_reach: wind.map_or("", |wind| wind.reach.id()).to_owned(),
        visibility_m: far.map(|far| far.metres),
        visibility_reach: far.map_or("", |far| far.reach.id()).to_owned(),
        restricted_by: report.restricted_by.clone().unwrap_or_default(),
        altimeter_pa: report.altimeter_pa,
        weather: report.weather.clone(),
        not_used: report.not_used.clone(),
        not_understood: report.not_understood.clone(),
        by_hand: by_hand.collect(),
    }
}

/// What an answer says was given by hand.
pub(crate) fn by_hand(given: &wire::WeatherReport) -> BTreeSet<Reported> {
    let named = |what: &Reported| given.by_hand.iter().any(|word| word == what.id());
    Reported::ALL.into_iter().filter(named).collect()
}
