//! Reading: events, places in the county log and single values, each row's check sum checked.

use bytes::{Bytes, BytesMut};
use sponson_log::event::SignedEvent;
use sponson_proto::event::v1 as wire;
use sponson_proto::store::v1 as proto;

use super::Store;
use super::rows::{RowKey, damaged, decode, key_number, unseal};
use crate::errors::RowError;

impl Store {
    /// An event whole.
    pub(crate) fn event(&self, number: u64) -> Result<SignedEvent, RowError> {
        let key = RowKey::Event(number).bytes();
        let row: proto::EventRow = self
            .get(RowKey::Event(number))?
            .ok_or_else(|| damaged(&key, "it is missing"))?;
        let mut event = self.assemble(number, &key, row)?;
        event.beside = self.beside(number)?;
        SignedEvent::reopen(event).map_err(|error| damaged(&key, error))
    }

    /// How an event is signed: algorithm and signature.
    pub(crate) fn signature(&self, number: u64) -> Result<(i32, Bytes), RowError> {
        let key = RowKey::Event(number).bytes();
        let row: proto::EventRow = self
            .get(RowKey::Event(number))?
            .ok_or_else(|| damaged(&key, "it is missing"))?;
        let algorithm = i32::try_from(row.algorithm)
            .map_err(|_| damaged(&key, "its algorithm is no number of one"))?;
        Ok((algorithm, row.signature))
    }

    /// Whether there is a row of an event's number.
    pub(crate) fn has_event(&self, number: u64) -> Result<bool, RowError> {
        Ok(self.bytes(&RowKey::Event(number).bytes())?.is_some())
    }

    /// All events in order of their numbers, without their contents beside.
    pub(crate) fn events(&self) -> impl Iterator<Item = Result<(u64, SignedEvent), RowError>> + '_ {
        self.rows(b'e').map(|row| {
            let (key, value) = row?;
            let number = key_number(&key)?;
            let row: proto::EventRow = decode(&key, &value)?;
            let id = row.id.clone();
            let event = SignedEvent::reopen(self.assemble(number, &key, row)?)
                .map_err(|error| damaged(&key, error))?;
            if event.id().as_bytes() == id.as_ref() {
                Ok((number, event))
            } else {
                Err(damaged(&key, "its id is not that of its body"))
            }
        })
    }

    fn assemble(
        &self,
        number: u64,
        key: &[u8],
        row: proto::EventRow,
    ) -> Result<wire::Event, RowError> {
        let body = if row.parts == 0 {
            row.body
        } else {
            let parts = self.parts(row.parts, |part| RowKey::BodyPart(number, part))?;
            joined(&row.body, &parts)
        };
        Ok(wire::Event {
            body,
            algorithm: i32::try_from(row.algorithm)
                .map_err(|_| damaged(key, "its algorithm is no number of one"))?,
            signature: row.signature,
            beside: Vec::new(),
        })
    }

    fn parts(
        &self,
        count: u32,
        key_of: impl Fn(u16) -> RowKey<'static>,
    ) -> Result<BytesMut, RowError> {
        let mut whole = BytesMut::new();
        for part in 1..=count {
            let part = u16::try_from(part).unwrap_or(u16::MAX);
            let key = key_of(part).bytes();
            let row = self.bytes(&key)?;
            let row = row.ok_or_else(|| damaged(&key, "it is missing"))?;
            whole.extend_from_slice(unseal(&key, &row)?);
        }
        Ok(whole)
    }

    /// A content beside an event, as far as it is still here: its first row.
    pub(crate) fn beside_row(
        &self,
        number: u64,
        index: u16,
    ) -> Result<Option<proto::BesideRow>, RowError> {
        let row: Option<proto::BesideRow> = self.get(RowKey::Beside(number, index))?;
        Ok(row.filter(|row| !row.dropped))
    }

    fn beside(&self, number: u64) -> Result<Vec<wire::BesideContent>, RowError> {
        let mut prefix = vec![b't'];
        prefix.extend_from_slice(&number.to_be_bytes());
        let mut contents = Vec::new();
        for row in self.place.scan(&prefix) {
            let (key, value) = row?;
            let index = key
                .get(9..11)
                .and_then(|index| <[u8; 2]>::try_from(index).ok())
                .map(u16::from_be_bytes)
                .ok_or_else(|| damaged(&key, "its key has another length"))?;
            let row: proto::BesideRow = decode(&key, &value)?;
            if row.dropped {
                continue;
            }
            let parts = self.parts(row.parts, |part| RowKey::BesidePart(number, index, part))?;
            contents.push(wire::BesideContent {
                index: u32::from(index),
                salt: row.salt,
                content: joined(&row.content, &parts),
            });
        }
        Ok(contents)
    }

    /// Places in the county log, in order: number and received time of each.
    pub(crate) fn places(&self) -> Result<Vec<(u64, i64)>, RowError> {
        let mut places = Vec::new();
        for row in self.rows(b'l') {
            let (key, value) = row?;
            let run: proto::LeafRun = decode(&key, &value)?;
            if key_number(&key)? != places.len() as u64 {
                return Err(damaged(&key, "the run before it is missing or longer"));
            }
            if run.numbers.len() != run.received_unix_ms.len() {
                return Err(damaged(&key, "its two lists differ in length"));
            }
            places.extend(run.numbers.into_iter().zip(run.received_unix_ms));
        }
        Ok(places)
    }

    /// Keys of all rows with places.
    pub(crate) fn place_keys(&self) -> Result<Vec<Vec<u8>>, RowError> {
        self.rows(b'l')
            .map(|row| row.map(|(key, _)| key.to_vec()))
            .collect()
    }

    /// A single value by name.
    pub(crate) fn meta(&self, name: &[u8]) -> Result<Option<proto::meta_row::What>, RowError> {
        let row: Option<proto::MetaRow> = self.get(RowKey::Meta(name))?;
        Ok(row.and_then(|row| row.what))
    }

    /// All single values whose names begin so, with the rest of their names.
    pub(crate) fn metas(
        &self,
        name: &[u8],
    ) -> Result<Vec<(Vec<u8>, proto::meta_row::What)>, RowError> {
        let prefix = RowKey::Meta(name).bytes();
        let mut found = Vec::new();
        for row in self.place.scan(&prefix) {
            let (key, value) = row?;
            let row: proto::MetaRow = decode(&key, &value)?;
            let rest = key.get(prefix.len()..).unwrap_or_default().to_vec();
            found.extend(row.what.map(|what| (rest, what)));
        }
        Ok(found)
    }
}

fn joined(first: &[u8], rest: &[u8]) -> Bytes {
    let mut whole = BytesMut::with_capacity(first.len() + rest.len());
    whole.extend_from_slice(first);
    whole.extend_from_slice(rest);
    whole.freeze()
}
