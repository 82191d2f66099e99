//! `record`: everything ever checked, found and repaired at one craft, by whom and when; to read, to
//! print, and signed for whoever wants to check it.

use std::path::{Path, PathBuf};

use clap::Args;
use sponson_link::craft_record::{RecordChecked, check};
use sponson_log::craft_record::SORT;
use sponson_proto::answer::v1::question::KnownBy;
use sponson_proto::service::v1::CraftRecordRequest;
use sponson_proto::service::v1::craft_record_request::KnownBy as Asked;
use sponson_show::clean;
use sponson_show::craft_record::{record_file, record_report};
use sponson_show::dates;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

use super::ready::When;
use crate::catalogue::Catalogue;
use crate::error::CommandError;
use crate::session::Session;

/// Show everything that was recorded of a craft: checked, found, repaired, by whom, when.
///
/// Advice only: local procedure, the maker's manual and the person in charge decide. The record
/// shows what was recorded, not that it is true.
#[derive(Args, Debug)]
pub struct RecordArgs {
    /// Number of the craft.
    pub craft: String,
    /// Write it as a page to print (HTML) to this file, which must not be there yet.
    #[arg(long, value_name = "FILE")]
    pub html: Option<PathBuf>,
    /// Write it as JSON, for other programs, to this file, which must not be there yet.
    #[arg(long, value_name = "FILE")]
    pub json: Option<PathBuf>,
    /// Write it signed by this device, with what proves its entries, to this file, which must not be
    /// there yet; checked by verify --record on any machine.
    #[arg(long, value_name = "FILE")]
    pub signed: Option<PathBuf>,
    /// Time and known-by.
    #[command(flatten)]
    pub time: RecordTime,
}

/// Which part of a craft's record.
#[derive(Args, Debug, Default)]
pub struct RecordTime {
    /// Only what may have happened from this day or moment on, for example 2026-03-01.
    #[arg(long, value_name = "TIME")]
    pub from: Option<String>,
    /// Only what may have happened before this day or moment.
    #[arg(long, value_name = "TIME")]
    pub until: Option<String>,
    /// By what the county had stored: by a time, or by a number of entries of its log.
    #[arg(long, value_name = "SIZE|TIME")]
    pub known_by: Option<String>,
}

impl RecordTime {
    /// What is asked for of a craft.
    ///
    /// # Errors
    /// When a value is no moment and no number of entries.
    pub fn request(
        &self,
        craft: bytes::Bytes,
        catalogue: &Catalogue,
    ) -> Result<CraftRecordRequest, CommandError> {
        let offset = catalogue.policy().utc_offset_min;
        let moment = |field, text: &Option<String>| {
            let text = text.as_deref().map(day_or_moment);
            text.map(|text| dates::moment(field, &text, offset).map(|moment| moment.0))
                .transpose()
        };
        let when = When {
            as_of: None,
            known_by: self.known_by.clone(),
        };
        Ok(CraftRecordRequest {
            craft,
            from_unix_ms: moment("--from", &self.from)?,
            until_unix_ms: moment("--until", &self.until)?,
            known_by: when.question(catalogue)?.known_by.map(|known| match known {
                KnownBy::KnownBySize(size) => Asked::KnownBySize(size),
                KnownBy::KnownByUnixMs(ms) => Asked::KnownByUnixMs(ms),
            }),
        })
    }
}

/// A day is its beginning.
fn day_or_moment(text: &str) -> String {
    if text.contains(':') {
        text.to_owned()
    } else {
        format!("{} 00:00", text.trim())
    }
}

/// Shows or writes it.
///
/// # Errors
/// When the craft is not known, a value cannot be, a file is there already or cannot be written, or
/// the service refuses.
pub async fn run(args: &RecordArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let craft = catalogue.craft(&args.craft)?.id.clone();
    for file in [&args.html, &args.json, &args.signed].into_iter().flatten() {
        not_there(file)?;
    }
    let request = args.time.request(craft, &catalogue)?;
    let file = fetch(request, session).await?;
    let signed = sponson_log::craft_record::open(&file)
        .map_err(|error| CommandError::Record(Box::new(error.into())))?;
    let record = sponson_show::craft_record::CraftRecord::of_json(&signed.json)
        .map_err(|error| CommandError::Record(Box::new(error.into())))?;
    let mut written = Vec::new();
    if let Some(to) = &args.signed {
        // Whoever gets the file would find out; so it is found out before it is given.
        check(&file, None).map_err(|error| CommandError::Record(Box::new(error)))?;
        super::prove::write_new(to, &file)?;
        written.push(("signed record", to));
    }
    if let Some(to) = &args.json {
        super::prove::write_new(to, &signed.json)?;
        written.push(("record as JSON", to));
    }
    if let Some(to) = &args.html {
        let signature = sponson_link::craft_record::signature(&signed);
        super::prove::write_new(to, record_file(&record, &signature).as_bytes())?;
        written.push(("record to print", to));
    }
    if written.is_empty() {
        session.terminal().result(&record_report(&record))?;
        return Ok(Exit::Fine);
    }
    let entries = i64::try_from(record.entries.len()).unwrap_or(i64::MAX);
    for (what, to) in written {
        let line = format!(
            "{what} of {} ({}) written to {}",
            record.name(),
            if entries == 1 {
                "1 entry".to_owned()
            } else {
                format!("{entries} entries")
            },
            clean(&to.display().to_string())
        );
        session.terminal().result(&line)?;
    }
    Ok(Exit::Fine)
}

/// Fetches the signed file of a record.
///
/// # Errors
/// When the service refuses or fails, or gives more than a record can have.
pub async fn fetch(
    request: CraftRecordRequest,
    session: &mut Session<'_>,
) -> Result<Vec<u8>, CommandError> {
    let mut stream = session.service().craft_record(request).await?.into_inner();
    let mut file = Vec::new();
    while let Some(reply) = stream.message().await? {
        file.extend_from_slice(&reply.chunk);
        if file.len() > SORT.bytes_max + 64 {
            return Err(CommandError::Refused {
                field: "record".to_owned(),
                value: format!("longer than {} bytes", SORT.bytes_max),
                limit: "ask for less time: --from, --until".to_owned(),
            });
        }
    }
    Ok(file)
}

fn not_there(file: &Path) -> Result<(), CommandError> {
    if file.try_exists().unwrap_or(false) {
        return Err(CommandError::Refused {
            field: "file".to_owned(),
            value: clean(&file.display().to_string()),
            limit: "it is there already: give another name".to_owned(),
        });
    }
    Ok(())
}

/// Words for how many entries of a checked record are proven.
#[must_use]
pub(super) fn proven_words(checked: &RecordChecked) -> String {
    let (proven, all) = checked.proven;
    let number = |count: usize| i64::try_from(count).unwrap_or(i64::MAX);
    let entries = match all {
        1 => "1 entry".to_owned(),
        all => format!("{} entries", number(all)),
    };
    match &checked.checkpoint {
        Some(signed) if proven == all => format!(
            "{entries}, each of them proven to stand among the {} that the county signed for at {} UTC",
            signed.size,
            print::local(sponson_readiness::moment::Moment(signed.unix_ms), 0)
        ),
        Some(signed) => format!(
            "{entries}, of which {proven} are proven to stand among the {} that the county signed for \
             at {} UTC; the others are not yet at the county",
            signed.size,
            print::local(sponson_readiness::moment::Moment(signed.unix_ms), 0)
        ),
        None => format!("{entries}, none of which is shown to be at the county"),
    }
}
