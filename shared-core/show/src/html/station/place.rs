//! Where on a craft something is: the craft from above to point at, and the same as fields.
//!
//! Works by its fields alone: part, side, distance forward of the transom, face. With its script,
//! `place.js`, a finger on the drawing fills them in. The page of a fault and a boat check share it;
//! their fields have the same names, in a check with a prefix (`fault.0.part`).

use maud::{Markup, html};
use sponson_readiness::event::{Face, PartPlace, PlaceSide};
use sponson_readiness::standard::{Part, Standard, Units};

use super::super::form::FormValues;
use super::entry::taps;
use crate::clean::clean;
use crate::svg::plan::{Pointed, pick};
use crate::units;

/// The script of every place picker of a page.
pub const PLACE_SCRIPT: &str = include_str!("place.js");

/// Sides, as the fields have them.
const SIDES: [(&str, &str, PlaceSide); 3] = [
    ("port", "Port", PlaceSide::Port),
    ("centre", "Middle", PlaceSide::Centre),
    ("starboard", "Starboard", PlaceSide::Starboard),
];

/// Faces, as the fields have them.
const FACES: [(&str, &str, Face); 4] = [
    ("top", "Top", Face::Top),
    ("bottom", "Bottom", Face::Bottom),
    ("inboard", "Inboard", Face::Inboard),
    ("outboard", "Outboard", Face::Outboard),
];

/// One place to be told.
#[derive(Clone, Copy, Debug)]
pub struct PlaceAsked<'a> {
    /// Before the names of its fields: empty, or `fault.0.`.
    pub prefix: &'a str,
    /// Address to which `part=ID` is added where a part of the drawing is a link; none where the page
    /// must not be left.
    pub link: Option<&'a str>,
    /// How lengths are written.
    pub units: Units,
}

/// The drawing and the fields: `part`, `side`, `from-transom`, `face`, each after the prefix.
#[must_use]
pub fn place_picker(standard: &Standard, asked: &PlaceAsked<'_>, form: &FormValues) -> Markup {
    let name = |field: &str| format!("{}{field}", asked.prefix);
    let part = form.first(&name("part"));
    let pointed = Pointed {
        part,
        place: said(asked, form),
    };
    let (drawing, listed) = pick(standard, pointed, |id| {
        let base = asked.link?;
        let gap = if base.contains('?') { '&' } else { '?' };
        Some(format!("{base}{gap}part={id}#place"))
    });
    html! {
        div.place id=[asked.prefix.is_empty().then_some("place")] data-place=(asked.prefix) {
            div.place-picture {
                (drawing)
                p.hint { "Point at the place, or choose below. Not to scale." }
            }
            div.place-fields {
                (parts(standard, &listed, (&name("part"), part), form))
                (taps((&name("side"), "Side"), &SIDES.map(|(id, words, _)| (id, words)), form))
                (distance(&name("from-transom"), (standard, asked.units), form))
                (taps((&name("face"), "Face"), &FACES.map(|(id, words, _)| (id, words)), form))
            }
        }
    }
}

/// The place as far as the fields say it; what cannot be read is left to whoever records it.
fn said(asked: &PlaceAsked<'_>, form: &FormValues) -> PartPlace {
    let value = |field: &str| form.first(&format!("{}{field}", asked.prefix)).trim();
    let side = SIDES.iter().find(|(id, ..)| *id == value("side"));
    let face = FACES.iter().find(|(id, ..)| *id == value("face"));
    let distance = value("from-transom");
    PartPlace {
        side: side.map(|(.., side)| *side),
        from_transom_mm: units::length("from-transom", distance).ok(),
        face: face.map(|(.., face)| *face),
    }
}

/// Every part, also those that the drawing has no place for.
fn parts(
    standard: &Standard,
    listed: &[&Part],
    (name, given): (&str, &str),
    form: &FormValues,
) -> Markup {
    let fault = form.fault(name);
    let is_known = standard.parts.iter().any(|part| part.id.as_str() == given);
    html! {
        div.field {
            label for={ "f-" (name) } { "Part" }
            select id={ "f-" (name) } name=(name) data-place-part
                aria-describedby=[fault.map(|_| format!("e-{name}"))]
                aria-invalid=[fault.map(|_| "true")] {
                option value="" { "choose" }
                @for part in &standard.parts {
                    @let apart = listed.iter().any(|one| one.id == part.id);
                    option value=(part.id.as_str()) selected[part.id.as_str() == given] {
                        (clean(&part.label)) @if apart { " (not on the drawing)" }
                    }
                }
                @if !given.is_empty() && !is_known { option value=(given) selected { (clean(given)) } }
            }
            @if let Some(fault) = fault { p.fault id={ "e-" (name) } { (clean(fault)) } }
        }
    }
}

fn distance(name: &str, (standard, shown): (&Standard, Units), form: &FormValues) -> Markup {
    let fault = form.fault(name);
    let described = fault.map_or_else(|| format!("h-{name}"), |_| format!("e-{name} h-{name}"));
    html! {
        div.field {
            label for={ "f-" (name) } { "Distance forward of the transom" }
            input id={ "f-" (name) } name=(name) value=(form.first(name)) data-place-distance
                aria-describedby=(described) aria-invalid=[fault.map(|_| "true")]
                autocomplete="off" autocapitalize="none" spellcheck="false";
            @if let Some(fault) = fault { p.fault id={ "e-" (name) } { (clean(fault)) } }
            p.hint id={ "h-" (name) } {
                "for example 40cm or 3ft"
                @if let Some(mm) = standard.length_mm {
                    "; the craft is " (units::print::length(mm, shown)) " long"
                }
            }
        }
    }
}
