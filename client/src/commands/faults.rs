//! `faults`: what keeps failing, and what to do about it.
//!
//! It says what the service found and judges nothing itself.

use clap::{Args, ValueEnum};
use sponson_proto::service::v1::KeepsFailingRequest;
use sponson_show::dates;
use sponson_show::terminal::Exit;

use crate::catalogue::Catalogue;
use crate::error::CommandError;
use crate::session::Session;

/// Show what keeps failing, which repairs hold, and what to do about it.
///
/// Ends with 1 when something is proposed that nobody decided yet. Advice only: local procedure, the
/// maker's manual and the lead decide.
#[derive(Args, Debug, Default)]
pub struct FaultsArgs {
    /// What is counted, and from when on.
    #[command(flatten)]
    pub asked: FaultsAsked,
    /// Also show the statistics behind each line.
    #[arg(long, conflicts_with = "json")]
    pub figures: bool,
    /// Print everything as JSON, for other programs.
    #[arg(long)]
    pub json: bool,
    /// Print one list for a spreadsheet instead.
    #[arg(long, value_name = "LIST", conflicts_with_all = ["json", "figures"])]
    pub csv: Option<List>,
}

/// What is counted, and from when on.
#[derive(Args, Clone, Debug, Default)]
pub struct FaultsAsked {
    /// What faults are put together by.
    #[arg(long, value_name = "WHAT", default_value = "place")]
    pub by: By,
    /// What they are counted against: days in the county, engine hours, or uses.
    #[arg(long, value_name = "WHAT", default_value = "days")]
    pub per: Per,
    /// Count only what was found from this day on, for example 2025-01-01; else all that is held.
    #[arg(long, value_name = "TIME")]
    pub from: Option<String>,
    /// Look at it as it stood at this moment instead of now, for example "2026-03-14 08:30".
    #[arg(long, value_name = "TIME")]
    pub as_of: Option<String>,
    /// Only one craft and the gear on it, by its number; all when not given.
    #[arg(long, value_name = "CRAFT")]
    pub craft: Option<String>,
}

/// What faults are put together by.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum By {
    /// Part and place, on all craft of a model.
    #[default]
    Place,
    /// Part and place, on each craft by itself.
    CraftPlace,
    /// The craft.
    Craft,
    /// What is wrong.
    Class,
    /// The fabric.
    Fabric,
    /// The maker's batch.
    Batch,
    /// How it was repaired: which repairs hold.
    Method,
    /// The batch of glue: which repairs hold.
    Glue,
    /// The station where it stood.
    Station,
    /// The model of craft.
    Model,
    /// Numbered gear.
    Gear,
}

/// What faults are counted against.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Per {
    /// Days in the county.
    #[default]
    Days,
    /// Engine hours.
    Hours,
    /// Uses.
    Uses,
}

/// A list for a spreadsheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum List {
    /// Every fault that was counted.
    Faults,
    /// Every repair, and whether it held.
    Repairs,
    /// What to do, the most urgent first.
    WhatToDo,
}

impl FaultsAsked {
    /// What is asked of the service.
    ///
    /// # Errors
    /// When a time is none, or the craft is not known.
    pub fn request(&self, catalogue: &Catalogue) -> Result<KeepsFailingRequest, CommandError> {
        let offset = catalogue.policy().utc_offset_min;
        let as_of = self.as_of.as_deref();
        let as_of = as_of.map(|text| dates::moment("--as-of", text, offset));
        let from = self.from.as_deref();
        let from = from.map(|text| dates::moment_or_day("--from", text, offset));
        let craft = self.craft.as_deref().map(|name| catalogue.craft(name));
        Ok(KeepsFailingRequest {
            by: word(self.by),
            per: word(self.per),
            from_unix_ms: from.transpose()?.map(|moment| moment.0),
            as_of_unix_ms: as_of.transpose()?.map(|moment| moment.0),
            craft: craft
                .transpose()?
                .map(|craft| craft.id.clone())
                .unwrap_or_default(),
            ..KeepsFailingRequest::default()
        })
    }
}

/// Shows it.
///
/// # Errors
/// When a value cannot be, the craft is not known, or the service refuses.
pub async fn run(args: &FaultsArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let csv = args.csv.map(|list| word(list).replace('-', "_"));
    let request = KeepsFailingRequest {
        figures: args.figures,
        csv: csv.into_iter().collect(),
        ..args.asked.request(&catalogue)?
    };
    let reply = session.keeps_failing(request).await?;
    let shown = match (args.json, reply.csv.first()) {
        (true, _) => &reply.json,
        (false, Some(list)) => list,
        (false, None) => &reply.text,
    };
    session.terminal().result(shown)?;
    Ok(match reply.to_decide {
        0 => Exit::Fine,
        _ => Exit::Judged,
    })
}

/// The word that is typed for a value.
pub fn word(value: impl ValueEnum) -> String {
    let possible = value.to_possible_value();
    possible.map_or_else(String::new, |it| it.get_name().to_owned())
}
