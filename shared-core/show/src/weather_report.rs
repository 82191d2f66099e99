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

#[cfg(test)]
pub(crate) mod tests {
    use std::collections::BTreeSet;

    use sponson_readiness::moment::Moment;

    use super::*;
    use crate::sample;

    /// A report that says a little of everything, so many minutes old.
    pub(crate) fn report(minutes: i64) -> ReportAsked {
        let at = sample::county().asked.as_of.plus_ms(-minutes * 60_000);
        let report = WeatherReport {
            text: "KRAP 141652Z 31014G32KT 1/2SM FG M05/M07 A2992 HELLO".to_owned(),
            station: "KRAP".to_owned(),
            at: Moment(at.0),
            air_mc: Some(-5_000),
            dew_point_mc: Some(-7_200),
            wind: Some(ReportedWind {
                mean_mm_s: 7_202,
                gust_mm_s: Some(16_462),
                reach: Reach::Exact,
            }),
            visibility: Some(ReportedDistance {
                metres: 402,
                reach: Reach::Below,
            }),
            restricted_by: Some("FG".to_owned()),
            altimeter_pa: None,
            weather: vec!["FG".to_owned()],
            not_used: vec!["RMK AO2".to_owned()],
            not_understood: vec!["HELLO\u{1b}[2J".to_owned()],
            by_hand: BTreeSet::from([Reported::Wind]),
        };
        ReportAsked {
            report,
            age_s: minutes * 60,
            old_above_s: 5_400,
        }
    }

    fn said(given: ReportAsked) -> Vec<String> {
        let mut asked = sample::county().asked;
        asked.weather_report = Some(given);
        let lines = report_lines(&asked, &sample::context()).into_iter();
        lines
            .map(|(before, text)| format!("{before}{text}"))
            .collect()
    }

    #[test]
    fn what_was_taken_and_what_was_not() {
        let text = said(report(30)).join("\n");
        for wanted in [
            "Weather report: KRAP of ",
            "(30 min before the asked moment): air 23 \u{b0}F, dew point 19 \u{b0}F, wind 14 kn",
            "with gusts of 32 kn (the gusts count)",
            "(restricted), restricted by FG, weather FG",
            "\nNot understood, so not counted: HELLO",
            "\nBy hand, not from the report: wind",
            "\nNot in the report: altimeter setting",
            "\nNot used of it: RMK AO2",
        ] {
            assert!(text.contains(wanted), "{wanted}: {text}");
        }
        assert!(!text.contains('\u{1b}'), "{text:?}");
        assert!(report_lines(&sample::county().asked, &sample::context()).is_empty());
    }

    #[test]
    fn an_old_report_is_said_first() {
        assert!(said(report(91))[0].starts_with("OLD WEATHER REPORT: made 1 h 31 min before"));
        assert!(said(report(90))[0].starts_with("Weather report: "));
        assert!(said(report(-5))[0].contains("dated 5 min ahead"));
    }

    #[test]
    fn bounds_are_said() {
        let mut given = report(30);
        given.report.restricted_by = None;
        given.report.wind = Some(ReportedWind {
            mean_mm_s: 50_930,
            gust_mm_s: None,
            reach: Reach::OrMore,
        });
        let lines = said(given.clone());
        assert!(lines[0].contains("less than"), "{lines:?}");
        assert!(lines[0].contains("kn or more"), "{lines:?}");
        given.report.visibility = None;
        given.report.restricted_by = Some("SN".to_owned());
        let lines = said(given);
        assert!(
            lines[0].contains("visibility restricted by SN"),
            "{lines:?}"
        );
    }
}
