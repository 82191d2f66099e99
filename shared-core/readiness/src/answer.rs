//! What the engine says: one answer for the county, one part of it for each craft.
//!
//! Every conclusion carries its why. No bare booleans, no text for people: rules, subjects,
//! quantities with units, evidence.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use crate::conditions::{Conditions, Dark, Lights};
use crate::event::{DateMark, NotApplicable, OutReason, PartPlace, Severity, Stowage};
use crate::ids::{EventId, FaultId, LineId, MissionId, ModelId, PartId, SubjectId};
use crate::load::{Counted, CrewAsked, Group, Packed, Party, PlateCounts, Room, Short};
use crate::moment::Moment;
use crate::standard::MarkDay;

mod air;
mod disagreement;
mod in_service;
mod together;
mod words;

pub use air::{AirFrom, AirNeeded, Breathing, Feed, Gives, PartAir};
pub use disagreement::{Differ, Disagreement, Said, Settle, Stated, Until};
pub use in_service::{Step, StepId, StepState};
pub use together::{Goes, KeptBack, Shared, Together, TogetherAsked};

/// Version of the rules of this engine: part of every answer.
pub const ENGINE_VERSION: u32 = 2;

/// Answer to one question about the whole county.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CountyAnswer {
    /// The question as judged, with what was assumed.
    pub asked: Asked,
    /// What was known.
    pub known_by: KnownBy,
    /// Version of the rules.
    pub engine: u32,
    /// Stations, in order of name.
    pub stations: Vec<StationHeard>,
    /// Craft, in order of number.
    pub craft: Vec<CraftAnswer>,
    /// Items short, over all craft.
    pub missing_kit: Vec<MissingKit>,
    /// Inspections and dates past due, over all craft, the longest overdue first.
    pub overdue: Vec<Overdue>,
    /// What stations, apart, stated differently.
    pub disagreements: Vec<Disagreement>,
    /// Which craft can go at once; none when that was not asked.
    pub together: Option<Together>,
}

/// The question as judged.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Asked {
    /// The moment that is judged.
    pub as_of: Moment,
    /// The asker's moment: bounds what the county has not stored.
    pub now: Moment,
    /// The mission; none when the general standard was asked for.
    pub mission: Option<MissionId>,
    /// Air at the launch, milli-degree Celsius.
    pub air_mc: i32,
    /// Water at the launch, milli-degree Celsius.
    pub water_mc: i32,
    /// Elevation of the launch, millimetres.
    pub elevation_mm: i32,
    /// Crew as given.
    pub crew: CrewAsked,
    /// People to bring home, as given.
    pub people: Vec<Party>,
    /// How long the job lasts, seconds.
    pub duration_s: u32,
    /// Whether it is dark meanwhile.
    pub dark: Dark,
    /// Whether lights are needed: in the dark and in restricted visibility.
    pub lights: Lights,
    /// Place, duration, light and weather as they were given.
    pub conditions: Conditions,
    /// What was asked of craft together.
    pub together: Option<TogetherAsked>,
    /// What was not given, and so assumed.
    pub assumed: BTreeSet<Assumed>,
    /// What is known against the asker's clock.
    pub clock: AskerClock,
}

impl Asked {
    /// Sunset and sunrise of the night that the job begins in, else of the next; none where that
    /// is not known, or the sun does not set or rise.
    #[must_use]
    pub fn night(&self) -> (Option<Moment>, Option<Moment>) {
        let mut light = self.conditions.light.iter();
        let around = light.find(|light| light.from <= self.as_of && self.as_of <= light.to);
        around.map_or((None, None), |light| light.night_at(self.as_of))
    }
}

/// What is known against the asker's clock, and so which moment was judged.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum AskerClock {
    /// Nothing.
    #[default]
    NotDoubted,
    /// It differs from the county's: the county's time was judged.
    Off {
        /// The county's less the asker's, milliseconds.
        county_minus_device_ms: i64,
    },
    /// It is before the newest time that the county has shown: that time was judged.
    BeforeCounty {
        /// The newest time less the asker's, milliseconds.
        behind_ms: i64,
    },
    /// It differed at the last sync, and the device was started again since, so it may have been
    /// set: each craft was judged at both times, and the worse counts.
    WasOff {
        /// The county's less the asker's then, milliseconds.
        county_minus_device_ms: i64,
        /// The other time at which it was judged.
        other: Moment,
    },
    /// It was set since the device was started: each craft was judged by the clock as it is and as
    /// it was, and the worse counts.
    Changed {
        /// The clock as it is less the clock as it was, milliseconds.
        by_ms: i64,
        /// The other time at which it was judged.
        other: Moment,
    },
}

/// Inputs that can be assumed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Assumed {
    /// Mission: general.
    Mission,
    /// Air temperature: the county's setting.
    Air,
    /// Water temperature: the air's.
    Water,
    /// Elevation: the county's setting.
    Elevation,
    /// Crew: the standard's least crew, at the county's weight unless one was given.
    Crew,
    /// Weight of the given crew: the county's setting.
    CrewWeight,
    /// Weight of some of the people: the heaviest of their size, an adult's the county's setting.
    PeopleWeight,
    /// Place: not known, and so not whether it is dark.
    Place,
    /// Duration: the county's setting.
    Duration,
    /// Visibility: clear.
    Visibility,
    /// Wind: within the limits of the standard.
    Wind,
    /// Current: within the limits of the standard.
    Current,
    /// Pressure of the air: the standard atmosphere's at the elevation.
    Ambient,
}

/// What the answer rests on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KnownBy {
    /// The county log; zeros when none is known yet.
    pub log_id: [u8; 16],
    /// How much of it.
    pub size: u64,
    /// Its root.
    pub root: [u8; 32],
    /// Events held that the county log does not prove.
    pub beyond: u64,
}

/// When a station was last heard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StationHeard {
    /// The station.
    pub id: SubjectId,
    /// Its name.
    pub name: String,
    /// Time of the newest signed head; none when never.
    pub last_heard: Option<Moment>,
    /// Longer ago than the county's setting allows.
    pub silent: bool,
    /// Crews that it can raise at the asked moment; none when it has not said.
    pub crews: Option<CrewsAt>,
}

/// Crews that a station can raise at one moment: of what stands, the least.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CrewsAt {
    /// How many.
    pub crews: u32,
    /// Persons in all of them; none when not said.
    pub persons: Option<u32>,
    /// Until when that is known.
    pub until: Moment,
    /// Operators among them, by member number.
    pub operators: Vec<String>,
    /// The statements.
    pub evidence: Vec<EventId>,
}

/// What the engine concludes; the best first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Readiness {
    /// Ready.
    Ready,
    /// Ready, with limits.
    ReadyWithLimits,
    /// Nothing shows that it is ready: go and look.
    Unproven,
    /// Not ready.
    NotReady,
}

/// What people declared.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Status {
    /// Available.
    Available,
    /// Assigned.
    Assigned {
        /// The incident.
        incident: String,
    },
    /// Out of service.
    OutOfService {
        /// Why.
        reason: OutReason,
    },
    /// Condemned.
    Condemned,
}

/// Answer for one craft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CraftAnswer {
    /// The craft.
    pub id: SubjectId,
    /// Painted number; the first side where stations differ.
    pub number: String,
    /// Its model.
    pub model: ModelId,
    /// Where it is; more than one when stations differ.
    pub stations: Vec<SubjectId>,
    /// What the engine concludes.
    pub readiness: Readiness,
    /// What people declared.
    pub status: Status,
    /// Why, the worst first.
    pub why: Vec<Finding>,
    /// What it may not do, or only with care.
    pub limits: Vec<Limit>,
    /// Pressures predicted for the launch.
    pub pressures: Vec<PartPressure>,
    /// Whom it can bring home.
    pub load: Option<Load>,
    /// Air that its parts want at the launch; none when each has its wanted gauge, or none was read.
    pub air: Option<AirNeeded>,
    /// Minutes of work that would make it go; none when it takes something that is no matter of known
    /// minutes, or nothing known would.
    pub minutes_to_ready: Option<u32>,
    /// When its newest full check happened at the earliest.
    pub checked_at: Option<Moment>,
    /// How it is kept.
    pub stowage: Option<Stowage>,
    /// Crews that its station can raise; none when it has not said, or stations differ about where the
    /// craft is.
    pub crews: Option<CrewsAt>,
    /// Least crew for the asked mission.
    pub crew_least: u32,
    /// The steps by which it is placed in service; empty when it was not asked for alone.
    pub in_service: Vec<Step>,
}

/// One reason.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// The rule.
    pub rule: Rule,
    /// How bad.
    pub severity: Severity,
    /// What it does to the craft.
    pub effect: Effect,
    /// What it is about.
    pub subject: Subject,
    /// What was found.
    pub measured: Option<Measure>,
    /// What is required.
    pub required: Option<Required>,
    /// Events that show it.
    pub evidence: Vec<EventId>,
    /// Where the requirement comes from.
    pub basis: Basis,
    /// Source, as the standard cites it.
    pub source: String,
    /// What to do about it.
    pub to_do: Vec<ToDo>,
}

/// Rules of the engine. The words of `id` are stable.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rule {
    /// The craft's registration, model or standard is not known here.
    NoStandard,
    /// The standard does not list the mission.
    MissionNotInStandard,
    /// Condemned.
    Condemned,
    /// Out of service.
    OutOfService,
    /// Assigned elsewhere.
    Assigned,
    /// A part is too soft at the launch.
    PressureLow,
    /// A part is too hard at the launch.
    PressureHigh,
    /// A part has no reading.
    PressureNotRead,
    /// A part is right at the launch, and too hard once it is back in the bay.
    PressureHighAtHome,
    /// The reading is not settled: soon after inflating, or the temperature is not known.
    PressureProvisional,
    /// A part is in its range, and a limit lies within the spread of the prediction.
    PressureNearLimit,
    /// Read with the valves to other chambers open: it proves one of them, and not this one.
    PressureJoined,
    /// Air was added since the reading, and nobody read it afterwards.
    PressureAfterAir,
    /// Pressure belongs to another sort of part.
    PressureImplausible,
    /// An item is short.
    KitShort,
    /// An item was never counted.
    KitNotCounted,
    /// An item's count is older than the standard allows.
    KitStale,
    /// Units past their date do not count.
    KitExpired,
    /// A date is near.
    KitExpiresSoon,
    /// Aboard, and made for another fabric, connector or motor: counts nothing.
    KitDoesNotFit,
    /// Whether it fits is not known: what it must fit is not recorded.
    KitFitNotKnown,
    /// Aboard, and not for the asked mission: counts nothing.
    KitNotForMission,
    /// Aboard without something that it needs: dry storage, spare batteries, a launcher.
    KitWithout,
    /// What counts does not make up the distress signals by day.
    SignalsShortByDay,
    /// What counts does not make up the distress signals by night.
    SignalsShortByNight,
    /// Units carry no date that can be read, and so do not count.
    KitUndated,
    /// A shared or numbered thing is said to be at two craft.
    GearInTwoPlaces,
    /// A part has no motor or other gear fitted that the standard requires.
    GearMissing,
    /// Less fuel that can be burned than the mission needs.
    FuelShort,
    /// Fuel near or past the county's age.
    FuelOld,
    /// Fuel mixed otherwise than the motor takes.
    FuelMixWrong,
    /// How much fuel is aboard was never recorded, or too long ago.
    FuelNotRecorded,
    /// A tank or line has another connector than the motor.
    GearDoesNotFit,
    /// An inspection is overdue.
    InspectionOverdue,
    /// An inspection falls due soon.
    InspectionDueSoon,
    /// An inspection was never recorded.
    InspectionNeverDone,
    /// An inspection failed.
    InspectionFailed,
    /// Used hard since an inspection was last done: the sheet halves its interval.
    UsedHard,
    /// A run of the engine was shorter than the standard asks.
    InspectionTooShort,
    /// A fault is open.
    FaultOpen,
    /// A line was answered 'no'.
    LineNo,
    /// A line was never answered, or could not be looked at.
    LineNotAnswered,
    /// A repair's hold still runs.
    HoldRuns,
    /// The last full check is older than the standard allows.
    CheckStale,
    /// Never checked.
    NeverChecked,
    /// The maker's plate is not recorded.
    PlateUnknown,
    /// Crew, kit and motor leave no room.
    LoadOver,
    /// Stations differ about where it is.
    PlaceDisputed,
    /// Stations differ about a value; the worse counts.
    SidesDiffer,
    /// Two craft carry one number.
    NumberTwice,
    /// The craft was registered twice.
    SameAs,
    /// An unconfirmed event says something about it.
    Unconfirmed,
    /// An event of a kind that this replica does not know.
    NeedsUpgrade,
    /// It is rolled up.
    Rolled,
    /// Its station has not been heard for long.
    StationSilent,
    /// The motor was under water and has not been inspected since.
    MotorImmersed,
    /// The fitted motor is more powerful or heavier than the maker's plate allows.
    MotorOverPlate,
    /// A motor is fitted to a craft whose plate is for manual propulsion.
    MotorOnManual,
    /// A part loses air by its readings, within what is allowed.
    LeakShows,
    /// A part loses more in a day than is allowed.
    LeakOver,
    /// Air goes from one chamber into the one beside it.
    BaffleLeaks,
    /// Readings never move with the bay's temperature.
    ReadingsNeverMove,
    /// A hold test was ended too soon, went on too long, gained air, or left parts out.
    HoldProvesNothing,
    /// Used since the last full check.
    UsedSinceCheck,
    /// Its model, its maker's batch or a part of it is held across the county.
    HeldCountyWide,
    /// More wind than the boat standard allows.
    WindOver,
    /// More current than the boat standard allows.
    CurrentOver,
    /// The boat standard does not let it tow.
    TowNotAllowed,
    /// Wind, current or towing is asked for, and the boat standard sets no limit to it.
    LimitNotSet,
    /// By daylight only, and the job runs into the dark or into restricted visibility.
    LightsNeeded,
    /// At the launch the relief valves may be frozen shut.
    ReliefIced,
    /// A part that wants air may not be fed from a cylinder, and one is at hand.
    ByPumpOnly,
    /// Parts that only cylinders reach want more air than is in them.
    AirNotEnough,
    /// A firefighter's air would be spent on the boat.
    BreathingAir,
    /// What is in a cylinder is not known.
    CylinderNotRead,
    /// A cylinder is charged less than the settings ask.
    CylinderLow,
    /// When a cylinder is due is not known.
    CylinderNotDated,
    /// A cylinder falls due soon.
    CylinderDueSoon,
    /// A cylinder's requalification is overdue.
    CylinderOverdue,
    /// A cylinder's service life is over.
    CylinderLifeOver,
    /// The people asked about take more than one trip.
    TripsNeeded,
    /// Some of the people asked about cannot be brought home in any number of trips.
    PeopleLeftBehind,
    /// A life jacket that fits is short for somebody to be brought home.
    JacketShort,
    /// Its station has not said what crews it can raise at the asked moment.
    CrewNotKnown,
    /// Its station can raise no crew, or fewer than the least of the standard.
    CrewShort,
    /// The mission wants an operator of some level, and its station named none.
    OperatorNotNamed,
    /// None of the operators named holds the level.
    OperatorLevelShort,
    /// The level of an operator who was named has lapsed.
    OperatorLevelLapsed,
    /// Drying, flushing or decontamination is owed after use.
    OwedAfterUse,
    /// By the county's reporting times a fault is to be reported.
    ReportDue,
    /// By the same, a casualty report is due.
    CasualtyReportDue,
}

/// What a finding does to the craft.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Effect {
    /// Shown, changes nothing.
    Note,
    /// Ready, but with this limit.
    Limit(Limit),
    /// Nothing shows that it is ready.
    Unproven,
    /// Not ready.
    NotReady,
}

/// What a craft may not do, or only with care.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Limit {
    /// Add air to this part before power is used.
    TopUp(PartId),
    /// Let air out of this part before it warms.
    LetOut(PartId),
    /// Let air out of this part once it is back in the bay.
    LetOutAtHome(PartId),
    /// No power.
    NoPower,
    /// By daylight and in clear weather only.
    DaylightOnly,
    /// Not for these missions.
    NotFor(BTreeSet<MissionId>),
    /// Only for these missions, until then: a waiver.
    OnlyFor(BTreeSet<MissionId>, Moment),
    /// No people to be brought aboard beyond the crew.
    CrewOnly,
    /// Rigging first takes so many minutes.
    Rig(u32),
    /// Go, and do this soon: a line of the standard.
    DoSoon(LineId),
    /// The people asked about come home in so many trips.
    Trips(u32),
    /// Bring life jackets that fit those who are to come home.
    Jackets,
    /// Only once so many crew are there.
    Crew(u32),
    /// Only with an operator of this level.
    Operator(String),
}

/// What a finding is about.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Subject {
    /// The craft as a whole.
    Craft,
    /// A part, by id and by the words of the standard.
    Part(PartId, String),
    /// An item, inspection or question of the standard.
    Line(LineId, String),
    /// A fault at a part, and where.
    Fault(FaultId, PartId, PartPlace, String),
    /// Numbered gear or a bag, by its number.
    Gear(SubjectId, String),
    /// A station, by name.
    Station(SubjectId, String),
}

/// A quantity found or required.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Measure {
    /// Gauge pressure, pascal.
    GaugePa(i64),
    /// A slack part: no pressure at all.
    Slack,
    /// Units.
    Count(u32),
    /// A length of time, milliseconds.
    SpanMs(i64),
    /// Engine time, seconds.
    EngineS(u64),
    /// A date.
    Date(NaiveDate),
    /// A printed mark that names no day, and how it was read.
    Mark(Mark),
    /// Mass, grams.
    MassG(u64),
    /// Volume, millilitres.
    VolumeMl(u64),
    /// Petrol to oil by volume; 0 for unmixed.
    Mix(u32),
    /// Power, watts.
    PowerW(u32),
    /// Persons.
    Persons(u32),
    /// Speed of wind or water, millimetres a second.
    SpeedMmS(u32),
    /// A moment.
    Moment(Moment),
    /// Free air at the county's reference, millilitres.
    FreeAirMl(u64),
    /// Not looked at, and why.
    NotLooked(NotApplicable),
    /// A class of fault or a value in the trade's words.
    Word(String),
    /// What a side of a disagreement states.
    Said(Said),
    /// What a part loses by itself.
    Leak(LeakRate),
    /// Several sides.
    Sides(Vec<Measure>),
}

/// A printed mark that names no day, and how it was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Mark {
    /// As printed.
    pub mark: DateMark,
    /// Whether it tells the making, from which a life counts; else the date that it is good to.
    pub is_making: bool,
    /// Which day of its month or year counts.
    pub day: MarkDay,
}

/// What a part loses by itself, by its readings.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct LeakRate {
    /// In a day, pascal at 15 °C and 1013.25 hPa.
    pub pa_per_day: i64,
    /// 95 % interval of that, least and most; none where the readings give none. Shown beside: it
    /// decides nothing.
    pub between_pa: Option<(i64, i64)>,
    /// Readings that tell of it.
    pub readings: u32,
    /// How long they last together, milliseconds.
    pub over_ms: i64,
    /// Day on which the part falls below its least at the launch's colder temperature; none when
    /// that is not known.
    pub below_on: Option<NaiveDate>,
    /// 95 % interval of that day (Fieller); an open end is none. Shown beside: it decides nothing.
    pub below_between: (Option<NaiveDate>, Option<NaiveDate>),
}

/// What is required.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Required {
    /// At least.
    pub low: Option<Measure>,
    /// At most.
    pub high: Option<Measure>,
}

/// Where a requirement comes from.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
)]
#[serde(rename_all = "lowercase")]
pub enum Basis {
    /// Law.
    Law,
    /// The maker.
    Maker,
    /// The agency.
    Agency,
    /// The trade.
    Trade,
}

/// Something that can be done about a finding.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ToDo {
    /// What.
    pub action: Action,
    /// Minutes that it takes, as the standard says; none when it is not a matter of minutes.
    pub minutes: Option<u32>,
}

/// Actions.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Action {
    /// Read the gauge at this part.
    ReadGauge(PartId),
    /// Find out why this part lost its air.
    FindLeak(PartId),
    /// Bring this part to a gauge pressure now, where the craft stands: pascal.
    BringTo(PartId, i64),
    /// Bring this part to a gauge pressure once the craft is back in the bay: pascal.
    BringToAtHome(PartId, i64),
    /// Count this item.
    Count(LineId),
    /// Bring so many of this item.
    Bring(LineId, u32),
    /// Do this inspection.
    Inspect(LineId),
    /// Look at this line.
    Look(LineId),
    /// Fill up with fresh fuel of the right mix.
    Refuel,
    /// Do a full check.
    FullCheck,
    /// Repair, then have somebody entitled sign it off.
    RepairAndSignOff(FaultId),
    /// Wait until a hold has run out.
    WaitUntil(Moment),
    /// Settle where it is.
    SettlePlace(SubjectId),
    /// Look at the sides and record what is true.
    Settle(Settle),
    /// Rig it.
    Rig,
    /// Read the gauge of this cylinder.
    ReadCylinder(SubjectId),
    /// Have the cylinder charged.
    Recharge,
    /// Have the cylinder requalified, and record when.
    Requalify,
    /// Ask whoever declared it.
    AskStation,
    /// Record the maker's plate.
    RecordPlate,
    /// Upgrade this device.
    Upgrade,
    /// Ask the lead.
    AskLead,
    /// Have this station say what crews it can raise.
    SayCrews(SubjectId),
    /// Have somebody sign this fault off who did not repair it.
    SignOffByAnother(FaultId),
    /// Report it to whoever is in charge.
    Report,
}

/// Pressure of one part predicted for the launch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartPressure {
    /// The part.
    pub part: PartId,
    /// As read, pascal.
    pub read_gauge_pa: i64,
    /// When it was read, at the earliest.
    pub read_at: Moment,
    /// Lowest at the launch, pascal; the worst side, the worse temperature.
    pub launch_low_pa: i64,
    /// Highest at the launch, pascal.
    pub launch_high_pa: i64,
    /// Taken off the lowest for the part's own leak since the reading, pascal; none when no leak of
    /// its own is known, and so none was reckoned with.
    pub own_leak_pa: Option<i64>,
    /// The standard's range, pascal.
    pub range_pa: (i64, i64),
    /// How far the prediction can be off. It decides nothing.
    pub spread: PressureSpread,
    /// Highest back in the bay, pascal: as it is, or topped up at the launch where it needs to be.
    pub home_high_pa: i64,
    /// The bay, milli-degree Celsius.
    pub home_mc: i32,
    /// What the sun at the launch would make of it. It decides nothing unless the policy says so.
    pub in_sun: InSun,
}

/// How far a predicted gauge can be off, beyond the temperature, whose worse end is judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PressureSpread {
    /// Least that the gauge may show, pascal; 0 is a slack part.
    pub least_pa: i64,
    /// Most, pascal.
    pub most_pa: i64,
    /// Of it by the gauge, pascal either way.
    pub gauge_pa: i64,
    /// Of it by weather that was not measured, pascal either way.
    pub ambient_pa: i64,
    /// Of it by moisture that may condense, pascal, downwards only.
    pub moist_pa: i64,
}

/// A part in the sun at the launch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct InSun {
    /// What the fabric reaches, milli-degree Celsius.
    pub temperature_mc: i32,
    /// Highest gauge there, pascal.
    pub high_pa: i64,
    /// Lowest at the launch afterwards, with what a relief valve let out in the sun gone, pascal.
    pub then_low_pa: i64,
}

/// Whom the craft can bring home with its crew aboard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Load {
    /// Crew reckoned with.
    pub crew: u32,
    /// Mass of one, grams.
    pub crew_mass_g: u64,
    /// Further adults, the smaller of heads and mass.
    pub seats: u32,
    /// Further children instead, each as heavy as the size goes.
    pub child_seats: u32,
    /// Mass left, grams.
    pub mass_left_g: Option<i64>,
    /// What binds, for adults.
    pub binds: LoadLimit,
    /// Every line of the plate with what is on it.
    pub lines: Vec<Room>,
    /// What was weighed.
    pub counted: Vec<Counted>,
    /// What the plate's one weight was taken to count; none when it has none or two.
    pub plate_counts: Option<CountedBy>,
    /// How those who were asked about come home; none when nobody was.
    pub homeward: Option<Homeward>,
}

/// What the one weight of a plate counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct CountedBy {
    /// What.
    pub counts: PlateCounts,
    /// The boat standard does not say: the worse was taken.
    pub is_assumed: bool,
}

/// How people come home.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Homeward {
    /// The people, with weights and seats.
    pub groups: Vec<Group>,
    /// The trips.
    pub packed: Packed,
    /// Life jackets for the fullest trip, by whom they have to fit, beyond those that the crew wear.
    pub jackets: Vec<Short>,
}

/// Which line of the plate binds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LoadLimit {
    /// Persons.
    Persons,
    /// Persons' mass.
    PersonsMass,
    /// Persons, motor and gear.
    TotalMass,
}

/// An item short on one craft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MissingKit {
    /// The craft.
    pub craft: SubjectId,
    /// Its number.
    pub number: String,
    /// The item.
    pub item: LineId,
    /// In the standard's words.
    pub label: String,
    /// What counts.
    pub have: u32,
    /// What is needed.
    pub need: u32,
}

/// Something past due on one craft.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Overdue {
    /// The craft.
    pub craft: SubjectId,
    /// Its number.
    pub number: String,
    /// Line of the standard.
    pub inspection: LineId,
    /// In the standard's words.
    pub label: String,
    /// When it was due; none when it was never done, or is due by engine hours alone.
    pub due: Option<NaiveDate>,
    /// Days since then.
    pub days_over: Option<i64>,
    /// Engine seconds past due, when that is what makes it overdue.
    pub engine_s_over: Option<u64>,
    /// What being overdue does.
    pub effect: Effect,
}
