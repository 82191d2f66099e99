//! The parts of a sheet as shapes at their places.

use sponson_readiness::event::PlaceSide;
use sponson_readiness::standard::{Part, Standard};

use super::hull::{CENTRE, Hull, TRANSOM, sign};
use super::place::{Placed, Role, placed};
use super::tubes::Tubes;
use crate::svg::{Closed, Point, path};

/// A part on the drawing.
#[derive(Clone, Debug)]
pub(super) struct Drawn<'a> {
    pub(super) part: &'a Part,
    pub(super) role: Role,
    /// On which side its words stand; none for the middle.
    pub(super) side: Option<PlaceSide>,
    /// Class of the style sheet.
    pub(super) class: &'static str,
    /// Data of its path.
    pub(super) data: String,
    /// Where a number of a finding goes.
    pub(super) anchor: Point,
}

/// A shape: what it is bounded by, and a place on it.
pub(super) struct Shape {
    pub(super) outlines: Vec<Vec<Point>>,
    pub(super) anchor: Point,
}

/// The parts that have a place, the lowest first; and those that have none, in the sheet's order.
pub(super) fn of_parts(standard: &Standard, hull: Hull) -> (Vec<Drawn<'_>>, Vec<&Part>) {
    let known = standard.parts.iter().map(|part| (part, placed(part)));
    let known: Vec<(&Part, Option<Placed>)> = known.collect();
    let tubes = Tubes::of(&known, hull);
    let mut drawn = Vec::new();
    let mut listed = Vec::new();
    for (part, placed) in known {
        let shape = placed.and_then(|placed| {
            let shape = if placed.role == Role::Tube {
                tubes.shape(part)?
            } else {
                shape(placed, hull, drawn.len())
            };
            Some((placed, shape))
        });
        let Some((placed, shape)) = shape else {
            listed.push(part);
            continue;
        };
        let outlines = shape.outlines.iter();
        drawn.push(Drawn {
            part,
            role: placed.role,
            side: placed.side,
            class: class(placed.role),
            data: outlines.map(|points| path(points, Closed::Yes)).collect(),
            anchor: shape.anchor,
        });
    }
    drawn.sort_by_key(|one| height(one.role));
    (drawn, listed)
}

/// What lies over what.
const fn height(role: Role) -> u8 {
    match role {
        Role::Hull => 0,
        Role::Floor => 1,
        Role::Keel | Role::SpeedTube => 2,
        Role::Lacing => 3,
        Role::Thwart => 4,
        Role::Tube => 5,
        Role::Transom => 6,
        Role::Motor => 7,
        Role::Perimeter => 8,
        Role::Small => 9,
    }
}

const fn class(role: Role) -> &'static str {
    match role {
        Role::Hull => "plan-hull",
        Role::Floor => "plan-floor",
        Role::Keel | Role::SpeedTube => "plan-under",
        Role::Lacing | Role::Perimeter => "plan-line",
        Role::Thwart | Role::Tube => "plan-tube",
        Role::Transom | Role::Motor => "plan-solid",
        Role::Small => "plan-small",
    }
}

/// A part that is no chamber of the tube.
fn shape(placed: Placed, hull: Hull, index: usize) -> Shape {
    let within = hull.tube();
    let one = |points, x, y| Shape {
        outlines: vec![points],
        anchor: Point::new(x, y),
    };
    match placed.role {
        Role::Hull => one(hull.outline(0.0), CENTRE, Hull::y(0.62)),
        Role::Floor => one(hull.outline(within + 4.0), CENTRE - 24.0, Hull::y(0.34)),
        Role::Lacing => one(hull.outline(within + 10.0), CENTRE, Hull::y(0.16)),
        Role::Perimeter => one(hull.outline(-5.0), CENTRE + 30.0, Hull::y(1.0)),
        Role::Keel => one(lens(0.13, 0.78, CENTRE, 8.0), CENTRE, Hull::y(0.56)),
        Role::SpeedTube => speed_tubes(placed.side, hull),
        Role::Thwart => thwart(placed.along.unwrap_or(0.5), hull),
        Role::Transom => transom(hull),
        Role::Motor => one(
            block(CENTRE, TRANSOM + 28.0, 15.0, 24.0),
            CENTRE,
            TRANSOM + 34.0,
        ),
        Role::Small | Role::Tube => small(placed, hull, index),
    }
}

fn block(x: f64, y: f64, half_width: f64, half_height: f64) -> Vec<Point> {
    let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)];
    let corner = |(right, down)| Point::new(x + right * half_width, y + down * half_height);
    corners.map(corner).to_vec()
}

/// A long narrow shape, pointed at both ends.
fn lens(from: f64, to: f64, x: f64, half_width: f64) -> Vec<Point> {
    let (foot, head) = (Hull::y(from), Hull::y(to));
    vec![
        Point::new(x, head),
        Point::new(x + half_width, head + 24.0),
        Point::new(x + half_width, foot - 12.0),
        Point::new(x, foot),
        Point::new(x - half_width, foot - 12.0),
        Point::new(x - half_width, head + 24.0),
    ]
}

fn speed_tubes(side: Option<PlaceSide>, hull: Hull) -> Shape {
    let off = (hull.half(0.3) - hull.tube()) * 0.55;
    let x = |side| CENTRE + sign(side) * off;
    let both = [PlaceSide::Port, PlaceSide::Starboard];
    let sides: Vec<PlaceSide> = side.map_or_else(|| both.to_vec(), |side| vec![side]);
    let outlines = sides.iter().map(|side| lens(0.13, 0.6, x(*side), 6.0));
    Shape {
        outlines: outlines.collect(),
        anchor: Point::new(x(sides[0]), Hull::y(0.22)),
    }
}

fn thwart(along: f64, hull: Hull) -> Shape {
    let half = hull.half(along) - hull.tube();
    Shape {
        outlines: vec![block(CENTRE, Hull::y(along), half, 12.0)],
        anchor: Point::new(CENTRE + half * 0.5, Hull::y(along)),
    }
}

/// Where the transom stands: before a chamber that closes the stern, and at the end of an open one.
pub(super) fn transom_y(hull: Hull) -> f64 {
    TRANSOM - hull.tube() - 5.0
}

fn transom(hull: Hull) -> Shape {
    let half = hull.half(0.1) - hull.tube();
    Shape {
        outlines: vec![block(CENTRE, transom_y(hull), half, 5.0)],
        anchor: Point::new(CENTRE + half * 0.45, transom_y(hull)),
    }
}

fn small(placed: Placed, hull: Hull, index: usize) -> Shape {
    let along = placed.along.unwrap_or(0.5);
    // Several in one place stand behind one another.
    let step = f64::from(u32::try_from(index % 4).unwrap_or(0)) * 14.0;
    let half = (hull.half(along) - hull.tube()).max(12.0);
    let x = CENTRE + placed.side.map_or(0.0, sign) * half * 0.7;
    let y = (Hull::y(along) + step).min(TRANSOM);
    Shape {
        outlines: vec![block(x, y, 5.0, 5.0)],
        anchor: Point::new(x, y),
    }
}
