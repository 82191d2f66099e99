//! What a part's history says of its own leak: one slope through the stretches since the last
//! repair, each with a height of its own, and where the newest stands.

use super::corrected::{REFERENCE, corrected_gas};
use super::line::{Line, logarithms, lost_per_day};
use super::spread::Spread;
use super::stretch::{Cut, Known, Relief, Step, stretches};

/// Level of the intervals that are shown, as most published ones are.
const LEVEL: f64 = 0.95;

/// What a history tells.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitted {
    /// The readings that tell of the slope, by position in the history.
    pub readings: Vec<usize>,
    /// The first of them.
    pub first: Known,
    /// The newest reading of all.
    pub last: Known,
    /// Days that the stretches last, together.
    pub days: f64,
    /// The line, of the logarithm of pascal at [`REFERENCE`].
    pub line: Line,
    /// How sure it is; none where every stretch has its two readings and no more.
    pub spread: Option<Spread>,
    /// Whether nothing came or went since the newest reading, so that its height still stands.
    pub is_current: bool,
    /// Slope between the last two readings that have nothing between them.
    last_slope: f64,
}

/// Why there is no line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum NotFitted {
    /// No reading whose air is known.
    NoReading,
    /// No two readings without air, a repair or the relief valve between them.
    OneReading,
    /// Readings of one moment.
    OneMoment,
    /// A part that is slack has nothing more to lose.
    Slack,
}

impl Fitted {
    /// Fits the stretches since the last repair.
    ///
    /// # Errors
    /// Why there is no line.
    pub fn newest(steps: &[Step], relief: Option<Relief>) -> Result<Self, NotFitted> {
        let repaired = |step: &Step| matches!(step, Step::Cut(Cut::Repaired));
        let since = steps.iter().rposition(repaired).map_or(0, |at| at + 1);
        let stretches: Vec<Vec<usize>> = stretches(steps, relief)
            .into_iter()
            .filter(|stretch| stretch.first().is_some_and(|first| *first >= since))
            .collect();
        let known = |at: &usize| match steps.get(*at) {
            Some(Step::Read(known)) => Some(*known),
            Some(Step::NotComparable | Step::Warmed(_) | Step::Cut(_)) | None => None,
        };
        let newest = stretches.last().and_then(|stretch| stretch.last());
        let last = newest.and_then(known).ok_or(NotFitted::NoReading)?;
        let telling = || stretches.iter().filter(|stretch| stretch.len() >= 2);
        let readings: Vec<usize> = telling().flatten().copied().collect();
        let first = readings
            .first()
            .and_then(known)
            .ok_or(NotFitted::OneReading)?;
        let logs: Option<Vec<Vec<(f64, f64)>>> = stretches
            .iter()
            .map(|stretch| {
                logarithms(
                    &stretch
                        .iter()
                        .filter_map(known)
                        .map(gauge)
                        .collect::<Vec<_>>(),
                )
            })
            .collect();
        let logs = logs.ok_or(NotFitted::Slack)?;
        let line = Line::through_stretches(&logs).ok_or(NotFitted::OneMoment)?;
        let last_two = logs.iter().rev().find_map(|stretch| {
            let pair = stretch.get(stretch.len().checked_sub(2)?..)?;
            Line::through(pair)
        });
        let span = |stretch: &Vec<(f64, f64)>| {
            let ends = stretch.first().zip(stretch.last());
            ends.map_or(0.0, |((from, _), (to, _))| to - from)
        };
        let cut = steps.iter().skip(newest.map_or(0, |at| at + 1));
        Ok(Self {
            first,
            last,
            days: logs.iter().map(span).sum(),
            spread: Spread::of(line, LEVEL),
            is_current: !cut.into_iter().any(|step| matches!(step, Step::Cut(_))),
            last_slope: last_two.map_or(line.slope, |pair| pair.slope),
            readings,
            line,
        })
    }

    /// Share of the gauge that goes in a day, for reckoning: that of the line, and never less than
    /// between the last two readings, since a part that was holed since the others leaks faster
    /// than their line says.
    #[must_use]
    pub fn share_per_day(&self) -> f64 {
        self.line.share_per_day().max(-self.last_slope)
    }

    /// Gauge on the line at the newest reading, pascal at [`REFERENCE`].
    #[must_use]
    pub fn at_last_pa(&self) -> f64 {
        libm::exp(self.line.at(self.last.t_days))
    }

    /// What the line says that the stretches lost together, pascal from the newest height.
    #[must_use]
    pub fn fell_pa(&self) -> f64 {
        self.at_last_pa() * (1.0 - libm::exp(-self.line.share_per_day() * self.days))
    }

    /// What the part loses in a day from there, pascal at [`REFERENCE`].
    #[must_use]
    pub fn lost_per_day_pa(&self) -> f64 {
        lost_per_day(self.at_last_pa(), self.line.share_per_day())
    }
}

fn gauge(known: Known) -> (f64, f64) {
    (
        known.t_days,
        corrected_gas(known.gauge_pa, known.air, REFERENCE),
    )
}
