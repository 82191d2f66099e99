//! What was reckoned for the craft: pressures at the launch, air to take along, whom it can bring home,
//! the crew.

use maud::{Markup, html};
use sponson_readiness::answer::{CraftAnswer, PartPressure};
use sponson_readiness::moment::Moment;

use crate::context::Context;
use crate::html::top::sentence;
use crate::sentence::{air_from_text, air_needed_text, part_air_text, words_of};
use crate::svg::plan::{between, number};
use crate::table::{NOT_KNOWN, at_home, in_sun, load_texts, own_leaks};
use crate::units::print;
use crate::words;

pub(super) fn pressures(craft: &CraftAnswer, as_of: Moment, ctx: &Context) -> Markup {
    let unit = print::pressure_unit(ctx.units);
    html! {
        @if !craft.pressures.is_empty() {
            section aria-labelledby="pressures" {
                h2 id="pressures" { "Pressure at the launch" }
                table {
                    caption {
                        "Gauge, " (unit) ". Off by: with the gauge, weather that was not measured, and "
                        "moist air; it decides nothing."
                    }
                    thead {
                        tr {
                            @for name in ["Part", "At the launch", "Wanted", "Read", "Off by", "Also"] {
                                th scope="col" { (name) }
                            }
                        }
                    }
                    tbody { @for one in &craft.pressures { (pressure(one, as_of, ctx)) } }
                }
                p { (sentence(&own_leaks(craft, ctx))) "." }
            }
        }
    }
}

fn pressure(one: &PartPressure, as_of: Moment, ctx: &Context) -> Markup {
    let when = if print::is_known(one.read_at) {
        print::ago(as_of.since(one.read_at))
    } else {
        "at a time that is not known".to_owned()
    };
    let launch = (one.launch_low_pa, one.launch_high_pa);
    let state = match (launch.0 < one.range_pa.0, launch.1 > one.range_pa.1) {
        (false, false) => "in range",
        (true, false) => "soft",
        (false, true) => "hard",
        (true, true) => "soft or hard",
    };
    let also = format!("{}{}", in_sun(one, ctx), at_home(one, ctx));
    let also = also.trim_start_matches("; ");
    html! {
        tr {
            th scope="row" { (words_of(one.part.as_str())) }
            td data-what="At the launch" { strong { (between(launch, ctx)) } " " (state) }
            td data-what="Wanted" { (between(one.range_pa, ctx)) }
            td data-what="Read" { (number(one.read_gauge_pa, ctx)) ", " (when) }
            td data-what="Off by" { (between((one.spread.least_pa, one.spread.most_pa), ctx)) }
            @if also.is_empty() { td {} } @else { td data-what="Also" { (also) } }
        }
    }
}

pub(super) fn air(craft: &CraftAnswer, ctx: &Context) -> Markup {
    html! {
        @if let Some(needed) = &craft.air {
            section aria-labelledby="air" {
                h2 id="air" { "Air to take along" }
                ul { @for part in &needed.parts { li { (sentence(&part_air_text(part, ctx))) } } }
                p { (sentence(&air_needed_text(needed, ctx))) "." }
                @if needed.from.is_empty() { p { "Nothing aboard adds air." } }
                @else {
                    p { "It may come from:" }
                    ul { @for from in &needed.from { li { (air_from_text(from, ctx)) } } }
                }
            }
        }
    }
}

pub(super) fn load(craft: &CraftAnswer, ctx: &Context) -> Markup {
    html! {
        section aria-labelledby="load" {
            h2 id="load" { "Load and trips" }
            @match &craft.load {
                None => p { (sentence(NOT_KNOWN)) "." },
                Some(load) => {
                    ul {
                        @for (depth, text) in load_texts(load, ctx) {
                            li class=[(depth > 0).then_some("deeper")] { (sentence(&text)) }
                        }
                    }
                },
            }
        }
    }
}

pub(super) fn crew(craft: &CraftAnswer, ctx: &Context) -> Markup {
    let known = match &craft.crews {
        Some(crews) => format!("Its station can raise {}", words::crews(crews, ctx)),
        None => "Crews that its station can raise: not known".to_owned(),
    };
    html! {
        section aria-labelledby="crew" {
            h2 id="crew" { "Crew" }
            p { (known) "." @if craft.crew_least > 0 { " Least crew: " (craft.crew_least) "." } }
        }
    }
}
