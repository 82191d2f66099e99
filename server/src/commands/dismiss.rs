//! `dismiss`: what a device recorded without being entitled is looked at, and put aside.

use clap::Args;
use sponson_client::CommandError;
use sponson_client::catalogue::Catalogue;
use sponson_client::commands::log::table;
use sponson_client::confirm::{Asked, confirm};
use sponson_client::session::{Record, Session};
use sponson_proto::event::v1::{Dismissed, Kind};
use sponson_proto::service::v1::ChainReply;
use sponson_show::terminal::Exit;

use crate::devices::{Devices, called, chain, entries};
use crate::error::CountyError;

/// Dismiss what is unconfirmed of a device: craft are then no longer held to 'go and look' by it.
/// Lists it first. Covers what comes from the device later too; about says how much did.
#[derive(Args, Debug)]
pub struct DismissArgs {
    /// The device, as devices lists it, for example "North Landing/1", or the beginning of its key.
    device: String,
    /// In words.
    #[arg(long)]
    note: Option<String>,
    /// Do not ask.
    #[arg(long)]
    yes: bool,
}

/// Lists, asks, and records the dismissal.
///
/// # Errors
/// When the device is not known, nothing of it is unconfirmed, nobody confirms, or the service
/// refuses.
pub async fn run(args: &DismissArgs, session: &mut Session<'_>) -> Result<Exit, CountyError> {
    let catalogue = session.catalogue().await?;
    let devices = Devices::fetch(session).await?;
    let device = devices.find(&args.device)?;
    let name = called(device);
    let view = chain(session, device, 0).await?;
    if view.dismiss.is_empty() {
        return Err(CountyError::Command(CommandError::Refused {
            field: "DEVICE".to_owned(),
            value: name,
            limit: "nothing of it is unconfirmed".to_owned(),
        }));
    }
    let dismissed = said(&view);
    session.terminal().result(&listed(&view, &catalogue))?;
    let question = format!("{name}: dismiss {dismissed}?");
    confirm(session, Asked::from(args.yes), &question).await?;
    for from in view.dismiss {
        let message = Dismissed {
            key: device.key.clone(),
            from_seq: from.seq,
            from_event: from.event_id,
        };
        record(args, message, session).await?;
    }
    let mut said = format!("{name}: dismissed {dismissed}");
    if device.admitted && device.ended_at.is_none() {
        said.push_str(
            "\nthe device is still admitted: what it may record counts, what it may not is dismissed from here on",
        );
    } else {
        said.push_str(
            "\nwhat comes from it later is dismissed too; about and devices say how much did",
        );
    }
    session.terminal().result(&said)?;
    Ok(Exit::Fine)
}

/// What is to be dismissed, with what was dismissed before and has grown since.
fn said(view: &ChainReply) -> String {
    let mut said = entries(view.unconfirmed_count);
    if view.after_dismissal > 0 {
        let more = entries(view.after_dismissal);
        said.push_str(&format!(", and {more} that came after its dismissal"));
    }
    said
}

fn listed(view: &ChainReply, catalogue: &Catalogue) -> String {
    let mut shown = table(&view.unconfirmed, catalogue);
    let all = view.unconfirmed_count.saturating_add(view.after_dismissal);
    let left = all.saturating_sub(view.unconfirmed.len() as u64);
    if left > 0 {
        shown.push_str(&format!("and {left} more\n"));
    }
    shown
}

async fn record(
    args: &DismissArgs,
    message: Dismissed,
    session: &mut Session<'_>,
) -> Result<(), CountyError> {
    let county = session.county_subject().await?;
    let record = Record::about([county]).note(args.note.as_deref());
    session.record(Kind::Dismissed, &message, record).await?;
    Ok(())
}
