//! Which piece of country a map shows, and where on the sheet a place comes to lie.

use sponson_readiness::conditions::Position;

use super::Map;
use crate::svg::clip::Sheet;
use crate::svg::project::{Projection, middle};
use crate::svg::{Kind, Point};

/// Width of a sheet: 14 of its units are a line of text, which a phone of 320 px then shows at 10 px.
const WIDTH: f64 = 400.0;
const HEIGHT_MIN: f64 = 220.0;
const HEIGHT_MAX: f64 = 480.0;

/// Room at the edge, for marks and names.
const MARGIN: f64 = 44.0;

/// Least country on a map, metres: one station alone.
const SPAN_MIN_M: f64 = 4_000.0;

/// How places of a county come onto a sheet.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    projection: Projection,
    west_m: f64,
    north_m: f64,
    units_per_m: f64,
    height: f64,
}

impl Frame {
    /// Round the stations, the place of the call-out and the boundary; round all shapes where there
    /// is none of those. None of an empty map.
    pub(super) fn of(map: &Map<'_>) -> Option<Self> {
        let stations = map.stations.iter().filter_map(|one| one.position);
        let place = map.place.iter().map(|place| place.position);
        let shapes = map.ground.shapes.iter();
        let bounds = shapes.clone().filter(|shape| shape.kind == Kind::Boundary);
        let mut places: Vec<Position> = stations.chain(place).collect();
        if places.is_empty() {
            return None;
        }
        places.extend(bounds.flat_map(|shape| shape.form.places()));
        Self::round(&places)
    }

    fn round(places: &[Position]) -> Option<Self> {
        let projection = Projection::about(middle(places)?);
        let metres = places.iter().map(|place| projection.metres(*place));
        let mut ends = (f64::MAX, f64::MIN, f64::MAX, f64::MIN);
        for (east, north) in metres {
            ends = (
                ends.0.min(east),
                ends.1.max(east),
                ends.2.min(north),
                ends.3.max(north),
            );
        }
        let (west, east) = at_least(ends.0, ends.1);
        let (south, north) = at_least(ends.2, ends.3);
        let across = (WIDTH - 2.0 * MARGIN) / (east - west);
        let up = (HEIGHT_MAX - 2.0 * MARGIN) / (north - south);
        let units_per_m = across.min(up);
        let used = (north - south) * units_per_m + 2.0 * MARGIN;
        let height = used.clamp(HEIGHT_MIN, HEIGHT_MAX).round();
        let (mid_east, mid_north) = (f64::midpoint(west, east), f64::midpoint(south, north));
        Some(Self {
            projection,
            west_m: mid_east - WIDTH / 2.0 / units_per_m,
            north_m: mid_north + height / 2.0 / units_per_m,
            units_per_m,
            height,
        })
    }

    pub(super) const fn sheet(&self) -> Sheet {
        Sheet {
            width: WIDTH,
            height: self.height,
        }
    }

    /// Where a place comes to lie; it may be beyond the sheet.
    pub(super) fn at(&self, place: Position) -> Point {
        let (east, north) = self.projection.metres(place);
        Point::new(
            (east - self.west_m) * self.units_per_m,
            (self.north_m - north) * self.units_per_m,
        )
    }

    pub(super) const fn units_per_m(&self) -> f64 {
        self.units_per_m
    }
}

/// A stretch about the same middle, of the least span or more.
fn at_least(from: f64, to: f64) -> (f64, f64) {
    let half = ((to - from) / 2.0).max(SPAN_MIN_M / 2.0);
    let middle = f64::midpoint(from, to);
    (middle - half, middle + half)
}
