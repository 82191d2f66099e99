//! What keeps failing, in words and rounded figures: made once, shown as page, text, list and JSON.
//!
//! The first line of each group is plain; its statistics stand in [`GroupSaid::figures`], one step
//! behind. It counts nothing and decides nothing: that is `keeps_failing` of the readiness crate.

mod figure;
mod names;
mod of;
mod said;
mod statistics;
#[cfg(test)]
mod tests;

use serde::Serialize;
use sponson_readiness::event::PartPlace;
use sponson_readiness::ids::{EventId, FaultId, ModelId, PartId, SubjectId};
use sponson_readiness::moment::Moment;

pub use figure::{Figure, Figures, Number};
pub use names::{Past, action, severity};

/// What keeps failing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Failing {
    /// Judged moment.
    pub as_of: Moment,
    /// From when on faults are counted; none when nothing is held.
    pub from: Option<Moment>,
    /// The stable word of the grouping: `place`.
    pub by: &'static str,
    /// The same in words: `part and place`.
    pub by_text: String,
    /// What faults are counted per, in one word: `days`, `hours`, `uses`.
    pub per: &'static str,
    /// What figures are told for, and what their intervals hold, in one sentence.
    pub figures_text: String,
    /// Of 100 such intervals so many hold the true figure.
    pub level_percent: u32,
    /// The craft, where only one was asked for.
    pub craft: Option<(SubjectId, String)>,
    /// The first line of everything.
    pub summary: String,
    /// The county's own.
    pub usual: UsualSaid,
    /// Groups, the one to look at first first.
    pub groups: Vec<GroupSaid>,
    /// What to do, the most urgent first.
    pub to_do: Vec<ToDoSaid>,
    /// What the lead decided, the newest first.
    pub decided: Vec<DecidedSaid>,
    /// Every fault that was counted, the newest first.
    pub faults: Vec<FaultSaid>,
    /// Every repair of them, the newest first.
    pub repairs: Vec<RepairSaid>,
    /// What stayed out of the count, how false alarms are held down, what was assumed.
    pub notes: Vec<String>,
}

/// How often faults are found in the county as a whole.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UsualSaid {
    /// In one sentence.
    pub line: String,
    /// Its figures.
    pub figures: Figures,
}

/// One group.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GroupSaid {
    /// Its key in an address, stable.
    pub key: String,
    /// Its name: `transom, 15 in forward of the transom`.
    pub label: String,
    /// The plain line: `twice the county's usual; could be chance: 4 faults`.
    pub line: String,
    /// The stable word of what that says.
    pub said: &'static str,
    /// Whether the trade's eye should rest on it: more than usual, or getting worse.
    pub stands_out: bool,
    /// How many faults.
    pub count: u32,
    /// Of how many craft, or pieces of gear.
    pub units: u32,
    /// In how much: days, engine hours, uses.
    pub exposure: Number,
    /// Whether it gets worse, in words.
    pub trend: String,
    /// The stable word of the trend.
    pub trend_said: &'static str,
    /// Statistics, one step behind.
    pub figures: Figures,
    /// Faults per unit so far.
    pub steps: Vec<StepSaid>,
    /// The same of the rest.
    pub rest_steps: Vec<StepSaid>,
    /// Its faults.
    pub faults: Vec<FaultId>,
    /// The model whose craft its faults can be drawn on.
    pub drawn_on: Option<ModelId>,
    /// What a decision about all of it would be about; none where that is no one thing.
    pub decides: Option<DecidesAbout>,
}

/// What a decision is about, as the command names it; what is empty is not given.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct DecidesAbout {
    /// Number of the craft.
    pub craft: String,
    /// Number of the gear.
    pub gear: String,
    /// Model.
    pub model: String,
    /// Maker's batch.
    pub batch: String,
    /// Part.
    pub part: String,
}

/// A step of the mean number of faults for each craft, piece of gear or repair.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct StepSaid {
    /// Days, engine hours or uses since it came to the county; of a repair, since it was done.
    pub t: Number,
    /// How many were watched then.
    pub at_risk: Number,
    /// Mean number of faults of each up to then.
    pub mcf: Number,
    /// The least that it may be.
    pub lower: Number,
    /// The most that it may be.
    pub upper: Number,
}

/// A fault.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FaultSaid {
    /// Which.
    pub fault: FaultId,
    /// The craft that it was found on; none for gear on no craft.
    pub craft: Option<SubjectId>,
    /// The number painted on it, or that of the gear.
    pub number: String,
    /// The number of the gear it was found on; empty when it is the craft's own.
    pub gear: String,
    /// The part.
    pub part: PartId,
    /// Where on it.
    pub on_part: PartPlace,
    /// Part and place on it, in words.
    pub place: String,
    /// What is wrong, in words.
    pub class: String,
    /// The stable word of the severity.
    pub severity: &'static str,
    /// When it was found.
    pub found: Moment,
    /// Where the craft stood then; empty when not known.
    pub station: String,
    /// Member number of whoever recorded it; empty when not given.
    pub member: String,
    /// Repairs of it.
    pub repairs: Vec<EventId>,
    /// When it was signed off.
    pub over: Option<Moment>,
    /// The repair that did not hold, when this is the same place failing again.
    pub again: Option<AgainSaid>,
}

/// The same place failing again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AgainSaid {
    /// The repair that did not hold.
    pub repair: EventId,
    /// How long it held, whole days.
    pub days: Number,
    /// In words: `again: the repair before it held 41 days`.
    pub text: String,
}

/// A repair, and whether it held.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RepairSaid {
    /// Which.
    pub repair: EventId,
    /// When.
    pub at: Moment,
    /// The craft; none for gear on no craft.
    pub craft: Option<SubjectId>,
    /// The number painted on it.
    pub number: String,
    /// The part, in words.
    pub part: String,
    /// How it was done, in words.
    pub method: String,
    /// Batch of the glue or patch; empty when not given.
    pub glue_batch: String,
    /// Member number of whoever did it; empty when not given.
    pub member: String,
    /// Faults it was for.
    pub faults: Vec<FaultId>,
    /// The stable word: `held`, `did_not_hold`.
    pub held: &'static str,
    /// For how long so far, or until it failed again, whole days.
    pub days: Number,
    /// In words: `did not hold: failed again after 41 days`.
    pub text: String,
}

/// Something to do about it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToDoSaid {
    /// The stable word of what is proposed: `send_to_maker`.
    pub action: &'static str,
    /// The same as it is typed: `send-to-maker`.
    pub typed: &'static str,
    /// In one sentence: `Send Marsh 12's transom to the maker`.
    pub title: String,
    /// What it is about, in words.
    pub about: String,
    /// The same as the command names it.
    pub decides: DecidesAbout,
    /// Why, each a sentence.
    pub reasons: Vec<String>,
    /// The rule that the lead set, in words.
    pub rule: String,
    /// Where that rule stands: `recurring.repair_again`.
    pub setting: String,
    /// Faults that it rests on.
    pub evidence: Vec<FaultId>,
    /// What the lead decided about them; none while it waits.
    pub decided: Option<DecidedSaid>,
    /// How many faults came after that decision.
    pub since: u32,
}

/// What the lead decided.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DecidedSaid {
    /// The event.
    pub event: EventId,
    /// When.
    pub at: Moment,
    /// Member number; empty when not given.
    pub member: String,
    /// The stable word of what was decided.
    pub action: &'static str,
    /// In words.
    pub text: String,
    /// Faults that it is about.
    pub faults: Vec<FaultId>,
}

impl Failing {
    /// A group by its key.
    #[must_use]
    pub fn group(&self, key: &str) -> Option<&GroupSaid> {
        self.groups.iter().find(|group| group.key == key)
    }

    /// Faults of a group, the newest first.
    pub fn faults_of<'a>(&'a self, ids: &'a [FaultId]) -> impl Iterator<Item = &'a FaultSaid> {
        self.faults.iter().filter(|one| ids.contains(&one.fault))
    }

    /// Repairs of these faults, the newest first.
    pub fn repairs_of<'a>(&'a self, ids: &'a [FaultId]) -> impl Iterator<Item = &'a RepairSaid> {
        let of_them = |one: &&RepairSaid| one.faults.iter().any(|fault| ids.contains(fault));
        self.repairs.iter().filter(of_them)
    }

    /// What to do about these faults.
    pub fn to_do_of<'a>(&'a self, ids: &'a [FaultId]) -> impl Iterator<Item = &'a ToDoSaid> {
        let of_them = |one: &&ToDoSaid| one.evidence.iter().any(|fault| ids.contains(fault));
        self.to_do.iter().filter(of_them)
    }

    /// What was decided about these faults.
    pub fn decided_of<'a>(&'a self, ids: &'a [FaultId]) -> impl Iterator<Item = &'a DecidedSaid> {
        let of_them = |one: &&DecidedSaid| one.faults.iter().any(|fault| ids.contains(fault));
        self.decided.iter().filter(of_them)
    }

    /// How much of what is proposed waits for the lead.
    #[must_use]
    pub fn waiting(&self) -> usize {
        self.to_do.iter().filter(|one| one.waits()).count()
    }
}

impl ToDoSaid {
    /// Whether nobody decided yet, or it failed again since.
    #[must_use]
    pub const fn waits(&self) -> bool {
        self.decided.is_none() || self.since > 0
    }
}

/// A fault's name in addresses, files and commands: the event's id, `-`, and its place there.
#[must_use]
pub fn fault_name(fault: FaultId) -> String {
    format!("{}-{}", fault.event, fault.ordinal)
}
