//! Events found in the engine's file by their own bytes, when no row leads to them any more.
//!
//! The row of an event whose body is not split is a message of four fields that follow each other:
//! body, algorithm, signature of 64 bytes, id of 32 bytes. The id is the hash of the body and the
//! signature is the device's, so nothing that is found this way can be something else.

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

use bytes::Bytes;
use sponson_log::event::{SignedEvent, event_id};
use sponson_proto::event::v1 as wire;

use crate::store::rows::PART_BYTES_MAX;

/// Tag and length of the signature, after tag and value of the algorithm that is in use.
const BEFORE_SIGNATURE: [u8; 4] = [0x10, 0x01, 0x1a, 0x40];

/// Tag and length of the id.
const BEFORE_ID: [u8; 2] = [0x2a, 0x20];

/// Tag of the body.
const BODY: u8 = 0x0a;

/// Events in files that are not among those known, in order of their chains.
pub(super) fn events(files: &[PathBuf], known: &BTreeMap<u64, SignedEvent>) -> Vec<SignedEvent> {
    let mut ids: BTreeSet<_> = known.values().map(SignedEvent::id).collect();
    let mut found = Vec::new();
    for file in files {
        let Ok(bytes) = std::fs::read(file) else {
            continue;
        };
        let events = places(&bytes).filter_map(|at| event_at(&bytes, at));
        found.extend(events.filter(|event| ids.insert(event.id())));
    }
    found.sort_by_key(|event| (event.header().key, event.header().seq, event.id()));
    found
}

fn places(bytes: &[u8]) -> impl Iterator<Item = usize> + '_ {
    let windows = bytes.windows(BEFORE_SIGNATURE.len()).enumerate();
    windows
        .filter(|(_, window)| *window == BEFORE_SIGNATURE)
        .map(|(at, _)| at)
}

/// The event whose body ends at a place.
fn event_at(bytes: &[u8], body_end: usize) -> Option<SignedEvent> {
    let (before, after) = bytes.split_at_checked(body_end)?;
    let rest = after.strip_prefix(&BEFORE_SIGNATURE)?;
    let (signature, rest) = rest.split_first_chunk::<64>()?;
    let (id, _) = rest.strip_prefix(&BEFORE_ID)?.split_first_chunk::<32>()?;
    let body = bodies(before).find(|body| event_id(body).as_bytes() == id)?;
    SignedEvent::open(wire::Event {
        body: Bytes::copy_from_slice(body),
        algorithm: wire::SignatureAlgorithm::Ed25519 as i32,
        signature: Bytes::copy_from_slice(signature),
        beside: Vec::new(),
    })
    .ok()
}

/// All stretches before a place that begin as a body of their own length does.
fn bodies(before: &[u8]) -> impl Iterator<Item = &[u8]> {
    (1..=PART_BYTES_MAX.min(before.len())).filter_map(|length| {
        let (head, body) = before.split_at_checked(before.len() - length)?;
        let mut prefix = vec![BODY];
        prost::encoding::encode_varint(length as u64, &mut prefix);
        head.ends_with(&prefix).then_some(body)
    })
}
