use geographiclib_rs::{Geodesic, InverseGeodesic as _};

use super::*;

fn place(lat: f64, lon: f64) -> Position {
    let e7 = |degrees: f64| format!("{:.0}", degrees * 1e7).parse().expect("in range");
    Position {
        lat_e7: e7(lat),
        lon_e7: e7(if lon > 180.0 { lon - 360.0 } else { lon }),
    }
}

/// Largest share by which a distance on the sheet differs from the geodesic one, over all pairs of a
/// grid of 106 km by 106 km, so that corners are 75 km from the middle and 150 km apart.
fn worst(lat: f64, lon: f64) -> f64 {
    let projection = Projection::about(place(lat, lon));
    let step_lat = 53.0 / 111.2;
    let step_lon = step_lat / lat.to_radians().cos();
    let steps = [-1.0, -0.5, 0.0, 0.5, 1.0];
    let grid = steps
        .iter()
        .flat_map(|up| steps.map(|right| (lat + up * step_lat, lon + right * step_lon)));
    let grid: Vec<(f64, f64)> = grid.collect();
    let mut worst = 0.0_f64;
    for one in &grid {
        for other in grid.iter().filter(|other| *other != one) {
            let (x, y) = projection.metres(place(one.0, one.1));
            let (u, v) = projection.metres(place(other.0, other.1));
            let drawn = ((x - u) * (x - u) + (y - v) * (y - v)).sqrt();
            let metres: f64 = Geodesic::wgs84().inverse(one.0, one.1, other.0, other.1);
            worst = worst.max((drawn / metres - 1.0).abs());
        }
    }
    worst
}

#[test]
fn distances_across_a_county_are_right_to_three_parts_in_a_thousand() {
    for lat in [-60.0, -33.0, 0.0, 30.0, 45.0, 55.0, 65.0] {
        for lon in [-92.0, 0.0, 180.0] {
            let worst = worst(lat, lon);
            assert!(worst < 0.003, "{worst} at {lat}, {lon}");
        }
    }
}

#[test]
fn east_is_right_and_north_is_up_also_across_180_degrees() {
    for (middle, east, north) in [
        ((44.5, -92.0), (44.5, -91.5), (45.0, -92.0)),
        ((-17.0, 179.9), (-17.0, -179.9), (-16.5, 179.9)),
    ] {
        let projection = Projection::about(place(middle.0, middle.1));
        let (x, y) = projection.metres(place(east.0, east.1));
        assert!(x > 10_000.0 && x < 60_000.0 && y.abs() < 500.0, "{x} {y}");
        let (x, y) = projection.metres(place(north.0, north.1));
        assert!(x.abs() < 1.0 && y > 50_000.0, "{x} {y}");
    }
}

#[test]
fn the_middle_of_a_county_on_both_sides_of_180_degrees_is_there() {
    let lon = |lons: &[f64]| {
        let places: Vec<Position> = lons.iter().map(|lon| place(10.0, *lon)).collect();
        middle(&places).map(|middle| f64::from(middle.lon_e7) / 1e7)
    };
    assert_eq!(lon(&[]), None);
    assert_eq!(lon(&[-92.0]), Some(-92.0));
    assert_eq!(lon(&[-92.0, -91.0]), Some(-91.5));
    assert_eq!(lon(&[179.0, -179.5]), Some(179.75));
    assert_eq!(lon(&[179.5, -179.0, 179.0]), Some(180.0));
    assert_eq!(lon(&[-10.0, 10.0]), Some(0.0));
    assert_eq!(lon(&[180.0, -180.0]), Some(180.0));
}
