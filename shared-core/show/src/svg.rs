//! Drawings: the county's map, and a craft as seen from above. Text for people stands in them and
//! beside them: shapes and words, never a colour alone.
//!
//! Pure: answers, sheets and places in, SVG out. Looks come from classes of the style sheet: no style
//! or script stands in a drawing.

use std::fmt::Write as _;

mod clip;
pub mod ground;
mod label;
pub mod map;
pub mod plan;
pub mod plot;
mod project;
pub mod qr;
mod simplify;

pub use ground::{Form, Ground, Kind, Shape};
pub use map::{Map, MapPlace, MapStation, map};
pub use qr::{qr, qr_in_blocks};

/// A place on a drawing: to the right, and down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Point {
    pub(crate) x: f64,
    pub(crate) y: f64,
}

impl Point {
    pub(crate) const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }
}

/// A number of a drawing, to a tenth: finer than anybody sees.
pub(crate) fn number(value: f64) -> String {
    let tenths = (value * 10.0).round();
    // Writing -0 would make two drawings differ that look the same.
    let text = format!("{:.1}", if tenths == 0.0 { 0.0 } else { tenths / 10.0 });
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
}

/// Points as the data of a path.
pub(crate) fn path(points: &[Point], is_closed: Closed) -> String {
    let mut data = String::new();
    for (index, point) in points.iter().enumerate() {
        let letter = if index == 0 { 'M' } else { 'L' };
        // Writing to a String cannot fail.
        let _ = write!(data, "{letter}{} {}", number(point.x), number(point.y));
    }
    if is_closed == Closed::Yes && !points.is_empty() {
        data.push('Z');
    }
    data
}

/// Whether a path comes back to its beginning.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Closed {
    Yes,
    No,
}

#[cfg(test)]
mod tests;
