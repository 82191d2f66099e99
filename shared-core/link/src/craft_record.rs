//! The record of a craft: made from what a replica holds, signed, and checked from the file alone.

mod build;
mod check;
mod glance;
mod marks;
mod said;

use sponson_log::craft_record::{self as file, SignedJson};
use sponson_log::ids::SubjectId;
use sponson_proto::answer::v1::question::KnownBy;
use sponson_proto::service::v1::CraftRecordRequest;
use sponson_proto::service::v1::craft_record_request::KnownBy as Asked;
use sponson_readiness::moment::Moment;
use sponson_replica::{Known, Now, Replica};
use sponson_show::craft_record::{CraftRecord, RecordSignature};
use tonic::Code;

use crate::ask::known_by;
use crate::refusal::Refusal;

pub use check::{RecordCheckError, RecordChecked, check};

/// Entries of one record: 4,000 of 9 KiB of JSON, the greatest that is usual (a full check), make
/// 36 MiB; a weekly check with a use and a repair beside it fills them in 25 years.
pub const ENTRIES_MAX: usize = 4_000;

/// A record, and the file of it.
#[derive(Debug)]
pub struct RecordWritten {
    /// The record.
    pub record: CraftRecord,
    /// The signed file.
    pub file: Vec<u8>,
    /// Its signature, for print.
    pub signature: RecordSignature,
}

/// What is asked, read at the door.
#[derive(Clone, Copy, Debug)]
struct AskedFor {
    craft: SubjectId,
    known: Option<Known>,
    from: Option<Moment>,
    until: Option<Moment>,
    entries_max: usize,
}

/// Makes the record of a craft and signs it with the device's key.
///
/// # Errors
/// When the craft is not known, or what is asked cannot be.
pub fn write(
    replica: &mut Replica,
    request: &CraftRecordRequest,
    now: &Now,
    program: &str,
) -> Result<RecordWritten, Refusal> {
    write_at_most(ENTRIES_MAX, replica, request, now, program)
}

/// The same, of at most so many entries.
///
/// # Errors
/// As [`write()`].
pub fn write_at_most(
    entries_max: usize,
    replica: &mut Replica,
    request: &CraftRecordRequest,
    now: &Now,
    program: &str,
) -> Result<RecordWritten, Refusal> {
    let asked = AskedFor {
        entries_max,
        ..read(replica, request, now)?
    };
    let record = build::build(replica, &asked, now, program)?;
    let json = record.to_json().into_bytes();
    // The message has some bytes beside it.
    if json.len() + 256 > file::SORT.bytes_max {
        let bytes_max = file::SORT.bytes_max;
        return Err(too_much(format!(
            "the record has {} bytes; at most {bytes_max} go into one",
            json.len()
        )));
    }
    let (file, signed) = file::write(json, replica.key(), |what, body| replica.sign(what, body));
    let signature = signature(&signed);
    Ok(RecordWritten {
        record,
        file,
        signature,
    })
}

/// A signature in hexadecimal digits.
#[must_use]
pub fn signature(signed: &SignedJson) -> RecordSignature {
    use sha2::{Digest as _, Sha256};
    let hex = |bytes: &[u8]| data_encoding::HEXLOWER.encode(bytes);
    RecordSignature {
        key: signed.by.to_string(),
        signature: hex(&signed.signature),
        json_sha256: hex(&Sha256::digest(&signed.json)),
        json_bytes: signed.json.len(),
    }
}

fn read(replica: &Replica, request: &CraftRecordRequest, now: &Now) -> Result<AskedFor, Refusal> {
    let craft = SubjectId::parse("craft", &request.craft)
        .map_err(|error| Refusal::field(error.to_string(), "look it up by its number"))?;
    let known = request.known_by.map(|asked| match asked {
        Asked::KnownBySize(size) => KnownBy::KnownBySize(size),
        Asked::KnownByUnixMs(ms) => KnownBy::KnownByUnixMs(ms),
    });
    let known = known.map(|asked| known_by(replica, &asked, now));
    let (from, until) = (
        request.from_unix_ms.map(Moment),
        request.until_unix_ms.map(Moment),
    );
    if let (Some(from), Some(until)) = (from, until)
        && from >= until
    {
        return Err(Refusal::field(
            "the record would end before it begins".to_owned(),
            "give an end that is later than the beginning",
        ));
    }
    Ok(AskedFor {
        craft,
        known: known.transpose()?,
        from,
        until,
        entries_max: ENTRIES_MAX,
    })
}

fn too_much(what: String) -> Refusal {
    Refusal::new(
        Code::OutOfRange,
        "RECORD_TOO_LONG",
        what,
        "ask for less time: from, until",
    )
}
