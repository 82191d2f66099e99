//! `reckon distance`: the straight way between two places.

use clap::Args;
use sponson_link::distance;
use sponson_show::reckoned::{self, DistanceFound, Reckoned};
use sponson_show::units;

use crate::error::CommandError;

/// How far it is from one place to another, straight over the ground.
#[derive(Args, Debug)]
pub(super) struct DistanceArgs {
    /// From, latitude and longitude, for example 44.9,-103.2.
    #[arg(long, value_name = "LAT,LON", allow_hyphen_values = true)]
    from: String,
    /// To.
    #[arg(long, value_name = "LAT,LON", allow_hyphen_values = true)]
    to: String,
}

impl DistanceArgs {
    /// # Errors
    /// When a value cannot be.
    pub(super) fn reckon(&self) -> Result<Reckoned, CommandError> {
        let from = units::position("--from", &self.from)?;
        let to = units::position("--to", &self.to)?;
        let line = distance::line(from, to);
        Ok(reckoned::distance(&DistanceFound {
            from,
            to,
            distance_m: line.distance_m,
            bearing_deg: line.bearing_deg,
            arriving_deg: line.arriving_deg,
        }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reckon(from: &str, to: &str) -> Result<Reckoned, CommandError> {
        let [from, to] = [from, to].map(str::to_owned);
        DistanceArgs { from, to }.reckon()
    }

    /// A row of `geodesic-distance.csv` (geographiclib 2.1).
    #[test]
    fn a_distance_as_typed() {
        let found = reckon("45.13341,-107.03896", "45.07863N 107.14661W").expect("a way");
        let figure = found.figures.first().expect("a figure");
        let (name, metres) = (figure.0, figure.1.as_f64().expect("a number"));
        assert_eq!(name, "distance_m");
        assert!((metres - 10_432.675).abs() <= 0.01, "{metres}");
    }

    #[test]
    fn what_is_no_place_is_refused_by_name() {
        for (from, to, named) in [
            ("", "1,1", "--from"),
            ("1,1", "1", "--to"),
            ("91,0", "1,1", "--from"),
        ] {
            let refusal = reckon(from, to).expect_err(named).to_string();
            assert!(refusal.contains(named), "{refusal}");
        }
    }
}
