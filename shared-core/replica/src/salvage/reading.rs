//! Reading a copy through the engine, row by row: one that cannot be read does not hide the others.

use std::panic::AssertUnwindSafe;
use std::path::Path;

use sponson_log::checkpoint::Checkpoint;
use sponson_proto::store::v1 as proto;
use sponson_proto::store::v1::meta_row::What;

use super::{Salvaged, StoreOf, Whose};
use crate::errors::OpenError;
use crate::replica::read_store_meta;
use crate::store::Store;
use crate::store::folder::{OPENING, Wanted, panic_text};
use crate::store::rows::{decode, key_number};

/// Numbers without a row after which no further one is looked for, beyond what was acknowledged:
/// one chunk of the most events that are kept as one batch.
const GAP_MAX: u64 = 1_000;

/// Lines of what is wrong: more help nobody.
const WRONG_LINES_MAX: usize = 100;

/// Reads what can be read. The engine may panic at any row.
///
/// # Errors
/// When the system refuses to open the copy: then nothing is known of what can be read in it, and
/// nothing of it may be taken for lost.
pub(crate) fn read(folder: &Path, kept: Option<u64>) -> std::io::Result<Salvaged> {
    let mut read = Salvaged {
        kept,
        ..Salvaged::default()
    };
    let store = match Store::open(folder, Wanted::Existing) {
        Ok(store) => store,
        Err(OpenError::Folder { what, detail, .. }) if what == OPENING => {
            return Err(std::io::Error::other(detail));
        }
        Err(error @ (OpenError::NoRoom { .. } | OpenError::NoThread { .. })) => {
            return Err(std::io::Error::other(error));
        }
        Err(error) => {
            read.wrong.push(error.to_string());
            return Ok(read);
        }
    };
    read_meta(&store, &mut read);
    read_events(&store, &mut read);
    read_chunks(&store, &mut read);
    match caught(|| store.places()) {
        Ok(Ok(places)) => read.places = places,
        Ok(Err(error)) => wrong(&mut read, error.to_string()),
        Err(panic) => wrong(&mut read, panic),
    }
    // Closing a damaged engine may panic too, and what was read stays read.
    let closed = caught(move || drop(store));
    if let Err(panic) = closed {
        wrong(&mut read, panic);
    }
    Ok(read)
}

fn caught<T>(work: impl FnOnce() -> T) -> Result<T, String> {
    std::panic::catch_unwind(AssertUnwindSafe(work)).map_err(|panic| panic_text(panic.as_ref()))
}

fn wrong(read: &mut Salvaged, line: String) {
    if read.wrong.len() < WRONG_LINES_MAX {
        read.wrong.push(line);
    }
}

fn read_meta(store: &Store, read: &mut Salvaged) {
    let whose = caught(|| {
        let meta = store.meta(b"store").map_err(|error| error.to_string())?;
        let meta = meta.ok_or("the row that says whose the store is, is missing")?;
        let (key, county, standing) = read_store_meta(meta).map_err(|error| error.to_string())?;
        let role = if standing.is_county() {
            StoreOf::County
        } else {
            StoreOf::Station
        };
        Ok::<_, String>(Whose { county, key, role })
    });
    match whose.flatten() {
        Ok(whose) => read.whose = Some(whose),
        Err(line) => wrong(read, line),
    }
    let checkpoint = caught(|| {
        let meta = store
            .meta(b"checkpoint")
            .map_err(|error| error.to_string())?;
        let Some(What::Checkpoint(signed)) = meta else {
            return Ok(None);
        };
        Checkpoint::open(signed)
            .map(Some)
            .map_err(|error| error.to_string())
    });
    match checkpoint.flatten() {
        Ok(checkpoint) => read.checkpoint = checkpoint,
        Err(line) => wrong(read, line),
    }
}

fn read_events(store: &Store, read: &mut Salvaged) {
    let mut number = 0;
    let mut gap = 0;
    while number < read.kept.unwrap_or(0) || gap < GAP_MAX {
        let event = caught(|| {
            let there = store.has_event(number).map_err(|error| error.to_string())?;
            if !there {
                return Ok(None);
            }
            let event = store.event(number).map_err(|error| error.to_string())?;
            event
                .verify()
                .map_err(|error| format!("event {number}: {error}"))?;
            Ok(Some(event))
        });
        gap += 1;
        match event.flatten() {
            Ok(Some(event)) => {
                read.events.insert(number, event);
                gap = 0;
            }
            Ok(None) => {}
            Err(line) => wrong(read, line),
        }
        number += 1;
    }
}

/// Which numbers came from the county. A chunk that cannot be read leaves that open.
fn read_chunks(store: &Store, read: &mut Salvaged) {
    let chunks = caught(|| {
        let mut chunks = Vec::new();
        // Ends at the first row that cannot be read: the engine might give it for ever.
        for row in store.rows(b'c') {
            let Ok((key, value)) = row else { break };
            if let (Ok(first), Ok(row)) =
                (key_number(&key), decode::<proto::ChunkRow>(&key, &value))
            {
                chunks.push((first, row));
            }
        }
        chunks
    });
    for (first, row) in chunks.unwrap_or_default() {
        if row.source() == proto::ChunkSource::County {
            read.from_county
                .extend(first..first.saturating_add(u64::from(row.count)));
        }
    }
}
