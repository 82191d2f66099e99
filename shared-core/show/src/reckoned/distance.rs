//! The straight way between two places, in words.

use sponson_readiness::conditions::Position;

use super::Reckoned;
use crate::units::print;

/// Two places and the line between them, as worked out.
#[derive(Clone, Copy, Debug)]
pub struct DistanceFound {
    /// From.
    pub from: Position,
    /// To.
    pub to: Position,
    /// Length, metres.
    pub distance_m: f64,
    /// Direction in which it leaves, degrees from north by east.
    pub bearing_deg: f64,
    /// Direction in which it arrives.
    pub arriving_deg: f64,
}

/// Metres in a statute mile and in a nautical one (NIST SP 811).
const MILES_M: [f64; 2] = [1_609.344, 1_852.0];

/// The distance, and the bearing where there is one.
#[must_use]
pub fn distance(found: &DistanceFound) -> Reckoned {
    let degrees = |e7: i32| (f64::from(e7) / 1e7).into();
    let distance_m = rounded(found.distance_m, 1e6);
    // From a place to itself no direction leads.
    let leads = distance_m > 0.0;
    let bearing = |deg: f64| leads.then(|| rounded(deg, 1e6) % 360.0);
    let [miles, nautical] = MILES_M.map(|mile| found.distance_m / mile);
    let mut lines = vec![format!(
        "{distance_m:.1} m, {miles:.2} mi, {nautical:.2} nautical miles, straight over the ground"
    )];
    if leads {
        let bearing = rounded(found.bearing_deg, 1.0) % 360.0;
        lines.push(format!("bearing {bearing:03.0}° true"));
    }
    lines.push(format!(
        "from {} to {}",
        print::position(found.from),
        print::position(found.to)
    ));
    Reckoned {
        what: "distance",
        given: vec![
            ("from_lat_deg", degrees(found.from.lat_e7)),
            ("from_lon_deg", degrees(found.from.lon_e7)),
            ("to_lat_deg", degrees(found.to.lat_e7)),
            ("to_lon_deg", degrees(found.to.lon_e7)),
        ],
        figures: vec![
            ("distance_m", distance_m.into()),
            ("bearing_deg", bearing(found.bearing_deg).into()),
            ("arriving_deg", bearing(found.arriving_deg).into()),
        ],
        lines,
        assumed: Vec::new(),
        sources: vec!["geodesic on WGS 84: Karney 2013; not by road or river".to_owned()],
    }
}

fn rounded(value: f64, parts: f64) -> f64 {
    (value * parts).round() / parts
}

#[cfg(test)]
mod tests {
    use super::*;

    const HERE: Position = Position {
        lat_e7: 449_000_000,
        lon_e7: -1_032_000_000,
    };

    fn found(distance_m: f64, bearing_deg: f64) -> Reckoned {
        distance(&DistanceFound {
            from: HERE,
            to: HERE,
            distance_m,
            bearing_deg,
            arriving_deg: bearing_deg,
        })
    }

    #[test]
    fn a_distance_in_words() {
        insta::assert_snapshot!(found(10_432.675_123_456, 359.7).to_text(), @"
        10432.7 m, 6.48 mi, 5.63 nautical miles, straight over the ground
        bearing 000° true
        from 44.9000N 103.2000W to 44.9000N 103.2000W
        source: geodesic on WGS 84: Karney 2013; not by road or river
        Advice only: local procedure, the maker's manual and the person in charge decide.
        ");
    }

    #[test]
    fn figures_to_a_millionth() {
        let text = found(10_432.675_123_456_7, 359.999_999_9).to_json();
        assert!(text.contains("\"distance_m\": 10432.675123,"), "{text}");
        assert!(text.contains("\"bearing_deg\": 0.0,"), "{text}");
    }

    #[test]
    fn no_direction_leads_nowhere() {
        let nowhere = found(0.0, 180.0);
        assert!(nowhere.to_json().contains("\"bearing_deg\": null"));
        assert!(!nowhere.to_text().contains("bearing"));
    }
}
