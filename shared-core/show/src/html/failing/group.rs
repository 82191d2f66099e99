//! One group: its plain line, its faults over time with the table of the drawing, where on the craft
//! they were found, repairs and how they held, what to do, what was decided.

use std::collections::BTreeMap;

use maud::{Markup, html};
use sponson_readiness::ids::ModelId;
use sponson_readiness::standard::Standard;

use super::{FAULTS, asked_at, decide, figures, lists, proposed};
use crate::clean::clean;
use crate::context::Context;
use crate::failing::{DecidedSaid, Failing, FaultSaid, GroupSaid, RepairSaid, ToDoSaid};
use crate::html::facts::PageFacts;
use crate::html::frame::frame;
use crate::html::top::sentence;
use crate::svg::plan::{FaultMark, plan_of_faults};
use crate::table::faults_headline;

/// The page of one group. Where it is of one model whose sheet is given, its faults are drawn on it.
#[must_use]
pub fn faults_group_page(
    failing: &Failing,
    group: &GroupSaid,
    ctx: &Context,
    facts: &PageFacts,
    standards: &BTreeMap<ModelId, Standard>,
) -> String {
    let label = clean(&group.label);
    let body = html! {
        div.failing {
            section.top aria-labelledby="group" {
                h1 id="group" { (sentence(&label)) }
                p.zone { (faults_headline(failing, ctx)) }
                @for note in &facts.notes { p.mind { (clean(note)) } }
                p {
                    b { (sentence(&group.line)) }
                    @if !group.trend.is_empty() { "; " (group.trend) } "."
                }
                p.caution { (crate::caution()) }
                p { a href=(asked_at(FAULTS, facts)) { "All that keeps failing" } }
            }
            (to_do(failing, group, ctx, facts))
            (over_time(failing, group))
            (faults(failing, group, ctx, standards))
            (repairs(failing, group, ctx))
            (decided(failing, group, ctx, facts))
        }
    };
    frame(&label, facts, &body)
}

fn to_do(failing: &Failing, group: &GroupSaid, ctx: &Context, facts: &PageFacts) -> Markup {
    let all: Vec<&ToDoSaid> = failing.to_do_of(&group.faults).collect();
    html! {
        @if !all.is_empty() {
            section aria-labelledby="what-to-do" {
                h2 id="what-to-do" { "What to do" }
                ol.to-do {
                    @for (at, one) in all.iter().enumerate() {
                        li { (proposed(at, one, failing, ctx, facts)) }
                    }
                }
            }
        }
    }
}

fn over_time(failing: &Failing, group: &GroupSaid) -> Markup {
    let per = match failing.per {
        "hours" => "engine hours since it came",
        "uses" => "uses since it came",
        _ => "days since it came",
    };
    html! {
        section aria-labelledby="over-time" {
            h2 id="over-time" { "Over time" }
            (figures::drawing(group, per, failing.level_percent))
            details {
                summary { "Figures" }
                (figures::table(&group.figures, &format!("Figures of {}", group.label)))
                p.soft { (failing.figures_text) }
            }
        }
    }
}

fn faults(
    failing: &Failing,
    group: &GroupSaid,
    ctx: &Context,
    standards: &BTreeMap<ModelId, Standard>,
) -> Markup {
    let all: Vec<&FaultSaid> = failing.faults_of(&group.faults).collect();
    let sheet = group.drawn_on.as_ref();
    let sheet = sheet.and_then(|model| standards.get(model));
    html! {
        section aria-labelledby="its-faults" {
            h2 id="its-faults" { "Faults" }
            @if let Some(sheet) = sheet { (from_above(group, &all, sheet)) }
            (lists::faults(&all, &format!("Faults: {}", group.label), ctx))
        }
    }
}

/// The craft from above with the faults of its own, by their numbers in the table.
fn from_above(group: &GroupSaid, all: &[&FaultSaid], sheet: &Standard) -> Markup {
    let own = (1_usize..).zip(all).filter(|(_, one)| one.gear.is_empty());
    let marks: Vec<FaultMark<'_>> = own
        .map(|(number, one)| FaultMark {
            number,
            part: &one.part,
            place: one.on_part,
        })
        .collect();
    plan_of_faults(("from-above", &group.label), sheet, &marks)
}

fn repairs(failing: &Failing, group: &GroupSaid, ctx: &Context) -> Markup {
    let all: Vec<&RepairSaid> = failing.repairs_of(&group.faults).collect();
    html! {
        @if !all.is_empty() {
            section aria-labelledby="its-repairs" {
                h2 id="its-repairs" { "Repairs, and how they held" }
                (lists::repairs(&all, &format!("Repairs: {}", group.label), ctx))
            }
        }
    }
}

fn decided(failing: &Failing, group: &GroupSaid, ctx: &Context, facts: &PageFacts) -> Markup {
    let all: Vec<&DecidedSaid> = failing.decided_of(&group.faults).collect();
    let may = facts.token.is_some() && facts.offers.may_decide;
    html! {
        (lists::decided(all.into_iter(), failing, ctx))
        @if let Some(about) = group.decides.as_ref().filter(|_| may && !group.faults.is_empty()) {
            section aria-labelledby="decide" {
                h2 id="decide" { "Decide about all of these" }
                (decide::form(("all", &group.label), None, about, &group.faults, facts))
            }
        }
    }
}
