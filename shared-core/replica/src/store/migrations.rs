//! Stores of earlier versions: numbered steps, each from one version to the next.
//!
//! A step and the new version become durable as one batch, so a cut leaves either version whole. A
//! store of a later version is refused: it may hold what this program would read wrongly.

use sponson_proto::store::v1::StoreMeta;
use sponson_proto::store::v1::meta_row::What;

use super::Store;
use super::rows::{RowKey, damaged};
use super::write::Chunk;
use crate::errors::{OpenError, RowError};

/// Version of the rows that this program writes and reads.
pub(crate) const STORE_VERSION: u32 = 1;

/// One step.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Step {
    /// The version that it begins from.
    pub(crate) from: u32,
    /// Puts what changes into the batch.
    pub(crate) change: fn(&Store, &mut Chunk) -> Result<(), RowError>,
}

/// All steps, oldest first. There was no version before 1.
pub(crate) const STEPS: &[Step] = &[];

/// Brings a store to the version that is known, step by step.
pub(crate) fn migrate(store: &mut Store, meta: What) -> Result<What, OpenError> {
    bring_up(store, meta, STEPS, STORE_VERSION)
}

/// The same with these steps, to a version that is given.
fn bring_up(store: &mut Store, meta: What, steps: &[Step], known: u32) -> Result<What, OpenError> {
    let What::Store(mut meta) = meta else {
        return Err(damaged(&RowKey::Meta(b"store").bytes(), "it holds something else").into());
    };
    while meta.version != known {
        let step = steps.iter().find(|step| step.from == meta.version);
        let Some(step) = step.filter(|step| step.from < known) else {
            return Err(OpenError::Version {
                found: meta.version,
                known,
            });
        };
        let next = StoreMeta {
            version: meta.version + 1,
            ..meta
        };
        let mut chunk = Chunk::default();
        (step.change)(store, &mut chunk)?;
        chunk.meta(b"store", What::Store(next.clone()));
        store.write(chunk)?;
        tracing::info!(store.version = next.version, "the store was brought up");
        meta = next;
    }
    Ok(What::Store(meta))
}

#[cfg(test)]
mod tests;
