//! Everything that happened in a county, in order of time: what maintenance looks back on.
//!
//! Nothing of it decides readiness. It is made from the same statements as the records: what a
//! correction restates stands at the place of its original, what was withdrawn or dismissed is out,
//! and a sign-off closes what it names where the record says so too. Times are the claimed ones, held
//! to what is known of each event. What nobody vouches for is not in it, apart from faults, which say
//! so ([`FaultPast::confirmed`]); how many were left out is told ([`LeftOut`]).

mod between;
mod build;
mod craft;
mod finish;
mod gather;
mod gear;
mod placed;
mod since;

use std::collections::{BTreeMap, BTreeSet};

pub use craft::{
    AirPast, CheckPast, CraftPast, FaultPast, FittedPast, InspectionPast, MeterPast, NoPast,
    OutPast, ReadingPast, RepairPast, SignOffPast, Unvouched, UsePast,
};
pub use gear::{BagPast, CountPast, GearPast, ShelfPast};
pub use since::{DecidedSince, Done};

use crate::event::{Author, CountyHold, Event, LeadAction, PartPlace};
use crate::ids::{EventId, FaultId, PartId, SubjectId};
use crate::moment::Moment;

/// What happened in a county until a moment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct History {
    /// Craft, by id; one that was registered twice stands once.
    pub crafts: BTreeMap<SubjectId, CraftPast>,
    /// Numbered gear, by id.
    pub gear: BTreeMap<SubjectId, GearPast>,
    /// Bags, by id.
    pub bags: BTreeMap<SubjectId, BagPast>,
    /// Shelves for spares, by id, each with what was counted there.
    pub stock: BTreeMap<SubjectId, ShelfPast>,
    /// What the lead decided about faults that come again.
    pub decisions: Vec<Decided>,
    /// County-wide holds, lifted ones too.
    pub holds: Vec<HoldPast>,
    /// The first thing that happened; none where nothing did.
    pub from: Option<Moment>,
    /// The moment asked about.
    pub until: Moment,
    /// What is not in it.
    pub left_out: LeftOut,
}

/// A decision of the lead.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Decided {
    /// Its event.
    pub event: EventId,
    /// When.
    pub at: Moment,
    /// Who.
    pub by: Author,
    /// What is to be done.
    pub action: LeadAction,
    /// The faults that it rests on.
    pub faults: Vec<FaultId>,
    /// Craft and gear that it is about; empty where it is about a model or a batch.
    pub subjects: Vec<SubjectId>,
    /// Part; none for the whole thing.
    pub part: Option<PartId>,
    /// Place on the part; empty for the whole of it.
    pub place: PartPlace,
    /// Model; empty where it is about one thing.
    pub model: String,
    /// Maker's batch; empty where it is about none.
    pub batch: String,
}

/// A county-wide hold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HoldPast {
    /// Its event.
    pub event: EventId,
    /// When.
    pub at: Moment,
    /// Who.
    pub by: Author,
    /// What it holds.
    pub hold: CountyHold,
    /// When it was lifted, and by which event.
    pub lifted: Option<(Moment, EventId)>,
}

/// What is not in a history, each event counted once.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LeftOut {
    /// Nobody vouches for them.
    pub unconfirmed: BTreeSet<EventId>,
    /// Withdrawn by their writer or by somebody who may sign off.
    pub withdrawn: BTreeSet<EventId>,
    /// Corrections that stand beside their original, since their writer may not replace it.
    pub beside: BTreeSet<EventId>,
    /// Of kinds that this program does not know.
    pub not_understood: BTreeSet<EventId>,
    /// Rows that could not be read.
    pub damaged: u64,
}

impl LeftOut {
    /// How many events.
    #[must_use]
    pub fn count(&self) -> u64 {
        let sets = [
            &self.unconfirmed,
            &self.withdrawn,
            &self.beside,
            &self.not_understood,
        ];
        let held: BTreeSet<&EventId> = sets.into_iter().flatten().collect();
        held.len() as u64 + self.damaged
    }
}

impl History {
    /// The history that events make, in whatever order they are given; one given twice counts once.
    /// `now` is the asker's moment, `until` the moment that is judged: whoever gives the events silences
    /// those that had not begun by then, as for the records.
    #[must_use]
    pub fn of(events: &[Event], until: Moment, now: Moment) -> Self {
        build::build(events, build::Moments { until, now })
    }

    /// A history in which nothing happened.
    #[must_use]
    pub const fn empty(until: Moment) -> Self {
        Self {
            crafts: BTreeMap::new(),
            gear: BTreeMap::new(),
            bags: BTreeMap::new(),
            stock: BTreeMap::new(),
            decisions: Vec::new(),
            holds: Vec::new(),
            from: None,
            until,
            left_out: LeftOut {
                unconfirmed: BTreeSet::new(),
                withdrawn: BTreeSet::new(),
                beside: BTreeSet::new(),
                not_understood: BTreeSet::new(),
                damaged: 0,
            },
        }
    }

    /// Every fault once, the county's in order of time: those of gear stand with the craft on which
    /// they were found, and with the gear.
    #[must_use]
    pub fn faults(&self) -> Vec<&FaultPast> {
        let of_crafts = self.crafts.values().flat_map(|craft| &craft.faults);
        let of_gear = self.gear.values().flat_map(|gear| &gear.faults);
        let by_id: BTreeMap<FaultId, &FaultPast> = of_crafts
            .chain(of_gear)
            .map(|fault| (fault.id, fault))
            .collect();
        let mut faults: Vec<&FaultPast> = by_id.into_values().collect();
        faults.sort_by_key(|fault| (fault.found, fault.id));
        faults
    }

    /// A fault by its id.
    #[must_use]
    pub fn fault(&self, id: &FaultId) -> Option<&FaultPast> {
        let of_crafts = self.crafts.values().flat_map(|craft| &craft.faults);
        let of_gear = self.gear.values().flat_map(|gear| &gear.faults);
        of_crafts.chain(of_gear).find(|fault| fault.id == *id)
    }
}
