//! Writing: everything of one chunk in one batch.

use prost::Message as _;
use sponson_log::event::SignedEvent;
use sponson_proto::event::v1::BesideContent;
use sponson_proto::store::v1 as proto;

use super::Store;
use super::rows::{LEAVES_MAX, PART_BYTES_MAX, RowKey, seal};
use crate::errors::StoreError;

/// One row to be written; without a value it is taken away.
pub(super) type Row = (Vec<u8>, Option<Vec<u8>>);

/// Why rows were not written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum WriteFailed {
    /// The disk or the engine says so.
    Refused(String),
    /// It did not come back: what is on the disk then is not known.
    NoAnswer(String),
}

/// Rows that become durable together or not at all.
#[derive(Debug, Default)]
pub(crate) struct Chunk {
    batch: Vec<Row>,
}

impl Chunk {
    fn put(&mut self, key: RowKey<'_>, value: Vec<u8>) {
        self.batch.push((key.bytes(), Some(seal(value))));
    }

    /// An event with its contents beside.
    pub(crate) fn event(&mut self, number: u64, event: &SignedEvent) {
        let wire = event.to_wire();
        let mut body = wire.body.chunks(PART_BYTES_MAX);
        let first = body.next().unwrap_or_default();
        let row = proto::EventRow {
            body: wire.body.slice_ref(first),
            algorithm: wire.algorithm.unsigned_abs(),
            signature: wire.signature.clone(),
            parts: u32::from(count_parts(wire.body.len())),
            id: event.id().to_bytes(),
        };
        self.put(RowKey::Event(number), row.encode_to_vec());
        for (part, bytes) in (1..).zip(body) {
            self.put(RowKey::BodyPart(number, part), bytes.to_vec());
        }
        for content in &wire.beside {
            self.beside(number, content);
        }
    }

    fn beside(&mut self, number: u64, content: &BesideContent) {
        // The position was checked against the header, and a body of 64 KiB holds fewer than
        // 2,000 commitments of at least 34 bytes.
        let Ok(index) = u16::try_from(content.index) else {
            return;
        };
        let mut bytes = content.content.chunks(PART_BYTES_MAX);
        let first = bytes.next().unwrap_or_default();
        let row = proto::BesideRow {
            salt: content.salt.clone(),
            content: content.content.slice_ref(first),
            dropped: false,
            parts: u32::from(count_parts(content.content.len())),
        };
        self.put(RowKey::Beside(number, index), row.encode_to_vec());
        for (part, bytes) in (1..).zip(bytes) {
            self.put(RowKey::BesidePart(number, index, part), bytes.to_vec());
        }
    }

    /// A content beside an event is gone: its row says so, and further parts go.
    pub(crate) fn drop_beside(&mut self, number: u64, index: u16, row: &proto::BesideRow) {
        let dropped = proto::BesideRow {
            dropped: true,
            ..proto::BesideRow::default()
        };
        self.put(RowKey::Beside(number, index), dropped.encode_to_vec());
        for part in 1..=u16::try_from(row.parts).unwrap_or(u16::MAX) {
            self.remove(&RowKey::BesidePart(number, index, part).bytes());
        }
    }

    /// Whether nothing is to be written.
    pub(crate) const fn is_empty(&self) -> bool {
        self.batch.is_empty()
    }

    /// What was kept as one chunk.
    pub(crate) fn chunk(&mut self, first: u64, row: proto::ChunkRow) {
        self.put(RowKey::Chunk(first), row.encode_to_vec());
    }

    /// Places in the county log from an index on: number and received time of each.
    pub(crate) fn leaves(&mut self, first: u64, places: &[(u64, i64)]) {
        let mut index = first;
        for run in places.chunks(LEAVES_MAX) {
            let row = proto::LeafRun {
                numbers: run.iter().map(|place| place.0).collect(),
                received_unix_ms: run.iter().map(|place| place.1).collect(),
            };
            self.put(RowKey::Leaves(index), row.encode_to_vec());
            index += run.len() as u64;
        }
    }

    /// A single value by name.
    pub(crate) fn meta(&mut self, name: &[u8], what: proto::meta_row::What) {
        self.put(RowKey::Meta(name), super::rows::meta(what).encode_to_vec());
    }

    /// Takes a row away.
    pub(crate) fn remove(&mut self, key: &[u8]) {
        self.batch.push((key.to_vec(), None));
    }
}

impl Store {
    /// Makes a chunk durable. After an error nothing is written again.
    pub(crate) fn write(&mut self, chunk: Chunk) -> Result<(), StoreError> {
        self.commit(chunk.batch)
    }
}

/// How many further rows so many bytes need after the first.
fn count_parts(length: usize) -> u16 {
    let further = length.div_ceil(PART_BYTES_MAX).saturating_sub(1);
    u16::try_from(further).unwrap_or(u16::MAX)
}
