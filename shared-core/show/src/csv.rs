//! Sections of the county answer as tables for a spreadsheet, described column by column in
//! `csv.md`.
//!
//! RFC 4180 in UTF-8: a header line, commas, lines that end in CR LF. Names of columns are stable
//! and carry the unit. Moments are RFC 3339 in UTC. Judges nothing.

mod ahead;
mod cell;
mod craft;
mod faults;
mod leaks;
mod lists;
#[cfg(test)]
mod tests;

use sponson_readiness::answer::CountyAnswer;
use sponson_readiness::chambers::ChamberLeaks;

use crate::context::Context;
use cell::{Table, moment};
pub use faults::FaultsList;

/// A section that can be written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Section {
    /// Which craft can go, and what keeps the others.
    Who,
    /// Kit that is short.
    Short,
    /// Inspections and dates past due.
    Overdue,
    /// Where stations differ.
    Disagreements,
    /// When stations were heard, and what they can raise.
    Stations,
}

impl Section {
    /// Every section, in the order of the page.
    pub const ALL: [Self; 5] = [
        Self::Who,
        Self::Short,
        Self::Overdue,
        Self::Disagreements,
        Self::Stations,
    ];

    /// The stable word.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Who => "who",
            Self::Short => "short",
            Self::Overdue => "overdue",
            Self::Disagreements => "disagreements",
            Self::Stations => "stations",
        }
    }

    /// The section as a table.
    #[must_use]
    pub fn table(self, answer: &CountyAnswer, ctx: &Context) -> String {
        match self {
            Self::Who => who(answer, ctx),
            Self::Short => short(answer, ctx),
            Self::Overdue => overdue(answer, ctx),
            Self::Disagreements => disagreements(answer, ctx),
            Self::Stations => stations(answer, ctx),
        }
    }
}

/// Every craft, in the groups of the page: those that can go first.
#[must_use]
pub fn who(answer: &CountyAnswer, ctx: &Context) -> String {
    craft::who(answer, ctx)
}

/// Items short, one a line.
#[must_use]
pub fn short(answer: &CountyAnswer, _ctx: &Context) -> String {
    lists::short(answer)
}

/// Inspections and dates past due, the longest overdue first.
#[must_use]
pub fn overdue(answer: &CountyAnswer, ctx: &Context) -> String {
    lists::overdue(answer, ctx)
}

/// Open disagreements, a line for each side.
#[must_use]
pub fn disagreements(answer: &CountyAnswer, ctx: &Context) -> String {
    lists::disagreements(answer, ctx)
}

/// Stations: when each was last heard, and which crews it can raise.
#[must_use]
pub fn stations(answer: &CountyAnswer, _ctx: &Context) -> String {
    lists::stations(answer)
}

/// Chambers that lose air, the one that is too soft first at the top.
#[must_use]
pub fn leaks(all: &ChamberLeaks, ctx: &Context) -> String {
    leaks::table(all, ctx)
}

/// A table whose first columns say which question each line answers: lines of several files may be
/// put under one another.
fn table(answer: &CountyAnswer, columns: &[&'static str]) -> Table {
    let mission = answer.asked.mission.as_ref();
    Table::new(
        columns,
        [
            ("as_of", moment(answer.asked.as_of)),
            (
                "mission",
                mission.map_or("", |mission| mission.as_str()).into(),
            ),
        ],
    )
}
