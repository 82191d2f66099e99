//! `number`: a thing carries another number now.

use clap::Args;
use sponson_proto::event::v1::{Kind, NumberChanged, SubjectType};
use sponson_show::clean;
use sponson_show::terminal::Exit;

use crate::catalogue::{ALL_TYPES, short_subject, subject};
use crate::error::CommandError;
use crate::session::{Record, Session};

/// Record the number that is now painted on a craft, gear, a bag or a shelf.
///
/// Settles which number it is where stations differ, and parts two craft that carry one number.
/// Counts when maintenance or the lead records it.
#[derive(Args, Debug)]
pub struct NumberArgs {
    /// Its number as known here, or # and the first 8 digits of its id where two carry one.
    thing: String,
    /// The number that is painted on it.
    number: String,
    /// In words.
    #[arg(long)]
    note: Option<String>,
}

const THINGS: [SubjectType; 4] = [
    SubjectType::Craft,
    SubjectType::Gear,
    SubjectType::Bag,
    SubjectType::Shelf,
];

/// Records the number.
///
/// # Errors
/// When the thing is not known, another one carries the number, or the service refuses.
pub async fn run(args: &NumberArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let thing = catalogue.find(&THINGS, &args.thing)?;
    let number = args.number.trim();
    let mut others = catalogue.entries().iter();
    let carried = others.find(|other| {
        other.number == number && other.id != thing.id && ALL_TYPES.contains(&other.r#type())
    });
    if let Some(other) = carried {
        return Err(CommandError::Refused {
            field: "NUMBER".to_owned(),
            value: clean(number),
            limit: format!(
                "{} carries it already: give a number that nothing carries",
                short_subject(&other.id)
            ),
        });
    }
    let message = NumberChanged {
        number: number.to_owned(),
    };
    let record = Record::about([subject(thing)]).note(args.note.as_deref());
    let said = format!(
        "{} ({}): carries the number {} now",
        clean(&thing.number),
        short_subject(&thing.id),
        clean(number)
    );
    let event = session
        .record(Kind::NumberChanged, &message, record)
        .await?;
    session.recorded(&said, &event)?;
    Ok(Exit::Fine)
}
