//! The answer as text for a terminal: at most 80 columns, no colour, the most urgent first.
//!
//! It says what the answer holds, in the order in which a coordinator needs it at night. Whatever
//! came from people is cleaned before it is shown.

mod ahead;
mod as_if;
mod callout;
mod columns;
mod conditions;
mod county;
mod craft;
mod differ;
mod faults;
mod gauges;
mod in_service;
mod kit_moves;
mod known;
pub(crate) mod lines;
mod lists;
mod load;
mod reasons;
mod rests_on;
mod summary;
mod together;

pub use ahead::ahead_report;
pub(crate) use ahead::{by_station_and_week, monday, week_text};
pub use as_if::as_if_text;
pub use callout::callout_report;
pub use columns::columns;
pub(crate) use conditions::{job_text, launch_text};
pub use county::county_report;
pub(crate) use county::{aboard_text, headline, rests_text};
pub use craft::craft_report;
pub(crate) use craft::{at_home, in_sun, own_leaks, standing};
pub use differ::disagreements_report;
pub use faults::{
    WithFigures, decided_text, faults_headline, faults_report, repair_text, what_to_do_title,
};
pub use gauges::{READING_COLUMNS, gauges_report, leaks_report, reading_cells, readings_report};
pub use in_service::{in_service_report, step_command};
pub(crate) use kit_moves::giver_text;
pub use kit_moves::{
    givers, hindrance, kit_move_text, kit_moves_notes, kit_moves_report, kit_moves_summary, staying,
};
pub use known::known_by_text;
pub(crate) use lists::{consequence, how_late, label_or, short_number};
pub use lists::{due_table, kit_table};
pub(crate) use load::{NOT_KNOWN, load_texts};
pub(crate) use reasons::reasons;
pub use rests_on::evidence_report;
pub(crate) use summary::{Group, is_silent, not_for_mission};

/// Columns that a line may have.
pub const WIDTH: usize = 80;

#[cfg(test)]
mod tests;
