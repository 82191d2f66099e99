//! One candidate in full: what limits it, whom it brings home, the air and kit it takes, its crew,
//! what goes with it, what is left, how old all this is.

use maud::{Markup, html};
use sponson_readiness::answer::{Candidate, CraftAnswer, PartPressure};

use super::candidates::Told;
use super::top::sentence;
use crate::sentence::callout::{
    call_text, cover_text, crew_text, kit_text, room_text, said_at_text, second_text, shared_text,
    to_do_list,
};
use crate::sentence::{air_from_text, air_needed_text, checked_text, words_of};
use crate::table::{is_silent, reasons};
use crate::units::print;

/// What a coordinator has to know of it, the most urgent first.
pub(super) fn facts_of(one: &Candidate, craft: Option<&CraftAnswer>, told: &Told<'_>) -> Markup {
    let ctx = told.ctx;
    let lines = |all: Vec<String>| (!all.is_empty()).then_some(all);
    let rows: [(&str, Option<Vec<String>>); 10] = [
        (
            "Limits",
            craft
                .map(|it| reasons(it, told.answer.asked.as_of, ctx))
                .and_then(lines),
        ),
        ("First", lines(to_do_list(&one.to_do, craft, ctx))),
        ("Room", Some(vec![room_text(one.seats, one.trips)])),
        ("Air to take", craft.and_then(|it| air(it, told))),
        (
            "Kit short",
            lines(one.at_ramp.iter().map(|it| kit_text(it, ctx)).collect()),
        ),
        ("Crew", Some(vec![crew_text(&one.crew, ctx)])),
        (
            "Safety boat",
            second_text(&one.second).map(|it| vec![without(&it, "safety boat: ")]),
        ),
        (
            "Stations differ",
            lines(
                one.disputed
                    .iter()
                    .map(|it| said_at_text(it, ctx))
                    .collect(),
            ),
        ),
        ("Wanted by others", lines(shared(one, told))),
        (
            "Left then",
            one.cover_left
                .as_ref()
                .map(|it| vec![without(&cover_text(it, ctx), "left then: ")]),
        ),
    ];
    html! {
        dl.facts {
            @for (name, lines) in rows.into_iter().filter_map(|(name, lines)| Some((name, lines?))) {
                div { dt { (name) } dd { (several(&lines)) } }
            }
            div { dt { "How old" } dd { (how_old(craft, told)) } }
            @if let Some(call) = call_text(&one.whom_to_call) { div { dt { "Call" } dd { (without(&call, "call ")) } } }
        }
    }
}

fn several(lines: &[String]) -> Markup {
    html! {
        @match lines {
            [one] => (sentence(one)),
            all => ul { @for one in all { li { (sentence(one)) } } },
        }
    }
}

/// A sentence whose first words the name of the line says already.
fn without(text: &str, beginning: &str) -> String {
    text.strip_prefix(beginning).unwrap_or(text).to_owned()
}

fn air(craft: &CraftAnswer, told: &Told<'_>) -> Option<Vec<String>> {
    let needed = craft.air.as_ref()?;
    let from = needed.from.iter().map(|it| air_from_text(it, told.ctx));
    let mut all = vec![air_needed_text(needed, told.ctx)];
    all.extend(from);
    if needed.from.is_empty() {
        all.push("nothing aboard adds air".to_owned());
    }
    Some(all)
}

fn shared(one: &Candidate, told: &Told<'_>) -> Vec<String> {
    let number = |id| told.number(id);
    let all = one.shared.iter();
    all.map(|it| shared_text(it, number, told.ctx)).collect()
}

/// When it was checked, and when its station was heard.
fn how_old(craft: Option<&CraftAnswer>, told: &Told<'_>) -> Markup {
    let as_of = told.answer.asked.as_of;
    let stations = &told.answer.stations;
    html! {
        @if let Some(craft) = craft {
            (sentence(&checked_text(craft, as_of, told.ctx)))
            @for id in &craft.stations {
                @if let Some(heard) = stations.iter().find(|it| it.id == *id) {
                    "; " (told.ctx.station(*id)) " "
                    @match heard.last_heard {
                        Some(at) => { "heard " (print::ago(as_of.since(at))) },
                        None => "never heard",
                    }
                }
            }
            @if is_silent(craft, stations) { ". " b { "Not heard for long: ask before you count on it." } }
        }
    }
}

/// Pressures at the launch, part by part.
pub(super) fn pressures(craft: &CraftAnswer, told: &Told<'_>) -> Markup {
    html! {
        @if !craft.pressures.is_empty() {
            details id={ "p-" (craft.id) } {
                summary { "Pressures at the launch" }
                ul { @for one in &craft.pressures { li { (pressure(one, told)) } } }
            }
        }
    }
}

fn pressure(one: &PartPressure, told: &Told<'_>) -> String {
    let units = told.ctx.units;
    let number = |pa| match pa {
        0 => "slack".to_owned(),
        pa => print::pressure_number(pa, units),
    };
    let (low, high) = (number(one.launch_low_pa), number(one.launch_high_pa));
    let launch = if low == high {
        low
    } else {
        format!("{low} to {high}")
    };
    format!(
        "{}: {launch} {} (wanted {} to {})",
        words_of(one.part.as_str()),
        print::pressure_unit(units),
        number(one.range_pa.0),
        number(one.range_pa.1)
    )
}
