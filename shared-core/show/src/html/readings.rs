//! The reading history of one craft as a page: for each chamber a plot of what was read and what it would
//! show at one temperature, with the line and its forecast, and the same as a table.

mod plot;

use maud::{Markup, html};
use sponson_readiness::chambers::{ChamberLeaks, CurvePoint};
use sponson_readiness::read_back::{ChamberReadings, Happened, ReadBack};

use super::facts::PageFacts;
use super::frame::frame;
use super::top::sentence;
use crate::clean::clean;
use crate::context::Context;
use crate::sentence::leaks::{happened_text, leaks_asked_text, stands_text};
use crate::table::{READING_COLUMNS, reading_cells, short_number};
use crate::units::print;

/// The page.
#[must_use]
pub fn readings_page(
    craft: &ReadBack,
    leaks: &ChamberLeaks,
    ctx: &Context,
    facts: &PageFacts,
) -> String {
    let title = format!("Readings of {}", short_number(&craft.number));
    let body = html! {
        section.top aria-labelledby="readings" {
            h1 id="readings" { (title) }
            p.zone { "As of " (ctx.local(leaks.as_of)) " (" (print::offset(ctx.utc_offset_min)) ")." }
            @for note in &facts.notes { p.mind { (clean(note)) } }
            p { (leaks_asked_text(leaks, ctx)) }
            @if craft.chambers.is_empty() { p { "This craft has no chamber that holds air." } }
            @for one in &craft.chambers {
                p { b { (clean(&one.curve.chamber.label)) } ": " (stands_text(&one.curve, ctx)) }
            }
            p.caution { (crate::caution()) }
            ul.files {
                li { a href=(facts.craft(craft.craft)) { "The craft" } }
                li { a href=(facts.link("/gauges")) { "Gauges and leaks of the county" } }
            }
        }
        @for (place, one) in craft.chambers.iter().enumerate() { (chamber(one, place, ctx)) }
        p.soft { "What is said here stands beside: it decides about no craft." }
    };
    frame(&title, facts, &html! { div.looked-back { (body) } })
}

fn chamber(one: &ChamberReadings, place: usize, ctx: &Context) -> Markup {
    let id = format!("chamber-{place}");
    let label = clean(&one.curve.chamber.label);
    let say = |pa| print::pressure(pa, ctx.units);
    html! {
        section aria-labelledby=(id) {
            h2 id=(id) { (label) }
            p {
                (sentence(&stands_text(&one.curve, ctx))) ". Least " (say(one.curve.chamber.low_pa))
                " at the launch, which is " (say(one.curve.least_pa)) " at 15 °C; wanted "
                (say(one.curve.nominal_pa)) "."
            }
            @if one.happened.is_empty() { p { "Nobody has read it." } }
            @else {
                (plot::plot(one, &id, &label, ctx))
                (read(one, ctx))
            }
            (line(one, &label, ctx))
        }
    }
}

fn read(one: &ChamberReadings, ctx: &Context) -> Markup {
    html! {
        table {
            thead { tr { @for column in READING_COLUMNS { th scope="col" { (sentence(column)) } } } }
            tbody {
                @for happened in one.happened.iter().rev() {
                    @match happened {
                        Happened::Cut(at, _) => {
                            tr {
                                th scope="row" { (ctx.local(*at)) }
                                td colspan="4" { (sentence(&happened_text(happened))) }
                            }
                        }
                        Happened::Read(shown) => {
                            @let [when, what, gauge, air, corrected] = reading_cells(shown, ctx);
                            tr {
                                th scope="row" { (when) } td { (sentence(&what)) } td.number { (gauge) }
                                td.number { (air) }
                                td.number { (corrected) @if shown.is_fitted { " (in the line)" } }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn line(one: &ChamberReadings, label: &str, ctx: &Context) -> Markup {
    html! {
        @if let Some(curve) = &one.curve.curve {
            details {
                summary { "The line through its readings: " (label) }
                p { "At 15 °C and 1013 hPa; what comes after " (ctx.local(curve.last)) " is a forecast." }
                table {
                    thead { tr {
                        th scope="col" { "When" } th scope="col" { "Line" }
                        th scope="col" { "95 % of readings between" }
                    } }
                    tbody { @for point in curve.points.iter().step_by(4) { (point_row(point, ctx)) } }
                }
            }
        }
    }
}

fn point_row(point: &CurvePoint, ctx: &Context) -> Markup {
    let say = |pa| print::pressure(pa, ctx.units);
    let between = point.between_pa.map_or_else(
        || "too few readings".to_owned(),
        |(low, high)| format!("{} and {}", say(low), say(high)),
    );
    html! {
        tr {
            th scope="row" { (ctx.local(point.at)) }
            td.number { (say(point.line_pa)) }
            td.number { (between) }
        }
    }
}
