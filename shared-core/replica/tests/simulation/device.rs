//! A station's device: a machine that crews write on and that meets the county.

use sponson_log::ids::{EventId, SubjectId};
use sponson_log::sync::station::StationSync;
use sponson_proto::event::v1 as wire;
use sponson_replica::Founding;

use crate::machine::{Machine, Saved};
use crate::said;

/// A device.
#[derive(Debug)]
pub(crate) struct Device {
    pub(crate) machine: Machine,
    pub(crate) station: SubjectId,
    pub(crate) sort: Sort,
    /// The sync under way.
    pub(crate) session: Option<Session>,
    /// A backup of what it had.
    pub(crate) backup: Option<Saved>,
    /// What it recorded, and when that really was.
    pub(crate) recorded: Vec<(EventId, i64)>,
    /// Whether nobody else ever wrote with its key, and it never went back to a backup.
    pub(crate) is_only_one: bool,
    /// Events that it slips into its next request.
    pub(crate) lies: Vec<wire::Event>,
}

/// What a device is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sort {
    /// As it should be.
    Honest,
    /// A store that was copied and is used beside the original.
    Copy,
    /// Its program was changed.
    Liar,
}

/// A sync under way.
#[derive(Debug)]
pub(crate) struct Session {
    pub(crate) core: StationSync,
    pub(crate) token: u64,
    /// When the request that is waited for went out.
    pub(crate) asked_at: Option<i64>,
    /// Whether a carry file was taken in meanwhile: then the core's picture is out of date.
    pub(crate) is_disturbed: bool,
}

impl Device {
    /// A device that holds nothing yet.
    pub(crate) fn join(name: &str, seed: u8, station: SubjectId, sort: Sort) -> Self {
        let county = said::county_id();
        let founding = Founding::Station { county };
        Self {
            machine: Machine::found(name, seed, seed, &founding),
            station,
            sort,
            session: None,
            backup: None,
            recorded: Vec::new(),
            is_only_one: true,
            lies: Vec::new(),
        }
    }

    /// Another device on a copy of the disk.
    pub(crate) fn copied(&self, name: String, sort: Sort) -> Self {
        let mut machine = self.machine.copied();
        machine.name = name;
        Self {
            machine,
            station: self.station,
            sort,
            session: None,
            backup: None,
            recorded: self.recorded.clone(),
            is_only_one: self.is_only_one,
            lies: Vec::new(),
        }
    }

    pub(crate) const fn is_up(&self) -> bool {
        self.machine.replica.is_some()
    }
}
