//! What was taken from a weather report, in the form; absent where none was given.

use serde::Serialize;
use sponson_readiness::weather_report::ReportAsked;

use crate::units::print;

#[derive(Serialize)]
pub(super) struct ReportForm {
    text: String,
    station: String,
    at: String,
    age_s: i64,
    old_above_s: u32,
    old: bool,
    air_c: Option<f64>,
    dew_point_c: Option<f64>,
    wind_m_s: Option<f64>,
    gust_m_s: Option<f64>,
    wind_reach: Option<&'static str>,
    visibility_m: Option<u32>,
    visibility_reach: Option<&'static str>,
    restricted_by: Option<String>,
    altimeter_pa: Option<i64>,
    weather: Vec<String>,
    taken: Vec<&'static str>,
    by_hand: Vec<&'static str>,
    not_used: Vec<String>,
    not_understood: Vec<String>,
}

pub(super) fn weather_report(given: &ReportAsked) -> ReportForm {
    let report = &given.report;
    let degrees = |mc: i32| f64::from(mc) / 1000.0;
    let per_s = |mm_s: u32| f64::from(mm_s) / 1000.0;
    let word = |id: &'static str| (!id.is_empty()).then_some(id);
    let gust = report.wind.and_then(|wind| wind.gust_mm_s);
    ReportForm {
        text: report.text.clone(),
        station: report.station.clone(),
        at: print::rfc3339(report.at),
        age_s: given.age_s,
        old_above_s: given.old_above_s,
        old: given.is_old(),
        air_c: report.air_mc.map(degrees),
        dew_point_c: report.dew_point_mc.map(degrees),
        wind_m_s: report.wind.map(|wind| per_s(wind.mean_mm_s)),
        gust_m_s: gust.map(per_s),
        wind_reach: report.wind.and_then(|wind| word(wind.reach.id())),
        visibility_m: report.visibility.map(|far| far.metres),
        visibility_reach: report.visibility.and_then(|far| word(far.reach.id())),
        restricted_by: report.restricted_by.clone(),
        altimeter_pa: report.altimeter_pa,
        weather: report.weather.clone(),
        taken: report.taken().iter().map(|what| what.id()).collect(),
        by_hand: report.by_hand.iter().map(|what| what.id()).collect(),
        not_used: report.not_used.clone(),
        not_understood: report.not_understood.clone(),
    }
}
