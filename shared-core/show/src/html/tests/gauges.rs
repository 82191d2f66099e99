//! The pages about gauges and leaks: what they say is what the JSON says, nobody is named on them who is
//! not to be, and what people wrote is text.

use std::collections::BTreeSet;

use sponson_readiness::answer::{KnownBy, LeakRate};
use sponson_readiness::chambers::{
    Chamber, ChamberCurve, ChamberLeaks, Curve, CurvePoint, Height, Leaking, NotKnown, WhyNotKnown,
};
use sponson_readiness::doubted::{
    ApartSaid, ChamberPair, CheckPair, Counted, Doubted, GaugeApart, Reader, Series, Share, Still,
    StillSaid,
};
use sponson_readiness::event::{Author, Reading, ReadingMoment};
use sponson_readiness::history::ReadingPast;
use sponson_readiness::holds_done::HoldsDone;
use sponson_readiness::ids::{EventId, PartId};
use sponson_readiness::leak::Cut;
use sponson_readiness::moment::Moment;
use sponson_readiness::read_back::{ChamberReadings, Happened, ReadBack, ReadingShown};
use sponson_readiness::standard::Policy;

use super::checks::faults;
use super::facts;
use crate::html::{GaugesShown, gauges_page, readings_page};
use crate::json::{self, Members};
use crate::sample::{AS_OF, context, station};
use crate::table::{gauges_report, leaks_report, readings_report};

const DAY_MS: i64 = 86_400_000;

fn event(n: u8) -> EventId {
    EventId::from_bytes([n; 32])
}

fn still(reader: Reader, said: StillSaid) -> Still {
    let share = |count, of| Share {
        count,
        of,
        between: (0.35, 0.97),
    };
    Still {
        reader,
        counted: Counted::Series,
        of: share(6, 8),
        others: share(0, 23),
        p: Some(0.000_4),
        p_adjusted: Some(0.002),
        said,
    }
}

fn doubted() -> Doubted {
    let policy = Policy::parse(Policy::default_text()).expect("the policy");
    let chamber = ChamberPair {
        part: PartId::from("keel"),
        label: "keel".to_owned(),
        own_pa: 23_500,
        other_pa: 22_000,
        leak_pa: None,
    };
    let pair = CheckPair {
        craft: station(9),
        number: "Marsh 21".to_owned(),
        own: (event(1), AS_OF),
        other: (event(2), AS_OF.plus_ms(-3_600_000)),
        other_gauge: station(8),
        other_number: "G-2".to_owned(),
        chambers: vec![chamber],
        differs_pa: 1_500,
    };
    Doubted {
        from: Some(AS_OF.plus_ms(-300 * DAY_MS)),
        until: AS_OF,
        readings: (812, 640),
        left_out: 2,
        settings: policy.doubted,
        still_pa: 500,
        still_span_mk: 5_000,
        shifts: policy.shifts,
        by_shift: vec![still(
            Reader::Shift("<b>night".to_owned()),
            StillSaid::CouldBeChance,
        )],
        by_member: vec![still(
            Reader::Member("1042".to_owned()),
            StillSaid::MoreOften,
        )],
        by_gauge: vec![still(
            Reader::Gauge(station(7), "<script>G-1".to_owned()),
            StillSaid::MoreOften,
        )],
        stayed_by_shift: Vec::new(),
        stayed_by_member: vec![still(Reader::Member("1043".to_owned()), StillSaid::TooFew)],
        series: vec![Series {
            number: "Marsh 21".to_owned(),
            craft: station(9),
            part: PartId::from("keel"),
            label: "keel".to_owned(),
            from: AS_OF.plus_ms(-30 * DAY_MS),
            until: AS_OF,
            readings: 3,
            gauge_pa: (23_000, 23_000),
            air_mc: (5_000, 18_000),
            expected_pa: 5_811,
            gauges: vec!["G-1".to_owned()],
            shifts: vec!["day".to_owned()],
            events: vec![event(3)],
        }],
        series_that_could: 31,
        gauges: vec![GaugeApart {
            gauge: station(7),
            number: "<script>G-1".to_owned(),
            made: None,
            pairs: vec![pair],
            others: 3,
            middle_pa: Some(1_500),
            between_pa: Some((1_200, 1_800)),
            p: Some(0.004),
            p_adjusted: Some(0.02),
            said: ApartSaid::Apart,
        }],
    }
}

fn chamber() -> Chamber {
    Chamber {
        number: "Marsh 21".to_owned(),
        craft: station(9),
        part: PartId::from("keel"),
        label: "keel <i>".to_owned(),
        stations: vec![station(1)],
        low_pa: 22_000,
        last_read: Some(AS_OF),
    }
}

fn rate() -> LeakRate {
    LeakRate {
        pa_per_day: 296,
        between_pa: Some((210, 380)),
        readings: 4,
        over_ms: 21 * DAY_MS,
        below_on: "2026-04-04".parse().ok(),
        below_between: ("2026-03-30".parse().ok(), "2026-04-20".parse().ok()),
    }
}

fn leaks() -> ChamberLeaks {
    ChamberLeaks {
        as_of: AS_OF,
        air_mc: 5_000,
        water_mc: 5_000,
        assumed: BTreeSet::new(),
        known_by: KnownBy {
            log_id: [0; 16],
            size: 12,
            root: [0; 32],
            beyond: 0,
        },
        limit_pa: 3_000,
        leaking: vec![Leaking {
            chamber: chamber(),
            rate: rate(),
            is_over: false,
            height: Height::Stands,
            evidence: vec![event(3)],
        }],
        holding: Vec::new(),
        not_known: vec![NotKnown {
            chamber: chamber(),
            why: WhyNotKnown::FewReadings {
                readings: 2,
                least: 3,
            },
            hint: Some(rate()),
        }],
    }
}

fn no_holds() -> HoldsDone {
    HoldsDone {
        tests: Vec::new(),
        courses: Vec::new(),
    }
}

fn page(members: Members) -> String {
    let (doubted, leaks, holds) = (doubted(), leaks(), no_holds());
    let shown = GaugesShown {
        doubted: &doubted,
        leaks: &leaks,
        holds: &holds,
        members,
    };
    let page = gauges_page(&shown, &context(), &facts());
    assert_eq!(faults(&page), Vec::<String>::new());
    page
}

/// What stands in a page as text, without its markup.
fn unmarked(page: &str) -> String {
    let mut inside = false;
    let text: String = page
        .chars()
        .filter(|c| {
            let keep = !inside && *c != '<';
            inside = (inside || *c == '<') && *c != '>';
            keep
        })
        .collect();
    text.replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&amp;", "&")
}

/// Every sentence of a list in the JSON, by its field.
fn said(form: &str, field: &str) -> Vec<String> {
    fn walk(value: &serde_json::Value, field: &str, found: &mut Vec<String>) {
        match value {
            serde_json::Value::Object(fields) => {
                for (name, value) in fields {
                    match value.as_str().filter(|_| name == field) {
                        Some(text) => found.push(text.to_owned()),
                        None => walk(value, field, found),
                    }
                }
            }
            serde_json::Value::Array(all) => all.iter().for_each(|it| walk(it, field, found)),
            serde_json::Value::Null
            | serde_json::Value::Bool(_)
            | serde_json::Value::Number(_)
            | serde_json::Value::String(_) => {}
        }
    }
    let mut found = Vec::new();
    walk(
        &serde_json::from_str(form).expect("JSON"),
        field,
        &mut found,
    );
    found
}

#[test]
fn what_the_page_says_the_json_says() {
    let (text, ctx) = (unmarked(&page(Members::Told)).to_lowercase(), context());
    let gauges = json::gauges(&doubted(), &ctx, Members::Told);
    let leaks = json::leaks(&leaks(), &no_holds(), None, &ctx);
    let sentences: Vec<String> = ["text", "read_by", "soft_text"]
        .iter()
        .flat_map(|field| [said(&gauges, field), said(&leaks, field)].concat())
        .collect();
    assert!(sentences.len() >= 8, "{sentences:?}");
    for sentence in sentences {
        let wanted = sentence.to_lowercase();
        assert!(text.contains(&wanted), "{wanted}");
    }
    assert!(text.contains("reads 0.22 psi higher than the others, from 1 pair of checks"));
}

#[test]
fn member_numbers_are_told_where_they_are_asked_for_alone() {
    let ctx = context();
    for (members, told) in [(Members::Told, true), (Members::LeftOut, false)] {
        assert_eq!(page(members).contains("1042"), told);
        assert_eq!(page(members).contains("1043"), told);
        assert_eq!(
            json::gauges(&doubted(), &ctx, members).contains("1042"),
            told
        );
        assert_eq!(
            gauges_report(&doubted(), &ctx, members).contains("1042"),
            told
        );
    }
    // Nobody stands on a first line.
    let whole = page(Members::Told);
    let top = whole.split("</section>").next().expect("a top");
    assert!(!top.contains("1042") && !top.contains("member 10"));
}

fn craft() -> ReadBack {
    let reading = ReadingPast {
        event: event(3),
        at: AS_OF.plus_ms(-5 * DAY_MS),
        by: Author {
            key: [1; 32],
            station: None,
            member: "1042".to_owned(),
        },
        checked_by: String::new(),
        reading: Reading {
            part: PartId::from("keel"),
            moment: ReadingMoment::AsFound,
            gauge_pa: 23_800,
            gauge: None,
            air_mc: Some(20_000),
            stood_s: Some(7_200),
            fabric_mc: None,
            ambient_pa: None,
            elevation_mm: None,
            valves: None,
            since_inflating_s: None,
        },
    };
    let point = |days: i64, line_pa| CurvePoint {
        at: AS_OF.plus_ms(days * DAY_MS),
        line_pa,
        between_pa: Some((line_pa - 500, line_pa + 500)),
    };
    ReadBack {
        craft: station(9),
        number: "Marsh 21".to_owned(),
        chambers: vec![ChamberReadings {
            curve: ChamberCurve {
                chamber: chamber(),
                nominal_pa: 24_000,
                least_pa: 19_897,
                rate: Some(rate()),
                not_known: None,
                fitted: vec![event(3)],
                curve: Some(Curve {
                    points: vec![point(-5, 21_666), point(0, 20_800), point(10, 19_300)],
                    last: AS_OF,
                }),
            },
            happened: vec![
                Happened::Read(Box::new(ReadingShown {
                    past: reading,
                    gauge_number: "G-<1>".to_owned(),
                    corrected_pa: Some(21_666),
                    is_fitted: true,
                })),
                Happened::Cut(Moment(AS_OF.0 - DAY_MS), Cut::AirAdded),
            ],
        }],
    }
}

#[test]
fn the_readings_of_a_craft_stand_in_a_plot_and_a_table() {
    let page = readings_page(&craft(), &leaks(), &context(), &facts());
    assert_eq!(faults(&page), Vec::<String>::new());
    assert!(page.contains("<svg") && page.contains("keel &lt;i&gt;") && !page.contains("<i>"));
    let text = unmarked(&page);
    // 23 800 and 21 666 Pa.
    for wanted in [
        "3.45 psi",
        "3.14 psi",
        "Air added",
        "gauge G-<1>",
        "(in the line)",
    ] {
        assert!(text.contains(wanted), "{wanted}: {text}");
    }
    assert!(!text.contains("1042"), "who read stands in the log");
}

#[test]
fn nothing_is_wider_than_a_terminal() {
    let ctx = context();
    let reports = [
        gauges_report(&doubted(), &ctx, Members::Told),
        leaks_report(&leaks(), &no_holds(), &ctx),
        readings_report(&craft(), &leaks(), &ctx),
    ];
    for line in reports.iter().flat_map(|report| report.lines()) {
        assert!(line.chars().count() <= 80, "{line}");
    }
    assert!(reports[1].contains("No hold test with its values is known here."));
}

/// The schema pages name every field.
#[test]
fn every_field_is_described() {
    let ctx = context();
    let gauges = json::gauges(&doubted(), &ctx, Members::Told);
    let leaks = json::leaks(&leaks(), &no_holds(), Some(&craft()), &ctx);
    for (form, page) in [
        (gauges, include_str!("../../../gauges-schema.md")),
        (leaks, include_str!("../../../leaks-schema.md")),
    ] {
        let form: serde_json::Value = serde_json::from_str(&form).expect("JSON");
        for name in form.as_object().expect("fields").keys() {
            let is_text = ["asked_text", "summary"].contains(&name.as_str());
            assert!(is_text || page.contains(&format!("`{name}`")), "{name}");
        }
    }
}
