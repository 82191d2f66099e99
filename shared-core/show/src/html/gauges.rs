//! Gauges and leaks as a page: readings that are doubted, gauges that read apart, chambers by the day on
//! which they are too soft, hold tests.
//!
//! Member numbers stand here only for whoever answers for the county, and on no first line.

use maud::{Markup, html};
use sponson_readiness::chambers::{Chamber, ChamberLeaks};
use sponson_readiness::doubted::{Doubted, GaugeApart, Share, Still};
use sponson_readiness::holds_done::HoldsDone;

use super::facts::PageFacts;
use super::frame::frame;
use super::top::sentence;
use crate::clean::clean;
use crate::context::Context;
use crate::json::Members;
use crate::sentence::gauges::{
    APART_MEANS, STILL_MEANS, apart_text, between_text, doubted_summary, gauge_text, reader_text,
    series_by_text, series_text, shifts_text, signed, still_text,
};
use crate::sentence::leaks::{
    hold_sort_text, hold_tested_text, leak_rate_text, leaks_asked_text, leaks_summary, losses_text,
    soft_on_text, why_not_known_text,
};
use crate::table::short_number;
use crate::units::print;

/// What the page shows.
#[derive(Clone, Copy, Debug)]
pub struct GaugesShown<'a> {
    /// Readings that are doubted.
    pub doubted: &'a Doubted,
    /// Chambers by their leak.
    pub leaks: &'a ChamberLeaks,
    /// Hold tests.
    pub holds: &'a HoldsDone,
    /// Whether member numbers are told.
    pub members: Members,
}

/// The page.
#[must_use]
pub fn gauges_page(shown: &GaugesShown<'_>, ctx: &Context, facts: &PageFacts) -> String {
    let leaks = shown.leaks;
    let body = html! {
        section.top aria-labelledby="gauges" {
            h1 id="gauges" { "Gauges and leaks" }
            p.zone { "As of " (ctx.local(leaks.as_of)) " (" (print::offset(ctx.utc_offset_min)) ")." }
            @for note in &facts.notes { p.mind { (clean(note)) } }
            p { b { (leaks_summary(leaks)) } }
            @for line in doubted_summary(shown.doubted, ctx).iter().skip(1) { p { b { (line) } } }
            p.caution { (crate::caution()) }
        }
        (soft(leaks, ctx, facts))
        (apart(shown.doubted, ctx))
        (still(shown, ctx, facts))
        (hold_tests(shown.holds, ctx, facts))
        p.soft { "What is said here stands beside: it decides about no craft." }
    };
    frame(
        "Gauges and leaks",
        facts,
        &html! { div.looked-back { (body) } },
    )
}

fn soft(leaks: &ChamberLeaks, ctx: &Context, facts: &PageFacts) -> Markup {
    html! {
        section aria-labelledby="soft" {
            h2 id="soft" { "Chambers by the day on which they are too soft" }
            p { (leaks_asked_text(leaks, ctx)) }
            @if leaks.leaking.is_empty() { p { "No chamber is known to lose air." } }
            @else {
                table {
                    thead { tr {
                        th scope="col" { "Craft" } th scope="col" { "Chamber" }
                        th scope="col" { "Too soft" } th scope="col" { "Loses" }
                    } }
                    tbody {
                        @for one in &leaks.leaking {
                            tr {
                                th scope="row" { (craft(&one.chamber, ctx, facts)) }
                                td { (clean(&one.chamber.label)) }
                                td { (sentence(&soft_on_text(one, leaks, ctx))) }
                                td {
                                    @if one.is_over { b { "More than it may: " } }
                                    (leak_rate_text(&one.rate, ctx))
                                }
                            }
                        }
                    }
                }
                ul.files { li { a href=(facts.link("/leaks.csv")) { "This list for a spreadsheet" } } }
            }
            (not_known(leaks, ctx, facts))
            (holding(leaks, ctx, facts))
        }
    }
}

fn craft(chamber: &Chamber, ctx: &Context, facts: &PageFacts) -> Markup {
    let readings = facts.link(&format!("/craft/{}/readings", chamber.craft));
    html! {
        a href=(readings) { (short_number(&chamber.number)) }
        div.soft { (ctx.station_list(&chamber.stations)) }
    }
}

fn not_known(leaks: &ChamberLeaks, ctx: &Context, facts: &PageFacts) -> Markup {
    html! {
        @if !leaks.not_known.is_empty() {
            details {
                summary { "Not known of " (leaks.not_known.len()) }
                table {
                    thead { tr {
                        th scope="col" { "Craft" } th scope="col" { "Chamber" } th scope="col" { "Why" }
                    } }
                    tbody {
                        @for one in &leaks.not_known {
                            tr {
                                th scope="row" { (craft(&one.chamber, ctx, facts)) }
                                td { (clean(&one.chamber.label)) }
                                td {
                                    (sentence(&why_not_known_text(one.why)))
                                    @if let Some(rate) = &one.hint {
                                        div.soft { "They hint at " (leak_rate_text(rate, ctx)) }
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn holding(leaks: &ChamberLeaks, ctx: &Context, facts: &PageFacts) -> Markup {
    html! {
        @if !leaks.holding.is_empty() {
            details {
                summary { (leaks.holding.len()) " hold" }
                table {
                    thead { tr {
                        th scope="col" { "Craft" } th scope="col" { "Chamber" } th scope="col" { "By" }
                    } }
                    tbody {
                        @for one in &leaks.holding {
                            tr {
                                th scope="row" { (craft(&one.chamber, ctx, facts)) }
                                td { (clean(&one.chamber.label)) }
                                td { (print::count(i64::from(one.readings), "reading")) " over " (print::span(one.over_ms)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn apart(doubted: &Doubted, ctx: &Context) -> Markup {
    html! {
        section aria-labelledby="apart" {
            h2 id="apart" { "Gauges beside each other" }
            @if doubted.gauges.is_empty() { p { "No reading names its gauge." } }
            @else {
                p { (APART_MEANS) }
                ul {
                    @for one in &doubted.gauges {
                        li {
                            b { (sentence(&gauge_text(&one.number))) } ": " (apart_text(one, ctx))
                            (pairs(one, ctx))
                        }
                    }
                }
            }
        }
    }
}

fn pairs(gauge: &GaugeApart, ctx: &Context) -> Markup {
    let p = |p: Option<f64>| p.map_or_else(|| "none".to_owned(), chance);
    html! {
        @if !gauge.pairs.is_empty() {
            details {
                summary { "Pairs of checks and figures of " (gauge_text(&gauge.number)) }
                p {
                    "Chance of such differences by luck: " (p(gauge.p)) "; with false alarms held down "
                    (p(gauge.p_adjusted)) ". At 15 °C and 1013 hPa."
                }
                table {
                    thead { tr {
                        th scope="col" { "Craft" } th scope="col" { "By this gauge" }
                        th scope="col" { "By another" } th scope="col" { "Differs by" }
                    } }
                    tbody {
                        @for pair in &gauge.pairs {
                            tr {
                                th scope="row" { (short_number(&pair.number)) }
                                td { (ctx.local(pair.own.1)) }
                                td { (ctx.local(pair.other.1)) ", " (gauge_text(&pair.other_number)) }
                                td.number { (signed(pair.differs_pa, ctx)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// A chance as people read it.
fn chance(p: f64) -> String {
    if p < 0.001 {
        return "less than 1 in 1000".to_owned();
    }
    format!("{:.1} %", p * 100.0)
}

fn still(shown: &GaugesShown<'_>, ctx: &Context, facts: &PageFacts) -> Markup {
    let doubted = shown.doubted;
    html! {
        section aria-labelledby="still" {
            h2 id="still" { "Readings that never move" }
            p { (STILL_MEANS) }
            @if doubted.series.is_empty() { p { "There are none." } }
            @else {
                table {
                    thead { tr {
                        th scope="col" { "Craft" } th scope="col" { "Chamber" }
                        th scope="col" { "Readings" } th scope="col" { "By" }
                    } }
                    tbody {
                        @for one in &doubted.series {
                            tr {
                                th scope="row" {
                                    a href=(facts.link(&format!("/craft/{}/readings", one.craft))) { (short_number(&one.number)) }
                                }
                                td { (clean(&one.label)) }
                                td { (series_text(one, ctx)) }
                                td { (series_by_text(one)) }
                            }
                        }
                    }
                }
            }
            (readers("By gauge", "", &doubted.by_gauge))
            (readers("By crew shift", &shifts_text(doubted), &doubted.by_shift))
            (readers("Readings that stayed where the one before was, by crew shift", &shifts_text(doubted), &doubted.stayed_by_shift))
            @if shown.members == Members::Told {
                (readers("By member number", "for whoever answers for the county alone", &doubted.by_member))
                (readers("Readings that stayed where the one before was, by member number", "for whoever answers for the county alone", &doubted.stayed_by_member))
            }
        }
    }
}

fn readers(title: &str, how: &str, all: &[Still]) -> Markup {
    let share = |share: Share| format!("{} of {}", share.count, share.of);
    html! {
        @if !all.is_empty() {
            details {
                summary { (title) }
                @if !how.is_empty() { p { (sentence(how)) "." } }
                table {
                    thead { tr {
                        th scope="col" { "Whose" } th scope="col" { "What it comes to" }
                        th scope="col" { "Never moved" } th scope="col" { "Of the others'" }
                        th scope="col" { "Chance, false alarms held down" }
                    } }
                    tbody {
                        @for one in all {
                            tr {
                                th scope="row" { (sentence(&reader_text(&one.reader))) }
                                td { (sentence(&still_text(one))) }
                                td { (share(one.of)) div.soft { (between_text(one.of)) } }
                                td { (share(one.others)) }
                                td { (one.p_adjusted.map_or_else(|| "not looked at".to_owned(), chance)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn hold_tests(holds: &HoldsDone, ctx: &Context, facts: &PageFacts) -> Markup {
    html! {
        section aria-labelledby="holds" {
            h2 id="holds" { "Hold tests" }
            @if holds.tests.is_empty() { p { "No hold test with its values is known here." } }
            @else {
                table {
                    thead { tr {
                        th scope="col" { "When" } th scope="col" { "Craft" }
                        th scope="col" { "Chamber" } th scope="col" { "What it came to" }
                    } }
                    tbody {
                        @for one in &holds.tests {
                            tr {
                                th scope="row" { (ctx.local(one.at)) }
                                td { a href=(facts.craft(one.craft)) { (short_number(&one.number)) } }
                                td { (clean(&one.part_label)) div.soft { (hold_sort_text(one.sort)) } }
                                td { (sentence(&hold_tested_text(one, ctx))) }
                            }
                        }
                    }
                }
            }
            @if !holds.courses.is_empty() {
                h3 { "Tested more than once, the oldest loss first" }
                ul {
                    @for one in &holds.courses {
                        li {
                            b { (short_number(&one.number)) } ", " (clean(&one.part_label)) ", "
                            (hold_sort_text(one.sort)) ": " (losses_text(one, ctx))
                        }
                    }
                }
            }
        }
    }
}
