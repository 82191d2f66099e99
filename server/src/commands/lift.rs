//! `lift`: ends a county-wide hold by its name, or shows those in force.

use clap::Args;
use sponson_client::CommandError;
use sponson_client::catalogue::{Catalogue, hex, short_event};
use sponson_client::describe::describe;
use sponson_client::session::{Record, Session};
use sponson_proto::event::v1::{HoldLifted, Kind};
use sponson_proto::service::v1::CatalogueHold;
use sponson_show::clean;
use sponson_show::terminal::Exit;

use prost::Message as _;

use crate::error::CountyError;

/// Lift a county-wide hold by its name; without one, show the holds in force. Another hold of the
/// same thing stays.
#[derive(Args, Debug)]
pub struct LiftArgs {
    /// Short name of the hold, for example 1a2b3c4d.
    hold: Option<String>,
    /// In words.
    #[arg(long)]
    note: Option<String>,
}

/// Records that it is lifted, or lists.
///
/// # Errors
/// When no hold in force has this name, or the service refuses.
pub async fn run(args: &LiftArgs, session: &mut Session<'_>) -> Result<Exit, CountyError> {
    let catalogue = session.catalogue().await?;
    let Some(name) = &args.hold else {
        let lines: Vec<String> = catalogue
            .holds()
            .iter()
            .map(|hold| said(hold, &catalogue))
            .collect();
        let text = if lines.is_empty() {
            "nothing is held across the county".to_owned()
        } else {
            lines.join("\n")
        };
        session.terminal().result(&text)?;
        return Ok(Exit::Fine);
    };
    let wanted = name.trim().trim_start_matches('#').to_ascii_lowercase();
    let named = |hold: &&CatalogueHold| hex(&hold.event).starts_with(&wanted);
    let found: Vec<&CatalogueHold> = catalogue.holds().iter().filter(named).collect();
    let [held] = found.as_slice() else {
        return Err(CountyError::Command(CommandError::Refused {
            field: "HOLD".to_owned(),
            value: clean(name),
            limit: match found.len() {
                0 => "no hold in force has this name: lift without a name shows them".to_owned(),
                several => format!("{several} holds begin so: give more of it"),
            },
        }));
    };
    let message = HoldLifted {
        hold: held.event.clone(),
    };
    let county = session.county_subject().await?;
    let record = Record::about([county]).note(args.note.as_deref());
    let event = session.record(Kind::HoldLifted, &message, record).await?;
    session.recorded(&format!("lifted: {}", said(held, &catalogue)), &event)?;
    Ok(Exit::Fine)
}

fn said(hold: &CatalogueHold, catalogue: &Catalogue) -> String {
    let message = hold.hold.clone().unwrap_or_default();
    let what = describe(
        Kind::HeldCountyWide,
        &message.encode_to_vec().into(),
        catalogue,
    );
    let doubt = if hold.unconfirmed {
        " (unconfirmed: dismiss what the device recorded)"
    } else {
        ""
    };
    format!("{} {what}{doubt}", short_event(&hold.event))
}
