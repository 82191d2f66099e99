//! `same-as`: one thing that was registered twice.

use clap::Args;
use sponson_client::CommandError;
use sponson_client::catalogue::{short_subject, subject};
use sponson_client::confirm::{Asked, confirm};
use sponson_client::session::{Record, Session};
use sponson_proto::event::v1::{Kind, SameAs, SubjectType};
use sponson_show::clean;
use sponson_show::terminal::Exit;

use crate::error::CountyError;

/// State that two registrations are one thing, which was registered twice: what is recorded about
/// either counts for both.
#[derive(Args, Debug)]
pub struct SameAsArgs {
    /// Number of the one, or its id as in #1a2b3c4d where both carry the same number.
    one: String,
    /// Number of the other, or its id.
    other: String,
    /// In words.
    #[arg(long)]
    note: Option<String>,
    /// Do not ask.
    #[arg(long)]
    yes: bool,
}

/// What can be registered twice.
const THINGS: [SubjectType; 4] = [
    SubjectType::Craft,
    SubjectType::Gear,
    SubjectType::Bag,
    SubjectType::Shelf,
];

/// Records the statement.
///
/// # Errors
/// When a name is not known, the two are of different sorts or one and the same, nobody confirms,
/// or the service refuses.
pub async fn run(args: &SameAsArgs, session: &mut Session<'_>) -> Result<Exit, CountyError> {
    let catalogue = session.catalogue().await?;
    let one = catalogue.find(&THINGS, &args.one)?;
    let other = catalogue.find(&THINGS, &args.other)?;
    let limit = if one.id == other.id {
        Some("it is the same registration: give the id of each, as log shows it")
    } else if one.r#type != other.r#type {
        Some("the two are of different sorts")
    } else {
        None
    };
    if let Some(limit) = limit {
        return Err(CountyError::Command(CommandError::Refused {
            field: "OTHER".to_owned(),
            value: clean(&args.other),
            limit: limit.to_owned(),
        }));
    }
    let name = |number: &str, id: &[u8]| format!("{} {}", clean(number), short_subject(id));
    let both = format!(
        "{} and {}",
        name(&one.number, &one.id),
        name(&other.number, &other.id)
    );
    confirm(
        session,
        Asked::from(args.yes),
        &format!("{both}: are they one thing?"),
    )
    .await?;
    let message = SameAs {
        one: one.id.clone(),
        other: other.id.clone(),
    };
    let record = Record::about([subject(one), subject(other)]).note(args.note.as_deref());
    let event = session.record(Kind::SameAs, &message, record).await?;
    session.recorded(&format!("{both}: one thing, registered twice"), &event)?;
    Ok(Exit::Fine)
}
