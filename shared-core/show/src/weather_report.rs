//! What was taken from a weather report, in words, with what was not understood.

use sponson_readiness::answer::Asked;
use sponson_readiness::weather_report::{
    Reach, ReportAsked, Reported, ReportedDistance, ReportedWind, WeatherReport,
};

use crate::clean::clean;
use crate::context::Context;
use crate::units::print;

/// Lines about the report of a question, each with what stands before it; none without a report.
#[must_use]
pub fn report_lines(asked: &Asked, ctx: &Context) -> Vec<(&'static str, String)> {
    let Some(given) = &asked.weather_report else {
        return Vec::new();
    };
    let report = &given.report;
    let mut lines = vec![("Weather report: ", said(given, ctx))];
    if given.is_old() {
        lines.insert(0, ("OLD WEATHER REPORT: ", old(given)));
    }
    if !report.not_understood.is_empty() {
        let groups = clean(&report.not_understood.join(" "));
        lines.push(("Not understood, so not counted: ", groups));
    }
    let by_hand: Vec<&str> = report.by_hand.iter().map(|what| name(*what)).collect();
    if !by_hand.is_empty() {
        lines.push(("By hand, not from the report: ", by_hand.join(", ")));
    }
    let missing: Vec<&str> = Reported::ALL
        .into_iter()
        .filter(|what| !report.offers().contains(what))
        .map(name)
        .collect();
    if !missing.is_empty() {
        lines.push(("Not in the report: ", missing.join(", ")));
    }
    if !report.not_used.is_empty() {
        let groups = clean(&report.not_used.join(" "));
        lines.push(("Not used of it: ", groups));
    }
    lines
}

fn old(given: &ReportAsked) -> String {
    format!(
        "made {} before the asked moment, more than {}; ask for a newer one",
        span(given.age_s),
        span(i64::from(given.old_above_s))
    )
}

fn said(given: &ReportAsked, ctx: &Context) -> String {
    let report = &given.report;
    let temperature = |name: &str, mc: Option<i32>| {
        mc.map(|mc| format!("{name} {}", print::temperature(mc, ctx.units)))
    };
    let weather = (!report.weather.is_empty()).then(|| {
        let groups = clean(&report.weather.join(" "));
        format!("weather {groups}")
    });
    let parts = [
        temperature("air", report.air_mc),
        temperature("dew point", report.dew_point_mc),
        report.wind.as_ref().map(wind),
        sight(report, ctx),
        weather,
        report
            .altimeter_pa
            .map(|pa| format!("altimeter {}", print::altimeter(pa))),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    format!(
        "{} of {} ({}): {}",
        clean(&report.station),
        ctx.local(report.at),
        age(given.age_s),
        parts.join(", ")
    )
}

/// The gusts count, since they are what turns a boat over.
fn wind(wind: &ReportedWind) -> String {
    let more = match wind.reach {
        Reach::OrMore => " or more",
        Reach::Exact | Reach::Below => "",
    };
    let mean = print::speed(wind.mean_mm_s);
    match wind.gust_mm_s {
        Some(gust) => format!(
            "wind {mean} with gusts of {}{more} (the gusts count)",
            print::speed(gust)
        ),
        None => format!("wind {mean}{more}"),
    }
}

fn sight(report: &WeatherReport, ctx: &Context) -> Option<String> {
    let far = report.visibility.map(|far| distance(far, ctx));
    let by = report.restricted_by.as_deref().map(clean);
    match (far, by) {
        (Some(far), Some(by)) => Some(format!("visibility {far}, restricted by {by}")),
        (Some(far), None) => Some(format!("visibility {far}")),
        (None, Some(by)) => Some(format!("visibility restricted by {by}")),
        (None, None) => None,
    }
}

fn distance(far: ReportedDistance, ctx: &Context) -> String {
    let metres = print::distance(far.metres, ctx.units);
    match far.reach {
        Reach::Exact => metres,
        Reach::Below => format!("less than {metres} (restricted)"),
        Reach::OrMore => format!("{metres} or more"),
    }
}

fn age(age_s: i64) -> String {
    if age_s < 0 {
        return format!("dated {} ahead", span(-age_s));
    }
    format!("{} before the asked moment", span(age_s))
}

fn span(s: i64) -> String {
    print::span(s.saturating_mul(1_000))
}

/// A value that a report offers, in words.
#[must_use]
pub const fn name(what: Reported) -> &'static str {
    match what {
        Reported::Air => "air temperature",
        Reported::Wind => "wind",
        Reported::Visibility => "visibility",
        Reported::Altimeter => "altimeter setting",
    }
}
