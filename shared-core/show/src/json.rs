//! The county answer as JSON for other programs: `sponson.answer/1`, described field by field in
//! `answer-schema.md`.
//!
//! Values are in base units with the unit in the name; sentences stand beside them and may change
//! from version to version, words in snake case may not. A field is never left out: what is not
//! known is `null`.

mod ahead;
mod air;
mod callout;
mod craft;
mod differ;
mod faults;
mod form;
mod gauges;
mod in_service;
mod kit_moves;
mod leaks;
mod load;
mod report;
mod together;
mod without;

use std::fmt::Write as _;

use serde::Serialize;
use sponson_readiness::ahead::Ahead;
use sponson_readiness::answer::{CountyAnswer, CraftAnswer};
use sponson_readiness::chambers::ChamberLeaks;
use sponson_readiness::doubted::Doubted;
use sponson_readiness::holds_done::HoldsDone;
use sponson_readiness::kit_moves::KitMoves;
use sponson_readiness::moment::Moment;
use sponson_readiness::read_back::ReadBack;

use crate::clean::obeyed;
use crate::context::Context;
use crate::failing::Failing;

pub use ahead::DUE_SCHEMA;
pub(crate) use ahead::{by_id, standing_id, what_id};
pub use differ::DISAGREEMENTS_SCHEMA;
pub use faults::FAULTS_SCHEMA;
pub use gauges::{GAUGES_SCHEMA, Members};
pub use in_service::IN_SERVICE_SCHEMA;
pub use kit_moves::KIT_MOVES_SCHEMA;
pub use leaks::LEAKS_SCHEMA;

/// Name and version of the form.
pub const SCHEMA: &str = "sponson.answer/1";

/// The county answer as text: indented, with a newline at its end.
///
/// Characters that a terminal would obey are written as escapes, so that the text can be looked
/// at as well as parsed.
#[must_use]
pub fn to_string(answer: &CountyAnswer, ctx: &Context) -> String {
    written(&form::county(answer, ctx))
}

/// The open disagreements of an answer alone, in the same way.
#[must_use]
pub fn disagreements(answer: &CountyAnswer, ctx: &Context) -> String {
    written(&differ::alone(answer, ctx))
}

/// The list by which one craft is placed in service, in the same way.
#[must_use]
pub fn in_service(craft: &CraftAnswer, as_of: Moment, ctx: &Context) -> String {
    written(&in_service::form(craft, as_of, ctx))
}

/// A day's plan of kit moves, in the same way.
#[must_use]
pub fn kit_moves(moves: &KitMoves, ctx: &Context) -> String {
    written(&kit_moves::form(moves, ctx))
}

/// Readings that are doubted and gauges that read apart, in the same way.
#[must_use]
pub fn gauges(doubted: &Doubted, ctx: &Context, members: Members) -> String {
    written(&gauges::form(doubted, ctx, members))
}

/// Chambers by their leak and hold tests, in the same way; of one craft with its reading history.
#[must_use]
pub fn leaks(
    leaks: &ChamberLeaks,
    holds: &HoldsDone,
    craft: Option<&ReadBack>,
    ctx: &Context,
) -> String {
    written(&leaks::form(leaks, holds, craft, ctx))
}

/// What keeps failing, in the same way.
#[must_use]
pub fn faults(failing: &Failing) -> String {
    written(&faults::form(failing))
}

/// What comes due, in the same way; `log_size` is the size of the county log that it rests on.
#[must_use]
pub fn due(ahead: &Ahead, as_of: Moment, log_size: u64, ctx: &Context) -> String {
    written(&ahead::form(ahead, as_of, log_size, ctx))
}

pub(crate) fn written(form: &impl Serialize) -> String {
    escaped(&serde_json::to_string_pretty(form).unwrap_or_default())
}

/// The same without indents and line breaks.
pub(crate) fn written_short(form: &impl Serialize) -> String {
    escaped(&serde_json::to_string(form).unwrap_or_default())
}

fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len() + 1);
    for c in text.chars() {
        if c != '\n' && obeyed(c) {
            let mut units = [0; 2];
            for unit in c.encode_utf16(&mut units) {
                // Writing to a String cannot fail.
                let _ = write!(safe, "\\u{unit:04x}");
            }
        } else {
            safe.push(c);
        }
    }
    safe.push('\n');
    safe
}

/// The county answer as a value.
#[must_use]
pub fn county_answer(answer: &CountyAnswer, ctx: &Context) -> serde_json::Value {
    serde_json::to_value(form::county(answer, ctx)).unwrap_or_default()
}

#[cfg(test)]
mod tests;
