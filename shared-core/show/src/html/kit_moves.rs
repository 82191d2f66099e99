//! A day's plan of kit moves as a page: what to take from where, what each makes ready, what stays
//! short and why, what givers keep.

use maud::{Markup, html};
use sponson_readiness::kit_moves::{Keeps, KitMoves, Taker};

use super::facts::PageFacts;
use super::field::checks;
use super::form::FormValues;
use super::frame::frame;
use super::top::sentence;
use crate::clean::clean;
use crate::context::Context;
use crate::sentence::words_of;
use crate::table::{
    giver_text, givers, hindrance, kit_move_text, kit_moves_notes, kit_moves_summary, short_number,
    staying,
};
use crate::units::print;

/// The page of one plan; `form` is what was asked.
#[must_use]
pub fn kit_moves_page(
    moves: &KitMoves,
    ctx: &Context,
    facts: &PageFacts,
    form: &FormValues,
) -> String {
    let body = html! {
        section.top aria-labelledby="kit-moves" {
            h1 id="kit-moves" { "Kit moves" }
            p.zone {
                "As of " (ctx.local(moves.as_of)) " (" (print::offset(ctx.utc_offset_min)) "), for "
                strong { (missions(moves)) } "."
            }
            @for note in &facts.notes { p.mind { (clean(note)) } }
            p { b { (kit_moves_summary(moves)) } }
            p.caution { (crate::caution()) }
        }
        (asked(moves, facts, form))
        (plan(moves, ctx))
        (short(moves))
        (hindered(moves, ctx))
        (kept(moves, ctx))
        @for note in kit_moves_notes(moves) { p.soft { (note) } }
    };
    frame("Kit moves", facts, &body)
}

fn missions(moves: &KitMoves) -> String {
    let all = moves.county.asked.missions.iter();
    let all: Vec<String> = all.map(|it| words_of(it.as_str())).collect();
    match all.as_slice() {
        [] => "the general standard".to_owned(),
        all => all.join(", "),
    }
}

fn asked(moves: &KitMoves, facts: &PageFacts, form: &FormValues) -> Markup {
    let keeps = match moves.county.asked.keeps {
        Keeps::EveryMission => "what they need for any mission",
        Keeps::ChosenMissions => "what they need for these missions only",
    };
    html! {
        section.ask aria-labelledby="ask" {
            h2 id="ask" { "For which missions" }
            p { "Givers keep " (keeps) "." }
            details id="ask-form" {
                summary { "Missions, and what givers keep" }
                form id="question" method="get" action="/kit-moves" {
                    fieldset { legend { "Missions" } (checks("mission", &facts.offers.missions, form)) }
                    span.check {
                        input type="checkbox" id="f-keep" name="keep-chosen-only"
                            checked[form.has("keep-chosen-only", "on")];
                        label for="f-keep" { "Givers keep only what they need for these missions" }
                    }
                    p.press { button.main { "Show the plan" } }
                }
            }
        }
    }
}

fn plan(moves: &KitMoves, ctx: &Context) -> Markup {
    let ready = moves.solved.plan.ready.iter();
    let ready = ready.filter_map(|at| Some((*at, moves.county.problem.takers.get(*at)?)));
    let ready: Vec<(usize, &Taker)> = ready.collect();
    html! {
        section.plan-of-moves aria-labelledby="plan" {
            h2 id="plan" { "What to take from where" }
            @if ready.is_empty() { p { "No move of kit makes another craft go." } }
            @for (at, taker) in ready {
                h3 { (short_number(&taker.number)) " at " (ctx.station(taker.station)) " can go with" }
                ul {
                    @for one in moves.solved.plan.moves.iter().filter(|one| one.taker == at) {
                        @if let Some(text) = kit_move_text(moves, one, ctx) { li { (sentence(&text)) } }
                    }
                }
            }
        }
    }
}

fn short(moves: &KitMoves) -> Markup {
    let all: Vec<(&Taker, Vec<String>)> = staying(moves).collect();
    html! {
        @if !all.is_empty() {
            section aria-labelledby="stay-short" {
                h2 id="stay-short" { "Stay short, and nothing is moved for them" }
                ul { @for (taker, why) in &all { li { b { (short_number(&taker.number)) } ": " (why.join("; ")) } } }
            }
        }
    }
}

fn hindered(moves: &KitMoves, ctx: &Context) -> Markup {
    html! {
        @if !moves.county.hindered.is_empty() {
            section aria-labelledby="hindered" {
                h2 id="hindered" { "Kit alone does not make these go" }
                ul {
                    @for one in &moves.county.hindered {
                        li { b { (short_number(&one.number)) } ": " (hindrance(&one.why, moves.as_of, ctx)) }
                    }
                }
            }
        }
    }
}

fn kept(moves: &KitMoves, ctx: &Context) -> Markup {
    let all = givers(moves);
    html! {
        @if !all.is_empty() {
            section aria-labelledby="givers" {
                h2 id="givers" { "Who gives, and what is left there" }
                ul { @for (stock, given) in all { li { (sentence(&giver_text(stock, given, ctx))) } } }
            }
        }
    }
}
