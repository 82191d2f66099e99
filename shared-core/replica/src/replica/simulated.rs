//! A replica on a simulated disk, for tests that play many replicas in one process. No program
//! offers it: what is kept there ends with the process.

use std::path::Path;

use sponson_log::sign::DeviceKey;

use super::{Replica, founded};
use crate::errors::OpenError;
use crate::store::Store;
use crate::store::simulated::SimulatedDisk;
use crate::values::Founding;

/// What messages say in place of a folder.
const NAMED: &str = "(simulated)";

impl Replica {
    /// Makes a new store on a simulated disk that holds none.
    ///
    /// # Errors
    /// When the disk holds a store or has no power.
    pub fn create_simulated(
        disk: &SimulatedDisk,
        founding: &Founding,
        key: DeviceKey,
    ) -> Result<Self, OpenError> {
        let founded = founded(founding)?;
        Self::create_in(Store::simulated(disk), Path::new(NAMED), key, founded)
    }

    /// Opens the store of a simulated disk.
    ///
    /// # Errors
    /// As [`Replica::open`].
    pub fn open_simulated(disk: &SimulatedDisk, key: DeviceKey) -> Result<Self, OpenError> {
        Self::open_in(Store::simulated(disk), Path::new(NAMED), key)
    }
}
