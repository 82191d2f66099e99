//! What comes due, week by week.

use chrono::NaiveDate;
use maud::{Markup, html};

use super::axis::{Of, marks, words};
use super::days::{months, since};
use super::paper::{Axis, LOZENGE, Told, drawing};
use super::tone::Tone;
use crate::clean::clean;

/// What is plotted.
#[derive(Clone, Copy, Debug)]
pub struct WeeksPlot<'a> {
    /// Begins the ids within the page.
    pub id: &'a str,
    /// Of what, in words: the county, a station.
    pub name: &'a str,
    /// The weeks, in order.
    pub weeks: &'a [WeekDue],
    /// What is past due already.
    pub past: u32,
}

/// A week.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WeekDue {
    /// Its Monday.
    pub monday: NaiveDate,
    /// Due by the calendar or a printed date.
    pub by_date: u32,
    /// Expected by engine hours.
    pub expected: u32,
    /// Visits proposed in it.
    pub visits: u32,
}

/// The figure: drawing, key, table.
#[must_use]
pub fn weeks_plot(plot: &WeeksPlot<'_>) -> Markup {
    let expects = plot.weeks.iter().any(|week| week.expected > 0);
    let visits = plot.weeks.iter().any(|week| week.visits > 0);
    html! {
        figure class="plot" {
            (drawn(plot))
            figcaption {
                "Things that come due in each week. Filled bar: by a date."
                @if expects { " Empty bar on top: expected by engine hours." }
                @if plot.past > 0 { " Hollow bar at the left: past due already." }
                @if visits { " Lozenge: a visit is proposed in that week." }
            }
            (table(plot))
        }
    }
}

fn drawn(plot: &WeeksPlot<'_>) -> Markup {
    let (Some(first), Some(last)) = (plot.weeks.first(), plot.weeks.last()) else {
        return html! { p { "Nothing to plot." } };
    };
    let counts = plot.weeks.iter().map(|week| week.by_date + week.expected);
    let most = counts.chain([plot.past]).max().unwrap_or(0);
    let up = marks(f64::from(most) + 0.6, 6, Of::Counts);
    let upward = Axis {
        marks: up.iter().map(|mark| (*mark, words(*mark, &up))).collect(),
        ends: (0.0, up.last().copied().unwrap_or(1.0)),
        of: "things".to_owned(),
    };
    let across = Axis {
        marks: months(first.monday, last.monday, 5),
        ends: (
            if plot.past > 0 { -14.0 } else { 0.0 },
            since(first.monday, last.monday) + 7.0,
        ),
        of: String::new(),
    };
    let described = described(plot);
    let told = Told {
        id: plot.id,
        title: &format!("What comes due by week: {}", clean(plot.name)),
        description: &described,
    };
    drawing(told, &across, &upward, |sheet| {
        if plot.past > 0 {
            sheet.line(
                &outline((-12.5, -7.5), (0.0, f64::from(plot.past))),
                Tone::BarPast,
                2,
            )?;
        }
        for week in plot.weeks {
            let day = since(first.monday, week.monday);
            let (by_date, all) = (
                f64::from(week.by_date),
                f64::from(week.by_date + week.expected),
            );
            let wide = (day + 0.8, day + 6.2);
            if week.by_date > 0 {
                sheet.shape(&outline(wide, (0.0, by_date)), Tone::Bar)?;
            }
            if week.expected > 0 {
                sheet.line(&outline(wide, (by_date, all)), Tone::BarExpected, 1)?;
            }
            if week.visits > 0 {
                sheet.mark((day + 3.5, all + 0.35), (&LOZENGE, Tone::Air))?;
            }
        }
        Ok(())
    })
}

fn outline((left, right): (f64, f64), (low, high): (f64, f64)) -> [(f64, f64); 5] {
    [
        (left, low),
        (left, high),
        (right, high),
        (right, low),
        (left, low),
    ]
}

fn described(plot: &WeeksPlot<'_>) -> String {
    let by_date: u32 = plot.weeks.iter().map(|week| week.by_date).sum();
    let expected: u32 = plot.weeks.iter().map(|week| week.expected).sum();
    format!(
        "{} weeks: {by_date} by a date, {expected} expected by engine hours, {} past due already.",
        plot.weeks.len(),
        plot.past
    )
}

fn table(plot: &WeeksPlot<'_>) -> Markup {
    let some = |week: &&WeekDue| week.by_date + week.expected + week.visits > 0;
    html! {
        details class="plot-table" {
            summary { "The same as a table" }
            table {
                caption { (clean(plot.name)) ": what comes due; weeks with nothing are left out" }
                thead { tr {
                    th scope="col" { "week of" }
                    th scope="col" class="number" { "by a date" }
                    th scope="col" class="number" { "by engine hours" }
                    th scope="col" class="number" { "visits" }
                } }
                tbody {
                    @if plot.past > 0 {
                        tr {
                            th scope="row" { "past due" }
                            td class="number" { (plot.past) }
                            td class="number" { "" }
                            td class="number" { "" }
                        }
                    }
                    @for week in plot.weeks.iter().filter(some) {
                        tr {
                            th scope="row" { (week.monday.format("%Y-%m-%d").to_string()) }
                            td class="number" { (week.by_date) }
                            td class="number" { (week.expected) }
                            td class="number" { (week.visits) }
                        }
                    }
                }
            }
        }
    }
}
