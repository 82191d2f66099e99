//! Kit moves by day: which spare kit to take from where so that the most craft can go.
//!
//! A problem, a plan, and what a plan is worth, in whole numbers. It is made by
//! [`crate::engine::kit_county`]; whoever solves it hands the plan back to [`Problem::worth`],
//! which takes nothing of it on trust. Nothing here chooses, and nothing is moved.

mod worth;

use std::collections::{BTreeMap, BTreeSet};

pub use worth::{PlanError, Worth};

use crate::answer::{Finding, KnownBy, Status};
use crate::ids::{LineId, MissionId, SubjectId};
use crate::moment::Moment;

/// What a giver keeps.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Keeps {
    /// What it needs for any mission of its sheet, and for the general standard.
    #[default]
    EveryMission,
    /// What it needs for the chosen missions alone: it may become short for others.
    ChosenMissions,
}

/// Who holds spare kit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Holder {
    /// A shelf.
    Shelf,
    /// A bag that is on no craft.
    Bag,
    /// A station's store.
    Station,
    /// A craft, which keeps what it needs itself.
    Craft,
    /// A craft that is never to be used again: it keeps nothing.
    Condemned,
}

/// Spare units of one line in one place.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stock {
    /// The shelf, bag, station or craft.
    pub id: SubjectId,
    /// Line of the boat standards.
    pub line: LineId,
    /// What it is.
    pub holder: Holder,
    /// Its number, or the station's name.
    pub number: String,
    /// The station where it is.
    pub station: SubjectId,
    /// The line in words.
    pub label: String,
    /// Units that every boat standard with the line counts.
    pub good: u32,
    /// Of those, what can be given.
    pub spare: u32,
}

/// A line that a craft lacks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Want {
    /// The line.
    pub line: LineId,
    /// In words.
    pub label: String,
    /// Units lacking, for whichever chosen mission wants most.
    pub units: u32,
    /// Lines of which each unit makes one good, the line itself first where it fits.
    pub by: Vec<LineId>,
}

/// A craft that would go if only its kit were whole.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taker {
    /// The craft.
    pub id: SubjectId,
    /// Its number.
    pub number: String,
    /// Its station.
    pub station: SubjectId,
    /// Lines that it lacks, in order of their ids.
    pub wants: Vec<Want>,
}

/// Why kit alone does not make a craft go.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Hindrance {
    /// Findings other than short kit stand against it.
    Findings(Vec<Finding>),
    /// People declared it assigned, out of service or condemned.
    Declared(Status),
    /// It is not known at which station it is.
    PlaceNotKnown,
    /// Its boat standard has none of the chosen missions.
    NoMission,
    /// Its registration, model or boat standard is not known here.
    NoStandard,
}

/// A craft that cannot go, and that no kit makes go.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hindered {
    /// The craft.
    pub id: SubjectId,
    /// Its number.
    pub number: String,
    /// Why.
    pub why: Hindrance,
}

/// Which kit could go where.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Problem {
    /// Craft that want kit, in order of their ids.
    pub takers: Vec<Taker>,
    /// Spare kit, in order of the ids of its holders, then of the lines.
    pub stocks: Vec<Stock>,
    /// Whole metres from station to station, straight over the ground; where there is none, the way
    /// is not known. From a station to itself it is nothing.
    pub metres: BTreeMap<(SubjectId, SubjectId), u32>,
}

/// Units of one stock for one want.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Move {
    /// Position of the craft among the takers.
    pub taker: usize,
    /// Position of the line among its wants.
    pub want: usize,
    /// Position of the stock.
    pub stock: usize,
    /// How many; never 0.
    pub units: u32,
}

/// Which craft are made ready, and by which moves.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Plan {
    /// Positions of the takers that are made ready.
    pub ready: BTreeSet<usize>,
    /// Moves, in order.
    pub moves: Vec<Move>,
}

/// What is asked of a day of kit moves.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct KitAsked {
    /// Missions for which craft are to be made ready; the general standard when empty. A craft counts
    /// for those that its boat standard has.
    pub missions: BTreeSet<MissionId>,
    /// What givers keep.
    pub keeps: Keeps,
}

/// Where the county stands before anything is moved.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct KitCounty {
    /// What was asked.
    pub asked: KitAsked,
    /// Craft that can go as they are, in order of their ids, with their numbers.
    pub ready: Vec<(SubjectId, String)>,
    /// Craft that no kit makes go, in order of their ids.
    pub hindered: Vec<Hindered>,
    /// What could be moved.
    pub problem: Problem,
}

/// Whether it is shown that there is no better plan.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Proven {
    /// The plan is the best, and the first of those that are as good.
    #[default]
    Yes,
    /// The plan is the best; whether it is the first of those that are as good was not searched out.
    NotFirst,
    /// The limit of the search was reached: a better one may exist.
    No,
}

/// A plan and what it is worth.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Solved {
    /// The plan.
    pub plan: Plan,
    /// What it is worth, as [`Problem::worth`] says.
    pub worth: Worth,
    /// Whether there is no better one.
    pub proven: Proven,
}

/// A day's plan, with all that it was made of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KitMoves {
    /// The moment that was judged.
    pub as_of: Moment,
    /// What was known.
    pub known_by: KnownBy,
    /// Where the county stands before anything is moved.
    pub county: KitCounty,
    /// What to move.
    pub solved: Solved,
}

/// A line that stays short.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StaysShort {
    /// Position of the line among what its craft wants.
    pub want: usize,
    /// Units that fit it and were to be had.
    pub spare: u64,
    /// Of those, units that nobody gets.
    pub left: u64,
}

impl Problem {
    /// What a craft lacks against what there is for it: before the plan, and left by it.
    #[must_use]
    pub fn stays_short(&self, plan: &Plan, taker: &Taker) -> Vec<StaysShort> {
        let mut left: Vec<u64> = self.stocks.iter().map(|it| u64::from(it.spare)).collect();
        for one in &plan.moves {
            if let Some(left) = left.get_mut(one.stock) {
                *left = left.saturating_sub(u64::from(one.units));
            }
        }
        let wants = taker.wants.iter().enumerate();
        wants
            .map(|(at, want)| {
                let stocks = self.stocks.iter().zip(&left);
                let fitting = stocks.filter(|(stock, _)| self.fits(taker, want, stock));
                let (spare, left) = fitting.fold((0, 0), |(spare, left), (stock, rest)| {
                    (spare + u64::from(stock.spare), left + rest)
                });
                StaysShort {
                    want: at,
                    spare,
                    left,
                }
            })
            .collect()
    }

    /// Whether units of a stock count for a want: of a fitting line, and not the craft's own.
    #[must_use]
    pub fn fits(&self, taker: &Taker, want: &Want, stock: &Stock) -> bool {
        stock.id != taker.id && stock.spare > 0 && want.by.contains(&stock.line)
    }

    /// Whole metres between two stations; none when the way is not known.
    #[must_use]
    pub fn way(&self, from: SubjectId, to: SubjectId) -> Option<u32> {
        if from == to {
            return Some(0);
        }
        let there = self.metres.get(&(from, to));
        there.or_else(|| self.metres.get(&(to, from))).copied()
    }
}
