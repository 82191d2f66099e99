//! The reading history of one craft, chamber by chamber: every reading as it was read and as it would
//! show at 15 °C and 1013.25 hPa, with what came between, beside the line through them.

use crate::chambers::ChamberCurve;
use crate::doubted::{Course, Entry, Past};
use crate::history::{CraftPast, ReadingPast};
use crate::ids::{EventId, SubjectId};
use crate::leak::{Cut, Known, REFERENCE, Step, corrected_gas};
use crate::moment::Moment;

/// One craft.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadBack {
    /// The craft.
    pub craft: SubjectId,
    /// Its number.
    pub number: String,
    /// Its chambers, in the order of its sheet.
    pub chambers: Vec<ChamberReadings>,
}

/// One chamber.
#[derive(Clone, Debug, PartialEq)]
pub struct ChamberReadings {
    /// The line, and what it tells.
    pub curve: ChamberCurve,
    /// What happened, in the order of time.
    pub happened: Vec<Happened>,
}

/// One thing that happened to a chamber.
#[derive(Clone, Debug, PartialEq)]
pub enum Happened {
    /// It was read.
    Read(Box<ReadingShown>),
    /// What is before and after is never fitted together.
    Cut(Moment, Cut),
}

/// A reading.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingShown {
    /// When, by whom, with which gauge, and what it showed.
    pub past: ReadingPast,
    /// Number of the gauge; empty where nobody said which.
    pub gauge_number: String,
    /// At 15 °C and 1013.25 hPa, pascal; none where the air in the part is not known.
    pub corrected_pa: Option<i64>,
    /// Whether the line goes through it.
    pub is_fitted: bool,
}

/// The reading history of a craft; `curves` are those of the same craft.
#[must_use]
pub fn read_back(past: Past<'_>, craft: &CraftPast, curves: Vec<ChamberCurve>) -> ReadBack {
    let parts = past
        .standards
        .get(&craft.model)
        .map_or(&[][..], |it| &it.parts);
    let chambers = curves.into_iter().filter_map(|curve| {
        let part = parts.iter().find(|part| part.id == curve.chamber.part)?;
        let course = Course::of(past, craft, part, part.pressure.as_ref()?);
        let entries = course.entries.iter();
        let happened = entries.filter_map(|entry| happened(past, entry, &curve.fitted));
        Some(ChamberReadings {
            happened: happened.collect(),
            curve,
        })
    });
    ReadBack {
        craft: craft.id,
        number: craft.number.clone(),
        chambers: chambers.collect(),
    }
}

fn happened(past: Past<'_>, entry: &Entry<'_>, fitted: &[EventId]) -> Option<Happened> {
    let known = match entry.step {
        Step::Read(known) => Some(known),
        Step::NotComparable => None,
        Step::Warmed(_) => return None,
        Step::Cut(cut) => return Some(Happened::Cut(entry.at, cut)),
    };
    let reading = entry.reading?;
    let gauge = reading.reading.gauge;
    let number = gauge.and_then(|id| past.history.gear.get(&id));
    Some(Happened::Read(Box::new(ReadingShown {
        past: reading.clone(),
        gauge_number: number.map_or_else(String::new, |gear| gear.number.clone()),
        corrected_pa: known.map(corrected),
        is_fitted: known.is_some() && fitted.contains(&reading.event),
    })))
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a gauge of a boat is far below 2^63 pascal"
)]
fn corrected(known: Known) -> i64 {
    corrected_gas(known.gauge_pa, known.air, REFERENCE).round() as i64
}
