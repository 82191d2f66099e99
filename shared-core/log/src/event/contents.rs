//! Contents beside the body: committed to in the header, and free to be dropped later.

use std::collections::BTreeSet;

use sha2::{Digest as _, Sha256};
use sponson_proto::event::v1::BesideContent;

use super::{EventError, Header};
use crate::ids::Digest;

/// Greatest length of a content beside a body that is carried with its event: 64 KiB of text.
pub const BESIDE_BYTES_MAX: usize = 64 * 1024;

/// Greatest length of all contents that one event carries: four small pictures. With a body it
/// stays below 320 KiB, so that an event fits a chunk of a sync and a record of a carry file.
pub const BESIDE_TOTAL_BYTES_MAX: usize = 4 * BESIDE_BYTES_MAX;

/// Greatest length of a picture that an event commits to. It never goes with its event but as a file
/// of its own: at the usual 400,000 bytes it takes a link of 10 kB/s 40 s, and at most a hundred.
pub const PICTURE_BYTES_MAX: usize = 1_000_000;

/// Commitment to a content beside a body: SHA-256 of salt and content.
#[must_use]
pub fn commitment(salt: &[u8; 16], content: &[u8]) -> Digest {
    Digest::from_bytes(
        Sha256::new()
            .chain_update(salt)
            .chain_update(content)
            .finalize()
            .into(),
    )
}

/// Checks that every content is one of those that were signed, each at most once.
pub(super) fn check_contents(
    header: &Header,
    contents: &[BesideContent],
) -> Result<(), EventError> {
    let mut seen = BTreeSet::new();
    let mut total = 0;
    for content in contents {
        check_beside(header, content)?;
        if !seen.insert(content.index) {
            return Err(EventError::Beside {
                index: content.index,
            });
        }
        total += content.content.len();
    }
    if total <= BESIDE_TOTAL_BYTES_MAX {
        return Ok(());
    }
    Err(EventError::Value {
        field: "contents beside the body",
        value: format!("{total} bytes"),
        limit: format!(
            "at most {BESIDE_TOTAL_BYTES_MAX} go with one event: attach the rest with another"
        ),
    })
}

fn check_beside(header: &Header, content: &BesideContent) -> Result<(), EventError> {
    let refused = EventError::Beside {
        index: content.index,
    };
    let position = usize::try_from(content.index).map_err(|_| refused.clone())?;
    let committed = header.beside.get(position).ok_or(refused.clone())?;
    let salt: &[u8; 16] = content
        .salt
        .as_ref()
        .try_into()
        .map_err(|_| refused.clone())?;
    let same = commitment(salt, &content.content) == committed.commitment;
    let signed_size = usize::try_from(committed.size) == Ok(content.content.len());
    if same && signed_size && content.content.len() <= BESIDE_BYTES_MAX {
        Ok(())
    } else {
        Err(refused)
    }
}
