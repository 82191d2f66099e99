//! What comes due, in words: one set of sentences and figures for the terminal, the page, the
//! calendar, the lists and JSON, so that none of them says another number.
//!
//! It decides nothing: days, visits and counts are those of the readiness crate. Days are written in
//! one way ([`day`]), and so is a share ([`percent`]).

mod first;
mod item;
mod late;
mod narrow;
mod shelf;
mod visit;

pub use first::{first_lines, notes};
pub use item::{due_text, not_known_text, often_text, on_text, plan_text, what_text, when_text};
pub(crate) use item::{use_text, without_visit};
pub(crate) use late::how_late;
pub use late::{in_time_text, late_text};
pub use narrow::{Narrow, narrowed};
pub(crate) use shelf::order_text;
pub use shelf::{shelf_text, wanted_text};
pub use visit::{bring_text, visit_head, visit_time};

use chrono::Datelike as _;
use sponson_readiness::ahead::Ahead;
use sponson_readiness::dates::Day;
use sponson_readiness::ids::SubjectId;

use crate::clean::clean;
use crate::context::Context;

/// What of it is told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Show {
    /// Everything that comes due, by station and week.
    #[default]
    Due,
    /// The days on which it is done together.
    Visits,
    /// What must be on the shelf by when.
    Shelf,
    /// What was done after its day.
    Late,
}

impl Show {
    /// All of them, in the order of the page.
    pub const ALL: [Self; 4] = [Self::Due, Self::Visits, Self::Shelf, Self::Late];

    /// The stable word: of the request, and of the list for a spreadsheet.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Due => "due",
            Self::Visits => "visits",
            Self::Shelf => "shelf",
            Self::Late => "late",
        }
    }

    /// What a word stands for.
    #[must_use]
    pub fn of(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|show| show.id() == word)
    }
}

/// A day in a list: `Tue 2026-12-01`.
#[must_use]
pub fn day(day: Day) -> String {
    day.format("%a %Y-%m-%d").to_string()
}

/// A day in a sentence: `Tuesday 1 December`, with the year where it is another than today's.
#[must_use]
pub fn long_day(day: Day, today: Day) -> String {
    let pattern = if day.year() == today.year() {
        "%A %-d %B"
    } else {
        "%A %-d %B %Y"
    };
    day.format(pattern).to_string()
}

/// A day without its weekday, for one that is only expected: `3 March 2027`.
#[must_use]
pub fn about_day(day: Day) -> String {
    day.format("%-d %B %Y").to_string()
}

/// A share from 0 to 1 in whole percent.
#[must_use]
pub fn percent(share: f64) -> u32 {
    let hundredths = libm::round(share.clamp(0.0, 1.0) * 100.0);
    (0..=100_u32)
        .find(|whole| f64::from(*whole) >= hundredths)
        .unwrap_or(100)
}

/// A station's name; what stands at none is said to.
#[must_use]
pub fn station(id: Option<SubjectId>, ahead: &Ahead, ctx: &Context) -> String {
    match id {
        None => "station not known".to_owned(),
        Some(id) => ahead
            .stations
            .get(&id)
            .map_or_else(|| ctx.station(id), |name| clean(name)),
    }
}

/// So many of a thing: `3 things`.
pub(crate) fn many(count: usize, noun: &str) -> String {
    crate::units::print::count(i64::try_from(count).unwrap_or(i64::MAX), noun)
}

/// Several with commas and `and` before the last.
pub(crate) fn listed(all: &[String]) -> String {
    match all {
        [] => String::new(),
        [one] => one.clone(),
        [before @ .., last] => format!("{} and {last}", before.join(", ")),
    }
}
