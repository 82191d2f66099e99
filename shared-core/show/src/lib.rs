//! One answer, shown: as JSON with a versioned schema, as text for a terminal, and units, dates
//! and sentences as people write and read them.
//!
//! Pure: takes answers of the readiness crate and gives text. It judges nothing, prints nothing,
//! reads no clock and no locale.

pub mod ahead;
pub mod calendar;
pub mod clean;
pub mod context;
pub mod craft_record;
pub mod csv;
pub mod dates;
pub mod decisions;
pub mod failing;
pub mod html;
pub mod json;
pub mod people;
pub mod readiness_table;
pub mod reckoned;
pub mod sentence;
pub mod svg;
pub mod table;
pub mod terminal;
pub mod units;
pub mod weather_report;
pub mod without;
pub mod words;

pub use clean::clean;
pub use context::Context;
pub use sentence::{finding_text, limit_text, to_do_text};

/// The sentence that closes every answer.
#[must_use]
pub const fn caution() -> &'static str {
    "Advice only: local procedure, the maker's manual and the person in charge decide."
}

#[cfg(test)]
mod sample;
