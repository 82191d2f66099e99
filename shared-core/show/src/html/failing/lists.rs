//! Faults, repairs and decisions as lists and tables.

use maud::{Markup, html};
use sponson_readiness::ids::{FaultId, SubjectId};

use crate::clean::clean;
use crate::context::Context;
use crate::failing::{DecidedSaid, Failing, FaultSaid, RepairSaid};
use crate::html::top::sentence;
use crate::table::{decided_text, repair_text, short_number};
use crate::units::print;

/// Repairs that are listed on the first page: a screen of them.
const REPAIRS_MAX: usize = 20;

/// What something rests on: each fault with its day, and the craft that it was found on.
pub(super) fn evidence(ids: &[FaultId], failing: &Failing, ctx: &Context, title: &str) -> Markup {
    let faults: Vec<&FaultSaid> = failing.faults_of(ids).collect();
    html! {
        details {
            summary { (print::count(i64::try_from(ids.len()).unwrap_or(i64::MAX), "fault")) " behind: " (clean(title)) }
            ul {
                @for one in faults {
                    li {
                        (print::local_day(one.found, ctx.utc_offset_min)) " "
                        (craft(one.craft, &one.number)) ": " (clean(&one.place)) ", " (clean(&one.class))
                        @if let Some(again) = &one.again { "; " (again.text) }
                    }
                }
            }
        }
    }
}

/// Faults as a table, each with its number in the drawing.
pub(super) fn faults(all: &[&FaultSaid], caption: &str, ctx: &Context) -> Markup {
    html! {
        table {
            caption { (clean(caption)) }
            thead {
                tr {
                    th scope="col" { "Number" } th scope="col" { "Found" } th scope="col" { "Craft" }
                    th scope="col" { "Part and place" }
                    th scope="col" { "What is wrong" } th scope="col" { "Where it stood" }
                    th scope="col" { "Since then" }
                }
            }
            tbody { @for (number, one) in (1_usize..).zip(all) { (fault(number, one, ctx)) } }
        }
    }
}

fn fault(number: usize, one: &FaultSaid, ctx: &Context) -> Markup {
    html! {
        tr {
            th scope="row" { (number) }
            td data-what="Found" { (print::local_day(one.found, ctx.utc_offset_min)) }
            td data-what="Craft" {
                (craft(one.craft, &one.number))
                @if !one.gear.is_empty() { ", " (clean(&one.gear)) }
            }
            td data-what="Part and place" { (clean(&one.place)) }
            td data-what="What is wrong" { (clean(&one.class)) ", " (one.severity) }
            td data-what="Where it stood" {
                @if one.station.is_empty() { "not known" } @else { (clean(&one.station)) }
            }
            td data-what="Since then" { (since_then(one, ctx)) }
        }
    }
}

/// What became of a fault: repaired, signed off, open; and whether it is an earlier one again.
fn since_then(one: &FaultSaid, ctx: &Context) -> String {
    let repaired = match one.repairs.len() {
        0 => "not repaired".to_owned(),
        1 => "repaired".to_owned(),
        times => format!("repaired {times} times"),
    };
    let over = match one.over {
        Some(at) => format!("signed off {}", print::local_day(at, ctx.utc_offset_min)),
        None => "open".to_owned(),
    };
    match &one.again {
        Some(again) => format!("{repaired}, {over}; {}", again.text),
        None => format!("{repaired}, {over}"),
    }
}

/// Repairs that did not hold.
pub(super) fn failed_repairs(failing: &Failing, ctx: &Context) -> Markup {
    let failed = failing
        .repairs
        .iter()
        .filter(|one| one.held == "did_not_hold");
    let failed: Vec<&RepairSaid> = failed.collect();
    html! {
        @if !failed.is_empty() {
            section aria-labelledby="not-held" {
                h2 id="not-held" { "Repairs that did not hold" }
                ul { @for one in failed.iter().take(REPAIRS_MAX) { li { (clean(&repair_text(one, ctx))) } } }
                @if failed.len() > REPAIRS_MAX {
                    p.soft { "The newest " (REPAIRS_MAX) " of " (failed.len()) "; all are in the list of repairs." }
                }
            }
        }
    }
}

/// Repairs as a table.
pub(super) fn repairs(all: &[&RepairSaid], caption: &str, ctx: &Context) -> Markup {
    html! {
        table {
            caption { (clean(caption)) }
            thead {
                tr {
                    th scope="col" { "Done" } th scope="col" { "Craft" } th scope="col" { "Part" }
                    th scope="col" { "How" } th scope="col" { "By" } th scope="col" { "How it held" }
                }
            }
            tbody {
                @for one in all {
                    tr {
                        th scope="row" { (print::local_day(one.at, ctx.utc_offset_min)) }
                        td data-what="Craft" { (craft(one.craft, &one.number)) }
                        td data-what="Part" { (clean(&one.part)) }
                        td data-what="How" {
                            (clean(&one.method))
                            @if !one.glue_batch.is_empty() { ", glue batch " (clean(&one.glue_batch)) }
                        }
                        td data-what="By" {
                            @if one.member.is_empty() { "not said" } @else { "member " (clean(&one.member)) }
                        }
                        td data-what="How it held" { (sentence(&one.text)) }
                    }
                }
            }
        }
    }
}

/// What was decided.
pub(super) fn decided<'a>(
    all: impl Iterator<Item = &'a DecidedSaid>,
    failing: &Failing,
    ctx: &Context,
) -> Markup {
    let all: Vec<&DecidedSaid> = all.collect();
    html! {
        @if !all.is_empty() {
            section aria-labelledby="decided" {
                h2 id="decided" { "Decided" }
                ul {
                    @for one in all {
                        li {
                            (sentence(&clean(&decided_text(one, ctx))))
                            @for fault in failing.faults_of(&one.faults) {
                                "; " (clean(&fault.number)) ", " (clean(&fault.place)) " of "
                                (print::local_day(fault.found, ctx.utc_offset_min))
                            }
                        }
                    }
                }
            }
        }
    }
}

fn craft(id: Option<SubjectId>, number: &str) -> Markup {
    html! {
        @match id {
            Some(id) => a href={ "/craft/" (id) } { (short_number(number)) },
            None => (short_number(number)),
        }
    }
}
