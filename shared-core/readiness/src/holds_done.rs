//! The record of hold tests: every one that was done with its values, judged by both corrections, and
//! how the losses of each chamber went from test to test.
//!
//! Judged as the engine judges the newest (`engine/holding.rs`), by the settings of now. It decides
//! nothing.

use std::collections::BTreeMap;

use crate::doubted::Past;
use crate::engine::HoldNothing;
use crate::engine::holding::told;
use crate::event::{Author, HoldDone};
use crate::ids::{EventId, LineId, PartId, SubjectId};
use crate::leak::{HoldTold, Line, Spread};
use crate::moment::Moment;
use crate::recurrent::{LEVEL, false_discovery};
use crate::standard::{HoldSort, Standard};

/// Every hold test of a county.
#[derive(Clone, Debug, PartialEq)]
pub struct HoldsDone {
    /// The newest first.
    pub tests: Vec<HoldTested>,
    /// Chambers that were tested twice or more, by craft and part.
    pub courses: Vec<LossCourse>,
}

/// One hold test.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HoldTested {
    /// The event.
    pub event: EventId,
    /// When it ended, as entered.
    pub at: Moment,
    /// Who wrote it.
    pub by: Author,
    /// The craft.
    pub craft: SubjectId,
    /// Its number.
    pub number: String,
    /// The inspection that it belongs to.
    pub line: LineId,
    /// What the sheet calls that; its id where the sheet has it no more.
    pub line_label: String,
    /// The part in words.
    pub part_label: String,
    /// Part, both ends, how long.
    pub test: HoldDone,
    /// Which test it is judged as.
    pub sort: HoldSort,
    /// Its figures.
    pub told: HoldTold,
    /// Why it proves nothing, where it does.
    pub nothing: Option<HoldNothing>,
    /// Whether the inspection was entered as passed.
    pub entered_passed: bool,
}

/// How the losses of one chamber went.
#[derive(Clone, Debug, PartialEq)]
pub struct LossCourse {
    /// Number of the craft.
    pub number: String,
    /// The craft.
    pub craft: SubjectId,
    /// The part.
    pub part: PartId,
    /// In words.
    pub part_label: String,
    /// Which test.
    pub sort: HoldSort,
    /// Losses in the order of time, each brought to the least time of such a test, pascal.
    pub losses: Vec<(Moment, i64)>,
    /// Change from year to year by a straight line, pascal; none for fewer than three tests.
    pub pa_per_year: Option<i64>,
    /// Two-sided p of no change, with false alarms held down; none for fewer than four tests.
    pub p_adjusted: Option<f64>,
    /// What it comes to.
    pub said: LossSaid,
}

/// What a course of losses comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LossSaid {
    /// It loses more from test to test.
    Grows,
    /// It loses less.
    Shrinks,
    /// No trend shows.
    NoTrend,
    /// Too few tests.
    TooFew,
}

/// Tests from which a trend is looked for: three make a line with one degree of freedom, which shows a
/// trend by chance alone when they happen to lie on it. Common practice, no source.
const TREND_LEAST: usize = 4;

const DAYS_OF_YEAR: f64 = 365.25;

/// The record of hold tests.
#[must_use]
pub fn holds_done(past: Past<'_>) -> HoldsDone {
    let mut tests = Vec::new();
    for craft in past.history.crafts.values() {
        let standard = past.standards.get(&craft.model);
        for done in &craft.inspections {
            for test in &done.holds {
                let line =
                    standard.and_then(|it| it.inspections.iter().find(|l| l.id == done.line));
                let of_line = line.and_then(|line| line.hold);
                let sort = of_line.unwrap_or_else(|| past.policy.hold.sort(test.duration_s));
                let (told, nothing) = match standard {
                    Some(standard) => told(past.policy, standard, sort, test),
                    None => continue,
                };
                tests.push(HoldTested {
                    event: done.event,
                    at: done.at,
                    by: done.by.clone(),
                    craft: craft.id,
                    number: craft.number.clone(),
                    line: done.line.clone(),
                    line_label: line.map_or_else(|| done.line.0.clone(), |line| line.label.clone()),
                    part_label: label(standard, &test.part),
                    test: test.clone(),
                    sort,
                    told,
                    nothing,
                    entered_passed: done.passed,
                });
            }
        }
    }
    tests.sort_by(|one: &HoldTested, other| {
        let newest = other.at.cmp(&one.at);
        let place = |it: &HoldTested| (it.number.clone(), it.event, it.test.part.clone());
        newest.then_with(|| place(one).cmp(&place(other)))
    });
    HoldsDone {
        courses: courses(past, &tests),
        tests,
    }
}

fn label(standard: Option<&Standard>, part: &PartId) -> String {
    let parts = standard.into_iter().flat_map(|standard| &standard.parts);
    let mut named = parts.filter(|it| it.id == *part);
    named
        .next()
        .map_or_else(|| part.0.clone(), |part| part.label.clone())
}

type Key = (String, SubjectId, PartId, HoldSort);

fn courses(past: Past<'_>, tests: &[HoldTested]) -> Vec<LossCourse> {
    let mut by_chamber: BTreeMap<Key, (String, Vec<(Moment, i64)>)> = BTreeMap::new();
    for test in tests.iter().rev() {
        // A gain, a gauge of another part, and a test of another length tell nothing of the loss.
        let tells = test.nothing.is_none() || test.nothing == Some(HoldNothing::BegunSoft);
        if !tells || test.test.duration_s == 0 {
            continue;
        }
        let key = (
            test.number.clone(),
            test.craft,
            test.test.part.clone(),
            test.sort,
        );
        let least_s = i64::from(past.policy.hold.rule(test.sort).least_s);
        let lost = test.told.lost_pa.saturating_mul(least_s) / i64::from(test.test.duration_s);
        let (label, losses) = by_chamber.entry(key).or_default();
        label.clone_from(&test.part_label);
        losses.push((test.at, lost));
    }
    let several = by_chamber
        .into_iter()
        .filter(|(_, (_, losses))| losses.len() >= 2);
    let mut lines: Vec<Option<Line>> = Vec::new();
    let mut courses: Vec<LossCourse> = several
        .map(|((number, craft, part, sort), (part_label, losses))| {
            let line = Line::through(&points(&losses)).filter(|_| losses.len() >= 3);
            lines.push(line);
            LossCourse {
                number,
                craft,
                part,
                part_label,
                sort,
                losses,
                pa_per_year: line.map(|line| whole(line.slope * DAYS_OF_YEAR)),
                p_adjusted: None,
                said: LossSaid::TooFew,
            }
        })
        .collect();
    hold_down(&mut courses, &lines);
    courses
}

fn hold_down(courses: &mut [LossCourse], lines: &[Option<Line>]) {
    let looked: Vec<(&mut LossCourse, Line)> = courses
        .iter_mut()
        .zip(lines)
        .filter(|(course, _)| course.losses.len() >= TREND_LEAST)
        .filter_map(|(course, line)| Some((course, (*line)?)))
        .collect();
    // A line through losses that are all alike has no p: nothing changed.
    let p_of = |line: Line| Spread::of(line, LEVEL).and_then(|spread| spread.slope_p());
    let p: Vec<f64> = looked
        .iter()
        .map(|(_, line)| p_of(*line).unwrap_or(1.0))
        .collect();
    for ((course, line), p) in looked.into_iter().zip(false_discovery(&p)) {
        course.p_adjusted = Some(p);
        course.said = match p <= 1.0 - LEVEL {
            true if line.slope > 0.0 => LossSaid::Grows,
            true => LossSaid::Shrinks,
            false => LossSaid::NoTrend,
        };
    }
}

fn points(losses: &[(Moment, i64)]) -> Vec<(f64, f64)> {
    let first = losses.first().map_or(Moment(0), |(at, _)| *at);
    let losses = losses.iter();
    losses
        .map(|(at, pa)| (wide(at.since(first)) / 86_400_000.0, wide(*pa)))
        .collect()
}

#[expect(
    clippy::cast_precision_loss,
    reason = "pascal and milliseconds of a craft's life are far below 2^53"
)]
const fn wide(number: i64) -> f64 {
    number as f64
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a cast from f64 to i64 saturates; values are far inside"
)]
fn whole(number: f64) -> i64 {
    number.round() as i64
}
