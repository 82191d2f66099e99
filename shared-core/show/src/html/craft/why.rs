//! Why a craft is as it is: every finding with what was measured and required, its source, what shows
//! it and what to do. The numbers are those of the drawing.

use maud::{Markup, html};
use sponson_readiness::answer::{CraftAnswer, Effect, Finding};
use sponson_readiness::moment::Moment;

use super::Proofs;
use super::history::entry_link;
use crate::clean::clean;
use crate::context::Context;
use crate::html::top::sentence;
use crate::sentence::{craft_limit_text, finding_text, measure_text, required_text, to_do_text};
use crate::words;

pub(super) fn why(craft: &CraftAnswer, as_of: Moment, ctx: &Context, proofs: Proofs) -> Markup {
    html! {
        section aria-labelledby="why" {
            h2 id="why" { "Why" }
            @if craft.why.is_empty() { p { "Nothing was found against it." } }
            @else {
                ol class="why-list" {
                    @for (number, one) in (1_usize..).zip(&craft.why) {
                        li id={ "finding-" (number) } { (finding(one, craft, as_of, ctx, proofs)) }
                    }
                }
            }
        }
    }
}

fn finding(
    finding: &Finding,
    craft: &CraftAnswer,
    as_of: Moment,
    ctx: &Context,
    proofs: Proofs,
) -> Markup {
    let measured = finding.measured.as_ref().map(|it| measure_text(it, ctx));
    let required = finding.required.as_ref().map(|it| required_text(it, ctx));
    let effect = match &finding.effect {
        Effect::Limit(limit) => craft_limit_text(limit, craft, ctx),
        Effect::Note | Effect::Unproven | Effect::NotReady => {
            words::effect(&finding.effect).to_owned()
        }
    };
    let source = clean(&finding.source);
    html! {
        p { (sentence(&finding_text(finding, as_of, ctx))) "." }
        dl {
            (row("Does", html! { (effect) " (" (finding.severity.id()) ")" }))
            @if let Some(measured) = measured { (row("Measured", html! { (measured) })) }
            @if let Some(required) = required { (row("Required", html! { (required) })) }
            @for to_do in &finding.to_do {
                (row("To do", html! { (to_do_text(to_do, &finding.subject, ctx)) }))
            }
            (row("Source", html! {
                @if source.trim().is_empty() { "none given" } @else { (source) }
                " (" (finding.basis.id()) ")"
            }))
            @if !finding.evidence.is_empty() {
                (row("Shown by", html! { (evidence(finding, ctx, proofs)) }))
            }
        }
    }
}

fn evidence(finding: &Finding, ctx: &Context, proofs: Proofs) -> Markup {
    html! {
        @for (index, id) in finding.evidence.iter().enumerate() {
            @if index > 0 { "; " }
            (entry_link(*id, proofs))
            @if let Some(witness) = ctx.witnesses.get(id) { " (" (ctx.witness(witness)) ")" }
        }
    }
}

fn row(name: &str, value: Markup) -> Markup {
    html! { div { dt { (name) } dd { (value) } } }
}
