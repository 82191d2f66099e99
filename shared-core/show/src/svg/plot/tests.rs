use chrono::NaiveDate;
use roxmltree::Node;

use super::axis::{Of, marks, marks_between, words};
use super::days::months;
use super::*;
use crate::svg::tests::parsed;
use crate::units::print::figure;

const fn day(year: i32, month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, month, day).expect("a day")
}

fn step(t: f64, value: f64) -> Step {
    Step {
        t,
        value,
        lower: value * 0.5,
        upper: value * 1.8,
    }
}

fn failing(own: &[Step], others: &[Step]) -> String {
    failing_plot(&FailingPlot {
        id: "seam",
        name: "seam of the port tube <2>",
        others_name: "the county's other seams",
        across: "days since the craft came",
        own,
        own_until: 700.0,
        others,
        others_until: 900.0,
        level_percent: 95,
    })
    .into_string()
}

fn gauge(readings: &[GaugeRead]) -> String {
    let line: Vec<Likely> = (0..=14)
        .map(|index| {
            let day = f64::from(index) * 10.0;
            let value = 3.2 - day * 0.006;
            Likely {
                day,
                value,
                between: (value - 0.1 - day * 0.001, value + 0.1 + day * 0.001),
            }
        })
        .collect();
    gauge_plot(&GaugePlot {
        id: "tube-1",
        name: "tube chamber 1",
        unit: "psi",
        places: 2,
        corrected_to: "59 °F",
        first: day(2026, 1, 10),
        last_day: 140.0,
        readings,
        air: &[
            AirMark {
                day: 30.0,
                added: true,
            },
            AirMark {
                day: 35.0,
                added: false,
            },
        ],
        line: &line,
        least: Some(2.6),
    })
    .into_string()
}

fn readings() -> Vec<GaugeRead> {
    (0..15)
        .map(|week| {
            let at = f64::from(week) * 7.0;
            GaugeRead {
                day: at,
                read: 3.2 - at * 0.005 + if week % 2 == 0 { 0.12 } else { -0.1 },
                corrected: (week % 5 != 4).then_some(3.2 - at * 0.006),
            }
        })
        .collect()
}

fn weeks(weeks: &[WeekDue], past: u32) -> String {
    weeks_plot(&WeeksPlot {
        id: "due",
        name: "the county",
        weeks,
        past,
    })
    .into_string()
}

fn a_year() -> Vec<WeekDue> {
    let mondays = day(2026, 11, 30).iter_weeks();
    let dates = [0, 3, 1, 0, 5, 2].into_iter().cycle();
    let hours = [0, 0, 1, 2].into_iter().cycle();
    let weeks = mondays.zip(dates).zip(hours).take(52);
    weeks
        .map(|((monday, by_date), expected)| WeekDue {
            monday,
            by_date,
            expected,
            visits: u32::from(by_date == 3),
        })
        .collect()
}

/// A drawing stands alone in a figure, says what it is, and has no look of its own.
fn check(markup: &str, of_class: &[(&str, usize)]) {
    let document = parsed(markup);
    let svg = document.descendants().find(|node| node.has_tag_name("svg"));
    let svg = svg.expect("a drawing");
    for node in svg.descendants().filter(Node::is_element) {
        for look in ["style", "fill", "stroke", "font-family"] {
            assert_eq!(node.attribute(look), None, "{look} of {node:?}");
        }
    }
    for (class, count) in of_class {
        let found = svg
            .descendants()
            .filter(|node| node.attribute("class") == Some(class))
            .count();
        assert_eq!(found, *count, "{class}");
    }
    let named = svg.attribute("aria-labelledby").expect("it is named");
    for id in named.split(' ') {
        let node = document
            .descendants()
            .find(|node| node.attribute("id") == Some(id));
        let text = node.and_then(|node| node.text()).unwrap_or_default();
        assert!(!text.is_empty(), "{id} says something");
    }
    let tables = document
        .descendants()
        .filter(|node| node.has_tag_name("table"));
    assert!(tables.count() > 0, "its numbers stand in a table");
    inside(&svg);
}

/// Nothing is drawn beyond the sheet.
fn inside(svg: &Node<'_, '_>) {
    let shapes = svg
        .descendants()
        .filter_map(|node| node.attribute("points"));
    let numbers = shapes.flat_map(|points| points.split([' ', ',']));
    for number in numbers.filter(|text| !text.is_empty()) {
        let number: i32 = number.parse().expect("a whole number");
        assert!((0..=480).contains(&number), "{number}");
    }
}

#[test]
fn how_often_it_failed_is_a_stair_with_its_interval_and_the_others() {
    let own = [step(40.0, 0.5), step(300.0, 1.0), step(310.0, 1.5)];
    let others = [step(200.0, 0.2), step(800.0, 0.4)];
    let classes = [("plot-own", 1), ("plot-others", 1), ("plot-band", 1)];
    check(&failing(&own, &others), &classes);
    check(&failing(&own, &[]), &[("plot-own", 1), ("plot-others", 0)]);
    check(&failing(&[], &[]), &[("plot-own", 1)]);
}

#[test]
fn a_band_without_end_leaves_the_line_to_be_seen() {
    let own = [Step {
        t: 10.0,
        value: 1.0,
        lower: 0.0,
        upper: f64::INFINITY,
    }];
    check(&failing(&own, &[]), &[("plot-own", 1), ("plot-band", 1)]);
}

#[test]
fn a_gauge_is_drawn_as_read_and_corrected_with_what_was_done() {
    let readings = readings();
    let classes = [
        ("plot-read", 15),
        ("plot-corrected", 12),
        ("plot-air", 2),
        ("plot-limit", 1),
        ("plot-band", 1),
    ];
    check(&gauge(&readings), &classes);
    check(&gauge(&[]), &[("plot-read", 0)]);
}

#[test]
fn weeks_are_bars_by_date_and_by_hours() {
    let year = a_year();
    let by_date = year.iter().filter(|week| week.by_date > 0).count();
    let expected = year.iter().filter(|week| week.expected > 0).count();
    let classes = [
        ("plot-bar", by_date),
        ("plot-bar-expected", expected),
        ("plot-bar-past", 1),
    ];
    check(&weeks(&year, 4), &classes);
}

#[test]
fn the_table_has_the_numbers_that_are_drawn() {
    let markup = weeks(&a_year(), 4);
    assert!(markup.contains("<th scope=\"row\">2026-12-07</th><td class=\"number\">3</td>"));
    assert!(markup.contains("<th scope=\"row\">past due</th><td class=\"number\">4</td>"));
    let own = [step(40.0, 0.5), step(300.0, 1.0)];
    let markup = failing(&own, &[]);
    assert!(markup.contains(
        "<th scope=\"row\" class=\"number\">300</th><td class=\"number\">1</td>\
         <td class=\"number\">0.5</td><td class=\"number\">1.8</td>"
    ));
}

#[test]
fn what_people_wrote_stays_text() {
    let markup = failing(&[step(1.0, 1.0)], &[]);
    assert!(!markup.contains("tube <2>"));
    assert!(markup.contains("tube &lt;2&gt;"));
}

#[test]
fn marks_of_an_axis_are_round_and_reach_the_greatest() {
    for (greatest, most, of, expected) in [
        (1.0, 6, Of::Amounts, vec![0.0, 0.2, 0.4, 0.6, 0.8, 1.0]),
        (3.3, 6, Of::Counts, vec![0.0, 1.0, 2.0, 3.0, 4.0]),
        (0.3, 6, Of::Counts, vec![0.0, 1.0]),
        (
            900.0,
            6,
            Of::Amounts,
            vec![0.0, 200.0, 400.0, 600.0, 800.0, 1000.0],
        ),
        (f64::NAN, 6, Of::Counts, vec![0.0, 1.0]),
        (0.0, 6, Of::Counts, vec![0.0, 1.0]),
    ] {
        let found = marks(greatest, most, of);
        assert_eq!(found.len(), expected.len(), "{greatest}: {found:?}");
        for (one, other) in found.iter().zip(&expected) {
            assert!((one - other).abs() < 1e-9, "{found:?}");
        }
    }
}

#[test]
fn marks_that_begin_elsewhere_hold_all_between_them() {
    for (least, greatest, expected) in [
        (2.1, 3.4, "2.0 2.5 3.0 3.5"),
        (-0.2, 0.9, "-0.2 0.0 0.2 0.4 0.6 0.8 1.0"),
        (240.0, 240.0, "240 242 244 246 248 250 252"),
    ] {
        let found = marks_between(least, greatest, 6);
        let said: Vec<String> = found.iter().map(|one| words(*one, &found)).collect();
        assert_eq!(said.join(" "), expected);
    }
}

#[test]
fn months_stand_at_their_beginnings_and_do_not_crowd() {
    let words = |first, last| -> Vec<String> {
        let marks = months(first, last, 5);
        marks.into_iter().map(|(_, words)| words).collect()
    };
    assert_eq!(
        words(day(2026, 1, 10), day(2026, 4, 20)),
        ["Feb 2026", "Mar 2026", "Apr 2026"]
    );
    assert_eq!(
        words(day(2026, 11, 30), day(2027, 11, 29)),
        ["Jan 2027", "Apr 2027", "Jul 2027", "Oct 2027"]
    );
    assert_eq!(
        words(day(2026, 1, 3), day(2026, 1, 9)),
        ["3 Jan 2026", "9 Jan 2026"]
    );
    assert_eq!(words(day(2026, 1, 3), day(2026, 1, 3)), ["3 Jan 2026"]);
    assert!(words(day(1990, 1, 1), day(2026, 1, 1)).len() <= 5);
}

#[test]
fn a_figure_has_three_digits() {
    for (value, text) in [
        (0.0, "0"),
        (0.012_34, "0.0123"),
        (0.1, "0.1"),
        (1.234, "1.23"),
        (12.34, "12.3"),
        (99.96, "100"),
        (1234.4, "1234"),
        (-0.000_001, "0"),
        (f64::INFINITY, "without end"),
    ] {
        assert_eq!(figure(value), text);
    }
}

/// Writes the three as a page to look at; nothing is asserted.
#[test]
fn they_can_be_looked_at() {
    let Some(file) = std::env::var_os("SPONSON_PLOTS") else {
        return;
    };
    let own = [
        step(40.0, 0.5),
        step(300.0, 1.0),
        step(310.0, 1.5),
        step(650.0, 2.0),
    ];
    let others = [step(200.0, 0.2), step(500.0, 0.3), step(800.0, 0.4)];
    let page = format!(
        "<!doctype html><html data-light=\"day\"><style>{}{}</style><body>{}{}{}</body></html>",
        include_str!("../../html/style.css"),
        include_str!("../drawing.css"),
        failing(&own, &others),
        gauge(&readings()),
        weeks(&a_year(), 4),
    );
    std::fs::write(file, page).expect("the page is written");
}
