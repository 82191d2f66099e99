//! Files that are given away: backup, record of a craft, signed answer.
//!
//! As in [`crate::files`], digests and signatures are made right first; the file as it came is read
//! as well.

use bytes::Bytes;
use prost::Message as _;
use sha2::{Digest as _, Sha256};
use sponson_log::craft_record as record_file;
use sponson_log::ids::Key;
use sponson_log::sealed::seal;
use sponson_log::sign::Signed;
use sponson_proto::answer::v1 as answer;
use sponson_proto::event::v1::SignatureAlgorithm;
use sponson_proto::store::v1 as backup;
use sponson_server::backup::Backup;

use crate::county::{self, Who};
use crate::files::{RECORDS_MAX, message};
use crate::said::refused;

/// Reads a backup, and the log in it.
///
/// # Panics
/// When the log in it is taken and is not the county's that it names.
pub fn backup_file(data: &[u8]) {
    let made_right = backup_made_right(data);
    for file in [data, &made_right] {
        match Backup::read(file) {
            Ok(backup) => saved_log(&backup),
            Err(error) => refused(&error.to_string()),
        }
    }
}

fn saved_log(backup: &Backup) {
    match sponson_link::restoring::SavedLog::read(&backup.log) {
        Ok(saved) => assert!(saved.size() > 0, "a log of nothing was taken"),
        Err(error) => refused(&error.to_string()),
    }
}

/// The same records up to the end, which gets its right check sum.
fn backup_made_right(data: &[u8]) -> Vec<u8> {
    const MAGIC: &[u8] = b"sponson backup 1\n";
    let mut file = MAGIC.to_vec();
    let mut rest = data.strip_prefix(MAGIC).unwrap_or(data);
    for _ in 0..RECORDS_MAX {
        let Some((length, after)) = rest.split_first_chunk::<4>() else {
            break;
        };
        let length = usize::try_from(u32::from_be_bytes(*length)).unwrap_or(usize::MAX);
        let (record, after) = after.split_at(length.min(after.len()));
        if let Ok(record) = backup::BackupRecord::decode(record)
            && !matches!(record.what, Some(backup::backup_record::What::End(_)))
        {
            put(&mut file, &record);
        }
        rest = after;
    }
    let end = backup::BackupEnd {
        sha256: Bytes::copy_from_slice(&Sha256::digest(&file)),
    };
    let what = Some(backup::backup_record::What::End(end));
    put(&mut file, &backup::BackupRecord { what });
    file
}

fn put(file: &mut Vec<u8>, record: &backup::BackupRecord) {
    let record = record.encode_to_vec();
    let length = u32::try_from(record.len()).unwrap_or(u32::MAX);
    file.extend(length.to_be_bytes());
    file.extend(record);
}

/// Checks the record of a craft; what is tried as well is its JSON, signed by the station.
///
/// # Panics
/// When an accepted record is of another county than was meant.
pub fn craft_record(data: &[u8]) {
    let by = county::key(Who::North);
    let json = match record_file::open(data) {
        Ok(signed) => signed.json.to_vec(),
        Err(_) => message(record_file::SORT, data).to_vec(),
    };
    let (signed, _) = record_file::write(json, by.key(), |what, body| by.sign(what, body));
    for file in [data, &signed] {
        match sponson_link::craft_record::check(file, Some(county::county_id())) {
            Ok(checked) => {
                let (placed, all) = checked.proven;
                assert!(placed <= all, "more is proven than there is");
                assert_eq!(checked.record.log.county, county::county_id().to_string());
            }
            Err(error) => refused(&error.to_string()),
        }
    }
}

/// Checks a signed answer against what the county holds; what is tried as well is the answer in it,
/// signed by the station.
///
/// # Panics
/// When a refusal obeys no bounds.
pub fn signed_answer(data: &[u8]) {
    let mut files = vec![data.to_vec()];
    let body = answer::SignedAnswer::decode(message(sponson_link::given::SORT, data))
        .map(|signed| signed.body);
    let body =
        body.unwrap_or_else(|_| Bytes::copy_from_slice(message(sponson_link::given::SORT, data)));
    if let Ok(mut given) = answer::AnswerGiven::decode(body) {
        let by = county::key(Who::North);
        given.county_id = county::county_id().to_bytes();
        given.key = Key::to_bytes(by.key());
        let body = given.encode_to_vec();
        let signature = by.sign(Signed::Answer, &body);
        let signed = answer::SignedAnswer {
            body: body.into(),
            algorithm: (SignatureAlgorithm::Ed25519 as i32).unsigned_abs(),
            signature: Bytes::copy_from_slice(&signature),
        };
        files.push(seal(sponson_link::given::SORT, &signed.encode_to_vec()));
    }
    let mut county = county::county();
    for file in files {
        match sponson_link::given::check(&mut county, &file) {
            Ok(_) => {}
            Err(error) => refused(&error.to_string()),
        }
    }
}
