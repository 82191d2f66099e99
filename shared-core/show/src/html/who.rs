//! Who can go: every craft with its readiness, the fit and free first.

use maud::{Markup, html};
use sponson_readiness::answer::{CountyAnswer, CraftAnswer};

use super::facts::PageFacts;
use super::marks::readiness_mark;
use crate::clean::clean;
use crate::context::Context;
use crate::words;

/// Who can go.
pub(super) fn who(answer: &CountyAnswer, ctx: &Context, facts: &PageFacts) -> Markup {
    html! {
        section.who aria-labelledby="who" {
            h2 id="who" { "Who can go" }
            ul { @for craft in &answer.craft { (row(craft, ctx, facts)) } }
        }
    }
}

fn row(craft: &CraftAnswer, ctx: &Context, facts: &PageFacts) -> Markup {
    html! {
        li {
            (readiness_mark(craft.readiness))
            a href=(facts.link(&format!("/craft/{}", craft.id))) { (clean(&craft.number)) }
            " " (words::readiness(craft.readiness)) ", " (ctx.station_list(&craft.stations))
        }
    }
}
