//! An answer as one printed page, for a paper board or to hand on: who can go, what is short, what
//! is overdue, where stations differ, the caution.
//!
//! A page has room for so many lines; of what is more it says how many, and where the rest is. The
//! same body is a page of the server, and a file that stands by itself with its style within.

use maud::{DOCTYPE, Markup, PreEscaped, html};
use sponson_readiness::answer::{CountyAnswer, CraftAnswer, StationHeard};

use super::facts::PageFacts;
use super::frame::frame;
use super::top::{given, last_heard, mission, sentence};
use crate::clean::clean;
use crate::context::Context;
use crate::sentence::{differ_text, until_text};
use crate::table::{
    Group, headline, how_late, label_or, not_for_mission, reasons, rests_text, short_number,
};
use crate::units::print;
use crate::words;

/// Style of the report: a part of the sheet of every page, and within the file.
const REPORT_STYLE: &str = include_str!("report.css");

/// Craft with a line of their own, fit ones and others: 72 lines of 8.5 point fill a sheet of
/// letter paper, of which these take 16 times 2 and 12.
const FIT_MAX: usize = 16;
const OTHERS_MAX: usize = 10;

/// Lines of each list.
const LINES_MAX: usize = 6;

/// The report as a page of the server.
#[must_use]
pub fn report_page(answer: &CountyAnswer, ctx: &Context, facts: &PageFacts) -> String {
    frame("Report", facts, &body(answer, ctx, &facts.notes))
}

/// The report as a file that needs nothing beside itself.
#[must_use]
pub fn report_file(answer: &CountyAnswer, ctx: &Context, notes: &[String]) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'";
                title { "What can go, " (ctx.local(answer.asked.as_of)) " - Sponson" }
                style { (PreEscaped(REPORT_STYLE)) }
            }
            body { main { (body(answer, ctx, notes)) } }
        }
    };
    page.into_string()
}

fn body(answer: &CountyAnswer, ctx: &Context, notes: &[String]) -> Markup {
    let asked = &answer.asked;
    let zone = print::offset(ctx.utc_offset_min);
    html! {
        article.report {
            h1 {
                "What can go, as of "
                time datetime=(print::rfc3339(asked.as_of)) { (ctx.local(asked.as_of)) } " (" (zone) ")"
            }
            p.report-mission { "Mission: " strong { (mission(asked)) } }
            @if let Some(clock) = words::asker_clock(asked.clock) { p.report-mind { (sentence(&clock)) "." } }
            @for note in notes { p.report-mind { (clean(note)) } }
            (not_heard(answer, ctx))
            (given(asked, ctx))
            p.report-caution { strong { (crate::caution()) } }
            (craft(answer, ctx))
            div.report-lists { (short(answer)) (overdue(answer)) (differ(answer, ctx)) (stations(answer, ctx)) }
            p.report-rests { (rests_text(answer)) }
            p.report-sign { "Handed to: ______________________ by: ______________________ at: ____________" }
        }
    }
}

fn not_heard(answer: &CountyAnswer, ctx: &Context) -> Markup {
    let silent: Vec<String> = answer
        .stations
        .iter()
        .filter(|station| station.silent)
        .map(|station| {
            format!(
                "{} ({})",
                clean(&station.name),
                last_heard(station, answer, ctx)
            )
        })
        .collect();
    html! {
        @if !silent.is_empty() {
            p.report-mind {
                strong { "Not heard for long" } ", so what they did since is not known here: "
                (some(&silent)) "."
            }
        }
    }
}

fn craft(answer: &CountyAnswer, ctx: &Context) -> Markup {
    let fit = [Group::CanGo, Group::WithLimits, Group::NotFree];
    let others = [Group::LookFirst, Group::CannotGo];
    html! {
        h2 { "Craft" }
        table.report-craft {
            thead { tr { th scope="col" { "Craft" } th scope="col" { "Can it go" } th scope="col" { "Where, whom, why" } } }
            tbody {
                (rows(&fit, FIT_MAX, 2, answer, ctx))
                (rows(&others, OTHERS_MAX, 1, answer, ctx))
            }
        }
        @if answer.craft.is_empty() { p { "No craft is registered here yet." } }
    }
}

/// Rows of some groups, those that the mission rules out last; how many there is no room for.
fn rows(
    groups: &[Group],
    rows_max: usize,
    reasons_max: usize,
    answer: &CountyAnswer,
    ctx: &Context,
) -> Markup {
    let all = groups.iter().flat_map(|group| {
        let craft = group.of_answer(answer);
        craft.map(move |one| (*group, one))
    });
    let (mut all, ruled_out): (Vec<_>, Vec<_>) = all.partition(|(_, one)| !not_for_mission(one));
    all.extend(ruled_out);
    let more: Vec<String> = all
        .iter()
        .skip(rows_max)
        .map(|(_, one)| short_number(&one.number))
        .collect();
    html! {
        @for (group, one) in all.iter().take(rows_max) { (row(*group, one, reasons_max, answer, ctx)) }
        @if !more.is_empty() {
            tr { td colspan="3" { "And " (print::count(i64::try_from(more.len()).unwrap_or(i64::MAX), "craft")) ": " (some(&more)) } }
        }
    }
}

fn row(
    group: Group,
    craft: &CraftAnswer,
    reasons_max: usize,
    answer: &CountyAnswer,
    ctx: &Context,
) -> Markup {
    let as_of = answer.asked.as_of;
    let why = reasons(craft, as_of, ctx);
    let more = why.len().saturating_sub(reasons_max);
    let why: Vec<&str> = why.iter().take(reasons_max).map(String::as_str).collect();
    html! {
        tr {
            th scope="row" { (short_number(&craft.number)) }
            td { (group.short()) }
            td {
                (headline(craft, &answer.stations, as_of, ctx))
                @if !why.is_empty() { ". " (sentence(&why.join("; "))) }
                @if more > 0 { "; and " (more) " more" }
                "."
            }
        }
    }
}

fn short(answer: &CountyAnswer) -> Markup {
    let all = answer.missing_kit.iter().map(|item| {
        let label = label_or(&item.label, item.item.as_str());
        let number = short_number(&item.number);
        format!("{number}: {label}, {} of {}", item.have, item.need)
    });
    list("Kit short", "nothing that is counted", all.collect())
}

fn overdue(answer: &CountyAnswer) -> Markup {
    let all = answer.overdue.iter().map(|late| {
        let label = label_or(&late.label, late.inspection.as_str());
        format!(
            "{}: {label}, {}",
            short_number(&late.number),
            how_late(late)
        )
    });
    list("Overdue", "nothing that is known here", all.collect())
}

fn differ(answer: &CountyAnswer, ctx: &Context) -> Markup {
    let all = answer.disagreements.iter().map(|one| {
        let number = short_number(&one.number);
        format!(
            "{number}: {}; {}",
            differ_text(one, ctx),
            until_text(one, ctx)
        )
    });
    list(
        "Stations differ",
        "nowhere, as far as is known",
        all.collect(),
    )
}

fn stations(answer: &CountyAnswer, ctx: &Context) -> Markup {
    let said = |one: &StationHeard| {
        let crews = one.crews.as_ref();
        let crews = crews.map_or_else(|| "crew not known".to_owned(), |it| words::crews(it, ctx));
        let name = clean(&one.name);
        format!("{name}: {}; {crews}", last_heard(one, answer, ctx))
    };
    let all = answer.stations.iter().map(said);
    list("Stations", "none is known here", all.collect())
}

fn list(name: &str, none: &str, all: Vec<String>) -> Markup {
    let more = all.len().saturating_sub(LINES_MAX);
    html! {
        section {
            h2 { (name) }
            @if all.is_empty() { p { (sentence(none)) "." } }
            @else {
                ul { @for one in all.iter().take(LINES_MAX) { li { (one) } } }
            }
            @if more > 0 { p { "And " (more) " more, in the answer on the screen and in its files." } }
        }
    }
}

/// Names, as many as a line or two have room for.
fn some(names: &[String]) -> String {
    let shown = names.iter().take(4 * LINES_MAX).map(|name| clean(name));
    let shown: Vec<String> = shown.collect();
    let more = names.len().saturating_sub(shown.len());
    let shown = shown.join(", ");
    if more == 0 {
        shown
    } else {
        format!("{shown} and {more} more")
    }
}
