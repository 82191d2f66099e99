//! A part's history cut into stretches in which nothing but a leak can have taken air.

use crate::pressure::{Air, gauge_elsewhere};

/// A gauge with its air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    /// When, in days from any fixed moment.
    pub t_days: f64,
    /// Gauge, pascal.
    pub gauge_pa: f64,
    /// The part's air.
    pub air: Air,
}

/// One step of a history, in the order in which it happened.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Step {
    /// The gauge was read, and its air is known.
    Read(Known),
    /// Read, but its air is not known well enough to be compared: no point, and no cut.
    NotComparable,
    /// The part may have been as warm as this, milli-degree Celsius: in use, in the sun.
    Warmed(i32),
    /// What is before and after is never fitted together.
    Cut(Cut),
}

/// Why a history is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Cut {
    /// Air was added.
    AirAdded,
    /// Air was let out.
    AirLetOut,
    /// The part was inflated anew.
    Inflated,
    /// It was repaired.
    Repaired,
}

/// A relief valve: it takes air that is no leak.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Relief {
    /// Its setting, pascal gauge.
    pub relief_pa: f64,
    /// How much warmer than at either reading the part may have been between them, milli-kelvin.
    pub swing_mk: i32,
}

/// Positions of the readings of each stretch, in order; stretches without a reading are left out.
///
/// Never joined: what lies across a cut, and two readings between which the part may have been at
/// its relief setting.
#[must_use]
pub fn stretches(steps: &[Step], relief: Option<Relief>) -> Vec<Vec<usize>> {
    let mut found: Vec<Vec<usize>> = Vec::new();
    let mut last: Option<Known> = None;
    let mut warmed_mc = i32::MIN;
    for (at, step) in steps.iter().enumerate() {
        match step {
            Step::NotComparable => {}
            Step::Warmed(mc) => warmed_mc = warmed_mc.max(*mc),
            Step::Cut(_) => {
                last = None;
                warmed_mc = i32::MIN;
            }
            Step::Read(known) => {
                let lifted =
                    |before: Known| relief.is_some_and(|it| it.lifts(before, *known, warmed_mc));
                match (last.filter(|before| !lifted(*before)), found.last_mut()) {
                    (Some(_), Some(stretch)) => stretch.push(at),
                    (Some(_) | None, _) => found.push(vec![at]),
                }
                last = Some(*known);
                warmed_mc = i32::MIN;
            }
        }
    }
    found
}

impl Relief {
    /// Whether the valve may have lifted between two readings: the part as it was at the first,
    /// at the warmest that it can have been until the second, in the thinner air of the two.
    fn lifts(self, before: Known, later: Known, warmed_mc: i32) -> bool {
        let bay_mc = before.air.temperature_mc.max(later.air.temperature_mc);
        let hottest = Air {
            temperature_mc: bay_mc.saturating_add(self.swing_mk).max(warmed_mc),
            ambient_pa: before.air.ambient_pa.min(later.air.ambient_pa),
        };
        gauge_elsewhere(before.gauge_pa, before.air, hottest) >= self.relief_pa
    }
}
