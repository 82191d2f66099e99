//! `bring-in`: registers craft, gear and bags from lists that the lead already has.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use bytes::Bytes;
use clap::Args;
use sponson_client::CommandError;
use sponson_client::catalogue::Catalogue;
use sponson_client::session::{Record, Session};
use sponson_link::Entropy;
use sponson_link::taken_file::{self, TakenFileError};
use sponson_proto::event::v1::{Kind, StationRegistered, SubjectType};
use sponson_proto::service::v1::AppendSubject;
use sponson_show::clean;
use sponson_show::table::columns;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

use crate::bring_in::{
    LIST_BYTES_MAX, ListKind, Registered, Row, header_help, left_out, read, station_names,
};
use crate::error::CountyError;

/// Register craft, gear or bags from a CSV list. Rows that are wrong are refused one by one.
#[derive(Args, Debug)]
#[command(after_long_help = help_after())]
#[group(skip)]
#[command(group(clap::ArgGroup::new("list").required(true)))]
pub struct BringInArgs {
    /// List of craft.
    #[arg(long, value_name = "FILE", group = "list")]
    craft: Option<PathBuf>,
    /// List of numbered gear.
    #[arg(long, value_name = "FILE", group = "list")]
    gear: Option<PathBuf>,
    /// List of bags.
    #[arg(long, value_name = "FILE", group = "list")]
    bags: Option<PathBuf>,
    /// Register stations that the list names and that are not known.
    #[arg(long)]
    register_stations: bool,
    /// Say what would be taken, and record nothing.
    #[arg(long)]
    dry_run: bool,
}

fn help_after() -> String {
    format!(
        "Columns, in any order; a unit may stand in the header, Total (lb), or with the value:\n\n{}",
        header_help()
    )
}

/// Brings a list in.
///
/// # Errors
/// When the list cannot be read as a whole, or the service refuses.
pub async fn run(
    args: &BringInArgs,
    entropy: &Entropy,
    session: &mut Session<'_>,
) -> Result<Exit, CountyError> {
    let (kind, file) = match (&args.craft, &args.gear, &args.bags) {
        (Some(file), _, _) => (ListKind::Craft, file),
        (None, Some(file), _) => (ListKind::Gear, file),
        (None, None, Some(file)) => (ListKind::Bags, file),
        (None, None, None) => return Ok(Exit::WrongUse),
    };
    let text = text_of(file)?;
    let refused = |error: crate::bring_in::ListError| CountyError::List {
        file: file.clone(),
        detail: error.to_string(),
    };
    let mut catalogue = session.catalogue().await?;
    if args.register_stations {
        let wanted = station_names(kind, &text).map_err(refused)?;
        if args.dry_run {
            say_stations(&wanted, &catalogue, session)?;
        } else {
            register_stations(&wanted, &catalogue, entropy, session).await?;
            catalogue = session.catalogue().await?;
        }
    }
    let rows = read(kind, &text, &catalogue).map_err(refused)?;
    say_left_out(&left_out(kind, &text).map_err(refused)?, session)?;
    if !args.dry_run {
        for row in &rows {
            if let Ok(registered) = &row.result {
                register(registered, entropy, session).await?;
            }
        }
    }
    report(&rows, args.dry_run, session)
}

/// A column that is spelt otherwise would be missed only when somebody counts on what it holds.
fn say_left_out(columns: &[String], session: &mut Session<'_>) -> Result<(), CountyError> {
    if columns.is_empty() {
        return Ok(());
    }
    let said = columns.join(", ");
    let text = format!("not known here, so left out: {said}; --help lists the columns");
    session.terminal().talk(&text)?;
    Ok(())
}

fn text_of(file: &Path) -> Result<String, CountyError> {
    taken_file::text(file, LIST_BYTES_MAX).map_err(|error| match error {
        TakenFileError::TooLong(bytes) => CountyError::List {
            file: file.to_owned(),
            detail: format!("it has {bytes} bytes; at most {LIST_BYTES_MAX} are read: split it"),
        },
        TakenFileError::Unreadable(source) => CommandError::Read {
            file: file.to_owned(),
            source,
        }
        .into(),
    })
}

async fn register(
    registered: &Registered,
    entropy: &Entropy,
    session: &mut Session<'_>,
) -> Result<(), CountyError> {
    let about = |kind: SubjectType| Record::about([new_subject(kind, entropy)]);
    match registered {
        Registered::Craft(message) => {
            let record = about(SubjectType::Craft);
            session
                .record(Kind::CraftRegistered, message, record)
                .await?;
        }
        Registered::Gear(message) => {
            let record = about(SubjectType::Gear);
            session
                .record(Kind::GearRegistered, message, record)
                .await?;
        }
        Registered::Bag(message) => {
            let record = about(SubjectType::Bag);
            session.record(Kind::BagRegistered, message, record).await?;
        }
    }
    Ok(())
}

fn new_subject(kind: SubjectType, entropy: &Entropy) -> AppendSubject {
    AppendSubject {
        id: Bytes::copy_from_slice(&entropy.draw::<16>()),
        r#type: kind as i32,
    }
}

fn unknown<'n>(
    names: &'n BTreeSet<String>,
    catalogue: &'n Catalogue,
) -> impl Iterator<Item = &'n String> {
    let station = [SubjectType::Station];
    names
        .iter()
        .filter(move |name| catalogue.find(&station, name).is_err())
}

fn say_stations(
    names: &BTreeSet<String>,
    catalogue: &Catalogue,
    session: &mut Session<'_>,
) -> Result<(), CountyError> {
    for name in unknown(names, catalogue) {
        let line = format!("station {} would be registered", clean(name));
        session.terminal().talk(&line)?;
    }
    Ok(())
}

async fn register_stations(
    names: &BTreeSet<String>,
    catalogue: &Catalogue,
    entropy: &Entropy,
    session: &mut Session<'_>,
) -> Result<(), CountyError> {
    for name in unknown(names, catalogue) {
        let message = StationRegistered {
            name: name.clone(),
            ..StationRegistered::default()
        };
        let record = Record::about([new_subject(SubjectType::Station, entropy)]);
        session
            .record(Kind::StationRegistered, &message, record)
            .await?;
        let line = format!("station {} registered", clean(name));
        session.terminal().talk(&line)?;
    }
    Ok(())
}

fn report(rows: &[Row], dry_run: bool, session: &mut Session<'_>) -> Result<Exit, CountyError> {
    let took = if dry_run { "would be taken" } else { "taken" };
    let cells: Vec<Vec<String>> = rows
        .iter()
        .map(|row| {
            let (result, why) = match &row.result {
                Ok(_) => (took, String::new()),
                Err(error) => ("refused", error.to_string()),
            };
            vec![
                row.line.to_string(),
                row.number.clone(),
                result.to_owned(),
                why,
            ]
        })
        .collect();
    let refused = rows.iter().filter(|row| row.result.is_err()).count();
    let rows_said = print::count(i64::try_from(rows.len()).unwrap_or(i64::MAX), "row");
    let text = if rows.is_empty() {
        "the list has no rows".to_owned()
    } else {
        format!(
            "{}\n{rows_said}: {} {took}, {refused} refused",
            columns(&["line", "number", "result", "why"], &cells).trim_end(),
            rows.len() - refused
        )
    };
    session.terminal().result(&text)?;
    Ok(if refused == 0 {
        Exit::Fine
    } else {
        Exit::Refused
    })
}
