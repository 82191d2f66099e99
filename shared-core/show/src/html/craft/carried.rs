//! What is carried, and which dates run out.

use maud::{Markup, html};
use sponson_readiness::answer::{Asked, CountyAnswer, CraftAnswer, Finding, Rule, Subject};
use sponson_readiness::ids::LineId;
use sponson_readiness::standard::{Item, Standard};

use crate::clean::clean;
use crate::context::Context;
use crate::html::top::sentence;
use crate::sentence::finding_text;
use crate::table::{consequence, how_late};

/// Every line of kit that the asked mission needs, with what was found of it.
pub(super) fn kit(
    answer: &CountyAnswer,
    craft: &CraftAnswer,
    ctx: &Context,
    standard: Option<&Standard>,
) -> Markup {
    let items = standard.into_iter().flat_map(|standard| &standard.items);
    let items = items.filter_map(|item| Some((item, need(item, &answer.asked)?)));
    let items: Vec<(&Item, u32)> = items.collect();
    html! {
        @if !items.is_empty() {
            section aria-labelledby="kit" {
                h2 id="kit" { "Kit" }
                table {
                    caption { "What the boat standard asks for, for the asked mission." }
                    thead {
                        tr { th scope="col" { "Item" } th scope="col" { "Needed" } th scope="col" { "Found" } }
                    }
                    tbody {
                        @for (item, need) in items {
                            tr {
                                th scope="row" { (clean(&item.label)) }
                                td data-what="Needed" { (need) }
                                td data-what="Found" { (found(answer, craft, &item.id, ctx)) }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// How many the sheet asks for; none when the asked mission needs none.
fn need(item: &Item, asked: &Asked) -> Option<u32> {
    let mission = asked.mission.as_ref();
    let is_asked = match mission {
        Some(mission) => item.missions.is_empty() || item.missions.contains(mission),
        None => item.missions.is_empty(),
    };
    let other = mission.and_then(|mission| item.count_for.get(mission));
    let need = other.copied().unwrap_or(item.count);
    (is_asked && need > 0).then_some(need)
}

fn found(answer: &CountyAnswer, craft: &CraftAnswer, item: &LineId, ctx: &Context) -> Markup {
    let mut short = answer.missing_kit.iter();
    let short = short.find(|one| one.craft == craft.id && one.item == *item);
    let about = |one: &&Finding| matches!(&one.subject, Subject::Line(id, _) if id == item);
    let findings: Vec<&Finding> = craft.why.iter().filter(about).collect();
    html! {
        @if let Some(short) = short { strong { (short.have) " of " (short.need) } }
        @if findings.is_empty() && short.is_none() { "nothing found against it" }
        @for one in findings { p { (sentence(&finding_text(one, answer.asked.as_of, ctx))) } }
    }
}

/// What is overdue and what soon will be.
pub(super) fn dates(answer: &CountyAnswer, craft: &CraftAnswer, ctx: &Context) -> Markup {
    let late = answer.overdue.iter().filter(|one| one.craft == craft.id);
    let late: Vec<_> = late.collect();
    let soon: Vec<&Finding> = craft.why.iter().filter(|one| is_soon(one.rule)).collect();
    html! {
        section aria-labelledby="dates" {
            h2 id="dates" { "Due dates" }
            @if late.is_empty() && soon.is_empty() {
                p { "Nothing is overdue, and nothing is due soon, as far as is known here." }
            } @else {
                ul {
                    @for one in late {
                        li {
                            strong { (clean(&one.label)) } ": " (how_late(one)) "; "
                            (consequence(&one.effect, ctx))
                        }
                    }
                    @for one in soon { li { (sentence(&finding_text(one, answer.asked.as_of, ctx))) } }
                }
            }
        }
    }
}

fn is_soon(rule: Rule) -> bool {
    matches!(
        rule,
        Rule::InspectionDueSoon | Rule::KitExpiresSoon | Rule::CylinderDueSoon
    )
}
