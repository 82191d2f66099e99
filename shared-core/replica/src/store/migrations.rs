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
pub(crate) fn migrate(store: &mut Store, meta: What, steps: &[Step]) -> Result<What, OpenError> {
    let What::Store(mut meta) = meta else {
        return Err(damaged(&RowKey::Meta(b"store").bytes(), "it holds something else").into());
    };
    while meta.version != STORE_VERSION {
        let step = steps.iter().find(|step| step.from == meta.version);
        let Some(step) = step.filter(|step| step.from < STORE_VERSION) else {
            return Err(OpenError::Version {
                found: meta.version,
                known: STORE_VERSION,
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
mod tests {
    use super::*;
    use crate::store::folder::Wanted;

    fn of_version(version: u32) -> (tempfile::TempDir, Store) {
        let folder = tempfile::tempdir().expect("a folder");
        let mut store = Store::open(folder.path(), Wanted::New).expect("a new store");
        let mut chunk = Chunk::default();
        let meta = StoreMeta {
            version,
            ..StoreMeta::default()
        };
        chunk.meta(b"store", What::Store(meta));
        store.write(chunk).expect("the store is whole");
        (folder, store)
    }

    fn meta(store: &Store) -> What {
        let meta = store.meta(b"store").expect("the row is whole");
        meta.expect("it was written")
    }

    #[test]
    fn a_newer_store_needs_a_newer_program() {
        let (_folder, mut store) = of_version(STORE_VERSION + 1);
        let found = meta(&store);
        let refused = migrate(&mut store, found, STEPS).expect_err("it is newer");
        insta::assert_snapshot!(refused, @"store has version 2 and needs a newer version of this program, which knows 1");
    }

    #[test]
    fn steps_are_taken_one_after_another_and_only_once() {
        // No such version was ever released: the steps themselves are what is tried.
        let steps = [Step {
            from: 0,
            change: |store, chunk| {
                let old = store.meta(b"old name")?.expect("it was written");
                chunk.meta(b"new name", old);
                chunk.remove(&RowKey::Meta(b"old name").bytes());
                Ok(())
            },
        }];
        let (folder, mut store) = of_version(0);
        let mut chunk = Chunk::default();
        chunk.meta(b"old name", What::Store(StoreMeta::default()));
        store.write(chunk).expect("the store is whole");
        let found = meta(&store);
        migrate(&mut store, found, &steps).expect("there is a step");
        drop(store);
        let mut store = Store::open(folder.path(), Wanted::Existing).expect("it opens");
        let now = meta(&store);
        assert!(matches!(&now, What::Store(meta) if meta.version == STORE_VERSION));
        let held = |name: &[u8]| store.meta(name).expect("the row is whole").is_some();
        assert!(held(b"new name") && !held(b"old name"));
        migrate(&mut store, now, &steps).expect("nothing is to be done");
    }
}
