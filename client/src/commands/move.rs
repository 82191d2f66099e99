//! `move`: a thing is now somewhere else.

use clap::Args;
use sponson_proto::event::v1::{Fitted, Kind, Placed, SubjectType, TakenOff};
use sponson_proto::service::v1::CatalogueEntry;
use sponson_show::clean;
use sponson_show::terminal::Exit;

use crate::catalogue::{Catalogue, subject};
use crate::check_file::place;
use crate::error::CommandError;
use crate::session::{Record, Session};

/// Record that a craft, numbered gear or a bag is now somewhere else.
///
/// Gear moved to a craft is fitted to it when the craft's boat standard has a part of that name,
/// and is taken off the craft that it was on.
#[derive(Args, Debug)]
pub struct MoveArgs {
    /// Number of the craft, gear or bag.
    thing: String,
    /// Where it is now: a station, a craft or a shelf.
    to: String,
    /// Part of the boat standard that gear serves as; its own sort when not given.
    #[arg(long)]
    part: Option<String>,
    /// Bag on that craft whose place the bag takes: it goes to where the other one was.
    #[arg(long = "for", value_name = "BAG")]
    instead_of: Option<String>,
    /// In words.
    #[arg(long)]
    note: Option<String>,
}

const THINGS: [SubjectType; 3] = [SubjectType::Craft, SubjectType::Gear, SubjectType::Bag];
const PLACES: [SubjectType; 3] = [SubjectType::Station, SubjectType::Craft, SubjectType::Shelf];

/// Records the move.
///
/// # Errors
/// When a name is not known, a thing cannot be there, or the service refuses.
pub async fn run(args: &MoveArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let thing = catalogue.find(&THINGS, &args.thing)?;
    let to = catalogue.find(&PLACES, &args.to)?;
    if thing.r#type() == SubjectType::Craft && to.r#type() != SubjectType::Station {
        return Err(CommandError::Refused {
            field: "TO".to_owned(),
            value: clean(&to.number),
            limit: "a craft is moved to a station: give a station".to_owned(),
        });
    }
    let part = fitted_as(args, &catalogue, thing, to)?;
    if let Some(name) = &args.instead_of {
        take_out(name, (thing, to), &catalogue, session).await?;
    }
    take_off(session, &catalogue, thing, to).await?;
    let left = left_by(&catalogue, thing, to).map(subject);
    let about = [subject(thing), subject(to)].into_iter().chain(left);
    let record = Record::about(about).note(args.note.as_deref());
    let (what, at) = (clean(&thing.number), clean(&to.number));
    let (event, said) = match part {
        Some(part) => {
            let message = Fitted {
                gear: thing.id.clone(),
                craft: to.id.clone(),
                part: part.clone(),
            };
            let event = session.record(Kind::Fitted, &message, record).await?;
            (event, format!("{what}: fitted to {at} as {part}"))
        }
        None => {
            let message = Placed {
                at: to.id.clone(),
                at_type: to.r#type,
            };
            let event = session.record(Kind::Placed, &message, record).await?;
            (event, format!("{what}: now at {at}"))
        }
    };
    session.recorded(&said, &event)?;
    Ok(Exit::Fine)
}

/// The part that the gear serves as on the craft that it goes to; none when it is only placed.
fn fitted_as(
    args: &MoveArgs,
    catalogue: &Catalogue,
    thing: &CatalogueEntry,
    to: &CatalogueEntry,
) -> Result<Option<String>, CommandError> {
    let onto_craft = thing.r#type() == SubjectType::Gear && to.r#type() == SubjectType::Craft;
    match (&args.part, onto_craft) {
        (Some(name), true) => {
            let standard = catalogue.standard(to)?.standard;
            Ok(Some(place("--part", name, &standard)?))
        }
        (Some(name), false) => Err(CommandError::Refused {
            field: "--part".to_owned(),
            value: clean(name),
            limit: "only gear moved to a craft serves as a part of it: leave --part out".to_owned(),
        }),
        (None, true) => {
            let standard = catalogue.standard(to)?.standard;
            let own = standard
                .parts
                .iter()
                .find(|part| part.gear.is_some() && part.id.as_str() == thing.gear);
            Ok(own.map(|part| part.id.to_string()))
        }
        (None, false) => Ok(None),
    }
}

/// The craft that a bag leaves: what is in it goes with it, also for whoever counts there without
/// having seen the move.
fn left_by<'a>(
    catalogue: &'a Catalogue,
    thing: &CatalogueEntry,
    to: &CatalogueEntry,
) -> Option<&'a CatalogueEntry> {
    let leaves = thing.r#type() == SubjectType::Bag && thing.craft != to.id;
    catalogue.by_id(&thing.craft).filter(|_| leaves)
}

/// Takes the bag off a craft whose place another takes: it goes to where that one was.
async fn take_out(
    name: &str,
    (spare, craft): (&CatalogueEntry, &CatalogueEntry),
    catalogue: &Catalogue,
    session: &mut Session<'_>,
) -> Result<(), CommandError> {
    let refused = |limit: String| CommandError::Refused {
        field: "--for".to_owned(),
        value: clean(name),
        limit,
    };
    let bag = catalogue.find(&[SubjectType::Bag], name)?;
    if spare.r#type() != SubjectType::Bag || bag.id == spare.id {
        return Err(refused(
            "a bag takes its place: give another bag first".to_owned(),
        ));
    }
    if bag.craft != craft.id || craft.id.is_empty() {
        let limit = format!("it is not on {}: give a bag that is", clean(&craft.number));
        return Err(refused(limit));
    }
    let was = if spare.craft.is_empty() {
        &spare.station
    } else {
        &spare.craft
    };
    let Some(was) = catalogue.by_id(was) else {
        let limit = format!(
            "it is not known where {} was: move {} to its place by itself",
            clean(&spare.number),
            clean(&bag.number)
        );
        return Err(refused(limit));
    };
    let message = Placed {
        at: was.id.clone(),
        at_type: was.r#type,
    };
    let record = Record::about([subject(bag), subject(was), subject(craft)]);
    let event = session.record(Kind::Placed, &message, record).await?;
    let said = format!("{}: now at {}", clean(&bag.number), clean(&was.number));
    session.recorded(&said, &event)
}

/// Takes gear off the craft that it is on, when it goes elsewhere.
async fn take_off(
    session: &mut Session<'_>,
    catalogue: &Catalogue,
    thing: &CatalogueEntry,
    to: &CatalogueEntry,
) -> Result<(), CommandError> {
    let gear = thing.r#type() == SubjectType::Gear;
    if !gear || thing.craft.is_empty() || thing.craft == to.id {
        return Ok(());
    }
    let Some(from) = catalogue.by_id(&thing.craft) else {
        return Ok(());
    };
    let message = TakenOff {
        gear: thing.id.clone(),
        craft: from.id.clone(),
    };
    let record = Record::about([subject(thing), subject(from)]);
    let event = session.record(Kind::TakenOff, &message, record).await?;
    let said = format!(
        "{}: taken off {}",
        clean(&thing.number),
        clean(&from.number)
    );
    session.recorded(&said, &event)
}
