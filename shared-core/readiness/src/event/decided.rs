//! What the lead decided about faults that come again.

use super::PartPlace;
use crate::ids::{FaultId, PartId};

/// A decision of the lead. By itself it changes nothing about a craft: what takes one out of
/// service is a statement of its own.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LeadDecision {
    /// What is to be done; none where the writer said none that is known here.
    pub action: Option<LeadAction>,
    /// The faults that it rests on.
    pub faults: Vec<FaultId>,
    /// Part that it is about; none for the whole thing.
    pub part: Option<PartId>,
    /// Place on the part; empty for the whole of it.
    pub place: PartPlace,
    /// Model of craft or gear; empty where it is about one thing.
    pub model: String,
    /// Maker's batch; empty where it is about none.
    pub batch: String,
}

/// What a lead can decide.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LeadAction {
    /// Repair it again.
    RepairAgain,
    /// Send it to the maker, or to a shop that the maker names.
    SendToMaker,
    /// Take it out of service.
    TakeOut,
    /// Never use it again.
    Condemn,
    /// Hold the whole batch or model, wherever it is.
    Hold,
    /// Leave it as it is, and look at it again.
    Watch,
}
