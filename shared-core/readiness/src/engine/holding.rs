//! Hold tests as recorded with their values: what was read decides, whatever was ticked.

use super::facts::Facts;
use crate::event::{HoldDone, HoldPoint};
use crate::ids::PartId;
use crate::leak::{HoldEnd, HoldFault, HoldTest, HoldTold, HoldVerdict, REFERENCE};
use crate::pressure::Air;
use crate::record::Inspection;
use crate::standard::{HoldSort, InspectionLine, Part, Policy, PressureRule, Standard};

/// What the hold tests of an inspection come to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Held {
    /// No values were recorded, or the line asks for none: what was said counts.
    NotMeasured,
    /// Every part held.
    Passed,
    /// A part lost too much.
    Lost(HoldTold),
    /// It proves nothing, and why, of which parts.
    Nothing(Nothing, Vec<PartId>),
}

/// Why hold tests prove nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Nothing {
    /// By its time, or because the part gained air.
    Fault(HoldFault),
    /// The gauge belongs to another sort of part.
    Implausible,
    /// It began below the least pressure of the part.
    BegunSoft,
    /// Parts were not tested.
    NotTested,
}

impl Nothing {
    /// Stable word.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Fault(HoldFault::TooShort) => "too-short",
            Self::Fault(HoldFault::TooLong) => "too-long",
            Self::Fault(HoldFault::Gained) => "gained",
            Self::Implausible => "implausible",
            Self::BegunSoft => "begun-soft",
            Self::NotTested => "not-tested",
        }
    }
}

/// Judges the hold tests of one inspection: what lost too much first, then what proves nothing.
pub(super) fn judge(facts: &Facts<'_>, line: &InspectionLine, done: &Inspection) -> Held {
    let Some(sort) = line.hold.filter(|_| !done.holds.is_empty()) else {
        return Held::NotMeasured;
    };
    let mut nothing: Option<(Nothing, Vec<PartId>)> = None;
    for test in &done.holds {
        match one(facts, sort, test) {
            Ok(told) if told.verdict == HoldVerdict::TestForLeaks => return Held::Lost(told),
            Ok(_) => {}
            Err(why) => {
                nothing.get_or_insert_with(|| (why, vec![test.part.clone()]));
            }
        }
    }
    if let Some((why, parts)) = nothing {
        return Held::Nothing(why, parts);
    }
    let not_tested = wanted(facts, line)
        .filter(|part| done.holds.iter().all(|test| test.part != part.id))
        .map(|part| part.id.clone());
    let not_tested: Vec<PartId> = not_tested.collect();
    if not_tested.is_empty() {
        Held::Passed
    } else {
        Held::Nothing(Nothing::NotTested, not_tested)
    }
}

/// The parts that the line is about: one, or all that hold air.
fn wanted<'a>(facts: &'a Facts<'_>, line: &'a InspectionLine) -> impl Iterator<Item = &'a Part> {
    let parts = facts.standard.parts.iter();
    parts.filter(|part| match &line.part {
        Some(one) => part.id == *one,
        None => part.pressure.is_some(),
    })
}

fn one(facts: &Facts<'_>, sort: HoldSort, test: &HoldDone) -> Result<HoldTold, Nothing> {
    let (told, nothing) = told(facts.county.policy, facts.standard, sort, test);
    nothing.map_or(Ok(told), Err)
}

/// The figures of one test, and why it proves nothing where it does.
pub(crate) fn told(
    policy: &Policy,
    standard: &Standard,
    sort: HoldSort,
    test: &HoldDone,
) -> (HoldTold, Option<Nothing>) {
    let told = policy.hold.rule(sort).judge(&test_of(test));
    let parts = standard.parts.iter();
    let rule = parts
        .filter(|part| part.id == test.part)
        .find_map(|part| part.pressure.as_ref());
    let accuracy_pa = i64::from(policy.pressure.gauge_accuracy_pa);
    let misfit = rule.and_then(|rule| fits(rule, test, accuracy_pa).err());
    let fault = match told.verdict {
        HoldVerdict::ProvesNothing(fault) => Some(Nothing::Fault(fault)),
        HoldVerdict::Passed | HoldVerdict::TestForLeaks => None,
    };
    (told, misfit.or(fault))
}

/// Whether the gauges can belong to the part, and it began at its pressure. One that lost too much
/// has done so from wherever it began.
fn fits(rule: &PressureRule, test: &HoldDone, accuracy_pa: i64) -> Result<(), Nothing> {
    let plausible = rule.implausible_below_pa..=rule.implausible_above_pa;
    if !plausible.contains(&test.start.gauge_pa) || !plausible.contains(&test.end.gauge_pa) {
        return Err(Nothing::Implausible);
    }
    if test.start.gauge_pa < rule.low_pa.saturating_sub(accuracy_pa) {
        return Err(Nothing::BegunSoft);
    }
    Ok(())
}

/// What was not measured is taken as the same at both ends.
fn test_of(test: &HoldDone) -> HoldTest {
    let end = |point: HoldPoint| HoldEnd {
        gauge_pa: point.gauge_pa,
        air: Air {
            temperature_mc: point.air_mc.unwrap_or(REFERENCE.temperature_mc),
            ambient_pa: point.ambient_pa.map_or(REFERENCE.ambient_pa, f64::from),
        },
    };
    HoldTest {
        start: end(test.start),
        end: end(test.end),
        duration_s: test.duration_s,
    }
}
