//! Checks a record from its file alone: who signed it, that each entry was signed by its device and
//! is told as that device signed it, and that it stands in the county log where the record says.
//!
//! What it cannot see is what is not in the file: an entry that was left out. And the words beside an
//! entry are those of whoever signed the record. Both are held against a copy of the log elsewhere.

use std::collections::BTreeSet;

use sponson_log::checkpoint::Checkpoint;
use sponson_log::craft_record::{self as file, Leaves, RecordFileError, RecordProof, RecordProven};
use sponson_log::event::SignedEvent;
use sponson_log::event_proof::EventProofError;
use sponson_log::ids::{CountyId, Digest, EventId, WrongLength};
use sponson_proto::county::v1::SignedCheckpoint;
use sponson_proto::event::v1::{Event, Kind};
use sponson_readiness::moment::Moment;
use sponson_show::clean;
use sponson_show::craft_record::{
    CraftRecord, RecordEntry, RecordError, RecordSignature, RecordText,
};
use sponson_show::units::print;

use super::build::{signer_words, station_words};
use super::signature;

/// Wrong entries that are told: whoever reads one knows enough.
const WRONG_MAX: usize = 20;

/// What a record's file shows.
#[derive(Debug)]
pub struct RecordChecked {
    /// The record.
    pub record: CraftRecord,
    /// Its signature.
    pub signature: RecordSignature,
    /// The county's statement; none where no entry reached it.
    pub checkpoint: Option<Checkpoint>,
    /// Entries that are proven to stand in the county log, and those of the record in all.
    pub proven: (usize, usize),
    /// Whose device signed it, as the county's registry in the file says.
    pub signed_by: String,
}

/// Why a record's file does not hold.
#[derive(Debug, thiserror::Error)]
pub enum RecordCheckError {
    /// No signed record.
    #[error(transparent)]
    File(#[from] RecordFileError),
    /// Not the form that this program reads.
    #[error(transparent)]
    Form(#[from] RecordError),
    /// A part that is none.
    #[error("record: {what} cannot be read: {detail}")]
    Part {
        /// Which.
        what: &'static str,
        /// Why.
        detail: String,
    },
    /// A field of the wrong length.
    #[error(transparent)]
    Length(#[from] WrongLength),
    /// Another county than the one that was meant.
    #[error("record is of county {found}, not of county {wanted}")]
    OtherCounty {
        /// The record's.
        found: CountyId,
        /// The one that was meant.
        wanted: CountyId,
    },
    /// The proof does not hold.
    #[error("record: {0}")]
    Proof(#[from] EventProofError),
    /// What it says is not what was signed.
    #[error("{}", .0.join("\n"))]
    Wrong(Vec<String>),
}

/// Checks a file; `county` is the one that is meant, when that is known.
///
/// # Errors
/// When the file does not hold, with what is wrong.
pub fn check(file: &[u8], county: Option<CountyId>) -> Result<RecordChecked, RecordCheckError> {
    let signed = file::open(file)?;
    let record = CraftRecord::of_json(&signed.json)?;
    let found = CountyId::parse("county", &hex("the county", &record.log.county)?)?;
    if let Some(wanted) = county.filter(|wanted| *wanted != found) {
        return Err(RecordCheckError::OtherCounty { found, wanted });
    }
    let mut wrong = Vec::new();
    let events = events(&record, found, &mut wrong)?;
    let leaves = leaves(&record, &mut wrong)?;
    let proven = file::prove(found, proof(&record)?, &leaves, signed.by)?;
    if record.made.key != signed.by.to_string() {
        wrong.push("the record names another key than the one that signed it".to_owned());
    }
    rests(&record, &proven, &mut wrong);
    let then = record.log.as_known_then;
    for (entry, event) in record.entries.iter().zip(&events) {
        signers(entry, event, then, &proven, &mut wrong);
    }
    if !wrong.is_empty() {
        let more = wrong.len().saturating_sub(WRONG_MAX);
        wrong.truncate(WRONG_MAX);
        if more > 0 {
            wrong.push(format!("and {more} more"));
        }
        return Err(RecordCheckError::Wrong(wrong));
    }
    let placed = record.entries.iter().filter(|entry| entry.place.is_some());
    Ok(RecordChecked {
        proven: (placed.count(), record.entries.len()),
        signature: signature(&signed),
        signed_by: signer_words(&proven.registry, &signed.by),
        checkpoint: proven.checkpoint,
        record,
    })
}

fn hex(what: &'static str, digits: &str) -> Result<Vec<u8>, RecordCheckError> {
    data_encoding::HEXLOWER
        .decode(digits.as_bytes())
        .map_err(|error| RecordCheckError::Part {
            what,
            detail: error.to_string(),
        })
}

fn message<M: prost::Message + Default>(
    what: &'static str,
    base64: &str,
) -> Result<M, RecordCheckError> {
    let detail = |detail: String| RecordCheckError::Part { what, detail };
    let bytes = data_encoding::BASE64
        .decode(base64.as_bytes())
        .map_err(|error| detail(error.to_string()))?;
    let read = M::decode(bytes.as_slice()).map_err(|error| detail(error.to_string()))?;
    if read.encode_to_vec() == bytes {
        Ok(read)
    } else {
        Err(detail("it is not in its one encoding".to_owned()))
    }
}

/// The proof as the log takes it.
fn proof(record: &CraftRecord) -> Result<RecordProof, RecordCheckError> {
    let form = &record.proof;
    let checkpoint = form.checkpoint.as_deref();
    let checkpoint = checkpoint.map(|it| message::<SignedCheckpoint>("the county's statement", it));
    let path = data_encoding::BASE64
        .decode(form.path.as_bytes())
        .map_err(|error| RecordCheckError::Part {
            what: "the path of the proof",
            detail: error.to_string(),
        })?;
    let hashes = path.chunks(Digest::LEN);
    let registry = form.registry.iter();
    Ok(RecordProof {
        checkpoint: checkpoint.transpose()?,
        path: hashes
            .map(|hash| Digest::parse("path", hash))
            .collect::<Result<_, _>>()?,
        registry: registry
            .map(|it| message::<Event>("an entry of the registry", it))
            .collect::<Result<_, _>>()?,
    })
}

/// Opens every entry as its device signed it, and holds what is told of it against that.
fn events(
    record: &CraftRecord,
    county: CountyId,
    wrong: &mut Vec<String>,
) -> Result<Vec<SignedEvent>, RecordCheckError> {
    let mut seen = BTreeSet::new();
    let mut events = Vec::new();
    for (number, entry) in (1..).zip(&record.entries) {
        let event = message::<Event>("an entry", &entry.signed)?;
        let event = SignedEvent::open(event)
            .map_err(|error| RecordCheckError::Wrong(vec![format!("entry {number}: {error}")]))?;
        let mut say = |what: &str| wrong.push(format!("entry {number}: {what}"));
        if entry.number != number {
            say("it has another number");
        }
        if event.header().county != county {
            say("it is of another county");
        }
        if !seen.insert(event.id()) {
            say("it stands there twice");
        }
        for what in differs(entry, &event) {
            say(&format!("{what} is not as its device signed it"));
        }
        events.push(event);
    }
    Ok(events)
}

/// What of an entry is told otherwise than its device signed it.
fn differs(entry: &RecordEntry, event: &SignedEvent) -> Vec<&'static str> {
    let header = event.header();
    let kind = Kind::try_from(header.kind).unwrap_or(Kind::Unspecified);
    let observed = header.observed.map_or(header.clock.unix_ms, |(_, to)| to);
    let claimed = Moment(observed);
    let claimed = match print::is_known(claimed) {
        true => print::rfc3339(claimed),
        false => observed.to_string(),
    };
    let by = &entry.signed_by;
    let told = [
        ("its id", entry.event == event.id().to_string()),
        ("its kind", entry.kind == super::build::kind_id(kind)),
        ("its time", entry.claimed_at == claimed),
        ("its key", by.key == header.key.to_string()),
        ("its place in its chain", by.seq == header.seq),
        ("its member", by.member == clean(&header.member)),
        ("a text beside it", texts_are_its(&entry.texts, event)),
    ];
    let differ = told.into_iter().filter(|(_, same)| !same);
    differ.map(|(what, _)| what).collect()
}

/// Whether the texts that are shown are those that the event commits to.
fn texts_are_its(texts: &[RecordText], event: &SignedEvent) -> bool {
    let mut held: Vec<String> = event
        .beside()
        .iter()
        .map(|it| String::from_utf8_lossy(&it.content).into_owned())
        .collect();
    let shown = texts.iter().filter_map(|text| text.text.as_ref());
    for text in shown {
        match held.iter().position(|it| it == text) {
            Some(at) => held.remove(at),
            None => return false,
        };
    }
    held.is_empty()
}

/// Entries and sheets by their places in the county log.
fn leaves(record: &CraftRecord, wrong: &mut Vec<String>) -> Result<Leaves, RecordCheckError> {
    let entries = record.entries.iter();
    let entries = entries.map(|it| (&it.event, it.place, it.received_unix_ms));
    let sheets = record.sheets.iter();
    let sheets = sheets.map(|it| (&it.event, it.place, it.received_unix_ms));
    let mut leaves = Leaves::new();
    for (event, place, received) in entries.chain(sheets) {
        let (Some(place), Some(received)) = (place, received) else {
            continue;
        };
        let id = EventId::parse("event", &hex("an entry's id", event)?)?;
        let Some(index) = place.checked_sub(1) else {
            wrong.push("an entry has place 0 in the county log; the first is 1".to_owned());
            continue;
        };
        if leaves.insert(index, (id, received)).is_some() {
            wrong.push(format!("two entries have place {place} in the county log"));
        }
    }
    Ok(leaves)
}

/// Whether what the record says that it rests on is what the county signed.
fn rests(record: &CraftRecord, proven: &RecordProven, wrong: &mut Vec<String>) {
    let log = &record.log;
    let Some(signed) = &proven.checkpoint else {
        return;
    };
    if log.id.as_deref() != Some(signed.log.to_string().as_str()) {
        wrong.push("the record names another county log than the county's statement".to_owned());
    }
    if log.size == signed.size && log.root != signed.root.to_string() {
        wrong.push("the root that it names is not the one that the county signed".to_owned());
    }
}

/// Whether device and station of an entry are those that the county let in with its key. What was
/// known then may have had other names for them: of it, whether the county let the key in at all.
fn signers(
    entry: &RecordEntry,
    event: &SignedEvent,
    as_known_then: bool,
    proven: &RecordProven,
    wrong: &mut Vec<String>,
) {
    let key = &event.header().key;
    let registry = &proven.registry;
    let by = &entry.signed_by;
    if by.station.is_empty() {
        return;
    }
    let let_in = registry.is_root(key) || registry.key(key).is_some();
    let device = registry
        .key(key)
        .map_or_else(String::new, |it| clean(&it.device));
    let named = by.station == station_words(registry, key) && by.device == device;
    if !let_in || !(named || as_known_then) {
        let number = entry.number;
        wrong.push(format!(
            "entry {number}: the county did not let in its key as '{}'",
            clean(&by.station)
        ));
    }
}
