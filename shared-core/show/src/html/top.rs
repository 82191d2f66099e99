//! The head of an answer: as of when, which stations are not heard for long, what was asked and
//! what was assumed, the caution.

use maud::{Markup, html};
use sponson_readiness::answer::{Asked, CountyAnswer, StationHeard};

use super::facts::PageFacts;
use crate::clean::clean;
use crate::context::Context;
use crate::sentence::words_of;
use crate::table::{aboard_text, job_text, launch_text};
use crate::units::print;
use crate::weather_report::report_lines;
use crate::without::as_if;
use crate::words;

/// As of when, and whatever has to be known before anything else is read.
pub(super) fn top(answer: &CountyAnswer, ctx: &Context, facts: &PageFacts) -> Markup {
    let asked = &answer.asked;
    let zone = print::offset(ctx.utc_offset_min);
    html! {
        section.top aria-labelledby="as-of" {
            h1 id="as-of" { "As of " time datetime=(print::rfc3339(asked.as_of)) { (ctx.local(asked.as_of)) } }
            p.zone { (zone) "; mission: " strong { (mission(asked)) } }
            @if let Some(as_if) = as_if(answer, ctx) { p.mind { b { "As if: " } (as_if) } }
            (not_heard(answer, ctx))
            @if let Some(clock) = words::asker_clock(asked.clock) { p.mind { (sentence(&clock)) "." } }
            @for note in &facts.notes { p.mind { (clean(note)) } }
            (given(asked, ctx))
            p.caution { (crate::caution()) }
        }
    }
}

pub(super) fn mission(asked: &Asked) -> String {
    let mission = asked.mission.as_ref();
    mission.map_or_else(|| "general".to_owned(), |it| words_of(it.as_str()))
}

/// Stations not heard for long, first: what they did since is not known here.
fn not_heard(answer: &CountyAnswer, ctx: &Context) -> Markup {
    let silent: Vec<&StationHeard> = answer.stations.iter().filter(|it| it.silent).collect();
    html! {
        @if !silent.is_empty() {
            div.mind {
                p { strong { "Not heard for long" } ": what they did since is not known here." }
                ul {
                    @for one in silent { li { (clean(&one.name)) ": " (last_heard(one, answer, ctx)) } }
                }
            }
        }
    }
}

/// When a station was last heard, in words.
pub(super) fn last_heard(one: &StationHeard, answer: &CountyAnswer, ctx: &Context) -> String {
    match one.last_heard {
        Some(at) => format!("last heard {}", ctx.local_and_age(at, answer.asked.as_of)),
        None => "never heard".to_owned(),
    }
}

/// What was given and what was assumed, each in one line.
pub(super) fn given(asked: &Asked, ctx: &Context) -> Markup {
    let rows = [
        Some(("Launch", launch_text(asked, ctx))),
        aboard_text(asked, ctx).map(|text| ("Aboard", text)),
        job_text(asked, ctx).map(|text| ("Job", text)),
        assumed(asked).map(|text| ("Assumed", text)),
    ];
    html! {
        dl.given {
            @for (name, text) in rows.into_iter().flatten() {
                div { dt { (name) } dd { (text) } }
            }
            @for (name, text) in report_lines(asked, ctx) {
                div { dt { (sentence(&name.trim_end_matches(": ").to_lowercase())) } dd { (text) } }
            }
        }
    }
}

fn assumed(asked: &Asked) -> Option<String> {
    let all: Vec<&str> = asked.assumed.iter().map(|it| words::assumed(*it)).collect();
    (!all.is_empty()).then(|| all.join(", "))
}

/// The first letter a capital.
pub(super) fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|first| first.to_uppercase().to_string());
    first.unwrap_or_default() + letters.as_str()
}
