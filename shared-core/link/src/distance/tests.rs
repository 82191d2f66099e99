//! Distances against geographiclib 2.1, and published geodesic lines.

use sponson_readiness::conditions::Position;

use super::line;

const DISTANCES: &str = include_str!("../../../../tests/reference/geodesic-distance.csv");
const PUBLISHED: &str = include_str!("../../../../tests/reference/geodesic-published.csv");

/// Rows of a file as numbers, without its comments and its heading.
fn rows(text: &str) -> Vec<Vec<f64>> {
    let lines = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    let cells = |line: &str| {
        line.split(',')
            .map(|cell| cell.parse().expect(cell))
            .collect()
    };
    lines.map(cells).collect()
}

fn position(lat: f64, lon: f64) -> Position {
    // Longitudes of the published lines may exceed 180, either way.
    let lon = lon - 360.0 * (lon / 360.0).round();
    let e7 = |degrees: f64| {
        format!("{:.0}", degrees * 1e7)
            .parse()
            .expect("a whole number")
    };
    Position {
        lat_e7: e7(lat),
        lon_e7: e7(lon),
    }
}

/// Tolerance 0.01 m: geographiclib 2.1 (PyPI), Karney 2013.
#[test]
fn distances_in_open_country() {
    let rows = rows(DISTANCES);
    assert_eq!(rows.len(), 9);
    for row in rows {
        let found = line(position(row[0], row[1]), position(row[2], row[3]));
        let off_m = (found.distance_m - row[4]).abs();
        assert!(off_m <= 0.01, "{row:?}: {found:?}");
        let back = line(position(row[2], row[3]), position(row[0], row[1]));
        assert!((found.distance_m - back.distance_m).abs() < 1e-6, "{row:?}");
    }
}

/// Tolerance 1e-6 m: test lines of geographiclib. Azimuths are theirs too, from -180 to 180.
#[test]
fn published_geodesic_lines() {
    let rows = rows(PUBLISHED);
    assert_eq!(rows.len(), 15);
    for row in rows {
        let found = line(position(row[0], row[1]), position(row[3], row[4]));
        let off_m = (found.distance_m - row[6]).abs();
        assert!(off_m <= 1e-6, "{row:?}: {found:?}");
        for (bearing, wanted) in [(found.bearing_deg, row[2]), (found.arriving_deg, row[5])] {
            let off = (bearing - wanted).rem_euclid(360.0);
            assert!(off.min(360.0 - off) < 1e-9, "{row:?}: {found:?}");
            assert!((0.0..360.0).contains(&bearing), "{found:?}");
        }
    }
}

#[test]
fn a_place_is_no_way_from_itself() {
    let here = position(44.9, -103.2);
    assert!(line(here, here).distance_m.abs() < 1e-9);
}
