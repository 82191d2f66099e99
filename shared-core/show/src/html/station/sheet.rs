//! The check of one craft on paper: every line of the walk with boxes to write in, in the order of the
//! walk, to be entered afterwards at the address that its code holds.
//!
//! Made from the craft's boat standard. Nothing is filled in: a count is counted. Black on white.

mod found;
mod row;

use maud::{DOCTYPE, Markup, PreEscaped, html};
use sponson_readiness::moment::Moment;

use super::paper_lines::{PaperSource, PaperStop, paper_stops};
use crate::clean::clean;
use crate::svg::qr;
use crate::units::print;

/// Style of sheets and labels: within the file, and a part of that of the station's pages.
pub const PAPER_STYLE: &str = concat!(
    include_str!("sheet.css"),
    include_str!("label.css"),
    include_str!("../../svg/drawing.css")
);

/// What a sheet is about, and on what it rests.
#[derive(Clone, Copy, Debug)]
pub struct SheetFacts<'a> {
    /// Number of the craft.
    pub number: &'a str,
    /// Where it is; empty where that is not known.
    pub station: &'a str,
    /// Lines are made from this.
    pub source: PaperSource<'a>,
    /// Faults that are open already, a sentence each: not to be written down again.
    pub open_faults: &'a [String],
    /// When it was printed.
    pub printed: Moment,
    /// Local time, minutes east of UTC.
    pub utc_offset_min: i32,
    /// What was known then: `synced with the county 2026-03-14 08:30, 2 entries waiting`.
    pub known: &'a str,
    /// Address at which the filled sheet is entered; none where there are no pages.
    pub entry: Option<&'a str>,
}

/// The sheet as a page that the station serves; the style is found at `style`.
#[must_use]
pub fn sheet_page(facts: &SheetFacts<'_>, style: &str, back: &str) -> String {
    let style = html! { link rel="stylesheet" href=(style); };
    document(&title(facts), &style, &body(facts, Some(back)))
}

/// The sheet as a file that needs nothing beside itself.
#[must_use]
pub fn sheet_file(facts: &SheetFacts<'_>) -> String {
    document(&title(facts), &style_within(), &body(facts, None))
}

/// The style within a file, and that nothing else may come with it.
pub(super) fn style_within() -> Markup {
    html! {
        meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'";
        style { (PreEscaped(PAPER_STYLE)) }
    }
}

/// A page of paper.
pub(super) fn document(title: &str, style: &Markup, body: &Markup) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" data-light="day" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light";
                title { (title) " - Sponson" }
                (style)
            }
            body.paper { (body) }
        }
    };
    page.into_string()
}

fn title(facts: &SheetFacts<'_>) -> String {
    format!("Boat check on paper: {}", clean(facts.number))
}

/// What stands above a page on the screen, and not on paper.
pub(super) fn on_screen(back: &str) -> Markup {
    html! {
        nav.paper-screen aria-label="Off paper" {
            a href=(back) { "Back" }
            " Print it with your browser, on A4 or Letter."
        }
    }
}

fn body(facts: &SheetFacts<'_>, back: Option<&str>) -> Markup {
    let stops = paper_stops(&facts.source);
    html! {
        @if let Some(back) = back { (on_screen(back)) }
        main.sheet {
            table.sheet-pages role="presentation" {
                thead { tr { td { (running(facts)) } } }
                tbody { tr { td {
                    (top(facts))
                    @for stop in &stops { (one_stop(stop, facts, &stops)) }
                    (signing())
                } } }
            }
        }
    }
}

/// What stands at the head of every page.
fn running(facts: &SheetFacts<'_>) -> Markup {
    html! {
        div.sheet-running {
            strong { (clean(facts.number)) }
            span {
                "sheet " (clean(facts.source.standard.model.as_str())) ", revision " (facts.source.standard.revision)
                "; printed " (print::local(facts.printed, facts.utc_offset_min))
                " (" (print::offset(facts.utc_offset_min)) ")"
            }
            span.sheet-of { "checked on" i {} "by member" i {} }
        }
    }
}

fn top(facts: &SheetFacts<'_>) -> Markup {
    let standard = facts.source.standard;
    html! {
        header.sheet-top {
            div {
                h1 { "Boat check on paper: " (clean(facts.number)) }
                p {
                    (clean(&standard.label))
                    @if !facts.station.is_empty() { ", " (clean(facts.station)) }
                    ". Printed from what this station knew: " (clean(facts.known)) "."
                }
                p {
                    "Write what you see and count; leave empty what you did not look at. "
                    "One cross in one square; what is not there or not looked at has its own square. "
                    "Under 'count' write all that are there, under 'bad' how many of them cannot be used. "
                    "Units other than those printed: write them. Air is added by hand pump, foot pump, "
                    "electric pump, cylinder, breathing set or compressor: write which."
                }
                p.sheet-caution { strong { (crate::caution()) } }
            }
            @if let Some(entry) = facts.entry {
                figure {
                    @if let Some(code) = qr(entry, "Code that opens the page on which this sheet is entered") { (code) }
                    figcaption { "enter it here" }
                }
            }
        }
        div.sheet-who {
            (blank("checked by, member"))
            (blank("with"))
            (blank("begun: date and time"))
            (blank("ended: date and time"))
        }
    }
}

fn blank(caption: &str) -> Markup {
    html! { span.box { small { (caption) } } }
}

fn one_stop(stop: &PaperStop, facts: &SheetFacts<'_>, all: &[PaperStop]) -> Markup {
    html! {
        section.sheet-stop {
            (row::rows(&stop.label, &stop.lines))
            @for line in &stop.lines {
                @if line.boxes.is_empty() { (found::found(line.number, facts, all)) }
            }
        }
    }
}

/// Who stands for it, and who entered it.
fn signing() -> Markup {
    html! {
        section.sheet-sign {
            div.sheet-who { (blank("anything else")) }
            div.sheet-who {
                (blank("signed"))
                (blank("entered by, member"))
                (blank("entered on: date and time"))
            }
        }
    }
}
