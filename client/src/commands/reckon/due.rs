//! `reckon due`: the day on which something falls due again.

use clap::Args;
use sponson_show::reckoned::{self, Reckoned};
use sponson_show::{clean, dates};

use crate::error::CommandError;

/// The day on which something falls due again.
#[derive(Args, Debug)]
pub(super) struct DueArgs {
    /// When it was last done, for example 2026-03-31.
    #[arg(long, value_name = "DATE")]
    last: String,
    /// How often it is done, for example 42months or 7days.
    #[arg(long, value_name = "INTERVAL")]
    every: String,
}

impl DueArgs {
    /// # Errors
    /// When a value cannot be.
    pub(super) fn reckon(&self) -> Result<Reckoned, CommandError> {
        let last = dates::date_mark("--last", &self.last)?;
        let every = dates::every("--every", &self.every)?;
        reckoned::due(last, every).ok_or_else(|| CommandError::Argument {
            field: "--last",
            value: clean(&self.last),
            limit: "no calendar has that day".to_owned(),
        })
    }
}
