//! Files that people carry: carry file and proof.
//!
//! What a digest or a signature would refuse at once is made right first, so that the bytes behind
//! it are reached; the file as it came is read as well.

use prost::Message as _;
use sponson_log::sealed::Sort;
use sponson_log::{carry, event_proof};
use sponson_proto::carry::v1::CarryRecord;
use sponson_proto::carry::v1::carry_record::What;
use sponson_proto::sync::v1::county_entry::What as EntryWhat;

use crate::county::{self, DAY, START, Who};
use crate::said::refused;

/// Records of one file that are made right; the rest of the bytes is left.
pub(crate) const RECORDS_MAX: usize = 32;

/// Reads a carry file and takes it in.
///
/// # Panics
/// When what is read is written otherwise, or when a station that took it in does not verify.
pub fn carry_file(data: &[u8]) {
    match carry::read(data) {
        Ok(records) => written_again(&records),
        Err(error) => refused(&error.to_string()),
    }
    let file = carry_made_right(data);
    let mut station = county::station();
    let before = station.held();
    match station.carry_in(&file, START + 3 * DAY) {
        Ok(kept) => {
            let wrong = station.verify(&mut |_, _| {});
            let damage = wrong.wrong.len() - usize::try_from(wrong.parted).unwrap_or(0);
            assert!(damage == 0, "kept what does not verify: {:?}", wrong.wrong);
            for not_kept in &kept.refused {
                refused(&not_kept.detail);
            }
        }
        Err(error) => {
            refused(&error.to_string());
            assert_eq!(station.held(), before, "a refused file left something");
        }
    }
}

fn written_again(records: &[CarryRecord]) {
    let mut file = carry::MAGIC.to_vec();
    for record in records {
        file.extend(carry::frame(record));
    }
    let again = carry::read(&file);
    assert_eq!(
        again.as_deref(),
        Ok(records),
        "a carry file reads otherwise"
    );
}

/// The same records with right digests and signatures, as far as the keys are known here.
fn carry_made_right(data: &[u8]) -> Vec<u8> {
    let mut file = carry::MAGIC.to_vec();
    let mut rest = data.strip_prefix(carry::MAGIC.as_slice()).unwrap_or(data);
    for _ in 0..RECORDS_MAX {
        let Some((record, after)) = framed(rest) else {
            break;
        };
        if let Ok(mut record) = CarryRecord::decode(record) {
            sign_record(&mut record);
            file.extend(carry::frame(&record));
        }
        rest = after;
    }
    file
}

/// A length of four bytes, a digest that nobody looks at, and so many bytes, or what is left.
fn framed(rest: &[u8]) -> Option<(&[u8], &[u8])> {
    let (head, rest) = rest.split_first_chunk::<36>()?;
    let length = u32::from_be_bytes([head[0], head[1], head[2], head[3]]);
    let length = usize::try_from(length).unwrap_or(usize::MAX);
    Some(rest.split_at(length.min(rest.len())))
}

fn sign_record(record: &mut CarryRecord) {
    match &mut record.what {
        Some(What::CountyRun(run)) => {
            for entry in &mut run.entries {
                if let Some(EntryWhat::Event(event)) = &mut entry.what {
                    county::sign_again(event);
                }
            }
        }
        Some(What::EventRun(run)) => run.events.iter_mut().for_each(county::sign_again),
        Some(What::End(end)) => {
            if let Some(checkpoint) = &mut end.checkpoint {
                county::sign_checkpoint(checkpoint);
            }
        }
        Some(What::Start(_)) | None => {}
    }
}

/// Checks a proof file; what is tried as well is the message in it, signed by whoever it names.
///
/// # Panics
/// When an accepted proof is of another county than was meant.
pub fn proof_file(data: &[u8]) {
    let mut files = vec![data.to_vec()];
    if let Ok(mut proof) =
        sponson_proto::proof::v1::EventProof::decode(message(event_proof::SORT, data))
    {
        proof.event.iter_mut().for_each(county::sign_again);
        proof.registry.iter_mut().for_each(county::sign_again);
        proof.chain.iter_mut().for_each(county::sign_again);
        if let Some(checkpoint) = &mut proof.checkpoint {
            county::sign_checkpoint(checkpoint);
        }
        let by = if proof.received_unix_ms % 2 == 0 {
            Who::North
        } else {
            Who::Working
        };
        let by = county::key(by);
        files.push(event_proof::write(proof, by.key(), |what, body| {
            by.sign(what, body)
        }));
    }
    for file in files {
        match event_proof::check(&file, Some(county::county_id())) {
            Ok(proven) => assert_eq!(proven.county, county::county_id()),
            Err(error) => refused(&error.to_string()),
        }
    }
}

/// The message in a file of one message, whatever its length and digest say; all of it where it does
/// not begin as such a file.
pub(crate) fn message(sort: Sort, data: &[u8]) -> &[u8] {
    match data.strip_prefix(sort.magic) {
        Some(rest) => rest.get(36..).unwrap_or_default(),
        None => data,
    }
}
