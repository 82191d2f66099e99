//! The record of one subject: what its events add up to.
//!
//! `fold` sorts the events topologically by what each had seen and applies `step` in that order,
//! so the order of arrival cannot matter. Where writers who did not know of each other said
//! different things, the record keeps every side; it never chooses. The engine judges each side.

mod apart;
mod assigning;
mod checking;
mod corrected;
mod digest;
mod effect;
mod joined;
pub mod keep;
mod order;
mod past;
mod people;
mod placing;
mod sealed;
mod sides;
mod step;
mod told;

use std::collections::{BTreeMap, BTreeSet};

pub use apart::{Apart, MovedOff, Spot, same_defect};
pub use assigning::SentApart;
pub use joined::Joined;
pub use past::{Past, Seen};
pub use sealed::{SealLook, Sealed, Seals};
pub use sides::SIDES_KEPT;
pub use step::{Stepped, fold};
pub(crate) use told::{Said, Told, tell};

use crate::event::{
    AirChanged, AirSource, AnswerValue, Author, CountyHold, CraftRegistered, Crews,
    CylinderReading, Extent, FaultFound, Fuel, GearRegistered, HoldDone, ItemCount, MemberLevel,
    OutReason, Place, Reading, RepairHold, Severity, Stowage, SubjectKind, Trust, Unconfirmed, Use,
};
use crate::ids::{EventId, FaultId, LineId, MissionId, PartId, SubjectId};
use crate::moment::{Interval, Moment};

/// Where a value in a record comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Origin {
    /// The event.
    pub event: EventId,
    /// Who wrote it.
    pub author: Author,
    /// When it happened.
    pub interval: Interval,
    /// Whether it is trusted.
    pub trust: Trust,
}

/// One of the values that nobody who knew of the others has replaced.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Side<T> {
    /// The value.
    pub value: T,
    /// Where it comes from.
    pub origin: Origin,
}

/// All sides of one value: none before anybody said anything, one in the usual case, more when
/// writers who did not know of each other differ.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sides<T>(pub Vec<Side<T>>);

/// What the events of one subject add up to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Record {
    /// The subject.
    pub subject: SubjectId,
    /// What it is.
    pub kind: SubjectKind,
    /// Newest events: those that no other event of the subject had seen.
    pub heads: BTreeSet<EventId>,
    /// How many events were folded.
    pub events: u64,
    /// Registration as a craft.
    pub craft: Sides<CraftRegistered>,
    /// Registration as gear.
    pub gear: Sides<GearRegistered>,
    /// Gauge of a cylinder or breathing set.
    pub charge: Sides<CylinderReading>,
    /// Statements that air was taken from it since, without its gauge afterwards.
    pub drawn: Vec<Origin>,
    /// Painted number.
    pub number: Sides<String>,
    /// Where it is.
    pub place: Sides<Placement>,
    /// Statements that it is never to be used again.
    pub condemned: Vec<Origin>,
    /// Statements of being out of service that nothing has ended, by event.
    pub out: BTreeMap<EventId, Side<OutReason>>,
    /// Assignments that nothing has ended, by event.
    pub assigned: BTreeMap<EventId, Side<Assignment>>,
    /// Readings by part.
    pub readings: BTreeMap<PartId, PartReadings>,
    /// Counts by item and bag.
    pub counts: BTreeMap<(LineId, Option<SubjectId>), Sides<ItemCount>>,
    /// Of a bag: its seal.
    pub seals: Seals,
    /// Items used up since the count that each use had seen, by item.
    pub used_up: BTreeMap<LineId, Vec<Side<u32>>>,
    /// Answers by line.
    pub answers: BTreeMap<LineId, Sides<AnswerValue>>,
    /// Answers 'no' that no sign-off has named, with their line.
    pub open_noes: BTreeMap<FaultId, Side<LineId>>,
    /// Inspections by line.
    pub inspections: BTreeMap<LineId, Sides<Inspection>>,
    /// Faults that are open, and the last [`CLOSED_FAULTS_KEPT`] closed ones.
    pub faults: BTreeMap<FaultId, FaultState>,
    /// Waivers that nothing has withdrawn, by event.
    pub waivers: BTreeMap<EventId, Side<Waiver>>,
    /// Holds set by repairs, by event.
    pub holds: Vec<Side<RepairHold>>,
    /// Engine meters: the record's own subject for a motor, else by motor; seconds.
    pub meters: BTreeMap<Option<SubjectId>, Sides<u64>>,
    /// Fuel: the record's own for a tank or a craft's fixed one, else by tank.
    pub fuel: BTreeMap<Option<SubjectId>, Sides<Fuel>>,
    /// The last [`USES_KEPT`] uses.
    pub uses: Vec<Side<Use>>,
    /// Checks, by how far they went.
    pub checks: BTreeMap<Extent, Sides<Checked>>,
    /// How it is kept.
    pub stowage: Sides<Stowage>,
    /// Of the county as a whole: holds that nothing has lifted, by event.
    pub county_holds: BTreeMap<EventId, Side<CountyHold>>,
    /// Of a station: statements of the crews that it can raise; a later one of somebody who had seen
    /// an earlier one ends that from its own beginning on.
    pub crews: Vec<Side<Crews>>,
    /// Of a member: levels held, by their word.
    pub levels: BTreeMap<String, Sides<MemberLevel>>,
    /// Subjects that are said to be the same thing.
    pub same_as: BTreeSet<SubjectId>,
    /// Events of kinds that this replica does not know and whose writer asked to hold.
    pub not_understood: BTreeSet<EventId>,
    /// Unconfirmed events: go and look.
    pub unconfirmed: BTreeMap<EventId, Origin>,
    /// What was stated apart.
    pub apart: Apart,
}

impl Record {
    /// A subject of which nothing is known yet.
    #[must_use]
    pub fn new(subject: SubjectId, kind: SubjectKind) -> Self {
        Self {
            subject,
            kind,
            heads: BTreeSet::new(),
            events: 0,
            craft: Sides::none(),
            gear: Sides::none(),
            charge: Sides::none(),
            drawn: Vec::new(),
            number: Sides::none(),
            place: Sides::none(),
            condemned: Vec::new(),
            out: BTreeMap::new(),
            assigned: BTreeMap::new(),
            readings: BTreeMap::new(),
            counts: BTreeMap::new(),
            seals: Seals::default(),
            used_up: BTreeMap::new(),
            answers: BTreeMap::new(),
            open_noes: BTreeMap::new(),
            inspections: BTreeMap::new(),
            faults: BTreeMap::new(),
            waivers: BTreeMap::new(),
            holds: Vec::new(),
            meters: BTreeMap::new(),
            fuel: BTreeMap::new(),
            uses: Vec::new(),
            checks: BTreeMap::new(),
            stowage: Sides::none(),
            county_holds: BTreeMap::new(),
            crews: Vec::new(),
            levels: BTreeMap::new(),
            same_as: BTreeSet::new(),
            not_understood: BTreeSet::new(),
            unconfirmed: BTreeMap::new(),
            apart: Apart::default(),
        }
    }
}

/// Closed faults kept in a record: 64 of about 200 bytes make 13 KiB, and hold several years of a
/// craft's faults at ten a year.
pub const CLOSED_FAULTS_KEPT: usize = 64;

/// Uses kept in a record: 64 of about 100 bytes make 7 KiB, more than a year at one a week.
pub const USES_KEPT: usize = 64;

/// Readings, and what happened between them, kept for each part: 16 weekly readings, each with one
/// thing that happened beside it, show a season. 32 of about 350 bytes make 11 KiB.
pub const RECENT_KEPT: usize = 32;

/// Where a thing is, and as what.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Placement {
    /// The place.
    pub at: Place,
    /// The part that it serves as, when fitted to a craft.
    pub part: Option<PartId>,
}

/// An assignment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Assignment {
    /// The incident.
    pub incident: String,
    /// The mission.
    pub mission: MissionId,
}

/// An inspection.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Inspection {
    /// Whether it passed.
    pub passed: bool,
    /// Engine meter at the time, seconds.
    pub engine_s: Option<u64>,
    /// How long the engine ran, seconds.
    pub run_s: Option<u32>,
    /// Hold tests of its parts, with their values.
    pub holds: Vec<HoldDone>,
}

/// What a check answered.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Checked {
    /// Revision of the model's standard; none when that is not known.
    pub revision: Option<u32>,
}

/// A waiver.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Waiver {
    /// The faults.
    pub faults: BTreeSet<FaultId>,
    /// Missions allowed.
    pub missions: BTreeSet<MissionId>,
    /// Its end.
    pub until: Moment,
}

/// What is known of one part's pressure.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PartReadings {
    /// The readings that stand now: as left where a check says so, else as found.
    pub standing: Sides<Reading>,
    /// Air added or let out since, unseen by any standing reading.
    pub air_since: Vec<Side<AirChanged>>,
    /// How air was last added, where somebody said so.
    pub filled: Sides<AirSource>,
    /// The last [`RECENT_KEPT`] readings, as found and as left, and what happened to the part
    /// between them, in fold order.
    pub recent: Vec<Side<Recent>>,
}

/// One thing in the recent history of a part that holds air: readings, and what a leak must not be
/// fitted across.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Recent {
    /// The gauge was read.
    Read(Reading),
    /// Air was added or let out.
    Air(AirChanged),
    /// The part was repaired.
    Repaired,
    /// The craft was rolled up: the part is inflated anew afterwards.
    Rolled,
    /// The craft was in use: outdoors, in the sun.
    Used,
}

impl Recent {
    /// The reading, where it is one.
    #[must_use]
    pub const fn reading(&self) -> Option<&Reading> {
        match self {
            Self::Read(reading) => Some(reading),
            Self::Air(_) | Self::Repaired | Self::Rolled | Self::Used => None,
        }
    }
}

/// One fault.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FaultState {
    /// As found.
    pub fault: FaultFound,
    /// Who found it, when.
    pub origin: Origin,
    /// Repairs that named it.
    pub repairs: Vec<Origin>,
    /// The sign-off that closed it: of several the first by somebody who did not repair it, else the
    /// first.
    pub closed: Option<Origin>,
}

impl FaultState {
    /// Whether somebody is one of those who repaired the fault: by member number where both gave
    /// one, else by device.
    #[must_use]
    pub fn repaired_by(&self, author: &Author) -> bool {
        let counts = |repair: &&Origin| match repair.trust {
            Trust::Trusted | Trust::Unconfirmed(Unconfirmed::Forked) => true,
            Trust::Unconfirmed(_) => false,
        };
        let mut repairs = self.repairs.iter().filter(counts);
        repairs.any(|repair| repair.author.is_same_person(author))
    }

    /// Whether it is signed off, where a disabling fault may be by whoever repaired it or not.
    #[must_use]
    pub fn is_signed_off(&self, repairer_may: bool) -> bool {
        let entitled = repairer_may || self.fault.severity != Severity::Disabling;
        self.closed
            .as_ref()
            .filter(|closed| closed.trust == Trust::Trusted)
            .is_some_and(|closed| entitled || !self.repaired_by(&closed.author))
    }

    /// Takes a sign-off: one by somebody who did not repair it before one by somebody who did.
    fn take_sign_off(&mut self, sign_off: &Origin) {
        let better = self.closed.as_ref().is_none_or(|held| {
            self.repaired_by(&held.author) && !self.repaired_by(&sign_off.author)
        });
        if better {
            self.closed = Some(sign_off.clone());
        }
    }

    /// Takes a repair. Of too many the first goes that a person of a later one made too, so that
    /// nobody who repaired it is forgotten before sixteen others did.
    fn take_repair(&mut self, repair: &Origin) {
        self.repairs.push(repair.clone());
        if self.repairs.len() <= keep::REPAIRS {
            return;
        }
        let again = |at: &usize| {
            let (one, later) = self.repairs.split_at(at + 1);
            let Some(one) = one.last() else { return false };
            let mut later = later.iter();
            later.any(|other| other.trust == one.trust && other.author.is_same_person(&one.author))
        };
        let gone = (0..self.repairs.len()).find(again).unwrap_or(0);
        self.repairs.remove(gone);
    }
}
