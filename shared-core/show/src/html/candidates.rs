//! Who can go to a call-out: candidates in the order in which they are in the water, each with what
//! it takes; below them what would make the others go, and whom to call.

use std::collections::BTreeMap;

use maud::{Markup, html};
use sponson_readiness::answer::{Callout, Candidate, CountyAnswer, CraftAnswer, Reach, Way};
use sponson_readiness::ids::SubjectId;

use super::assign::assign;
use super::candidate::{facts_of, pressures};
use super::facts::PageFacts;
use super::lists::sheet;
use super::marks::{legend, readiness_mark};
use super::who::{cut, list_link, taken_away};
use crate::context::Context;
use crate::sentence::callout::{
    parts_text, place_text, room_text, setting_text, station_text, total_text, way_text,
    would_go_text,
};
use crate::table::short_number;
use crate::units::print;
use crate::words;

/// Candidates told in full; of more one line each. One takes some 4 KB.
const FULL_MAX: usize = 12;

/// Characters of what would make a craft go, in its line.
const WOULD_MAX: usize = 260;

/// What the candidates of one answer are told with.
pub(super) struct Told<'a> {
    pub(super) answer: &'a CountyAnswer,
    pub(super) callout: &'a Callout,
    pub(super) ctx: &'a Context,
    pub(super) facts: &'a PageFacts,
    craft: BTreeMap<SubjectId, &'a CraftAnswer>,
}

impl<'a> Told<'a> {
    fn of(
        answer: &'a CountyAnswer,
        callout: &'a Callout,
        ctx: &'a Context,
        facts: &'a PageFacts,
    ) -> Self {
        let craft = answer.craft.iter().map(|one| (one.id, one)).collect();
        Self {
            answer,
            callout,
            ctx,
            facts,
            craft,
        }
    }

    pub(super) fn craft(&self, id: SubjectId) -> Option<&'a CraftAnswer> {
        self.craft.get(&id).copied()
    }

    /// Number of a craft, as somebody painted it.
    pub(super) fn number(&self, id: SubjectId) -> String {
        self.craft(id).map_or_else(
            || "a craft that is not known here".to_owned(),
            |it| short_number(&it.number),
        )
    }
}

/// Who can go to the call-out.
pub(super) fn who_can_go(
    answer: &CountyAnswer,
    callout: &Callout,
    ctx: &Context,
    facts: &PageFacts,
) -> Markup {
    let told = Told::of(answer, callout, ctx, facts);
    let (go, others): (Vec<&Candidate>, Vec<&Candidate>) = callout
        .candidates
        .iter()
        .partition(|one| one.reach < Reach::NotChecked);
    let (full, short) = go.split_at(go.len().min(FULL_MAX));
    html! {
        section.who aria-labelledby="who" {
            h2 id="who" data-as-of=(sheet(answer, ctx)) { "Who can go" (to_where(&told)) }
            (at_a_look(&go, &told))
            (legend())
            @if !full.is_empty() { ol.candidates { @for one in full { (whole(one, &told)) } } }
            @if !short.is_empty() {
                h3 { "Later ones, in one line each (" (short.len()) ")" }
                ul.craft { @for one in short { (later(one, &told)) } }
            }
            (not_yet(&others, Reach::NotChecked, "Not checked: go and look first", &told))
            (not_yet(&others, Reach::CannotGo, "Cannot go as things are", &told))
            (taken_away(answer, ctx))
            (settings(&told))
        }
    }
}

fn to_where(told: &Told<'_>) -> String {
    let asked = told.answer.asked.callout.as_ref();
    let place = asked.and_then(|it| it.launch.as_ref()).and_then(place_text);
    place
        .map(|place| format!(" to {place}"))
        .unwrap_or_default()
}

/// The whole in one look: number, time, room, of those that are told in full.
fn at_a_look(go: &[&Candidate], told: &Told<'_>) -> Markup {
    let number = i64::try_from(go.len()).unwrap_or(i64::MAX);
    html! {
        p {
            b {
                @match number {
                    0 => "No craft can go as things are.",
                    1 => "1 craft can go.",
                    many => { (many) " craft can go." },
                }
            }
            @if told.callout.safety_boat { " The county asks for a safety boat for this mission." }
        }
        @if let Some(home) = &told.callout.bring_home {
            p.mind { (home_text(home.craft.as_slice(), home.total, told)) }
        }
        @if go.len() > 1 {
            table.look {
                thead {
                    tr {
                        th scope="col" { "Craft" } th scope="col" { "To water" }
                        th scope="col" { "Room" }
                    }
                }
                tbody {
                    @for one in go.iter().take(FULL_MAX) {
                        tr {
                            th scope="row" {
                                a href={ "#c-" (one.craft) } { (short_number(&one.number)) }
                                div.soft { (at_station(one, told)) }
                            }
                            td { b { (when(one, told)) } }
                            td { (room_text(one.seats, one.trips)) }
                        }
                    }
                }
            }
        }
    }
}

fn home_text(craft: &[SubjectId], total: Option<u32>, told: &Told<'_>) -> String {
    let names: Vec<String> = craft.iter().map(|id| told.number(*id)).collect();
    match (names.as_slice(), total) {
        ([], _) => "No craft that can go bring all of them home at once.".to_owned(),
        (names, Some(total)) => format!(
            "No one craft brings all of them home at once. Together: {}, all in the water in {total} min.",
            names.join(", ")
        ),
        (names, None) => format!(
            "No one craft brings all of them home at once. Together: {}; when is not known.",
            names.join(", ")
        ),
    }
}

/// Its station, in a word where stations differ.
fn at_station(one: &Candidate, told: &Told<'_>) -> String {
    match (one.station, one.disputed.is_empty()) {
        (_, false) => "stations differ where".to_owned(),
        (Some(station), true) => told.ctx.station(station),
        (None, true) => "station not known".to_owned(),
    }
}

/// When it is in the water, or how far it is where only that is known.
fn when(one: &Candidate, told: &Told<'_>) -> String {
    match one.reach {
        Reach::ByTime => match one.time.total {
            Some(total) => format!("{total} min"),
            None => format!("{} min or more", one.time.at_least),
        },
        Reach::ByLine | Reach::WayNotKnown | Reach::NotChecked | Reach::CannotGo => {
            if let Way::Straight { metres } = one.way {
                let far = print::distance(metres, told.ctx.units);
                return format!("{far} straight line");
            }
            way_text(one.way, told.ctx)
        }
    }
}

fn whole(one: &Candidate, told: &Told<'_>) -> Markup {
    let craft = told.craft(one.craft);
    html! {
        li id={ "c-" (one.craft) } {
            div.head-line {
                h3 {
                    @if let Some(craft) = craft { (readiness_mark(craft.readiness)) " " }
                    a href=(told.facts.craft(one.craft)) { (short_number(&one.number)) }
                    @if let Some(craft) = craft { ", " (words::readiness(craft.readiness)) }
                }
                p.when { (when_long(one, told)) }
            }
            p.of { (station_text(one, told.ctx)) ": " (way_text(one.way, told.ctx)) "; " (parts_text(&one.time, one.launch)) " (min)" }
            (facts_of(one, craft, told))
            @if let Some(craft) = craft { (pressures(craft, told)) }
            (assign(one, told.answer, told.facts))
        }
    }
}

fn when_long(one: &Candidate, told: &Told<'_>) -> String {
    match one.reach {
        Reach::ByTime => total_text(&one.time, told.ctx),
        Reach::ByLine | Reach::WayNotKnown | Reach::NotChecked | Reach::CannotGo => when(one, told),
    }
}

fn later(one: &Candidate, told: &Told<'_>) -> Markup {
    html! {
        li {
            (head(one, told))
            "; " (station_text(one, told.ctx)) "; " (when(one, told)) "; "
            (room_text(one.seats, one.trips))
        }
    }
}

fn head(one: &Candidate, told: &Told<'_>) -> Markup {
    let craft = told.craft(one.craft);
    html! {
        @if let Some(craft) = craft { (readiness_mark(craft.readiness)) }
        a href=(list_link(told.facts, one.craft, told.answer)) { (short_number(&one.number)) }
        @if let Some(craft) = craft { " " b { (words::readiness(craft.readiness)) } }
    }
}

/// What would make the others go, in how many minutes, and whom to call.
fn not_yet(others: &[&Candidate], reach: Reach, heading: &str, told: &Told<'_>) -> Markup {
    let these: Vec<&&Candidate> = others.iter().filter(|one| one.reach == reach).collect();
    html! {
        @if !these.is_empty() {
            h3 { (heading) " (" (these.len()) ")" }
            ul.craft {
                @for one in these {
                    li {
                        (head(one, told)) "; " (station_text(one, told.ctx)) ". To make it go: "
                        (cut(&would_go_text(one, told.craft(one.craft), told.ctx), WOULD_MAX))
                    }
                }
            }
        }
    }
}

/// What the times rest on.
fn settings(told: &Told<'_>) -> Markup {
    let cover = told.callout.cover.iter();
    let cover = cover.map(|one| {
        let craft = print::count(i64::from(one.craft), "craft");
        format!("{} {craft}", told.ctx.station(one.station))
    });
    let cover: Vec<String> = cover.collect();
    html! {
        details id="settings" {
            summary { "What the times rest on" }
            ul {
                @for one in &told.callout.settings {
                    li { (setting_text(one, told.ctx)) ": " (one.basis.id()) ", " (crate::clean(&one.source)) }
                }
                @if !cover.is_empty() { li { "Can go now, each alone: " (cover.join(", ")) } }
            }
        }
    }
}
