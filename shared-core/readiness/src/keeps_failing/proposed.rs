//! What to do: by the lead's own rules, each proposal with its evidence and the rule that it meets.
//! The lead decides; a proposal changes nothing.

use crate::answer::Basis;
use crate::event::{LeadAction, Severity};
use crate::history::Decided;
use crate::ids::{FaultId, SubjectId};

use super::group::Kind;
use super::place::PlaceOn;

/// What a proposal is about.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum About {
    /// A place on one craft or piece of gear.
    Place {
        /// The craft or gear.
        on: SubjectId,
        /// The place.
        place: PlaceOn,
    },
    /// One craft or piece of gear.
    Thing(SubjectId),
    /// A place on the craft of a model.
    ModelPlace {
        /// The model.
        model: String,
        /// The place.
        place: PlaceOn,
    },
    /// A maker's batch.
    Batch {
        /// Of what.
        kind: Kind,
        /// Model.
        model: String,
        /// The batch.
        batch: String,
    },
    /// A model.
    Model {
        /// Of what.
        kind: Kind,
        /// Model.
        model: String,
    },
}

/// A setting of the policy's `[recurring]` table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Setting {
    /// `repair_again_after`: repairs at the place that did not hold.
    RepairAgainAfter,
    /// `maker_after` within `maker_within`.
    MakerAfter,
    /// `take_out_after` within `take_out_within`, of faults at least as bad as `take_out_severity`.
    TakeOutAfter,
    /// `condemn_after` within `condemn_within`.
    CondemnAfter,
    /// `hold_faults` on `hold_units`, and apart from the rest.
    HoldFaults,
    /// Apart from the rest at `false_alarms_percent`.
    Apart,
    /// Getting worse at `trend_percent`.
    GettingWorse,
}

/// A rule that is met.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RuleMet {
    /// Setting.
    pub setting: Setting,
    /// What was found: a count; of `Apart` and `GettingWorse` the p, millionths.
    pub measured: u64,
    /// What the setting says, in the same unit.
    pub limit: u64,
    /// Within how many days; none where the rule has no such end.
    pub within_days: Option<u32>,
    /// Pieces on which it was found, and from how many on: of `HoldFaults`.
    pub units: Option<(u32, u32)>,
    /// Basis of the setting.
    pub basis: Basis,
    /// Source of the setting.
    pub source: &'static str,
}

/// An action whose rule is met.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Met {
    /// What to do.
    pub action: LeadAction,
    /// By which rule.
    pub rule: RuleMet,
}

/// Something that could be done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Proposal {
    /// What: of those whose rules are met the one that goes furthest.
    pub action: LeadAction,
    /// About what.
    pub about: About,
    /// The rule that is met.
    pub rule: RuleMet,
    /// What goes less far and whose rule is met too.
    pub also: Vec<Met>,
    /// The faults that it rests on, in order of time.
    pub evidence: Vec<FaultId>,
    /// Of these, still open.
    pub open: Vec<FaultId>,
    /// Worst severity of those open, else of all.
    pub worst: Severity,
    /// What the lead decided last about any of these faults.
    pub decided: Option<Decided>,
    /// What failed there after that.
    pub since: Vec<FaultId>,
}
