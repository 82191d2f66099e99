//! The same drawing for whoever walks round the craft: each stop by its number at its parts, done or
//! open, and a list of all stops below. Every stop is a link to its section.
//!
//! Done is a filled square with a tick, open a ring: shapes before tones. The list says the same in
//! words, so the drawing is left out for whoever cannot see it.

use std::collections::BTreeSet;

use maud::{Markup, html};
use sponson_readiness::ids::{PartId, StopId};
use sponson_readiness::standard::Standard;
use sponson_readiness::walk::{Stop, Walk, WalkLine};

use super::hull::{CENTRE, FOOT, Hull};
use super::shape::{self, Drawn};
use super::{WIDTH, described_wanted};
use crate::clean::clean;
use crate::context::Context;
use crate::sentence::stop_text;
use crate::svg::{Closed, Point, number, path};

/// Half a mark.
const MARK: f64 = 11.0;

/// Half of what a finger may touch: on a phone of 360 points across the drawing is shown at four
/// fifths, so 60 are 48.
const TOUCHED: f64 = 30.0;

/// The drawing of a walk with a link for each of its stops; `done` are those at which nothing is left
/// open.
#[must_use]
pub fn plan_for_walk(
    standard: &Standard,
    walk: &Walk,
    done: &BTreeSet<StopId>,
    ctx: &Context,
) -> Markup {
    plan_at_stop(standard, walk, (done, None), ctx)
}

/// The same, with the parts of one stop set off: the one at which somebody stands.
#[must_use]
pub fn plan_at_stop(
    standard: &Standard,
    walk: &Walk,
    (done, here): (&BTreeSet<StopId>, Option<&StopId>),
    ctx: &Context,
) -> Markup {
    let hull = Hull::of(standard.class);
    let (drawn, _) = shape::of_parts(standard, hull);
    let stops: Vec<Marked<'_>> = (1..)
        .zip(&walk.stops)
        .map(|(index, stop)| Marked::of(standard, (index, stop), &drawn, (done, here)))
        .collect();
    html! {
        figure class="plan plan-walk" {
            svg class="drawing plan-drawing" aria-hidden="true" focusable="false"
                viewBox={ "0 0 " (number(WIDTH)) " " (number(FOOT + TOUCHED - MARK)) } {
                text class="plan-way" x=(number(CENTRE)) y="16" text-anchor="middle" { "bow" }
                text class="plan-way" x="96" y="16" { "port" }
                text class="plan-way" x=(number(WIDTH - 96.0)) y="16" text-anchor="end" { "starboard" }
                path class="plan-outline" d=(path(&hull.outline(0.0), Closed::Yes)) {}
                @for one in &drawn { (part(one, &stops, ctx)) }
                @for stop in &stops { (stop.mark()) }
            }
            ol class="plan-stops" {
                @for stop in &stops { li { (stop.line()) } }
            }
        }
    }
}

/// A stop with what is shown of it.
struct Marked<'a> {
    number: usize,
    stop: &'a Stop,
    parts: BTreeSet<&'a PartId>,
    at: Option<Point>,
    is_done: bool,
    is_here: bool,
}

impl<'a> Marked<'a> {
    fn of(
        standard: &'a Standard,
        (number, stop): (usize, &'a Stop),
        drawn: &[Drawn<'_>],
        (done, here): (&BTreeSet<StopId>, Option<&StopId>),
    ) -> Self {
        let parts = parts_of(standard, stop);
        Self {
            number,
            stop,
            at: middle(&parts, drawn),
            parts,
            is_done: done.contains(&stop.id),
            is_here: here == Some(&stop.id),
        }
    }

    fn href(&self) -> String {
        format!("#stop-{}", self.stop.id)
    }

    const fn class(&self) -> &'static str {
        match (self.is_here, self.is_done) {
            (true, true) => "walk-stop walk-done walk-here",
            (true, false) => "walk-stop walk-open walk-here",
            (false, true) => "walk-stop walk-done",
            (false, false) => "walk-stop walk-open",
        }
    }

    /// Its mark on the drawing, with room for a finger.
    fn mark(&self) -> Markup {
        let Some(Point { x, y }) = self.at else {
            return html! {};
        };
        let square = |half: f64| (number(x - half), number(y - half), number(2.0 * half));
        let (touch_x, touch_y, touched) = square(TOUCHED);
        let (left, top, side) = square(MARK);
        html! {
            a class=(self.class()) href=(self.href()) tabindex="-1" {
                rect class="walk-touched" x=(touch_x) y=(touch_y) width=(touched) height=(touched) {}
                @if self.is_done {
                    rect class="walk-mark" x=(left) y=(top) width=(side) height=(side) {}
                    text class="walk-number" x=(number(x)) y=(number(y + 5.0)) text-anchor="middle" { "✓" }
                } @else {
                    circle class="walk-mark" cx=(number(x)) cy=(number(y)) r=(number(MARK)) {}
                    text class="walk-number" x=(number(x)) y=(number(y + 5.0)) text-anchor="middle" { (self.number) }
                }
            }
        }
    }

    /// Its line in the list.
    fn line(&self) -> Markup {
        let current = self.is_here.then_some("step");
        let (mark, word) = match self.is_done {
            true => ("✓", "done"),
            false => ("○", "open"),
        };
        html! {
            a class=(self.class()) href=(self.href()) aria-current=[current] {
                span class="walk-sign" aria-hidden="true" { (mark) }
                span class="walk-name" { (stop_text(&self.stop.label)) }
                " " span class="walk-word" { (word) }
            }
        }
    }
}

/// A part on the drawing; that of the stop at which somebody stands is set off.
fn part(one: &Drawn<'_>, stops: &[Marked<'_>], ctx: &Context) -> Markup {
    let is_here = stops
        .iter()
        .any(|stop| stop.is_here && stop.parts.contains(&one.part.id));
    let class = if is_here { " walk-part-here" } else { "" };
    html! {
        path class={ "plan-part " (one.class) (class) } d=(one.data) {
            title { (clean(&one.part.label)) (described_wanted(one.part, ctx)) }
        }
    }
}

/// Parts that a stop looks at: those that the sheet names for it, else those of its lines.
fn parts_of<'a>(standard: &'a Standard, stop: &'a Stop) -> BTreeSet<&'a PartId> {
    let named = standard.stops.iter().find(|named| named.id == stop.id);
    if let Some(named) = named {
        return named.parts.iter().collect();
    }
    let of_line = |line: &'a WalkLine| match line {
        WalkLine::Reading { part, .. } => Some(part),
        WalkLine::Answer { part, .. } | WalkLine::Aboard { part, .. } => part.as_ref(),
        WalkLine::Air
        | WalkLine::Stood
        | WalkLine::Gauge
        | WalkLine::Ambient
        | WalkLine::Stowage
        | WalkLine::Seal { .. }
        | WalkLine::Count { .. }
        | WalkLine::Fuel { .. }
        | WalkLine::Meter { .. }
        | WalkLine::Cylinder { .. }
        | WalkLine::Faults => None,
    };
    stop.lines.iter().filter_map(of_line).collect()
}

/// The middle of the places of parts; none where none of them is on the drawing.
fn middle(parts: &BTreeSet<&PartId>, drawn: &[Drawn<'_>]) -> Option<Point> {
    let here = drawn.iter().filter(|one| parts.contains(&one.part.id));
    let places: Vec<Point> = here.map(|one| one.anchor).collect();
    let count = f64::from(
        u32::try_from(places.len())
            .ok()
            .filter(|count| *count > 0)?,
    );
    let sum = |of: fn(&Point) -> f64| places.iter().map(of).sum::<f64>();
    Some(Point::new(sum(|at| at.x) / count, sum(|at| at.y) / count))
}

#[cfg(test)]
mod tests;
