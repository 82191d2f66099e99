//! `hold`: holds a model, a maker's batch or a part across the county.

use clap::Args;
use sponson_client::CommandError;
use sponson_client::catalogue::{Catalogue, short_event};
use sponson_client::describe::describe;
use sponson_client::session::{Record, Session};
use sponson_proto::event::v1::{HeldCountyWide, Kind};
use sponson_readiness::standard::Standard;
use sponson_show::clean;
use sponson_show::terminal::Exit;

use prost::Message as _;

use crate::error::CountyError;

/// Hold a model, a maker's batch or a part everywhere: craft that it fits, or that carry gear that
/// it fits, are not ready for the missions named until the hold is lifted.
#[derive(Args, Debug)]
pub struct HoldArgs {
    /// Model of craft, as its boat standard names it, or of gear, as it is registered.
    #[arg(long, required_unless_present_any = ["batch", "part"])]
    model: Option<String>,
    /// Maker's batch.
    #[arg(long)]
    batch: Option<String>,
    /// Part of the boat standard, for example relief-valve-1.
    #[arg(long)]
    part: Option<String>,
    /// Mission that it rules out; all when none is given. May be given again.
    #[arg(long)]
    mission: Vec<String>,
    /// In words.
    #[arg(long)]
    note: Option<String>,
}

impl HoldArgs {
    /// For all missions.
    #[must_use]
    pub(super) const fn of(
        model: Option<String>,
        batch: Option<String>,
        part: Option<String>,
        note: Option<String>,
    ) -> Self {
        Self {
            model,
            batch,
            part,
            mission: Vec::new(),
            note,
        }
    }
}

/// Records the hold.
///
/// # Errors
/// When a word is not known here, or the service refuses.
pub async fn run(args: &HoldArgs, session: &mut Session<'_>) -> Result<Exit, CountyError> {
    let catalogue = session.catalogue().await?;
    check(args, &catalogue)?;
    let word = |word: &Option<String>| word.as_deref().unwrap_or_default().trim().to_owned();
    let message = HeldCountyWide {
        model: word(&args.model),
        batch: word(&args.batch),
        part: word(&args.part),
        missions: args.mission.clone(),
    };
    let county = session.county_subject().await?;
    let record = Record::about([county]).note(args.note.as_deref());
    let event = session
        .record(Kind::HeldCountyWide, &message, record)
        .await?;
    let said = describe(
        Kind::HeldCountyWide,
        &message.encode_to_vec().into(),
        &catalogue,
    );
    let lift = format!("{said}\nit ends with: lift {}", short_event(&event));
    session.recorded(&lift, &event)?;
    Ok(Exit::Fine)
}

/// A slip would hold nothing, and nobody would see it: the words must be known here.
pub(super) fn check(args: &HoldArgs, catalogue: &Catalogue) -> Result<(), CountyError> {
    let known = |text: &str, known: &dyn Fn(&str) -> bool| known(text.trim());
    if let Some(model) = &args.model {
        let of_things = |text: &str| {
            let mut models = catalogue.entries().iter().map(|entry| &entry.model);
            let mut standards = catalogue.standards();
            models.any(|model| model.eq_ignore_ascii_case(text))
                || standards.any(|held| held.model.eq_ignore_ascii_case(text))
        };
        if !known(model, &of_things) {
            return Err(refused(
                "--model",
                model,
                "no craft or gear here is of this model",
            ));
        }
    }
    if let Some(part) = &args.part {
        known_part(part, catalogue)?;
    }
    let missions = catalogue.missions();
    for mission in &args.mission {
        if !missions.contains(mission) {
            let ids: Vec<&str> = missions.iter().map(String::as_str).collect();
            let limit = format!("the boat standards in force have {}", ids.join(", "));
            return Err(refused("--mission", mission, &limit));
        }
    }
    Ok(())
}

/// A part must be one of a boat standard in force.
pub(super) fn known_part(part: &str, catalogue: &Catalogue) -> Result<(), CountyError> {
    let sheets = catalogue
        .standards()
        .map(|held| Standard::parse(&held.text));
    let mut parts = sheets.filter_map(Result::ok).flat_map(|sheet| sheet.parts);
    if parts.any(|known| known.id.as_str().eq_ignore_ascii_case(part.trim())) {
        return Ok(());
    }
    let limit = "no boat standard in force has this part";
    Err(refused("--part", part, limit))
}

fn refused(field: &str, value: &str, limit: &str) -> CountyError {
    CountyError::Command(CommandError::Refused {
        field: field.to_owned(),
        value: clean(value),
        limit: limit.to_owned(),
    })
}
