//! Plots: how often something has failed, what a gauge showed over time, and what comes due by week.
//!
//! Numbers in, a figure out: the drawing, what its marks mean, and the same numbers as a table for
//! whoever cannot see it. Drawn by the plotters library; its colours become classes of the style
//! sheet, so a plot is ink on paper by day and dim by night, and each line differs by its dashes too.

mod axis;
mod days;
mod failing;
mod gauge;
mod paper;
mod tone;
mod weeks;

pub use failing::{FailingPlot, Step, failing_plot};
pub use gauge::{AirMark, GaugePlot, GaugeRead, Likely, gauge_plot};
pub use weeks::{WeekDue, WeeksPlot, weeks_plot};

#[cfg(test)]
mod tests;
