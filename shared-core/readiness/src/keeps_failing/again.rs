//! A place that failed again after a repair, joined to that repair.

use crate::ids::{EventId, FaultId, SubjectId};

/// The same place failed again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Again {
    /// The craft or gear.
    pub on: SubjectId,
    /// The fault.
    pub fault: FaultId,
    /// The repair that did not hold: the latest at that place before the fault was found.
    pub repair: EventId,
    /// How that repair was done.
    pub method: String,
    /// Batch of its glue; empty when not said.
    pub glue_batch: String,
    /// From the repair to the fault, seconds.
    pub after_s: u64,
    /// Whether what it repaired was signed off before the fault was found.
    pub signed_off: bool,
}
