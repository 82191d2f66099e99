//! The question as a form: place, mission, weather, people, what is closed or taken away.
//!
//! Fields bear the names of the command's flags; values are read by the same code.

use maud::{Markup, html};
use sponson_readiness::answer::StationHeard;

use super::facts::PageFacts;
use super::field::{Field, checks, choice, field, field_with, long_field, suggestions};
use super::form::FormValues;
use crate::clean::clean;

const WHERE: [Field; 2] = [
    Field {
        name: "place",
        label: "Place",
        hint: "latitude, longitude, for example 44.9,-103.2; leave it empty when a launch place is chosen",
        list: "",
    },
    Field {
        name: "duration",
        label: "How long the job lasts",
        hint: "for example 2h",
        list: "",
    },
];

const WHO: [Field; 2] = [
    Field {
        name: "people",
        label: "People to bring home",
        hint: "for example adult:3,child:1@45lb,lying:1 (infant under 30 lb, child to 50, youth to 90)",
        list: "",
    },
    Field {
        name: "crew",
        label: "Crew in the craft",
        hint: "a number; the least of each boat standard when empty",
        list: "",
    },
];

const WEATHER: [Field; 6] = [
    Field {
        name: "air",
        label: "Air",
        hint: "for example -5C or 23F",
        list: "",
    },
    Field {
        name: "water",
        label: "Water",
        hint: "for example 6C",
        list: "",
    },
    Field {
        name: "wind",
        label: "Wind",
        hint: "for example 25kn",
        list: "",
    },
    Field {
        name: "current",
        label: "Current of the water",
        hint: "for example 3kn",
        list: "",
    },
    Field {
        name: "visibility",
        label: "How far one sees",
        hint: "clear, restricted, or for example 1mi",
        list: "",
    },
    Field {
        name: "elevation",
        label: "Elevation of the launch",
        hint: "for example 820ft",
        list: "",
    },
];

const TRAVEL: Field = Field {
    name: "travel",
    label: "Minutes of driving, as you know them",
    hint: "for example Mill Race=25: counts before the county's table",
    list: "",
};

const TAKEN: [Field; 2] = [
    Field {
        name: "without-craft",
        label: "Craft that cannot be had",
        hint: "its number",
        list: "",
    },
    Field {
        name: "without-kit",
        label: "Item of kit that cannot be had",
        hint: "as the boat standard names it; at one station alone throw-bag@Mill Race",
        list: "kit-list",
    },
];

/// The form; open where something was refused.
pub(super) fn ask(stations: &[StationHeard], facts: &PageFacts, form: &FormValues) -> Markup {
    let open = !form.faults().is_empty();
    html! {
        section.ask aria-labelledby="ask" {
            h2 id="ask" { "The call-out" }
            (faults(form))
            details id="ask-form" open[open] {
                summary { "Place, mission, weather, people" }
                form id="question" method="get" action="/" {
                    (place_and_mission(facts, form))
                    fieldset { legend { "Who" } @for one in &WHO { (field(one, form)) } }
                    (weather(form))
                    @if !stations.is_empty() { (roads(stations, form)) }
                    (without(stations, facts, form))
                    p.press { button.main { "Show who can go" } " " a href="/" { "Ask anew" } }
                }
            }
        }
    }
}

/// What was refused, in one list, each leading to its field.
fn faults(form: &FormValues) -> Markup {
    html! {
        @if !form.faults().is_empty() {
            ul.faults {
                @for fault in form.faults() {
                    li {
                        @if !is_field(fault.name()) { (clean(fault.words())) }
                        @else { a href={ "#f-" (fault.name()) } { (clean(fault.words())) } }
                    }
                }
            }
        }
    }
}

/// Whether the form has such a field.
fn is_field(name: &str) -> bool {
    let of_lines = [WHERE.as_slice(), &WHO, &WEATHER, &TAKEN, &[TRAVEL]].concat();
    let others = ["access", "mission", "metar", "closed", "without-station"];
    others.contains(&name) || of_lines.iter().any(|field| field.name == name)
}

fn place_and_mission(facts: &PageFacts, form: &FormValues) -> Markup {
    let places: Vec<(&str, &str)> = facts.offers.places.iter().map(|it| pair(it)).collect();
    let missions: Vec<(&str, &str)> = facts.offers.missions.iter().map(|it| pair(it)).collect();
    html! {
        fieldset {
            legend { "Where and what for" }
            @if !places.is_empty() { (choice(("launch", "place"), "Launch place", "not named", &places, form)) }
            (place(&places, form))
            (choice(("access", "access"), "Into the water by", "as the county's list says",
                &[("ramp", "a ramp"), ("bank", "a bank")], form))
            (choice(("mission", "mission"), "Mission", "general", &missions, form))
            (field(&WHERE[1], form))
        }
    }
}

/// The place by its position; a launch place by name stands in the choice before it.
fn place(places: &[(&str, &str)], form: &FormValues) -> Markup {
    let named = |value: &str| places.iter().any(|(name, _)| *name == value);
    field_with(&WHERE[0], form.find("place", |value| !named(value)), form)
}

fn pair(word: &str) -> (&str, &str) {
    (word, word)
}

fn weather(form: &FormValues) -> Markup {
    html! {
        fieldset {
            legend { "Weather" }
            (long_field("metar", "Weather report (METAR), pasted as it is",
                "what stands in the fields below counts before it", form))
            div.pairs { @for one in &WEATHER { (field(one, form)) } }
        }
    }
}

fn roads(stations: &[StationHeard], form: &FormValues) -> Markup {
    let names: Vec<String> = stations.iter().map(|it| clean(&it.name)).collect();
    html! {
        fieldset {
            legend { "Roads closed from" }
            (checks("closed", &names, form))
            (field(&TRAVEL, form))
        }
    }
}

/// What if: the answer with something taken away.
fn without(stations: &[StationHeard], facts: &PageFacts, form: &FormValues) -> Markup {
    let names: Vec<String> = stations.iter().map(|it| clean(&it.name)).collect();
    let fields = ["without-station", "without-craft", "without-kit"];
    let open = form.any(&fields) || fields.iter().any(|name| form.fault(name).is_some());
    html! {
        details.what-if id="what-if" open[open] {
            summary { "What if something cannot be had" }
            fieldset {
                legend { "Stations that cannot be reached" }
                (checks("without-station", &names, form))
            }
            @for one in &TAKEN { (field(one, form)) }
            (suggestions("kit-list", &facts.offers.kit))
        }
    }
}
