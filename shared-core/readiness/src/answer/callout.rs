//! A call-out: who can get to a place, when, with what.
//!
//! Readiness, limits, pressures, air, load and why of a candidate stand in the answer of its craft.
//! Minutes are whole, rounded up where they are reckoned.

use std::collections::{BTreeMap, BTreeSet};

use super::{Basis, Shared, ToDo};
use crate::ids::{LineId, SubjectId};
use crate::kit_moves::Holder;
use crate::moment::Moment;

/// What is asked of a call-out; the place's position stands in the conditions.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CalloutAsked {
    /// Where craft go into the water; none when not said.
    pub launch: Option<LaunchPlace>,
    /// How each station gets there; not known of one that is not listed.
    pub ways: BTreeMap<SubjectId, Way>,
}

/// A place where craft go into the water.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LaunchPlace {
    /// Its name; empty when it has none.
    pub name: String,
    /// Ramp or bank; none when not known.
    pub access: Option<Access>,
}

/// How one gets to the water.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Access {
    /// A ramp: a trailer can be backed down.
    Ramp,
    /// A bank: craft are carried.
    Bank,
}

/// How a station gets to a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Way {
    /// By the county's table of travel times.
    Table {
        /// Minutes.
        minutes: u32,
    },
    /// As whoever asked said for this question.
    Said {
        /// Minutes.
        minutes: u32,
    },
    /// Only the straight line is known (WGS 84).
    Straight {
        /// Metres.
        metres: u32,
    },
    /// No way there.
    Closed,
    /// Nothing is known.
    NotKnown,
}

/// Who can get to a place, when, with what.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Callout {
    /// Every craft that was judged, in the order of [`Reach`], then by time or distance.
    pub candidates: Vec<Candidate>,
    /// Craft that together bring all people home at once; none when nobody is to be brought home, or
    /// one candidate can.
    pub bring_home: Option<BringHome>,
    /// Whether the county asks for a safety boat for the mission.
    pub safety_boat: bool,
    /// Stations that have craft which can go now, with how many of them can go each alone.
    pub cover: Vec<StationCover>,
    /// Settings of the county that were used.
    pub settings: Vec<Setting>,
}

/// A setting that was used, with where it comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Setting {
    /// Which.
    pub of: SettingOf,
    /// Minutes, where it is a time.
    pub minutes: Option<u32>,
    /// Where it comes from.
    pub basis: Basis,
    /// Source, as the county cites it.
    pub source: String,
}

/// Settings of a call-out.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SettingOf {
    /// Raising a crew.
    RaiseCrew,
    /// Raising a crew at this station.
    RaiseCrewAt(SubjectId),
    /// A crew is raised first, then the craft is made ready.
    OneAfterOther,
    /// The craft is made ready while a crew is raised.
    AtOnce,
    /// Going in by a ramp.
    LaunchRamp,
    /// Going in at a bank.
    LaunchBank,
    /// A craft whose boat standard does not say goes in at a bank.
    BankUnlessSaid,
    /// A craft whose boat standard does not say needs a ramp.
    RampUnlessSaid,
    /// The mission wants a safety boat.
    SafetyBoat,
}

/// One craft that may go.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Candidate {
    /// The craft.
    pub craft: SubjectId,
    /// Its number.
    pub number: String,
    /// Where it comes from: of two disputed stations the worse; none when no station is known.
    pub station: Option<SubjectId>,
    /// Whether and how it can be there.
    pub reach: Reach,
    /// How it gets there.
    pub way: Way,
    /// Time to water.
    pub time: TimeToWater,
    /// How it goes in.
    pub launch: LaunchBy,
    /// Its crew.
    pub crew: CrewToGo,
    /// Further adults that it can bring home in one trip; none when not known.
    pub seats: Option<u32>,
    /// Trips that it takes for those who are to come home; none when nobody is, or not known.
    pub trips: Option<Trips>,
    /// Every station that it is said to be at with the way from there, when stations differ.
    pub disputed: Vec<SaidAt>,
    /// What others that can go want as well, when there is not enough for all.
    pub shared: Vec<SharedWith>,
    /// The safety boat.
    pub second: Second,
    /// Kit that is short for this mission, and what can meet it.
    pub at_ramp: Vec<KitAtRamp>,
    /// What is left once it went; none when it cannot go.
    pub cover_left: Option<CoverLeft>,
    /// Why it cannot go, apart from its readiness.
    pub hindrances: Vec<Hindrance>,
    /// What would make it go, or has to be done before it does.
    pub to_do: Vec<ToDo>,
    /// Whom to call: its station, both when stations differ.
    pub whom_to_call: Vec<Call>,
}

/// Whether and how a craft can be there; in the order in which candidates stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reach {
    /// It can go, and the way is known: by time to water.
    ByTime,
    /// It can go, and only the straight line is known: by distance.
    ByLine,
    /// It can go, and no way is known.
    WayNotKnown,
    /// Nothing shows that it is ready.
    NotChecked,
    /// It cannot go as things are.
    CannotGo,
}

/// Minutes until a craft is in the water.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct TimeToWater {
    /// Until a crew is raised, by the county's setting.
    pub crew: u32,
    /// Rigging, topping up, what has to be done first; none when not known.
    pub ready: Option<u32>,
    /// Whether it is made ready while the crew is raised, else after.
    pub at_once: bool,
    /// The drive; none when not known.
    pub drive: Option<u32>,
    /// Going in; none when it cannot go in there.
    pub launch: Option<u32>,
    /// All of it; none when a part is not known.
    pub total: Option<u32>,
    /// What is known of it together.
    pub at_least: u32,
    /// When it would be in the water; none when a part is not known.
    pub at: Option<Moment>,
}

/// How a craft goes into the water.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LaunchBy {
    /// By the ramp.
    Ramp,
    /// At the bank.
    Bank,
    /// Ramp or bank is not known: the longer of the two is reckoned with, and the craft goes in at
    /// either.
    Either,
    /// Ramp or bank is not known, and the craft needs a ramp.
    RampIfThere,
    /// There is a bank only, and it needs a ramp.
    NoRamp,
}

/// The crew of a candidate.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CrewToGo {
    /// Least crew for the mission.
    pub least: u32,
    /// Crew that is reckoned with: as asked, else the least.
    pub goes: u32,
    /// Whether it is there.
    pub known: CrewKnown,
}

/// Whether a crew is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CrewKnown {
    /// Whoever asked named the crew, and it is enough.
    AsAsked,
    /// The station says that it can raise enough.
    Enough {
        /// Crews.
        crews: u32,
        /// Persons in all of them; none when not said.
        persons: Option<u32>,
        /// Until when that is known.
        until: Moment,
    },
    /// The station has not said: a crew may be there or not.
    NotKnown,
    /// Too few.
    Short {
        /// Persons that there are.
        persons: u32,
    },
}

/// Trips that bring everybody home.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Trips {
    /// How many.
    pub trips: u32,
    /// People who fit into none.
    pub left_behind: u32,
    /// Whether no fewer trips do.
    pub is_fewest: bool,
}

/// A station that a craft is said to be at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SaidAt {
    /// The station.
    pub station: SubjectId,
    /// The way from there.
    pub way: Way,
    /// Time to water from there.
    pub time: TimeToWater,
}

/// Something of which there is not enough for all that can go.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SharedWith {
    /// What.
    pub what: Shared,
    /// How much of it there is.
    pub there: u32,
    /// Other candidates that can go and want it, in their order.
    pub with: Vec<SubjectId>,
}

/// The second craft, where the county asks for a safety boat.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Second {
    /// None is asked for, or the craft cannot go.
    #[default]
    NotAsked,
    /// The earliest other candidate that can go together with it.
    Boat {
        /// The craft.
        craft: SubjectId,
        /// Its number.
        number: String,
        /// Time to water of the later of both; none when not known.
        both_total: Option<u32>,
    },
    /// None can go together with it.
    None,
}

/// An item that is short for the mission, and what can meet it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KitAtRamp {
    /// The item.
    pub item: LineId,
    /// In the standard's words.
    pub label: String,
    /// Units that are short.
    pub short: u32,
    /// Who can bring some, the nearest first, until it is enough.
    pub from: Vec<Brings>,
    /// Units that nobody can bring.
    pub still_short: u32,
}

/// Spare units that can be brought to the launch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Brings {
    /// Where they are: a shelf, a bag, a station's store, a craft.
    pub from: SubjectId,
    /// Which of those it is.
    pub holder: Holder,
    /// The number of the shelf, bag or craft, or the name of the station.
    pub number: String,
    /// The station from where they come.
    pub station: SubjectId,
    /// How many.
    pub units: u32,
    /// The way from there.
    pub way: Way,
}

/// What is left once a craft went.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CoverLeft {
    /// Craft that can still go for the mission, each alone.
    pub craft: u32,
    /// Stations of which fewer can go than before, with how many are left; by id.
    pub less: Vec<StationCover>,
    /// Those of them that have none left.
    pub without: Vec<SubjectId>,
}

/// Craft of a station that can go, each alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct StationCover {
    /// The station.
    pub station: SubjectId,
    /// How many.
    pub craft: u32,
}

/// What keeps a craft from the place, apart from its readiness.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hindrance {
    /// No way from its station.
    WayClosed,
    /// It needs a ramp, and there is a bank only.
    NoRamp,
    /// Its station cannot raise the least crew, or the named crew is too few.
    CrewShort,
    /// It is assigned.
    Assigned {
        /// The incident.
        incident: String,
    },
    /// It is out of service or condemned.
    Declared,
    /// It is recorded as being at no station.
    NoStation,
}

/// Whom to call.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Call {
    /// The station.
    pub station: SubjectId,
    /// Its name.
    pub name: String,
    /// Its radio call; empty when not registered.
    pub call: String,
}

/// Craft that together bring everybody home at once.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BringHome {
    /// The craft, in the order of candidates; empty when none together can.
    pub craft: Vec<SubjectId>,
    /// Whether no fewer do; else the search was cut.
    pub is_fewest: bool,
    /// Time to water of the latest of them; none when not known.
    pub total: Option<u32>,
}

impl Candidate {
    /// By what candidates stand in order: reach; whether the time is known; the way; distance where
    /// only that is known; what is known of the time; whether a crew is known; number and id.
    #[must_use]
    pub fn order(&self) -> impl Ord + use<'_> {
        let found = (self.reach, order_of(self.way, &self.time));
        (found, self.crew.known.doubt(), &self.number, self.craft)
    }
}

/// By what two ways of one craft, or of two, stand in order: whether the time is known, the way,
/// distance where only that is known, what is known of the time.
pub(crate) fn order_of(way: Way, time: &TimeToWater) -> (bool, u8, u32, u32) {
    let (rank, metres) = match way {
        Way::Table { .. } | Way::Said { .. } => (0, 0),
        Way::Straight { metres } => (1, metres),
        Way::NotKnown => (2, 0),
        Way::Closed => (3, 0),
    };
    (time.total.is_none(), rank, metres, time.at_least)
}

impl CrewKnown {
    /// How far it is in doubt that a crew is there: 0, 1 when not known, 2 when too few.
    #[must_use]
    pub const fn doubt(self) -> u8 {
        match self {
            Self::AsAsked | Self::Enough { .. } => 0,
            Self::NotKnown => 1,
            Self::Short { .. } => 2,
        }
    }
}

impl Way {
    /// Minutes of the drive; none when not known.
    #[must_use]
    pub const fn minutes(self) -> Option<u32> {
        match self {
            Self::Table { minutes } | Self::Said { minutes } => Some(minutes),
            Self::Straight { .. } | Self::Closed | Self::NotKnown => None,
        }
    }
}

impl Reach {
    /// Whether it can go.
    #[must_use]
    pub const fn can_go(self) -> bool {
        match self {
            Self::ByTime | Self::ByLine | Self::WayNotKnown => true,
            Self::NotChecked | Self::CannotGo => false,
        }
    }
}

impl Callout {
    /// Takes over of another answer to the same question, at another moment, every candidate that
    /// stands later there; where fewer can go there, also what depends on who else can.
    pub fn worse(&mut self, other: Self) {
        let can_go = |it: &Self| it.candidates.iter().filter(|it| it.reach.can_go()).count();
        let fewer = can_go(&other) < can_go(self);
        if fewer {
            self.bring_home.clone_from(&other.bring_home);
            self.cover.clone_from(&other.cover);
        }
        let mut others: BTreeMap<SubjectId, Candidate> = BTreeMap::new();
        others.extend(other.candidates.into_iter().map(|it| (it.craft, it)));
        for candidate in &mut self.candidates {
            let Some(other) = others.remove(&candidate.craft) else {
                continue;
            };
            if other.order() > candidate.order() {
                *candidate = other;
            } else if fewer && candidate.reach.can_go() && other.reach.can_go() {
                candidate.shared = other.shared;
                candidate.second = other.second;
                candidate.cover_left = other.cover_left;
            }
        }
        self.candidates
            .sort_by(|one, other| one.order().cmp(&other.order()));
        self.forget_seconds();
    }

    /// Nobody is named to stand by who cannot go.
    fn forget_seconds(&mut self) {
        let can_go = self.candidates.iter().filter(|it| it.reach.can_go());
        let can_go: BTreeSet<SubjectId> = can_go.map(|it| it.craft).collect();
        for candidate in &mut self.candidates {
            match candidate.second {
                Second::Boat { craft, .. } if !can_go.contains(&craft) => {
                    candidate.second = Second::None;
                }
                Second::Boat { .. } | Second::NotAsked | Second::None => {}
            }
        }
    }
}
