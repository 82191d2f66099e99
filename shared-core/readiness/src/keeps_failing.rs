//! What keeps failing: the county's faults by craft, place, class, fabric, batch, method of repair,
//! station, model and piece of gear, each group against the rest, and what is proposed about it.
//!
//! Nothing here decides readiness: figures stand beside, the lead decides. Nothing here makes text.
//!
//! What is counted: faults that somebody vouches for, each once ([`Counted`]), on what was watched:
//! a craft from its registration (or the asked day) to its end or the asked moment. The craft's own
//! faults count for craft; those of numbered gear count for the gear, whatever it was fitted to. The
//! usual of a group is the rate of the rest ([`Against`]), never of all: a group that fails does not
//! raise what it is set against. False alarms are held down over all groups of one grouping, those
//! without a fault among them ([`Looked`]).

mod again;
mod counted;
mod figures;
mod group;
mod judged;
mod place;
mod proposed;
mod said;
mod sliced;
mod trend;
mod watched;

use std::collections::{BTreeMap, BTreeSet};

pub use again::Again;
pub use counted::{Counted, CountedOnce};
pub use figures::{McfPoint, Rate, ShrunkRate, Times};
pub use group::{Group, GroupKey, Kind};
pub use place::PlaceOn;
pub use proposed::{About, Met, Proposal, RuleMet, Setting};
pub use said::Said;
pub use trend::{Next, PowerSaid, TestSaid, Trend, TrendSaid};

use crate::event::Severity;
use crate::history::History;
use crate::ids::ModelId;
use crate::moment::Moment;
use crate::standard::{Policy, RecurringPolicy, Standard};

use counted::Faults;
use figures::{rate_of, share};
use judged::{Figured, listed, looked_at, sums};
use proposed::proposals;
use sliced::{Seen, against};
use watched::Span;

/// By what faults are put together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Grouping {
    /// Each craft, against the other craft.
    Craft,
    /// Each place on the craft of a model, against the other parts of all craft.
    Place,
    /// Each place on each craft, against the same place on the other craft of its model.
    CraftPlace,
    /// Each class of fault on the craft of a model, against the same class on other models.
    Class,
    /// Each fabric, against craft of other fabrics.
    Fabric,
    /// Each maker's batch of a model, against all others; gear against gear of its sort.
    Batch,
    /// Each method of repair: repairs that failed again, against the other methods.
    Method,
    /// Each batch of glue: repairs that failed again, against the other batches.
    GlueBatch,
    /// Each station, against the craft while they were at others.
    Station,
    /// Each model, against all others; gear against gear of its sort.
    Model,
    /// Each piece of numbered gear, against the others of its sort.
    Gear,
}

impl Grouping {
    /// Every grouping, in the order in which they are offered.
    pub const ALL: [Self; 11] = [
        Self::Place,
        Self::CraftPlace,
        Self::Craft,
        Self::Model,
        Self::Batch,
        Self::Method,
        Self::GlueBatch,
        Self::Class,
        Self::Fabric,
        Self::Station,
        Self::Gear,
    ];
}

/// What a count is set against.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Per {
    /// Calendar time. Told per year of 365.25 days; exposure in seconds.
    Days,
    /// Engine time by meter readings. Told per 100 hours; exposure in engine seconds.
    EngineHours,
    /// Uses on the water. Told per 100 uses.
    Uses,
}

impl Per {
    /// Base units of exposure (seconds, engine seconds, uses) for which a rate is told.
    #[must_use]
    pub const fn told_for(self) -> u64 {
        match self {
            Self::Days => 31_557_600,
            Self::EngineHours => 360_000,
            Self::Uses => 100,
        }
    }

    /// Base units in one of what the statistics count: days, hours, uses.
    #[must_use]
    pub const fn base(self) -> f64 {
        match self {
            Self::Days => 86_400.0,
            Self::EngineHours => 3_600.0,
            Self::Uses => 1.0,
        }
    }
}

/// What is asked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Asked {
    /// By what.
    pub grouping: Grouping,
    /// Against what.
    pub per: Per,
    /// Only what was found from then on; none for all. The end is the history's.
    pub from: Option<Moment>,
    /// Only faults so bad; empty for all.
    pub severities: BTreeSet<Severity>,
    /// Only faults of these classes; empty for all.
    pub classes: BTreeSet<String>,
}

impl Asked {
    /// All faults of a grouping, by calendar.
    #[must_use]
    pub const fn all(grouping: Grouping) -> Self {
        Self {
            grouping,
            per: Per::Days,
            from: None,
            severities: BTreeSet::new(),
            classes: BTreeSet::new(),
        }
    }
}

/// What the usual of a group is taken from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Against {
    /// The other craft, or the other gear of its sort.
    Others,
    /// The other parts of all craft, each part by itself.
    OtherParts,
    /// The same place on the other craft of the model.
    SamePlace,
    /// The same class on craft of other models.
    SameClass,
    /// Repairs by other methods, or with other glue.
    OtherRepairs,
}

/// How many groups were looked at, and how false alarms were held down.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Looked {
    /// Groups looked at, those without a fault too.
    pub groups: u32,
    /// Of these, with anything to compare them with.
    pub compared: u32,
    /// Rate at which false alarms are held (Benjamini and Hochberg), millionths: of the groups said
    /// to be apart from the rest, at most this share is so by chance, on average.
    pub rate_ppm: u32,
    /// Groups said to be apart from the rest: more, or less.
    pub apart: u32,
}

/// What keeps failing, by one grouping.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeepsFailing {
    /// What was asked.
    pub asked: Asked,
    /// From then on; none where nothing was watched.
    pub from: Option<Moment>,
    /// Until then.
    pub until: Moment,
    /// What the usual of a group is taken from.
    pub against: Against,
    /// Groups with at least one fault, and those apart from the rest without: what fails most first.
    pub groups: Vec<Group>,
    /// All groups together; none where nothing was watched.
    pub all: Option<Rate>,
    /// How false alarms are held down.
    pub looked: Looked,
    /// Which faults were counted, and which were not.
    pub counted: Counted,
    /// The lead's settings by which all this was said.
    pub settings: RecurringPolicy,
    /// What to do, the most pressing first: over all groupings, whichever was asked, of all faults.
    pub proposals: Vec<Proposal>,
}

/// What is said of one group, without its figures.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Verdict {
    /// The group.
    pub key: GroupKey,
    /// The plain verdict.
    pub said: Said,
    /// Whether it is getting worse.
    pub trend: TrendSaid,
}

/// Says of every group of a grouping, those without a fault too, what [`keeps_failing`] says of it:
/// without curves and rates, which take most of the time.
#[must_use]
pub fn verdicts(
    history: &History,
    standards: &BTreeMap<ModelId, Standard>,
    policy: &Policy,
    asked: &Asked,
) -> (Vec<Verdict>, Looked) {
    let faults = Faults::of(history, &policy.recurring);
    let seen = Seen::of(history, standards, policy, asked, &faults);
    let (figured, looked) = looked_at(&seen, asked.grouping, &policy.recurring);
    let verdict = |one: Figured<'_>| Verdict {
        said: one.said,
        trend: one.trend.said,
        key: one.draft.key,
    };
    (figured.into_iter().map(verdict).collect(), looked)
}

/// What to do, the most pressing first: over all groupings, of all faults.
#[must_use]
pub fn what_to_do(
    history: &History,
    standards: &BTreeMap<ModelId, Standard>,
    policy: &Policy,
) -> Vec<Proposal> {
    let faults = Faults::of(history, &policy.recurring);
    proposals(history, standards, policy, &faults)
}

/// Says what keeps failing and what to do about it.
#[must_use]
pub fn keeps_failing(
    history: &History,
    standards: &BTreeMap<ModelId, Standard>,
    policy: &Policy,
    asked: &Asked,
) -> KeepsFailing {
    let faults = Faults::of(history, &policy.recurring);
    let seen = Seen::of(history, standards, policy, asked, &faults);
    let (figured, looked) = looked_at(&seen, asked.grouping, &policy.recurring);
    KeepsFailing {
        asked: asked.clone(),
        from: seen.from(),
        until: history.until,
        against: against(asked.grouping),
        all: all(&seen, &figured, policy),
        groups: listed(&seen, figured, &policy.recurring),
        looked,
        counted: seen.counted,
        settings: policy.recurring,
        proposals: proposals(history, standards, policy, &faults),
    }
}

/// All craft together; of gear all gear, of repairs all repairs.
fn all(seen: &Seen<'_>, figured: &[Figured<'_>], policy: &Policy) -> Option<Rate> {
    let whole = |is_craft: bool| {
        let units = seen.units.iter();
        let units = units.filter(|unit| (unit.kind == Kind::Craft) == is_craft);
        units.filter_map(|unit| unit.whole(|_| true)).collect()
    };
    let spans: Vec<Span<'_>> = match seen.asked.grouping {
        Grouping::Craft
        | Grouping::Place
        | Grouping::CraftPlace
        | Grouping::Class
        | Grouping::Fabric
        | Grouping::Batch
        | Grouping::Station
        | Grouping::Model => whole(true),
        Grouping::Gear => whole(false),
        Grouping::Method | Grouping::GlueBatch => {
            let draft = figured.first().map(|one| &one.draft)?;
            draft.own.iter().chain(&draft.rest).cloned().collect()
        }
    };
    let (faults, exposure) = sums(&spans);
    rate_of(
        seen.asked.per,
        faults,
        exposure,
        share(policy.recurring.interval_ppm),
    )
}
