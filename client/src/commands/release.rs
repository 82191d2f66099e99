//! `release`: a craft is free again.

use bytes::Bytes;
use clap::Args;
use prost::Message as _;
use sponson_proto::event::v1::{Assigned, Kind, Released};
use sponson_show::clean;
use sponson_show::terminal::Exit;

use crate::assigning::Sender;
use crate::catalogue::{Catalogue, subject};
use crate::commands::log;
use crate::error::CommandError;
use crate::session::{Record, Session};

/// Release a craft from the assignments that are known here, or from one. A full check is owed once
/// it is free.
#[derive(Args, Debug)]
pub struct ReleaseArgs {
    /// Number of the craft.
    pub craft: String,
    /// Only from this incident; from all when not given.
    #[arg(long, value_name = "INCIDENT")]
    pub from: Option<String>,
    /// Why, in words.
    #[arg(long, value_name = "WORDS")]
    pub why: Option<String>,
    /// Anything else, in words.
    #[arg(long)]
    pub note: Option<String>,
}

/// Records the release, one event for each assignment.
///
/// # Errors
/// When the craft is not known or not assigned, or the service refuses.
pub async fn run(args: &ReleaseArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let craft = catalogue.craft(&args.craft)?;
    let refused = |limit: String| CommandError::Refused {
        field: "CRAFT".to_owned(),
        value: clean(&craft.number),
        limit,
    };
    if craft.assigned.is_empty() {
        let limit = "it is not assigned as far as is known here";
        return Err(refused(limit.to_owned()));
    }
    let mut assigned = Vec::new();
    for event in &craft.assigned {
        assigned.push((event.clone(), incident(event, &catalogue, session).await?));
    }
    if let Some(from) = &args.from {
        let known: Vec<String> = assigned.iter().map(|(_, it)| clean(it)).collect();
        assigned.retain(|(_, incident)| same(incident, from));
        if assigned.is_empty() {
            let limit = format!(
                "it is assigned to {}, not to {}",
                known.join(", "),
                clean(from)
            );
            return Err(refused(limit));
        }
    }
    super::assign::unnamed(session).await?;
    let sender = Sender {
        member: session.member().to_owned(),
        why: args.why.clone(),
        note: args.note.clone(),
    };
    for (assignment, incident) in assigned {
        let message = Released { assignment };
        let mut record = Record::about([subject(craft)]);
        record.texts = sender.texts();
        let event = session.record(Kind::Released, &message, record).await?;
        let number = clean(&craft.number);
        let said = format!("{number}: released from {}", clean(&incident));
        session.recorded(&said, &event)?;
    }
    Ok(Exit::Fine)
}

/// The incident of an assignment, as it stands: a correction may have named another.
async fn incident(
    event: &Bytes,
    _catalogue: &Catalogue,
    session: &mut Session<'_>,
) -> Result<String, CommandError> {
    let line = log::find_event(&crate::catalogue::hex(event), session).await?;
    let payload = log::payload(&line).unwrap_or_default();
    let message = Assigned::decode(payload).unwrap_or_default();
    Ok(message.incident)
}

/// Whether two name one incident, however it was typed.
fn same(one: &str, other: &str) -> bool {
    crate::near::plain(one) == crate::near::plain(other)
}
