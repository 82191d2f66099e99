//! A county laid flat: stereographic about its middle, with the radii of curvature of WGS 84 there.
//!
//! For a county only. Within 75 km of the middle a distance is right to 0.3 %, which a test holds
//! against geodesics; it keeps angles, and 180° east is no seam. North is up at the middle, and leans
//! by less than 2° at 75 km from it up to 65° of latitude.

use sponson_readiness::conditions::Position;

/// Equatorial radius of WGS 84, metres, and the square of its first eccentricity (NGA.STND.0036).
const EQUATOR_M: f64 = 6_378_137.0;
const ECCENTRICITY_2: f64 = 0.006_694_379_990_14;

/// A way to lay a county flat.
#[derive(Clone, Copy, Debug)]
pub(super) struct Projection {
    lon: f64,
    sin: f64,
    cos: f64,
    east_m: f64,
    north_m: f64,
}

impl Projection {
    /// About a middle.
    pub(super) fn about(middle: Position) -> Self {
        let lat = radians(middle.lat_e7);
        let (sin, cos) = (libm::sin(lat), libm::cos(lat));
        let flat = 1.0 - ECCENTRICITY_2 * sin * sin;
        let east_m = EQUATOR_M / flat.sqrt();
        Self {
            lon: radians(middle.lon_e7),
            sin,
            cos,
            east_m,
            north_m: east_m * (1.0 - ECCENTRICITY_2) / flat,
        }
    }

    /// Metres east and north of the middle.
    pub(super) fn metres(&self, place: Position) -> (f64, f64) {
        let lat = radians(place.lat_e7);
        let turn = radians(place.lon_e7) - self.lon;
        let (sin, cos) = (libm::sin(lat), libm::cos(lat));
        let (sin_turn, cos_turn) = (libm::sin(turn), libm::cos(turn));
        // The other side of the Earth has no place on the sheet: far off it is enough.
        let scale = 2.0 / (1.0 + self.sin * sin + self.cos * cos * cos_turn).max(1e-6);
        let east = scale * cos * sin_turn;
        let north = scale * (self.cos * sin - self.sin * cos * cos_turn);
        (east * self.east_m, north * self.north_m)
    }
}

/// The middle of places: of latitude, and of the shortest stretch of longitude that holds them all,
/// so that a county on both sides of 180° stays in one piece. None of none.
pub(super) fn middle(places: &[Position]) -> Option<Position> {
    let mut lons: Vec<i64> = places.iter().map(|one| i64::from(one.lon_e7)).collect();
    lons.sort_unstable();
    let lats = places.iter().map(|one| i64::from(one.lat_e7));
    let (south, north) = (lats.clone().min()?, lats.max()?);
    let (first, last) = (*lons.first()?, *lons.last()?);
    let gaps = lons.windows(2).map(|pair| (pair[1] - pair[0], pair[1]));
    let round = (first + TURN_E7 - last, first);
    // The widest empty stretch ends where the county begins; the earliest of equal ones.
    let (empty, begins) = gaps.fold(round, |best, gap| if gap.0 > best.0 { gap } else { best });
    let lon = begins + (TURN_E7 - empty) / 2;
    let lon = if lon > TURN_E7 / 2 {
        lon - TURN_E7
    } else {
        lon
    };
    Some(Position {
        lat_e7: i32::try_from(i64::midpoint(south, north)).ok()?,
        lon_e7: i32::try_from(lon).ok()?,
    })
}

/// Once round, in units of 10^-7 degree.
const TURN_E7: i64 = 3_600_000_000;

fn radians(e7: i32) -> f64 {
    (f64::from(e7) / 1e7).to_radians()
}

#[cfg(test)]
mod tests;
