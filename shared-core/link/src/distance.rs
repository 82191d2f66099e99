//! The straight way between two places on WGS 84: Karney's method (2013), in the geographiclib
//! library.
//!
//! Worked out at the edge and given in: over the ground, not by road or river.

use geographiclib_rs::{Geodesic, InverseGeodesic as _};
use sponson_readiness::conditions::Position;

/// The shortest line between two places.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Its length, metres.
    pub distance_m: f64,
    /// Direction in which it leaves, degrees from north by east, from 0 to below 360.
    pub bearing_deg: f64,
    /// Direction in which it arrives.
    pub arriving_deg: f64,
}

/// The shortest line from one place to another.
#[must_use]
pub fn line(from: Position, to: Position) -> Line {
    let degrees = |e7: i32| f64::from(e7) / 1e7;
    let (distance_m, bearing, arriving, _) = Geodesic::wgs84().inverse(
        degrees(from.lat_e7),
        degrees(from.lon_e7),
        degrees(to.lat_e7),
        degrees(to.lon_e7),
    );
    Line {
        distance_m,
        bearing_deg: round_the_compass(bearing),
        arriving_deg: round_the_compass(arriving),
    }
}

fn round_the_compass(degrees: f64) -> f64 {
    let turned = if degrees < 0.0 {
        degrees + 360.0
    } else {
        degrees
    };
    // The least angle west of north turns to 360 itself.
    if turned >= 360.0 { 0.0 } else { turned }
}

#[cfg(test)]
mod tests;
