//! The record of a craft: everything ever checked, found and repaired, by whom, when, and what was
//! known then. One value, from which the JSON form, the printed page and the terminal are made.
//!
//! It holds words and numbers that somebody who had the log made; it judges nothing. The form
//! `sponson.record/1` is this value field by field, described in `record-schema.md`; a signature is
//! over its bytes as [`CraftRecord::to_json`] gives them.

mod page;
mod text;

use serde::{Deserialize, Serialize};

pub use page::{RECORD_STYLE, RecordOffers, record_file, record_page};
pub use text::record_report;

/// Name and version of the form.
pub const RECORD_SCHEMA: &str = "sponson.record/1";

/// Everything about one craft.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CraftRecord {
    /// [`RECORD_SCHEMA`].
    pub schema: String,
    /// What the craft is.
    pub craft: CraftIdentity,
    /// Of which time the entries are.
    pub period: Period,
    /// When, by what and by whose key it was made.
    pub made: Made,
    /// What it rests on.
    pub log: RestsOn,
    /// A first look: a sentence each.
    pub glance: Vec<String>,
    /// Where it stood, from when on.
    pub stood: Vec<Stood>,
    /// What the rules concluded at the moment that was known; none when the craft is not judged.
    pub concluded: Option<Concluded>,
    /// Faults that nobody entitled has signed off.
    pub open_faults: Vec<OpenFault>,
    /// What stations, apart, stated differently, and nobody has settled.
    pub disagreements: Vec<String>,
    /// Every entry, in the order in which they happened.
    pub entries: Vec<RecordEntry>,
    /// Boat standards and policies, in the order of their adoption.
    pub sheets: Vec<SheetAdopted>,
    /// Entries outside of the period.
    pub left_out: u64,
    /// What proves the entries; base64 of what the log's own messages are.
    pub proof: ProofForm,
    /// What decides in the end.
    pub caution: String,
}

/// What a craft is.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CraftIdentity {
    /// Its ids: more than one when it was registered more than once.
    pub ids: Vec<String>,
    /// Painted number, the newest first.
    pub numbers: Vec<String>,
    /// Model, plate, fabric, batch: as registered.
    pub facts: Vec<Fact>,
}

/// A name and a value in words.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fact {
    /// What it is.
    pub name: String,
    /// What was said.
    pub value: String,
}

/// From when until when; none for without end.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Period {
    /// From then on.
    pub from: Option<String>,
    /// Before then.
    pub until: Option<String>,
    /// Both, milliseconds since 1970.
    pub from_unix_ms: Option<i64>,
    /// Likewise.
    pub until_unix_ms: Option<i64>,
    /// In words, in local time.
    pub words: String,
}

/// Who made a record.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Made {
    /// When.
    pub at: String,
    /// The same in local time.
    pub words: String,
    /// Minutes east of UTC of every local time in it.
    pub utc_offset_min: i32,
    /// The program, with its version.
    pub program: String,
    /// Version of the rules.
    pub engine: u32,
    /// The key that signs it, and whose device that is.
    pub key: String,
    /// In words.
    pub by: String,
}

/// What a record rests on.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RestsOn {
    /// The county.
    pub county: String,
    /// The county log; none when nothing of it is held.
    pub id: Option<String>,
    /// Entries of it that were known.
    pub size: u64,
    /// Root over them.
    pub root: String,
    /// Whether the record is what was known by then, and nothing that came later.
    pub as_known_then: bool,
    /// Entries of the record that the county is not known to have stored.
    pub beyond: u64,
    /// What whoever reads it has to know of the copy that it was made from.
    pub notes: Vec<String>,
}

/// Where a craft stood.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stood {
    /// From when on, in local time.
    pub from: String,
    /// Where.
    pub place: String,
    /// The entry that says so.
    pub event: String,
}

/// What the rules concluded.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Concluded {
    /// For when, in local time.
    pub as_of: String,
    /// `ready`, `ready_with_limits`, `unproven`, `not_ready`.
    pub readiness: String,
    /// In words.
    pub words: String,
    /// Why, a sentence each, the worst first.
    pub why: Vec<String>,
}

/// A fault that is open.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OpenFault {
    /// Its name.
    pub fault: String,
    /// What, where, how bad.
    pub words: String,
    /// When found, in local time.
    pub found: String,
    /// The entry that found it.
    pub event: String,
}

/// One entry.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RecordEntry {
    /// In this record, from 1.
    pub number: u32,
    /// The event's id.
    pub event: String,
    /// Its kind, as the log names it.
    pub kind: String,
    /// Whom it is about: number of the craft, of gear that was on it, or the county.
    pub about: String,
    /// `craft`, `aboard` or `county`.
    pub via: String,
    /// What it says, in one line.
    pub what: String,
    /// All that it says.
    pub facts: Vec<Fact>,
    /// Texts beside it.
    pub texts: Vec<RecordText>,
    /// Pictures beside it.
    pub pictures: Vec<RecordPicture>,
    /// What else was said of it since: corrected, withdrawn, unconfirmed, dismissed.
    pub marks: Vec<String>,
    /// When, in words: as claimed, or between when where the claim is not believed.
    pub when: String,
    /// When the device, or the person for a late entry, said that it was.
    pub claimed_at: String,
    /// The earliest moment at which it can have happened; none when nothing bounds it.
    pub earliest: Option<String>,
    /// The latest.
    pub latest: Option<String>,
    /// Where it was entered later than observed: when it was entered.
    pub entered_at: Option<String>,
    /// When the county stored it.
    pub received_at: Option<String>,
    /// The same in local time, or why there is none.
    pub received: String,
    /// The same, milliseconds since 1970: part of what is proven.
    pub received_unix_ms: Option<i64>,
    /// Its place in the county log, from 1; none while no statement of the county shows one.
    pub place: Option<u64>,
    /// Who signed it.
    pub signed_by: SignedBy,
    /// The boat standard that a check answered, by its event.
    pub standard: Option<String>,
    /// The policy in force then, by its event.
    pub policy: Option<String>,
    /// The event as its device signed it, without what stands beside: base64.
    pub signed: String,
}

/// Who signed an entry.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SignedBy {
    /// The device's key.
    pub key: String,
    /// Its place in what the key wrote.
    pub seq: u64,
    /// What people call the device; empty for the county's own.
    pub device: String,
    /// Its station; `county` for the county's own, empty when the key is not admitted.
    pub station: String,
    /// Member number of whoever recorded it; empty when nobody gave one.
    pub member: String,
}

/// A text beside an entry.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RecordText {
    /// What it belongs to.
    pub of: String,
    /// The text; none when it is not here.
    pub text: Option<String>,
    /// Why it is not here; empty when it is.
    pub not_here: String,
}

/// A picture beside an entry.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RecordPicture {
    /// What it belongs to.
    pub of: String,
    /// SHA-256 of 16 random bytes and the picture: its name.
    pub sha256: String,
    /// Its bytes.
    pub bytes: u32,
    /// Why it was removed; empty when it was not.
    pub removed: String,
}

/// A boat standard or a policy.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SheetAdopted {
    /// The event that adopted it.
    pub event: String,
    /// `Boat standard NAME, revision N`, or `Policy`.
    pub what: String,
    /// When, in local time.
    pub adopted: String,
    /// SHA-256 of its text.
    pub text_sha256: String,
    /// When the county stored it, milliseconds since 1970.
    pub received_unix_ms: Option<i64>,
    /// Its place in the county log, from 1.
    pub place: Option<u64>,
}

/// What proves the entries.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ProofForm {
    /// The county's signed statement under which the places are proven: a `SignedCheckpoint`.
    pub checkpoint: Option<String>,
    /// Hashes of 32 bytes one behind the other.
    pub path: String,
    /// What the registry says of the keys in the record: an `Event` each.
    pub registry: Vec<String>,
}

/// A record that cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum RecordError {
    /// No JSON of the form.
    #[error("record cannot be read: {}; use the newer program", crate::clean(&.0.to_string()))]
    Form(#[from] serde_json::Error),
    /// Another form.
    #[error("record is of the form '{}'; this program reads {RECORD_SCHEMA}", crate::clean(.0))]
    Schema(String),
    /// It reads back as something else than what stands there.
    #[error("record is not written as this version writes it: use the program that wrote it")]
    Encoding,
}

impl CraftRecord {
    /// The form as text on one line, with a newline at its end; what a terminal would obey is written
    /// as an escape.
    #[must_use]
    pub fn to_json(&self) -> String {
        crate::json::written_short(self)
    }

    /// Reads the form, which must be as [`Self::to_json`] writes it.
    ///
    /// # Errors
    /// When it is not the form.
    pub fn of_json(json: &[u8]) -> Result<Self, RecordError> {
        let read: Self = serde_json::from_slice(json)?;
        if read.schema != RECORD_SCHEMA {
            return Err(RecordError::Schema(read.schema));
        }
        if read.to_json().as_bytes() == json {
            Ok(read)
        } else {
            Err(RecordError::Encoding)
        }
    }

    /// Its first number; its id where it has none.
    #[must_use]
    pub fn name(&self) -> String {
        let craft = &self.craft;
        let name = craft.numbers.first().or_else(|| craft.ids.first());
        name.map_or_else(|| "craft".to_owned(), |name| crate::clean(name))
    }

    /// The number of an entry by its event.
    #[must_use]
    pub fn number_of(&self, event: &str) -> Option<u32> {
        let mut entries = self.entries.iter();
        entries.find(|it| it.event == event).map(|it| it.number)
    }
}

/// Who signed a record, in hexadecimal digits.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RecordSignature {
    /// The key.
    pub key: String,
    /// The signature.
    pub signature: String,
    /// SHA-256 of the signed JSON.
    pub json_sha256: String,
    /// Bytes of it.
    pub json_bytes: usize,
}

/// What a record's signature and proofs show, and what they do not: a sentence each, without a
/// period.
#[must_use]
pub fn what_is_shown() -> (Vec<&'static str>, Vec<&'static str>) {
    (
        vec![
            "that each entry in it was signed by the device that is named, and not changed since",
            "that each entry with a place stands at that place in the county log, stored at that time",
            "that whoever signed the record was let in by the county",
        ],
        vec![
            "that what an entry says is true, or that the member named is the one who recorded it",
            "that no entry is missing: for that it is held against a copy of the log",
            "that an entry without a place ever reached the county",
        ],
    )
}

/// What is shown where something has nothing.
fn or_none(text: &str) -> &str {
    if text.is_empty() { "not given" } else { text }
}

#[cfg(test)]
mod tests;
