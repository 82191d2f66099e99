//! Making the store of a folder small.

use std::path::Path;

use sponson_log::sign::DeviceKey;

use super::Replica;
use crate::errors::CompactError;
use crate::store::compact::{Compacted, compact};

impl Replica {
    /// Writes the store of a folder anew, so that it takes no more room than what it holds needs.
    /// What it holds stays as it is. Nobody may have it open.
    ///
    /// # Errors
    /// When it does not open or is not whole, or the disk has no room for a second one meanwhile.
    /// Then it is as it was.
    pub fn compact(folder: &Path, key: DeviceKey) -> Result<Compacted, CompactError> {
        // A damaged one is for salvage: what can still be read of it must not be written over.
        drop(Self::open(folder, key)?);
        compact(folder)
    }
}
