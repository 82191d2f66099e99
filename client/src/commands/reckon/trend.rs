//! `reckon trend`: whether something happens more and more often, how often, and when next.

mod events;

use std::path::PathBuf;

use clap::Args;
use sponson_readiness::recurrent::Ended;
use sponson_readiness::standard::RecurringPolicy;
use sponson_show::clean;
use sponson_show::reckoned::{self, Reckoned, TrendAsked};

use super::built_in_policy;
use crate::error::CommandError;

/// Whether something happens more and more often, how often it does, and when it comes next.
///
/// A CSV file with a heading. Columns: unit (not needed for one), time (a number, counted from the
/// unit's own beginning: days, hours or uses), kind: 'event'; 'end' where watching the unit ended;
/// 'begin' where watching began later than at 0. Lines that begin with # are left out. Several
/// units are taken together.
#[derive(Args, Debug)]
pub(super) struct TrendArgs {
    /// What happened, and when watching ended.
    #[arg(long, value_name = "FILE.csv")]
    events: PathBuf,
    /// Watching ended at this time, for units without a line 'end'.
    #[arg(long, value_name = "TIME")]
    until: Option<String>,
    /// Watching of each unit ended with its last event, because of it.
    #[arg(long, conflicts_with = "until")]
    failure_terminated: bool,
}

impl TrendArgs {
    /// # Errors
    /// When a value cannot be, or the file cannot be read.
    pub(super) fn reckon(&self) -> Result<Reckoned, CommandError> {
        let ends = match (self.failure_terminated, self.until.as_deref()) {
            (true, _) => events::Ends::AtLastEvent,
            (false, None) => events::Ends::InTheFile,
            (false, Some(text)) => events::Ends::At(until(text)?),
        };
        let read = events::read(&self.events, ends)?;
        let policy = built_in_policy()?.recurring;
        let asked = TrendAsked {
            units: read.units,
            ended: match ends {
                events::Ends::AtLastEvent => Ended::AtEvent,
                events::Ends::InTheFile | events::Ends::At(_) => Ended::AtTime,
            },
            least: policy.trend_least,
            trend_level: share(policy.trend_ppm),
            level: share(policy.interval_ppm),
            assumed: [read.assumed, assumed(&policy)].concat(),
        };
        reckoned::trend(asked).map_err(|why| CommandError::Refused {
            field: "--events".to_owned(),
            value: clean(&self.events.display().to_string()),
            limit: why,
        })
    }
}

fn until(text: &str) -> Result<f64, CommandError> {
    let number: Option<f64> = text.trim().parse().ok();
    number
        .filter(|time| *time > 0.0 && *time <= events::TIME_MAX)
        .ok_or_else(|| CommandError::Argument {
            field: "--until",
            value: format!("'{}'", clean(text)),
            limit: format!(
                "give a number above 0 and up to {}, in the unit of the column time",
                events::TIME_MAX
            ),
        })
}

fn share(ppm: u32) -> f64 {
    f64::from(ppm) / 1e6
}

fn assumed(policy: &RecurringPolicy) -> Vec<String> {
    vec![format!(
        "a trend is looked for from {} events on, and called at {} %: the settings that come with \
         the program",
        policy.trend_least,
        share(policy.trend_ppm) * 100.0
    )]
}

#[cfg(test)]
mod tests;
