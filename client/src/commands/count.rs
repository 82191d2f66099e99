//! `count`: what a station's store, a shelf or a bag holds as spares.

use std::collections::BTreeMap;

use clap::Args;
use sponson_proto::event::v1::{ItemCount, Kind, StockCounted, SubjectType};
use sponson_readiness::dates::day;
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::{Item, Standard};
use sponson_show::clean;
use sponson_show::terminal::Exit;

use crate::catalogue::{Catalogue, subject};
use crate::check_file::{CountLine, spares_counted};
use crate::error::CommandError;
use crate::near::{near, plain};
use crate::session::{Record, Session};

/// Record the spares counted at a station, on a shelf or in a bag that is on no craft.
///
/// What is on a craft is counted by check. Lines that are not named stay as they were counted before.
#[derive(Args, Debug)]
pub struct CountArgs {
    /// Where: name of the station, number of the shelf or bag.
    place: String,
    /// Kit line and how many are there, good or not, with their dates where they carry any:
    /// throw-bag=3, "flare-red-hand=6: 3 x 2027-03, 3 x made 2025-05".
    #[arg(required = true, value_name = "LINE=COUNT[: DATES]")]
    items: Vec<String>,
    /// Of a line, how many are not serviceable: throw-bag=1.
    #[arg(long, value_name = "LINE=COUNT")]
    bad: Vec<String>,
    /// In words.
    #[arg(long)]
    note: Option<String>,
}

const PLACES: [SubjectType; 3] = [SubjectType::Station, SubjectType::Shelf, SubjectType::Bag];

/// Records the count.
///
/// # Errors
/// When the place or a line is not known, a count cannot be, or the service refuses.
pub async fn run(args: &CountArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let place = catalogue.find(&PLACES, &args.place)?;
    let counts = counts(args, &catalogue, Moment(session.now_unix_ms()))?;
    let said: Vec<String> = counts.iter().map(told).collect();
    let said = format!("{}: counted {}", clean(&place.number), said.join(", "));
    let record = Record::about([subject(place)]).note(args.note.as_deref());
    let message = StockCounted { counts };
    let event = session.record(Kind::StockCounted, &message, record).await?;
    session.recorded(&said, &event)?;
    Ok(Exit::Fine)
}

fn told(count: &ItemCount) -> String {
    match count.unserviceable {
        0 => format!("{} {}", count.count, count.item),
        bad => format!("{} {} ({bad} not serviceable)", count.count, count.item),
    }
}

/// Lines by id, as they were typed.
fn counts(
    args: &CountArgs,
    catalogue: &Catalogue,
    now: Moment,
) -> Result<Vec<ItemCount>, CommandError> {
    let on = day(now, catalogue.policy().utc_offset_min);
    let sheets = sheets(catalogue);
    let items: BTreeMap<&str, &Item> = sheets
        .iter()
        .flat_map(|sheet| &sheet.items)
        .map(|item| (item.id.as_str(), item))
        .collect();
    let mut lines: BTreeMap<&str, CountLine> = BTreeMap::new();
    for text in &args.items {
        let (id, line) = counted(text, &items)?;
        if lines.insert(id, line).is_some() {
            return Err(refused(
                "LINE=COUNT",
                text,
                "it stands twice: give each line once",
            ));
        }
    }
    for text in &args.bad {
        let (id, bad) = counted(text, &items)?;
        let Some(line) = lines.get_mut(id) else {
            return Err(refused(
                "--bad",
                text,
                "say also how many there are of it in all",
            ));
        };
        line.unserviceable = bad.count;
    }
    lines
        .into_iter()
        .map(|(id, line)| {
            let dated = items.get(id).and_then(|item| item.dated);
            let life_months = dated.and_then(|dated| dated.life_months);
            Ok(spares_counted(id, (id, &line), life_months, on)?)
        })
        .collect()
}

/// Boat standards in force that this version can read.
fn sheets(catalogue: &Catalogue) -> Vec<Standard> {
    let held = catalogue.standards();
    held.filter_map(|held| Standard::parse(&held.text).ok())
        .collect()
}

/// A line of any boat standard, with its count and dates.
fn counted<'i>(
    text: &str,
    items: &BTreeMap<&'i str, &Item>,
) -> Result<(&'i str, CountLine), CommandError> {
    let form = "write for example throw-bag=3, or \"flare-red-hand=6: 3 x 2027-03, 3 x 2028-01\"";
    let refuse = || refused("LINE=COUNT", text, form);
    let (name, rest) = text.split_once('=').ok_or_else(refuse)?;
    let (count, dates) = rest.split_once(':').unwrap_or((rest, ""));
    let wanted = plain(name);
    let id = items.keys().find(|id| plain(id) == wanted).copied();
    let id = id.ok_or_else(|| {
        let close = near(name, items.keys().copied());
        let limit = match close.as_slice() {
            [] => "no boat standard in force has such a line".to_owned(),
            close => format!(
                "no boat standard has it; did you mean {}?",
                close.join(", ")
            ),
        };
        refused("LINE=COUNT", name, &limit)
    })?;
    let dates = dates.split(',').map(str::trim).filter(|it| !it.is_empty());
    Ok((
        id,
        CountLine {
            count: count.trim().parse().map_err(|_| refuse())?,
            dates: dates.map(str::to_owned).collect(),
            ..CountLine::default()
        },
    ))
}

fn refused(field: &str, value: &str, limit: &str) -> CommandError {
    CommandError::Refused {
        field: field.to_owned(),
        value: clean(value),
        limit: limit.to_owned(),
    }
}
