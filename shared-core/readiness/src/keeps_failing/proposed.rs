//! What to do: by the lead's own rules, each proposal with its evidence and the rule that it meets.
//! The lead decides; a proposal changes nothing.
//!
//! Of repairs at one place on one thing that did not hold, within the time that the rule says up to
//! the asked moment: repair again, the maker, out of service, condemn; what goes furthest is proposed,
//! the rest stands beside. Nothing is proposed about a thing that has ended. A maker's batch or a
//! model that fails apart from the rest, with so many faults on so many pieces, is to be held
//! everywhere; a model only if it does without the batches of it that are proposed. What else fails
//! apart from the rest, or is getting worse, is to be watched, unless the greater part of its faults
//! stands under a proposal already.
//!
//! In order: what was decided or is held and has not failed since comes last; then by safety: open
//! before over, the worst severity first; then by how far the action goes, the number of faults, and
//! what it is about.

mod held;
mod place;
mod watch;

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use crate::answer::Basis;
use crate::event::{LeadAction, Severity};
use crate::history::{Decided, FaultPast, History};
use crate::ids::{EventId, FaultId, ModelId, SubjectId};
use crate::standard::{Policy, RecurringPolicy, Standard};

use super::counted::Faults;
use super::group::Kind;
use super::place::PlaceOn;
use super::sliced::Seen;
use super::{Asked, Grouping};

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
    /// `hold_faults` on `hold_units`, and apart from the rest at `hold_apart_percent`.
    HoldFaults,
    /// Apart from the rest at `false_alarms_percent`, or for a hold at `hold_apart_percent`.
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
    /// The county-wide hold that is in force over it.
    pub held: Option<EventId>,
}

/// Everything that is proposed, the most pressing first.
pub(super) fn proposals(
    history: &History,
    standards: &BTreeMap<ModelId, Standard>,
    policy: &Policy,
    faults: &Faults<'_>,
) -> Vec<Proposal> {
    // Whatever was asked: all faults, by calendar.
    let asked = Asked::all(Grouping::CraftPlace);
    let seen = Seen::of(history, standards, policy, &asked, faults);
    let rules = &policy.recurring;
    let mut proposals = place::proposals(&seen, rules);
    proposals.extend(held::proposals(&seen, rules));
    watch::add(&mut proposals, &seen, rules);
    let mut proposals: Vec<Proposal> = proposals
        .into_iter()
        .map(|proposal| decided(proposal, history))
        .collect();
    proposals.sort_by(|one, other| rank(one).cmp(&rank(other)));
    proposals
}

/// Adds what the lead decided last about any of the faults, what failed there since, and the hold
/// that is in force.
fn decided(mut proposal: Proposal, history: &History) -> Proposal {
    let evidence: BTreeSet<FaultId> = proposal.evidence.iter().copied().collect();
    let about = |decided: &&Decided| decided.faults.iter().any(|id| evidence.contains(id));
    let last = history
        .decisions
        .iter()
        .filter(about)
        .max_by_key(|decided| (decided.at, decided.event));
    if let Some(decided) = last {
        let faults = history.faults().into_iter();
        proposal.since = faults
            .filter(|fault| evidence.contains(&fault.id) && fault.found > decided.at)
            .map(|fault| fault.id)
            .collect();
        proposal.decided = Some(decided.clone());
    }
    let (model, batch) = match &proposal.about {
        About::Batch { model, batch, .. } => (model, batch.as_str()),
        About::Model { model, .. } => (model, ""),
        About::Place { .. } | About::Thing(_) | About::ModelPlace { .. } => return proposal,
    };
    let holds = history.holds.iter().filter(|held| held.lifted.is_none());
    let over = holds.filter(|held| {
        let of = &held.hold;
        let fits = |held: &str, own: &str| held.is_empty() || held == own;
        let names = !of.model.is_empty() || !of.batch.is_empty();
        names && fits(&of.model, model) && fits(&of.batch, batch) && of.part.is_empty()
    });
    proposal.held = over
        .max_by_key(|held| (held.at, held.event))
        .map(|held| held.event);
    proposal
}

type Rank<'a> = (bool, bool, Severity, Reverse<u8>, Reverse<usize>, &'a About);

fn rank(proposal: &Proposal) -> Rank<'_> {
    let is_dealt_with =
        (proposal.decided.is_some() && proposal.since.is_empty()) || proposal.held.is_some();
    (
        is_dealt_with,
        proposal.open.is_empty(),
        proposal.worst,
        Reverse(how_far(proposal.action)),
        Reverse(proposal.evidence.len()),
        &proposal.about,
    )
}

/// How far an action goes.
const fn how_far(action: LeadAction) -> u8 {
    match action {
        LeadAction::Watch => 0,
        LeadAction::RepairAgain => 1,
        LeadAction::SendToMaker => 2,
        LeadAction::TakeOut => 3,
        LeadAction::Condemn => 4,
        LeadAction::Hold => 5,
    }
}

/// A rule by the policy's own settings.
const fn rule(setting: Setting, measured: u64, limit: u64) -> RuleMet {
    let (basis, source) = RecurringPolicy::SOURCE;
    RuleMet {
        setting,
        measured,
        limit,
        within_days: None,
        units: None,
        basis,
        source,
    }
}

/// A proposal from the rules that are met and the faults that they rest on; none where either is
/// empty.
fn proposed(about: About, mut met: Vec<Met>, mut faults: Vec<&FaultPast>) -> Option<Proposal> {
    met.sort_by_key(|met| how_far(met.action));
    let furthest = met.pop()?;
    met.reverse();
    faults.sort_by_key(|fault| (fault.found, fault.id));
    let open: Vec<&FaultPast> = faults
        .iter()
        .copied()
        .filter(|fault| fault.over.is_none())
        .collect();
    let worst = |faults: &[&FaultPast]| faults.iter().map(|fault| fault.severity).min();
    let ids = |faults: &[&FaultPast]| faults.iter().map(|fault| fault.id).collect();
    Some(Proposal {
        action: furthest.action,
        about,
        rule: furthest.rule,
        also: met,
        worst: worst(&open).or_else(|| worst(&faults))?,
        evidence: ids(&faults),
        open: ids(&open),
        decided: None,
        since: Vec::new(),
        held: None,
    })
}
