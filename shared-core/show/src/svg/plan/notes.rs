//! Words beside the drawing: those of port on the left, of starboard on the right, of the middle where
//! there is more room, each with a line to its part.

use maud::{Markup, html};
use sponson_readiness::event::PlaceSide;

use super::WIDTH;
use super::hull::{BOW, FOOT};
use super::shape::Drawn;
use super::state::State;
use crate::context::Context;
use crate::sentence::words_of;
use crate::svg::{Closed, Point, number, path};

const LINE: f64 = 15.0;
const GAP: f64 = 9.0;
const MARGIN: f64 = 6.0;

/// Width of a column of words: up to 18 characters.
pub(super) const COLUMN: f64 = 132.0;

/// Longest name in a column, characters.
const NAME_MAX: usize = 16;

pub(super) struct Notes {
    pub(super) markup: Markup,
    /// How far down they reach.
    pub(super) height: f64,
}

struct Note {
    anchor: Point,
    lines: Vec<String>,
}

impl Note {
    fn height(&self) -> f64 {
        f64::from(u32::try_from(self.lines.len()).unwrap_or(u32::MAX)) * LINE + GAP
    }
}

pub(super) fn notes(drawn: &[Drawn<'_>], states: &[State], ctx: &Context) -> Notes {
    let mut left = Vec::new();
    let mut right = Vec::new();
    let mut middle = Vec::new();
    for (one, state) in drawn.iter().zip(states) {
        let note = note(one, state, ctx);
        match one.side {
            Some(PlaceSide::Port) => left.push(note),
            Some(PlaceSide::Starboard) => right.push(note),
            Some(PlaceSide::Centre) | None => middle.push(note),
        }
    }
    let used = |notes: &[Note]| notes.iter().map(Note::height).sum::<f64>();
    middle.sort_by(|one, other| one.anchor.y.total_cmp(&other.anchor.y));
    for note in middle {
        if used(&left) < used(&right) {
            left.push(note);
        } else {
            right.push(note);
        }
    }
    let (left, left_end) = column(left, PlaceSide::Port);
    let (right, right_end) = column(right, PlaceSide::Starboard);
    Notes {
        markup: html! { (left) (right) },
        height: left_end.max(right_end),
    }
}

fn note(one: &Drawn<'_>, state: &State, ctx: &Context) -> Note {
    let mut name: String = words_of(one.part.id.as_str());
    if name.chars().count() > NAME_MAX {
        name = name.chars().take(NAME_MAX - 1).collect();
        name.push('…');
    }
    let mut lines = vec![name];
    lines.extend(state.words(ctx));
    Note {
        anchor: one.anchor,
        lines,
    }
}

/// One column, and how far down it reaches.
fn column(mut notes: Vec<Note>, side: PlaceSide) -> (Markup, f64) {
    notes.sort_by(|one, other| one.anchor.y.total_cmp(&other.anchor.y));
    let mut below: f64 = notes.iter().map(Note::height).sum();
    let mut y = BOW;
    let mut out = Vec::new();
    for note in &notes {
        // As near to its part as those below it leave room for.
        let height = note.height();
        let wanted = note.anchor.y - height / 2.0;
        let top = wanted.min(FOOT - below).max(y);
        out.push(written(note, side, top));
        y = top + height;
        below -= height;
    }
    (html! { @for one in &out { (one) } }, y)
}

fn written(note: &Note, side: PlaceSide, top: f64) -> Markup {
    let (x, edge) = if side == PlaceSide::Port {
        (MARGIN, COLUMN - 6.0)
    } else {
        (WIDTH - COLUMN + 4.0, WIDTH - COLUMN)
    };
    let start = Point::new(edge, top + LINE * 0.55);
    let lines = (0_u32..).zip(&note.lines);
    html! {
        path class="plan-leader" d=(path(&[start, note.anchor], Closed::No)) {}
        text class="plan-words" {
            @for (index, line) in lines {
                tspan class=(if index == 0 { "plan-name" } else { "plan-value" }) x=(number(x))
                    y=(number(top + LINE * (f64::from(index) + 0.9))) { (line) }
            }
        }
    }
}
