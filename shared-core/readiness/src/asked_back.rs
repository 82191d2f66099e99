//! What is asked back at once while a check is entered: what does not make sense, or hardly does.
//!
//! Asking back refuses nothing: whoever looked may stand by what was entered, and a field that is
//! stood by is not asked again. The engine judges a check alike, asked back or not. Limits stand in
//! the boat standard and the policy.

mod contents;
mod gauges;
mod kit;

use std::collections::{BTreeMap, BTreeSet};

use crate::event::{Check, DateMark, ReadingMoment, Trust};
use crate::ids::{LineId, PartId, SubjectId};
use crate::moment::{CLOCK_TOLERANCE_MS, Moment};
use crate::record::{Record, Side, Sides};
use crate::standard::{Policy, Standard};

/// One thing that is asked back.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct AskedBack {
    /// The field.
    pub field: FieldRef,
    /// Why.
    pub why: AskedWhy,
}

/// A field of a check.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FieldRef {
    /// When it was observed.
    Observed,
    /// Temperature of the air.
    Air,
    /// A gauge value.
    Reading(PartId, ReadingMoment),
    /// How many of an item, in a bag or on the craft itself.
    Count(LineId, Option<SubjectId>),
    /// Its dates.
    Dates(LineId, Option<SubjectId>),
    /// The earliest date on a bag's tag.
    SealDate(SubjectId),
    /// How much fuel, in a tank or the craft's own.
    Fuel(Option<SubjectId>),
    /// When it was filled.
    Filled(Option<SubjectId>),
    /// An engine's meter, the motor's or the craft's own.
    Meter(Option<SubjectId>),
    /// The gauge of a cylinder.
    Cylinder(SubjectId),
}

/// Why a field is asked back.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum AskedWhy {
    /// The value lies outside of what its part can show, and inside of what another's can.
    OtherPart {
        /// As entered, pascal.
        gauge_pa: i64,
        /// Least that the part can show.
        least_pa: i64,
        /// Most that it can show.
        most_pa: i64,
        /// The part that it would fit.
        fits: PartId,
    },
    /// The value lies outside of what its part, or any other, can show.
    NoPart {
        /// As entered, pascal.
        gauge_pa: i64,
        /// Least that the part can show.
        least_pa: i64,
        /// Most that it can show.
        most_pa: i64,
    },
    /// Further from the last reading than temperature and time explain.
    FarFromLast {
        /// As entered, pascal.
        gauge_pa: i64,
        /// What the last reading would show at this temperature, pascal.
        last_pa: i64,
        /// Most difference that is not asked about, pascal.
        limit_pa: i64,
        /// When it was read.
        last_at: Moment,
    },
    /// As left is lower than as found, though air was added.
    LeftBelowFound {
        /// As found, pascal.
        found_pa: i64,
        /// As left, pascal.
        left_pa: i64,
    },
    /// A date before the one last noted for the same item.
    BeforeLast {
        /// As entered.
        date: DateMark,
        /// Last noted.
        last: DateMark,
    },
    /// A date that is over.
    Over {
        /// As entered.
        date: DateMark,
    },
    /// A date further away than the item lives.
    BeyondLife {
        /// As entered.
        date: DateMark,
        /// Life from making, months.
        life_months: u32,
    },
    /// A day of making or filling that has not come.
    NotYet {
        /// As entered.
        date: DateMark,
    },
    /// More than were ever known to be carried, and than are wanted, by more than the margin.
    MoreThanEver {
        /// As entered.
        count: u32,
        /// Last counted; none when nobody counted.
        last: Option<u32>,
        /// Most that any mission asks for.
        wanted: u32,
    },
    /// A meter that shows less than before.
    MeterBack {
        /// As entered, seconds.
        engine_s: u64,
        /// Last read, seconds.
        last_s: u64,
    },
    /// A meter that ran longer than the clock did.
    MeterFast {
        /// As entered, seconds.
        engine_s: u64,
        /// Last read, seconds.
        last_s: u64,
        /// Most that can have passed since, seconds.
        passed_s: u64,
    },
    /// More fuel than the tank holds.
    AboveTank {
        /// As entered, millilitres.
        amount_ml: u32,
        /// Most that it holds, by the sheet, else by the policy.
        most_ml: u32,
    },
    /// A cylinder's gauge above its service pressure, by more than the margin.
    AboveService {
        /// As entered, kilopascal.
        gauge_kpa: u32,
        /// Its service pressure, kilopascal.
        service_kpa: u32,
    },
    /// Observed at a moment that has not come.
    InTheFuture {
        /// As entered.
        observed: Moment,
        /// The asker's.
        now: Moment,
    },
    /// Warmer or colder than a boat is kept anywhere.
    HardlyAnyAir {
        /// As entered, milli-degree Celsius.
        air_mc: i32,
        /// Least that is not asked about.
        least_mc: i32,
        /// Most that is not asked about.
        most_mc: i32,
    },
}

/// What was entered.
#[derive(Clone, Copy, Debug)]
pub struct Entered<'a> {
    /// The check as it stands.
    pub check: &'a Check,
    /// When it was observed, where somebody said so.
    pub observed: Option<Moment>,
    /// Parts into which air was added between found and left.
    pub air_added: &'a BTreeSet<PartId>,
}

/// What it is held against.
#[derive(Clone, Copy, Debug)]
pub struct Before<'a> {
    /// Records of the county, the craft's among them.
    pub records: &'a BTreeMap<SubjectId, Record>,
    /// The craft.
    pub craft: SubjectId,
    /// The craft's sheet.
    pub standard: &'a Standard,
    /// The county's settings.
    pub policy: &'a Policy,
    /// The asker's moment.
    pub now: Moment,
}

/// What is asked back of a check, in the order of its fields. A field that `is_affirmed` says
/// somebody stood by is not asked.
#[must_use]
pub fn asked_back(
    entered: &Entered<'_>,
    before: &Before<'_>,
    is_affirmed: impl Fn(&FieldRef) -> bool,
) -> Vec<AskedBack> {
    let mut asked = Vec::new();
    observed(entered, before, &mut asked);
    gauges::check(entered, before, &mut asked);
    kit::check(entered, before, &mut asked);
    kit::tags(entered, before, &mut asked);
    contents::check(entered, before, &mut asked);
    asked.retain(|asked| !is_affirmed(&asked.field));
    asked.sort();
    asked.dedup();
    asked
}

fn observed(entered: &Entered<'_>, before: &Before<'_>, asked: &mut Vec<AskedBack>) {
    let now = before.now;
    let ahead = |at: &Moment| at.since(now) > CLOCK_TOLERANCE_MS;
    if let Some(observed) = entered.observed.filter(ahead) {
        ask(
            asked,
            FieldRef::Observed,
            AskedWhy::InTheFuture { observed, now },
        );
    }
}

fn ask(asked: &mut Vec<AskedBack>, field: FieldRef, why: AskedWhy) {
    asked.push(AskedBack { field, why });
}

/// The sides that somebody trusted stated.
fn trusted<T>(sides: &Sides<T>) -> impl Iterator<Item = &Side<T>> {
    let is_trusted = |side: &&Side<T>| side.origin.trust == Trust::Trusted;
    sides.iter().filter(is_trusted)
}

impl<'a> Before<'a> {
    /// The craft's record.
    fn record(&self) -> Option<&'a Record> {
        self.records.get(&self.craft)
    }

    /// What the craft's record keeps of a thing, and the thing's own record: what was stated of it by
    /// any check that touched it.
    fn sides<T>(
        &self,
        thing: Option<SubjectId>,
        of: impl Fn(&'a Record) -> &'a BTreeMap<Option<SubjectId>, Sides<T>>,
    ) -> Vec<&'a Side<T>> {
        let craft = self.record().and_then(|record| of(record).get(&thing));
        let own = thing.and_then(|thing| self.records.get(&thing));
        let own = own.and_then(|record| of(record).get(&None));
        craft.into_iter().chain(own).flat_map(trusted).collect()
    }

    /// When something was entered: as observed, else now.
    fn at(&self, entered: &Entered<'_>) -> Moment {
        entered.observed.unwrap_or(self.now)
    }
}
