//! `verify --record`: what the signed record of a craft shows by itself, and, beside a copy of the
//! log, whether an entry is missing in it and whether its words are those that this copy gives.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use sponson_link::craft_record::{RecordChecked, check};
use sponson_log::craft_record::SORT;
use sponson_log::ids::SubjectId;
use sponson_proto::service::v1::CraftRecordRequest;
use sponson_proto::service::v1::craft_record_request::KnownBy;
use sponson_show::clean;
use sponson_show::craft_record::{CraftRecord, RecordEntry, what_is_shown};
use sponson_show::terminal::Exit;

use super::proof::{county_meant, read};
use crate::commands::record::{fetch, proven_words};
use crate::error::CommandError;
use crate::session::Session;
use crate::surroundings::Surroundings;

/// Entries that are named of those that differ.
const NAMED_MAX: usize = 20;

/// Checks the file alone, and says what it shows.
///
/// # Errors
/// When the file cannot be read or does not hold.
pub fn check_record(
    file: &Path,
    county: Option<&str>,
    surroundings: &mut Surroundings,
) -> Result<Exit, CommandError> {
    let checked = opened(file, county)?;
    surroundings
        .terminal()
        .result(&words(&checked, county.is_some()))?;
    Ok(Exit::Fine)
}

/// Says that the record was not held against a copy of the log.
///
/// # Errors
/// When the terminal cannot be written to.
pub fn not_held_against(surroundings: &mut Surroundings) -> Result<(), CommandError> {
    let text = "Not held against a copy of the log: none is here. Whether an entry is missing is not \
                known.";
    Ok(surroundings.terminal().result(text)?)
}

fn opened(file: &Path, county: Option<&str>) -> Result<RecordChecked, CommandError> {
    let county = county.map(county_meant).transpose()?;
    let bytes = read(file, SORT.bytes_max)?;
    check(&bytes, county).map_err(|error| CommandError::Record(Box::new(error)))
}

fn words(checked: &RecordChecked, county_given: bool) -> String {
    let record = &checked.record;
    let mut lines = vec![
        format!(
            "The record of {} holds: {}.",
            record.name(),
            proven_words(checked)
        ),
        format!("  {}", record.period.words),
        format!("  made {} by {}", record.made.words, checked.signed_by),
        format!("  key {}", checked.signature.key),
        format!("  signature {}", checked.signature.signature),
        format!("  SHA-256 of its JSON {}", checked.signature.json_sha256),
        format!("  county {}", clean(&record.log.county)),
    ];
    if let Some(log) = &record.log.id {
        lines.push(format!("  county log {}", clean(log)));
        lines.push(format!(
            "  {} entries, root {}",
            record.log.size,
            clean(&record.log.root)
        ));
    }
    let (shows, not) = what_is_shown();
    lines.push("It shows".to_owned());
    lines.extend(shows.iter().map(|line| format!("  {line}")));
    lines.push("It does not show".to_owned());
    lines.extend(not.iter().map(|line| format!("  {line}")));
    if !county_given {
        lines.push("  that this county is the one you think: give that with --county".to_owned());
    }
    lines.join("\n")
}

/// Holds a record against what this copy of the log says of the craft, as far as the record goes.
///
/// # Errors
/// When the file does not hold, or the service fails.
pub(super) async fn complete(
    file: &Path,
    county: Option<&str>,
    session: &mut Session<'_>,
) -> Result<Exit, CommandError> {
    let theirs = opened(file, county)?.record;
    let about = session.about().await?;
    let ours = data_encoding::HEXLOWER.encode(&about.log_id);
    let size = about.county_size;
    if theirs.log.id.as_deref() != Some(ours.as_str()) || theirs.log.size > size {
        let text = format!(
            "Not held against this copy of the log: it holds {size} entries of county log {ours}, and \
             the record rests on {} of {}. Sync first.",
            theirs.log.size,
            theirs.log.id.as_deref().map_or("none".to_owned(), clean)
        );
        session.terminal().result(&text)?;
        return Ok(Exit::Judged);
    }
    let again = again(&theirs, session).await?;
    let wrong = compare(&theirs, &again);
    if wrong.is_empty() {
        let text = "Held against this copy of the log: no entry about the craft is missing, and each \
                    says what this copy says.";
        session.terminal().result(text)?;
        return Ok(Exit::Fine);
    }
    let mut lines = vec!["It does not hold against this copy of the log:".to_owned()];
    lines.extend(
        wrong
            .iter()
            .take(NAMED_MAX)
            .map(|line| format!("  - {line}")),
    );
    if wrong.len() > NAMED_MAX {
        lines.push(format!("  and {} more", wrong.len() - NAMED_MAX));
    }
    session.terminal().result(&lines.join("\n"))?;
    Ok(Exit::Refused)
}

/// The record as this copy makes it, of the same time and by as much of the county log.
async fn again(
    theirs: &CraftRecord,
    session: &mut Session<'_>,
) -> Result<CraftRecord, CommandError> {
    let ids = theirs.craft.ids.iter();
    let mut ids = ids.filter_map(|id| data_encoding::HEXLOWER.decode(id.as_bytes()).ok());
    let craft = ids
        .find(|id| id.len() == SubjectId::LEN)
        .unwrap_or_default();
    let request = CraftRecordRequest {
        craft: craft.into(),
        from_unix_ms: theirs.period.from_unix_ms,
        until_unix_ms: theirs.period.until_unix_ms,
        known_by: Some(KnownBy::KnownBySize(theirs.log.size)),
    };
    let file = fetch(request, session).await?;
    let signed = sponson_log::craft_record::open(&file)
        .map_err(|error| CommandError::Record(Box::new(error.into())))?;
    CraftRecord::of_json(&signed.json).map_err(|error| CommandError::Record(Box::new(error.into())))
}

/// What differs, a sentence each.
fn compare(theirs: &CraftRecord, ours: &CraftRecord) -> Vec<String> {
    let by_event = |record: &CraftRecord| -> BTreeMap<String, RecordEntry> {
        let entries = record.entries.iter();
        let placed = entries.filter(|entry| entry.place.is_some_and(|at| at <= theirs.log.size));
        placed
            .map(|entry| (entry.event.clone(), entry.clone()))
            .collect()
    };
    let (their_entries, our_entries) = (by_event(theirs), by_event(ours));
    let mut wrong = Vec::new();
    let short = |event: &str| event.chars().take(12).collect::<String>();
    for (event, ours) in &our_entries {
        match their_entries.get(event) {
            None => wrong.push(format!(
                "an entry is missing: {}, {} ({})",
                ours.when,
                clean(&ours.what),
                short(event)
            )),
            Some(theirs) if theirs.what != ours.what || theirs.facts != ours.facts => {
                wrong.push(format!(
                    "entry {} says '{}', and this copy says '{}' ({})",
                    theirs.number,
                    clean(&theirs.what),
                    clean(&ours.what),
                    short(event)
                ));
            }
            Some(theirs) if hides(theirs, ours) => wrong.push(format!(
                "entry {} leaves out a text, a picture or a mark that this copy has ({})",
                theirs.number,
                short(event)
            )),
            Some(_) => {}
        }
    }
    // What was not yet at the county may have put gear on the craft, with entries of its own.
    let of_other = their_entries.iter().filter(|_| theirs.log.beyond == 0);
    let of_other = of_other.filter(|(event, _)| !our_entries.contains_key(*event));
    wrong.extend(of_other.map(|(event, entry)| {
        format!(
            "entry {} is not about this craft ({})",
            entry.number,
            short(event)
        )
    }));
    let (their_ids, our_ids): (BTreeSet<_>, BTreeSet<_>) = (
        theirs.craft.ids.iter().collect(),
        ours.craft.ids.iter().collect(),
    );
    if theirs.log.as_known_then && their_ids != our_ids {
        wrong.push("the craft has other ids by this copy".to_owned());
    }
    if theirs.log.root != ours.log.root {
        wrong.push("the county log that it rests on is not the one held here".to_owned());
    }
    wrong
}

/// Whether an entry shows less than this copy has: texts may have been removed since, none come back.
fn hides(theirs: &RecordEntry, ours: &RecordEntry) -> bool {
    theirs.texts.len() != ours.texts.len()
        || theirs.pictures.len() != ours.pictures.len()
        || ours.marks.iter().any(|mark| !theirs.marks.contains(mark))
}
