//! What two chambers tell together, and what a gauge tells that never moves.

use super::corrected::{REFERENCE, corrected_gas};
use super::stretch::Known;
use crate::pressure::gauge_elsewhere;

/// Two readings of one chamber within a stretch, the earlier first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Between {
    /// The earlier.
    pub first: Known,
    /// The later.
    pub last: Known,
}

impl Between {
    /// Change of the corrected gauge, pascal.
    #[must_use]
    pub fn change_pa(&self) -> f64 {
        let corrected = |known: Known| corrected_gas(known.gauge_pa, known.air, REFERENCE);
        corrected(self.last) - corrected(self.first)
    }
}

/// Whether air went from one chamber into its neighbour through the baffle between them: the one
/// fell and the other rose, each by at least `least_pa`, over the same time.
#[must_use]
pub fn baffle(falling: &Between, rising: &Between, least_pa: f64) -> bool {
    falling.change_pa() <= -least_pa && rising.change_pa() >= least_pa
}

/// Whether a gauge never moves though the bay's temperature does: over readings whose temperatures
/// span at least `least_mk`, the gauge changed by at most `still_pa`, and a closed part would have
/// moved by more than three times that.
///
/// Fewer than three readings say nothing.
#[must_use]
pub fn never_moves(readings: &[Known], least_mk: i32, still_pa: f64) -> bool {
    let temperature = |known: &&Known| known.air.temperature_mc;
    let (Some(cold), Some(warm)) = (
        readings.iter().min_by_key(temperature),
        readings.iter().max_by_key(temperature),
    ) else {
        return false;
    };
    let span_mk = warm
        .air
        .temperature_mc
        .saturating_sub(cold.air.temperature_mc);
    let gauges = || readings.iter().map(|known| known.gauge_pa);
    let moved = gauges().fold(f64::MIN, f64::max) - gauges().fold(f64::MAX, f64::min);
    let expected = gauge_elsewhere(cold.gauge_pa, cold.air, warm.air) - cold.gauge_pa;
    readings.len() >= 3 && span_mk >= least_mk && moved <= still_pa && expected > 3.0 * still_pa
}
