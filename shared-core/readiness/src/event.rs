//! Events of the trade, as the fold reads them: parsed, in context, with units in their names.
//!
//! Nothing here knows how an event was signed or sent. Whoever keeps the log parses it, decides
//! what is trusted, and hands over values of these types.

mod check;
mod decided;
mod registered;
mod work;

pub use check::{
    AnswerValue, BagSeal, Check, CylinderReading, Extent, Face, FaultFound, Fuel, ItemCount,
    LineAnswer, Lot, Meter, NotApplicable, PartPlace, PlaceSide, Reading, ReadingMoment, Severity,
    Stowage, ValveState,
};
pub use decided::{LeadAction, LeadDecision};
pub use registered::{
    CraftRegistered, CylinderMarks, GearKind, GearRegistered, Plate, PumpMarks, PumpPower,
};
pub use work::{
    AirChanged, AirDirection, AirSource, HoldDone, HoldKind, HoldPoint, OutReason, Repair,
    RepairHold, Use, WaterType,
};

use crate::ids::{EventId, FaultId, LineId, MissionId, PartId, SubjectId};
use crate::moment::{Interval, Moment};

/// One event about one or more subjects.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Event {
    /// Its id.
    pub id: EventId,
    /// Who wrote it.
    pub author: Author,
    /// The subjects, each with the heads of it that the device had seen.
    pub subjects: Vec<SubjectSeen>,
    /// When it happened.
    pub interval: Interval,
    /// Whether it may relieve anything.
    pub trust: Trust,
    /// Whether its author may sign faults off: decides what a correction of it can do.
    pub may_sign_off: bool,
    /// What it says.
    pub payload: Payload,
}

/// Who wrote an event.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Author {
    /// The signing key.
    pub key: [u8; 32],
    /// The station that the key belongs to; none for the county's own keys and unadmitted ones.
    pub station: Option<SubjectId>,
    /// Member number, a pseudonym; empty when not given.
    pub member: String,
}

impl Author {
    /// Whether two statements are of one person: by member number where both gave one, else by the
    /// device's key.
    #[must_use]
    pub fn is_same_person(&self, other: &Self) -> bool {
        let (one, two) = (self.member.trim(), other.member.trim());
        if one.is_empty() || two.is_empty() {
            self.key == other.key
        } else {
            one.eq_ignore_ascii_case(two)
        }
    }
}

/// A subject of an event and what the device had seen of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SubjectSeen {
    /// The subject.
    pub id: SubjectId,
    /// What sort of thing it is.
    pub kind: SubjectKind,
    /// Heads of the subject that the device held.
    pub seen: Vec<EventId>,
}

/// Sorts of subject.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SubjectKind {
    /// A boat.
    Craft,
    /// Numbered gear that moves between craft.
    Gear,
    /// A kit bag.
    Bag,
    /// A place for spares.
    Shelf,
    /// A station.
    Station,
    /// The county as a whole.
    County,
    /// A person, by member number.
    Member,
}

/// Whether an event may remove, supersede or grant anything.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Trust {
    /// Its key is admitted, has the role, and is within its good part.
    Trusted,
    /// It may only add: 'go and look'.
    Unconfirmed(Unconfirmed),
}

/// Why an event is not trusted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Unconfirmed {
    /// The key is not admitted.
    NotAdmitted,
    /// The key does not have the role for this kind.
    NoRole,
    /// The event comes after the last good one of an ended key.
    AfterEnd,
    /// The chain of the key parts in two at or before this event.
    Forked,
}

/// What an event says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Payload {
    /// A craft is registered.
    CraftRegistered(CraftRegistered),
    /// Numbered gear is registered.
    GearRegistered(GearRegistered),
    /// A bag is registered.
    BagRegistered {
        /// Painted number.
        number: String,
        /// Its station.
        station: SubjectId,
        /// The craft that it belongs to; none when shared.
        craft: Option<SubjectId>,
    },
    /// A shelf for spares is registered.
    ShelfRegistered {
        /// What people call it.
        number: String,
        /// Its station.
        station: SubjectId,
    },
    /// The painted number of the first subject changed.
    NumberChanged {
        /// The new number.
        number: String,
    },
    /// The first subject is now somewhere else.
    Placed(Place),
    /// Gear is fitted to a craft.
    Fitted {
        /// The gear.
        gear: SubjectId,
        /// The craft.
        craft: SubjectId,
        /// The part that it serves as.
        part: PartId,
    },
    /// Gear is taken off a craft.
    TakenOff {
        /// The gear.
        gear: SubjectId,
        /// The craft.
        craft: SubjectId,
    },
    /// The first subject is never to be used again.
    Condemned,
    /// A model, a batch or a part is held everywhere.
    HeldCountyWide(CountyHold),
    /// A county-wide hold is lifted.
    HoldLifted {
        /// The hold.
        hold: EventId,
    },
    /// Spares counted.
    StockCounted(Vec<ItemCount>),
    /// Two registered subjects are one thing.
    SameAs {
        /// The one.
        one: SubjectId,
        /// The other.
        other: SubjectId,
    },
    /// A boat check.
    Check(Check),
    /// Air added or let out.
    AirChanged(AirChanged),
    /// On the water.
    Use(Use),
    /// Faults found outside a check.
    Fault(Vec<FaultFound>),
    /// Work done on faults.
    Repair(Repair),
    /// Named faults are over.
    SignOff {
        /// The faults that it closes.
        closes: Vec<FaultId>,
    },
    /// An inspection of the standard was done.
    InspectionDone {
        /// Line of the standard.
        inspection: LineId,
        /// Passed or failed.
        passed: bool,
        /// Engine meter at the time, seconds.
        engine_s: Option<u64>,
        /// How long the engine ran, seconds.
        run_s: Option<u32>,
        /// Hold tests of its parts, with their values.
        holds: Vec<HoldDone>,
    },
    /// Declared out of service.
    OutOfService(OutReason),
    /// Declared back in service.
    Returned {
        /// The statements that it ends.
        ends: Vec<EventId>,
    },
    /// Permission to go with restrictive faults.
    WaiverGranted {
        /// The faults.
        faults: Vec<FaultId>,
        /// Missions allowed.
        missions: Vec<MissionId>,
        /// Its end.
        until: Moment,
    },
    /// A waiver is taken back.
    WaiverWithdrawn {
        /// The waiver.
        waiver: EventId,
    },
    /// Assigned to a mission.
    Assigned {
        /// The incident, as the county numbers it.
        incident: String,
        /// The mission.
        mission: MissionId,
    },
    /// Released from an assignment.
    Released {
        /// The assignment.
        assignment: EventId,
    },
    /// Crews that the first subject, a station, can raise.
    CrewsAvailable(Crews),
    /// A level that the first subject, a member, holds.
    MemberLevel(MemberLevel),
    /// Restates or withdraws one original event about the same subjects.
    Correction {
        /// The original.
        original: EventId,
        /// The whole payload again; none for a withdrawal.
        restated: Option<Box<Payload>>,
    },
    /// What the lead decided about faults that come again; it changes nothing that is judged.
    LeadDecision(LeadDecision),
    /// Kept and shown, but it changes nothing that this engine judges.
    Remark(Remark),
    /// Says nothing any more, or not yet: its event was dismissed, or had not begun at the moment
    /// asked about. It only keeps the place of the event, through which later ones have seen what
    /// came before it.
    Silent,
    /// A kind or version that this replica does not know.
    NotUnderstood {
        /// The writer asked that the subjects be held as unproven until an upgrade.
        hold: bool,
    },
}

/// Kinds that are kept for people and for later rules.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Remark {
    /// A note.
    Note,
    /// A picture or document.
    Attachment,
    /// Unconfirmed events dismissed.
    Dismissed,
    /// Contents beside another event removed.
    Redacted,
}

/// What a county-wide hold holds; each word empty for any.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CountyHold {
    /// Model of craft or gear.
    pub model: String,
    /// Maker's batch.
    pub batch: String,
    /// Part; empty for the whole thing.
    pub part: String,
    /// Missions ruled out; empty for all.
    pub missions: Vec<MissionId>,
}

/// Crews that a station can raise, from a moment until another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Crews {
    /// How many.
    pub crews: u32,
    /// Persons in all of them; none when not said.
    pub persons: Option<u32>,
    /// From then on.
    pub from: Moment,
    /// Until then, and no longer.
    pub until: Moment,
    /// Operators among them, by member number.
    pub operators: Vec<String>,
}

/// A level that a member holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MemberLevel {
    /// Member number.
    pub member: String,
    /// The level, for example `technician` or `swiftwater-technician`.
    pub level: String,
    /// Last date on which it is current; none when it has no end.
    pub until: Option<DateMark>,
}

/// Where a thing is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    /// At a station.
    Station(SubjectId),
    /// On a craft.
    Craft(SubjectId),
    /// On a shelf.
    Shelf(SubjectId),
}

/// A date as printed: year, month and day, the last two may be missing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct DateMark {
    /// Year, for example 2027.
    pub year: i32,
    /// 1 to 12.
    pub month: Option<u32>,
    /// 1 to 31; only with a month.
    pub day: Option<u32>,
}
