//! The county's map: its stations, how many craft of each can go, the place of the call-out, and
//! beneath them the county's own water, roads and boundary. North is up; nothing is fetched.
//!
//! It decides nothing: who can go is the answer's. A station without a known position is listed.

use std::collections::BTreeMap;

use maud::{Markup, html};
use sponson_readiness::answer::{CountyAnswer, CraftAnswer, Readiness, Status};
use sponson_readiness::conditions::Position;
use sponson_readiness::ids::SubjectId;

use super::ground::Ground;
use crate::clean::clean;

mod frame;
mod marks;
mod scale;
mod under;

use frame::Frame;

/// What a map shows.
#[derive(Clone, Debug)]
pub struct Map<'a> {
    /// Water, roads, boundary, launch places.
    pub ground: &'a Ground,
    /// The stations, in the order in which names find room.
    pub stations: Vec<MapStation>,
    /// The place of the call-out.
    pub place: Option<MapPlace>,
}

/// A station on a map.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MapStation {
    /// Its name.
    pub name: String,
    /// Where it is, when that is known.
    pub position: Option<Position>,
    /// Craft that stand there and can go, with limits or without.
    pub can_go: usize,
    /// Craft that stand there.
    pub craft: usize,
    /// It has not been heard for longer than the county's setting allows.
    pub silent: bool,
}

/// The place of a call-out on a map.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MapPlace {
    /// Its name; empty when it has none.
    pub name: String,
    /// Where it is.
    pub position: Position,
}

impl<'a> Map<'a> {
    /// The map of an answer. A craft whose station is disputed counts at none.
    #[must_use]
    pub fn of(
        answer: &CountyAnswer,
        positions: &BTreeMap<SubjectId, Position>,
        ground: &'a Ground,
    ) -> Self {
        let stations = answer.stations.iter().map(|heard| {
            let here = |craft: &&CraftAnswer| craft.stations == [heard.id];
            MapStation {
                name: heard.name.clone(),
                position: positions.get(&heard.id).copied(),
                can_go: answer.craft.iter().filter(here).filter(can_go).count(),
                craft: answer.craft.iter().filter(here).count(),
                silent: heard.silent,
            }
        });
        Self {
            ground,
            stations: stations.collect(),
            place: answer.asked.conditions.position.map(|position| MapPlace {
                name: launch_name(answer).unwrap_or_default(),
                position,
            }),
        }
    }
}

fn launch_name(answer: &CountyAnswer) -> Option<String> {
    let launch = answer.asked.callout.as_ref()?.launch.as_ref()?;
    Some(launch.name.clone())
}

/// Fit is not enough: one that is assigned, or whose crew is out, is not free to go.
fn can_go(craft: &&CraftAnswer) -> bool {
    let is_fit = matches!(
        craft.readiness,
        Readiness::Ready | Readiness::ReadyWithLimits
    );
    is_fit && craft.status == Status::Available
}

impl MapStation {
    /// `2 of 3 can go`, and that it was not heard.
    fn words(&self) -> String {
        let go = match self.craft {
            0 => "no craft".to_owned(),
            craft => format!("{} of {craft} can go", self.can_go),
        };
        let heard = if self.silent { ", not heard" } else { "" };
        format!("{go}{heard}")
    }
}

/// The map with its key, and what has no place on it.
#[must_use]
pub fn map(map: &Map<'_>) -> Markup {
    let Some(frame) = Frame::of(map) else {
        return html! {
            p class="map-none" {
                "No map: no position of a station is known. Give it when a station is admitted."
            }
        };
    };
    html! {
        figure class="map" {
            (drawing(map, &frame))
            figcaption { (key(map)) }
            (not_placed(map))
        }
    }
}

fn drawing(map: &Map<'_>, frame: &Frame) -> Markup {
    let sheet = frame.sheet();
    let view_box = format!(
        "0 0 {} {}",
        super::number(sheet.width),
        super::number(sheet.height)
    );
    let placed = marks::placed(map, frame);
    html! {
        svg class="drawing map-drawing" viewBox=(view_box) role="img"
            aria-labelledby="map-title map-desc" {
            title id="map-title" { "Map of the county's stations, north up" }
            desc id="map-desc" { (described(map)) }
            (under::ground(map.ground, frame))
            rect class="map-edge" x="0.5" y="0.5" width=(super::number(sheet.width - 1.0))
                height=(super::number(sheet.height - 1.0)) {}
            (scale::north_and_bars(frame))
            (placed)
        }
    }
}

/// The map in words.
fn described(map: &Map<'_>) -> String {
    let stations = map.stations.iter().filter(|one| one.position.is_some());
    let stations: Vec<String> = stations
        .map(|one| format!("{}: {}", clean(&one.name), one.words()))
        .collect();
    let place = match &map.place {
        Some(place) if place.name.is_empty() => "The place of the call-out is marked. ".to_owned(),
        Some(place) => format!(
            "The place of the call-out, {}, is marked. ",
            clean(&place.name)
        ),
        None => String::new(),
    };
    format!("{place}Stations: {}.", stations.join("; "))
}

fn key(map: &Map<'_>) -> Markup {
    let has = |kind| map.ground.shapes.iter().any(|shape| shape.kind == kind);
    html! {
        ul class="map-key" {
            li { "square with a number: a station, and how many of its craft can go" }
            @if map.stations.iter().any(|one| one.silent) {
                li { "broken line round it: not heard for long" }
            }
            @if map.place.is_some() { li { "ring with a cross: the place of the call-out" } }
            @for kind in super::Kind::ALL {
                @if has(kind) { li { (under::key(kind)) } }
            }
            li { "Distances are straight lines, not by road." }
        }
    }
}

fn not_placed(map: &Map<'_>) -> Markup {
    let mut unknown = map
        .stations
        .iter()
        .filter(|one| one.position.is_none())
        .peekable();
    html! {
        @if unknown.peek().is_some() {
            p { "Position not known, so not on the map:" }
            ul class="map-unknown" {
                @for one in unknown { li { (clean(&one.name)) ": " (one.words()) } }
            }
        }
    }
}

#[cfg(test)]
mod tests;
