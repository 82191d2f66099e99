//! The lines of a boat standard: parts, kit, inspections, questions, and what each shortfall does.

use super::{Cited, Fits, Signal};
use crate::dates;
use crate::event::{Severity, WaterType};
use crate::ids::{LineId, MissionId, PartId};
use crate::load::Wearer;
use std::collections::{BTreeMap, BTreeSet};

/// A part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Id.
    pub id: PartId,
    /// In words, with its place.
    pub label: String,
    /// Pressure, for a part that holds air.
    pub pressure: Option<PressureRule>,
    /// Gear that must be fitted as this part: `motor`, ...
    pub gear: Option<GearRule>,
    /// Chambers beside it, with only a baffle between: where one falls and the other rises, that
    /// leaks.
    pub joined_to: BTreeSet<PartId>,
    /// Whether the sheet marks it as one of the short check between runs.
    pub between_runs: bool,
    /// Source.
    pub cited: Cited,
}
/// What a part's pressure must be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PressureRule {
    /// Least, pascal gauge.
    pub low_pa: i64,
    /// Wanted, pascal gauge.
    pub nominal_pa: i64,
    /// Most, pascal gauge.
    pub high_pa: i64,
    /// Below this a reading cannot belong to the part.
    pub implausible_below_pa: i64,
    /// Above this a reading cannot belong to the part.
    pub implausible_above_pa: i64,
    /// Relief valve's setting; none when it has none.
    pub relief_pa: Option<i64>,
    /// Question or inspection whose 'no' or failure means that the relief valve does not work.
    pub relief_line: Option<LineId>,
    /// What a relief valve that may be iced at the launch does.
    pub iced: RuleEffect,
    /// Volume of the part, millilitres; none when it is not known, and the air that it wants is not
    /// reckoned.
    pub volume_ml: Option<u32>,
    /// Time that the craft must have stood for a reading to be settled, seconds.
    pub stand_s: u32,
    /// Time after inflating before a reading is settled, seconds.
    pub settle_s: u32,
    /// What too soft does when it can be topped up.
    pub soft: SoftRule,
    /// Minutes to top up.
    pub top_up_minutes: u32,
    /// Minutes to read the gauge.
    pub read_minutes: u32,
}
/// What a soft part does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SoftRule {
    /// Top up before power: ready with limits when softness is by cold and a pump is aboard.
    TopUp,
    /// At the transom: no power.
    NoPower,
    /// Keel, speed tube or floor: no swiftwater.
    NoSwiftwater,
    /// Not ready.
    NotReady,
}
/// Gear that must be fitted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GearRule {
    /// What its absence does.
    pub effect: RuleEffect,
}
/// An item of kit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Item {
    /// Id.
    pub id: LineId,
    /// In words.
    pub label: String,
    /// How many.
    pub count: u32,
    /// Missions that need it; empty for all.
    pub missions: BTreeSet<MissionId>,
    /// Other counts for some missions.
    pub count_for: BTreeMap<MissionId, u32>,
    /// Items that can stand in for it, each unit for one unit.
    pub alternatives: Vec<LineId>,
    /// Whether units carry a date, and how long before it they are near.
    pub dated: Option<Dated>,
    /// What a shortfall does.
    pub short: RuleEffect,
    /// Severity of a shortfall.
    pub severity: Severity,
    /// Days after which a count is stale; the check's when none.
    pub count_days: Option<u32>,
    /// It adds air to a part: with it, a part soft by cold can be topped up.
    pub adds_air: bool,
    /// Greatest gauge pressure that it reaches, pascal; none when it reaches any.
    pub air_up_to_pa: Option<i64>,
    /// It is under high pressure: never into a part without a working relief valve.
    pub high_pressure: bool,
    /// Air that one stroke takes in, millilitres.
    pub stroke_ml: Option<u32>,
    /// Mass of one unit, grams, for the load.
    pub mass_g: Option<u32>,
    /// What its mass is listed as.
    pub weighs_as: WeighsAs,
    /// Body weights that it serves, for a life jacket.
    pub wearer: Option<Wearer>,
    /// Length of craft from which it is asked, millimetres.
    pub from_length_mm: Option<u32>,
    /// Minutes to count it.
    pub count_minutes: Option<u32>,
    /// Day from which it is asked; none from the first.
    pub asked_from: Option<chrono::NaiveDate>,
    /// What it is good for as a distress signal.
    pub signal: Option<Signal>,
    /// What the craft must be for it to count.
    pub fits: Fits,
    /// Items of which one must be aboard as well: dry storage, spare batteries.
    pub needs: Vec<LineId>,
    /// What lacking one of those does; none when the item then counts nothing.
    pub without: Option<RuleEffect>,
    /// Missions for which it counts nothing, nor stands in for anything.
    pub not_for: BTreeSet<MissionId>,
    /// Whether the sheet marks it as one of the short check between runs.
    pub between_runs: bool,
    /// Source.
    pub cited: Cited,
}
/// What the mass of an item is listed as.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WeighsAs {
    /// Kit.
    #[default]
    Kit,
    /// Fuel and its tank.
    Fuel,
    /// Battery that starts the motor.
    Battery,
}
/// Dates on an item's units.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Dated {
    /// Life from making, months, when only that mark is there.
    pub life_months: Option<u32>,
    /// Days before the date from which it is near.
    pub soon_days: u32,
    /// A unit without a known date counts or not; as the policy says when none.
    pub undated_counts: Option<bool>,
}
/// An inspection.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct InspectionLine {
    /// Id.
    pub id: LineId,
    /// In words.
    pub label: String,
    /// The part that it concerns.
    pub part: Option<PartId>,
    /// Calendar interval.
    pub every: Option<Every>,
    /// Engine interval, seconds.
    pub every_engine_s: Option<u64>,
    /// Engine time before the interval ends from which it is due soon, seconds.
    pub soon_engine_s: u64,
    /// The hold test that proves it; none for an inspection of another sort.
    pub hold: Option<HoldSort>,
    /// What hard use since it was last done halves.
    pub hard_use: HardUse,
    /// Passing it lets a motor run again that was under water.
    pub clears_immersion: bool,
    /// Shortest run that does it, seconds; none when it is no run.
    pub run_least_s: Option<u32>,
    /// Days of grace after the due day during which it is only noted.
    pub grace_days: u32,
    /// Days before the due day from which it is due soon.
    pub soon_days: u32,
    /// What being overdue does.
    pub overdue: RuleEffect,
    /// What never having been done does.
    pub never: RuleEffect,
    /// What having failed does.
    pub failed: RuleEffect,
    /// Severity when overdue.
    pub severity: Severity,
    /// Minutes that it takes, when it can be done on the spot.
    pub minutes: Option<u32>,
    /// Day from which it is asked.
    pub asked_from: Option<chrono::NaiveDate>,
    /// What it uses up; empty when the sheet does not say. It decides nothing: it is what a shelf must
    /// hold.
    pub uses: Vec<Material>,
    /// Source.
    pub cited: Cited,
}
impl InspectionLine {
    /// The day on which it is due after it was done, with or without hard use since; none for a line
    /// by engine hours alone.
    #[must_use]
    pub fn due_after(&self, done: dates::Day, used_hard: bool) -> Option<dates::Day> {
        let every = self.every?;
        Some(match self.hard_use {
            HardUse::HalvesBoth if used_hard => dates::due_halved(done, every),
            HardUse::HalvesBoth | HardUse::HalvesHours | HardUse::HalvesNothing => {
                dates::due(done, every)
            }
        })
    }

    /// The interval by engine hours, with or without hard use since, seconds.
    #[must_use]
    pub fn engine_interval_s(&self, used_hard: bool) -> Option<u64> {
        let every_s = self.every_engine_s?;
        Some(match self.hard_use {
            HardUse::HalvesBoth | HardUse::HalvesHours if used_hard => every_s / 2,
            HardUse::HalvesBoth | HardUse::HalvesHours | HardUse::HalvesNothing => every_s,
        })
    }
}
/// Something that an inspection uses up.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Material {
    /// Under which it is counted on a shelf.
    pub item: LineId,
    /// In words.
    pub label: String,
    /// How many.
    pub count: u32,
}
/// Sorts of hold test; what each allows stands in the policy.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum HoldSort {
    /// The 24-hour test.
    Day,
    /// The working-pressure test of an hour.
    Hour,
}
/// What hard use halves: frequent starts, shifts, heavy loads, dirty water. The maker's words are
/// 'twice as often' (Yamaha F150B maintenance chart), and do not say whether that means days too.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum HardUse {
    /// Nothing.
    HalvesNothing,
    /// The interval by engine hours: how much an engine wore is a matter of how it ran.
    #[default]
    HalvesHours,
    /// The interval by engine hours and the one by days.
    HalvesBoth,
}
/// Something that is owed after use: drying, flushing, decontamination.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AfterUse {
    /// Id, under which it is recorded as done.
    pub id: LineId,
    /// In words.
    pub label: String,
    /// Waters after which it is owed; empty for any.
    pub water: BTreeSet<WaterType>,
    /// What it does to the craft while it is owed and the craft is released.
    pub owed: RuleEffect,
    /// Severity.
    pub severity: Severity,
    /// Minutes that it takes.
    pub minutes: Option<u32>,
    /// Source.
    pub cited: Cited,
}
/// A calendar interval.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Every {
    /// Days.
    Days(u32),
    /// Months, counted from the original day; a day that a month lacks is its last.
    Months(u32),
}
/// A question of the check.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Question {
    /// Id.
    pub id: LineId,
    /// In words, so that 'yes' is as it should be.
    pub label: String,
    /// The part.
    pub part: Option<PartId>,
    /// Missions that need it; empty for all.
    pub missions: BTreeSet<MissionId>,
    /// What 'no' does.
    pub no: RuleEffect,
    /// Severity of 'no'.
    pub severity: Severity,
    /// 'No' opens a fault that only a sign-off closes.
    pub no_is_fault: bool,
    /// Not answered within the check's interval does this.
    pub unanswered: RuleEffect,
    /// Whether the sheet marks it as one of the short check between runs.
    pub between_runs: bool,
    /// Minutes to look.
    pub minutes: Option<u32>,
    /// Day from which it is asked.
    pub asked_from: Option<chrono::NaiveDate>,
    /// Source.
    pub cited: Cited,
}
/// What a shortfall does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RuleEffect {
    /// Shown only.
    Note,
    /// Ready with limits: to be done soon.
    Limit,
    /// No power.
    NoPower,
    /// By daylight only.
    DaylightOnly,
    /// No people beyond the crew.
    CrewOnly,
    /// Not for the missions that ask for it.
    NotForMission,
    /// Unproven.
    Unproven,
    /// Not ready.
    NotReady,
}
/// How often a full check is owed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CheckRule {
    /// Days.
    pub every_days: u32,
    /// Days of grace before it is unproven.
    pub grace_days: u32,
    /// Minutes that a full check takes.
    pub minutes: u32,
    /// What it does that a full check is owed after use, once the craft is released.
    pub released: RuleEffect,
    /// What it does that all in a bag is to be counted, since its seal is broken or another than
    /// noted, or its tag's date has passed.
    pub count_owed: RuleEffect,
    /// Source.
    pub cited: Cited,
}
