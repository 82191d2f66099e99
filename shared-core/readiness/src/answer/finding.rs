//! A finding: its rule, effect, subject, what was measured and required, and what to do.

use super::{Rule, Said, Settle};
use crate::event::{DateMark, NotApplicable, PartPlace, Severity};
use crate::ids::{EventId, FaultId, LineId, MissionId, PartId, SubjectId};
use crate::moment::Moment;
use crate::standard::MarkDay;
use chrono::NaiveDate;
use std::collections::BTreeSet;

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
    /// Count all that is in this bag, and note its seal.
    CountBag(SubjectId),
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
