//! Places of a shape: longitude and latitude in range, lines of two or more, rings that are closed.

use ::geojson::Position as Given;
use sponson_readiness::conditions::Position;

use super::{GroundError, POINTS_MAX, wrong};

/// Units of a degree in a position.
const E7: f64 = 1e7;

/// One place.
pub(super) fn place(at: &str, given: &Given, room: &mut usize) -> Result<Position, GroundError> {
    let [lon, lat, ..] = given.as_slice() else {
        let count = format!("a list of {}", given.len());
        return Err(wrong(at, count, "it must be longitude and latitude"));
    };
    let Some(left) = room.checked_sub(1) else {
        let limit = format!("at most {POINTS_MAX} in the file are allowed; simplify its shapes");
        return Err(wrong(at, "one point too many", &limit));
    };
    *room = left;
    let degrees = |place, value: f64, most: f64, what| {
        if value.abs() <= most {
            return Ok(e7(value));
        }
        let limit = format!(
            "{what} goes from -{most} to {most}; longitude comes first, in degrees of WGS 84"
        );
        Err(wrong(&format!("{at}[{place}]"), value.to_string(), &limit))
    };
    Ok(Position {
        lon_e7: degrees(0, *lon, 180.0, "longitude")?,
        lat_e7: degrees(1, *lat, 90.0, "latitude")?,
    })
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "at most 180 degrees are 1,800,000,000 units, and i32 holds 2,147,483,647"
)]
fn e7(degrees: f64) -> i32 {
    (degrees * E7).round() as i32
}

/// Several places.
pub(super) fn places(
    at: &str,
    given: &[Given],
    room: &mut usize,
) -> Result<Vec<Position>, GroundError> {
    let numbered = given.iter().enumerate();
    numbered
        .map(|(index, one)| place(&format!("{at}[{index}]"), one, room))
        .collect()
}

/// A line.
pub(super) fn line(
    at: &str,
    given: &[Given],
    room: &mut usize,
) -> Result<Vec<Position>, GroundError> {
    if given.len() < 2 {
        let count = format!("a list of {}", given.len());
        return Err(wrong(at, count, "a line has two or more: leave it out"));
    }
    places(at, given, room)
}

/// An area: its ring, and the rings of its holes.
pub(super) fn area(
    at: &str,
    given: &[Vec<Given>],
    room: &mut usize,
) -> Result<Vec<Vec<Position>>, GroundError> {
    if given.is_empty() {
        return Err(wrong(at, "empty", "an area has a ring: leave it out"));
    }
    each(at, given, room, |at, one, room| ring(at, one, room))
}

fn ring(at: &str, given: &[Given], room: &mut usize) -> Result<Vec<Position>, GroundError> {
    if given.len() < 4 {
        let count = format!("a list of {}", given.len());
        let limit = "a ring has four or more, the last being the first: close it";
        return Err(wrong(at, count, limit));
    }
    let ring = places(at, given, room)?;
    if ring.first() != ring.last() {
        let limit = "its last position must be its first: close it";
        return Err(wrong(at, "an open ring", limit));
    }
    Ok(ring)
}

/// Each of several, by its place in the file.
pub(super) fn each<G, T>(
    at: &str,
    given: &[G],
    room: &mut usize,
    parse: impl Fn(&str, &G, &mut usize) -> Result<T, GroundError>,
) -> Result<Vec<T>, GroundError> {
    let numbered = given.iter().enumerate();
    numbered
        .map(|(index, one)| parse(&format!("{at}[{index}]"), one, room))
        .collect()
}
