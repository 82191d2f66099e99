//! Water, roads and boundary beneath the marks, with no more points than one sees.

use maud::{Markup, html};

use super::frame::Frame;
use crate::svg::clip::Sheet;
use crate::svg::simplify::simplified;
use crate::svg::{Closed, Form, Ground, Kind, Point, Shape, path};

/// Bytes of all paths together. A page of 500 craft may have 300 KB; the map takes less than 60 KB of
/// it: these, and about 150 bytes for each mark, name and line of words.
const PATH_BYTES_MAX: usize = 40_000;

/// Furthest that a drawn line may be from the given one, units of the sheet: half a pixel; doubled until
/// the paths have room.
const TOLERANCE: f64 = 0.4;

/// How often: after that a shape is smaller than a mark, and the rest is left out.
const DOUBLINGS: u32 = 8;

/// What the key says of a kind.
pub(super) const fn key(kind: Kind) -> &'static str {
    match kind {
        Kind::Water => "grey with a thin edge: water",
        Kind::Road => "thick line: road",
        Kind::Boundary => "dashes and dots: where the county ends",
        Kind::Launch => "triangle: launch place",
    }
}

const fn class(kind: Kind) -> &'static str {
    match kind {
        Kind::Water => "map-water",
        Kind::Road => "map-road",
        Kind::Boundary => "map-boundary",
        Kind::Launch => "map-launch",
    }
}

/// The shapes, kind by kind; launch places have marks, not shapes.
pub(super) fn ground(ground: &Ground, frame: &Frame) -> Markup {
    let paths = fitting(ground, frame);
    html! {
        @for (kind, form, data) in &paths {
            @let edge = if *form == Filled::Yes { "" } else { " map-line" };
            path class={ (class(*kind)) (edge) } d=(data) {}
        }
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Filled {
    Yes,
    No,
}

fn fitting(ground: &Ground, frame: &Frame) -> Vec<(Kind, Filled, String)> {
    let mut tolerance = TOLERANCE;
    let mut paths = drawn(ground, frame, tolerance);
    for _ in 0..DOUBLINGS {
        if bytes(&paths) <= PATH_BYTES_MAX {
            return paths;
        }
        tolerance *= 2.0;
        paths = drawn(ground, frame, tolerance);
    }
    while bytes(&paths) > PATH_BYTES_MAX {
        paths.pop();
    }
    paths
}

fn bytes(paths: &[(Kind, Filled, String)]) -> usize {
    paths.iter().map(|(_, _, data)| data.len() + 40).sum()
}

fn drawn(ground: &Ground, frame: &Frame, tolerance: f64) -> Vec<(Kind, Filled, String)> {
    let kinds = Kind::ALL.into_iter().flat_map(|kind| {
        let shapes = ground.shapes.iter().filter(move |shape| shape.kind == kind);
        shapes.map(|shape| shape_path(shape, frame, tolerance))
    });
    kinds.filter(|(_, _, data)| !data.is_empty()).collect()
}

fn shape_path(shape: &Shape, frame: &Frame, tolerance: f64) -> (Kind, Filled, String) {
    let sheet = frame.sheet();
    let on_sheet = |line: &[_]| -> Vec<Point> { line.iter().map(|one| frame.at(*one)).collect() };
    let line = |line: &Vec<_>| line_data(&on_sheet(line), sheet, tolerance);
    let ring = |ring: &Vec<_>| ring_data(&on_sheet(ring), sheet, tolerance);
    match (&shape.form, shape.kind) {
        (Form::Points(_), _) => (shape.kind, Filled::No, String::new()),
        (Form::Lines(lines), kind) => (kind, Filled::No, lines.iter().map(line).collect()),
        // What bounds an area is a line: filled, it would hide what it bounds.
        (Form::Areas(areas), kind @ (Kind::Boundary | Kind::Road | Kind::Launch)) => {
            (kind, Filled::No, areas.iter().flatten().map(line).collect())
        }
        (Form::Areas(areas), kind @ Kind::Water) => (
            kind,
            Filled::Yes,
            areas.iter().flatten().map(ring).collect(),
        ),
    }
}

fn line_data(points: &[Point], sheet: Sheet, tolerance: f64) -> String {
    let pieces = sheet.line(points);
    let kept = pieces.iter().map(|piece| simplified(piece, tolerance));
    kept.map(|piece| path(&piece, Closed::No)).collect()
}

fn ring_data(points: &[Point], sheet: Sheet, tolerance: f64) -> String {
    let mut ring = sheet.ring(points);
    ring.extend(ring.first().copied());
    let mut kept = simplified(&ring, tolerance);
    kept.pop();
    if kept.len() < 3 {
        return String::new();
    }
    path(&kept, Closed::Yes)
}
