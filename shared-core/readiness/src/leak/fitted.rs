//! The newest stretch of a history, and the line through it.

use super::corrected::{REFERENCE, corrected_gas};
use super::line::{Line, lost_per_day};
use super::spread::Spread;
use super::stretch::{Known, Relief, Step, stretches};

/// Level of the intervals that are shown, as most published ones are.
const LEVEL: f64 = 0.95;

/// What the newest stretch tells.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitted {
    /// Its readings, by position in the history.
    pub readings: Vec<usize>,
    /// The first of them.
    pub first: Known,
    /// The last of them.
    pub last: Known,
    /// The line, of the logarithm of pascal at [`REFERENCE`].
    pub line: Line,
    /// How sure it is; none for two readings.
    pub spread: Option<Spread>,
}

/// Why there is no line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum NotFitted {
    /// No reading whose air is known.
    NoReading,
    /// One reading since air, a repair or the relief valve.
    OneReading,
    /// Readings of one moment.
    OneMoment,
    /// A part that is slack has nothing more to lose.
    Slack,
}

impl Fitted {
    /// Fits the newest stretch.
    ///
    /// # Errors
    /// Why there is no line.
    pub fn newest(steps: &[Step], relief: Option<Relief>) -> Result<Self, NotFitted> {
        let mut all = stretches(steps, relief);
        let cut_last = steps.iter().rev().find_map(|step| match step {
            Step::Read(_) => Some(false),
            Step::Cut(_) => Some(true),
            Step::NotComparable | Step::Warmed(_) => None,
        });
        let readings = match (all.pop(), cut_last) {
            (None, _) => return Err(NotFitted::NoReading),
            (Some(_), Some(true)) => return Err(NotFitted::OneReading),
            (Some(readings), Some(false) | None) => readings,
        };
        let known: Vec<Known> = readings
            .iter()
            .filter_map(|at| match steps.get(*at) {
                Some(Step::Read(known)) => Some(*known),
                Some(Step::NotComparable | Step::Warmed(_) | Step::Cut(_)) | None => None,
            })
            .collect();
        let (Some(first), Some(last)) = (known.first(), known.last()) else {
            return Err(NotFitted::NoReading);
        };
        if known.len() < 2 {
            return Err(NotFitted::OneReading);
        }
        let gauges: Vec<(f64, f64)> = known
            .iter()
            .map(|known| {
                (
                    known.t_days,
                    corrected_gas(known.gauge_pa, known.air, REFERENCE),
                )
            })
            .collect();
        if gauges.iter().any(|(_, pa)| *pa <= 0.0) {
            return Err(NotFitted::Slack);
        }
        let line = Line::through_gauges(&gauges).ok_or(NotFitted::OneMoment)?;
        Ok(Self {
            first: *first,
            last: *last,
            line,
            spread: Spread::of(line, LEVEL),
            readings,
        })
    }

    /// Share of the gauge that goes in a day, for reckoning: that of the line, and never less than
    /// between the last two readings, since a part that was holed since the others leaks faster
    /// than their line says.
    #[must_use]
    pub fn share_per_day(&self, steps: &[Step]) -> f64 {
        let known = |at: &usize| match steps.get(*at) {
            Some(Step::Read(known)) => Some((
                known.t_days,
                corrected_gas(known.gauge_pa, known.air, REFERENCE),
            )),
            Some(Step::NotComparable | Step::Warmed(_) | Step::Cut(_)) | None => None,
        };
        let last: Vec<(f64, f64)> = self
            .readings
            .iter()
            .rev()
            .take(2)
            .filter_map(known)
            .collect();
        let of_last = Line::through_gauges(&last).map_or(0.0, |line| line.share_per_day());
        self.line.share_per_day().max(of_last)
    }

    /// Gauge on the line at the last reading, pascal at [`REFERENCE`].
    #[must_use]
    pub fn at_last_pa(&self) -> f64 {
        libm::exp(self.line.at(self.last.t_days))
    }

    /// What the part loses in a day from there, pascal at [`REFERENCE`].
    #[must_use]
    pub fn lost_per_day_pa(&self) -> f64 {
        lost_per_day(self.at_last_pa(), self.line.share_per_day())
    }
}
