//! What comes due at one station in the next weeks, for the crew that does it: visits, what to bring,
//! what must be on the shelf. It records nothing: each craft leads to where that is done.

use maud::{Markup, html};
use sponson_readiness::ahead::{Ahead, DueItem, ShelfNeed, Visit};
use sponson_readiness::moment::Moment;

use crate::ahead::{
    bring_text, due_text, first_lines, often_text, shelf_text, visit_head, visit_time,
    without_visit,
};
use crate::clean::clean;
use crate::context::Context;
use crate::html::top::sentence;

/// What the page shows.
#[derive(Clone, Copy, Debug)]
pub struct Coming<'a> {
    /// What comes due here; of every station while it is not known which one this is.
    pub ahead: &'a Ahead,
    /// The judged moment.
    pub as_of: Moment,
    /// Whether this station is known.
    pub is_here: bool,
    /// How to show it.
    pub ctx: &'a Context,
    /// What whoever reads it has to know of this copy of the log.
    pub notes: &'a [String],
}

/// Its body.
#[must_use]
pub fn coming_body(shown: &Coming<'_>) -> Markup {
    let Coming { ahead, ctx, .. } = *shown;
    let left: Vec<&DueItem> = without_visit(ahead).collect();
    let wanted: Vec<&ShelfNeed> = ahead.shelf.iter().filter(|need| need.short > 0).collect();
    html! {
        h1 { @if shown.is_here { "What comes due here" } @else { "What comes due" } }
        p.back { a.tapped href="/" { "Back to the craft" } }
        @for note in shown.notes { p.mind { (clean(note)) } }
        p { "As of " (ctx.local(shown.as_of)) ", from what this device holds." }
        @for line in first_lines(ahead, ctx) { p { b { (line) } } }
        @for one in &ahead.visits { (visit(one, ahead, ctx)) }
        (list("without", "No visit does these", left.iter().map(|item| due_text(item))))
        (list("order", "To order", wanted.iter().map(|need| shelf_text(need, ahead.from))))
        (list("checks", "With the boat checks", ahead.often.iter().map(often_text)))
        p.caution { (crate::caution()) }
    }
}

fn visit(visit: &Visit, ahead: &Ahead, ctx: &Context) -> Markup {
    let bring = bring_text(&visit.bring);
    html! {
        section {
            h2 { (visit_head(visit, ahead, ctx)) }
            p { (sentence(&visit_time(visit))) "." }
            ul {
                @for item in visit.items.iter().filter_map(|at| ahead.due.get(*at)) {
                    li {
                        @match item.craft {
                            Some(craft) => a href={ "/inspect/" (craft) } { (sentence(&due_text(item))) },
                            None => (sentence(&due_text(item))),
                        }
                    }
                }
            }
            @if !bring.is_empty() { p { b { (sentence(&bring)) "." } } }
        }
    }
}

fn list(id: &str, title: &str, all: impl Iterator<Item = String>) -> Markup {
    let all: Vec<String> = all.collect();
    html! {
        @if !all.is_empty() {
            section aria-labelledby=(id) {
                h2 id=(id) { (title) }
                ul { @for text in &all { li { (sentence(text)) } } }
            }
        }
    }
}
