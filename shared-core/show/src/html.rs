//! The county's pages as HTML: an answer as one page that a person reads at 3 in the morning.
//!
//! Pure like the rest of this crate: it takes an answer and the facts of one visit and gives text.
//! It serves nothing, holds no session and knows no route but the names it links to. No page has a
//! style or a script in its markup: [`STYLE`] and [`SCRIPT`] are served beside it.
//!
//! What a server has to know of the pages:
//!
//! - `/` takes the question in its query string, as [`FormValues`] names the fields.
//! - `POST /light` with `light` (`day`, `night` or `system`) and `back` (a path with its query) keeps
//!   the style in a cookie and goes back; `back` must begin with one `/`.
//! - `POST /craft/ID/assign` has `token`, `query`, `as_of_unix_ms`, `known_size`, `known_beyond`,
//!   `incident` and `note`; `POST /craft/ID/release` has `token`, `query` and `note`;
//!   `POST /leave` has `token`.
//! - `POST /enter/CODE` has nothing but its button.
//! - `/changes` sends an event whenever something that is shown may have changed.
//! - `again` in a query is no part of a question: seconds after which a browser without script loads
//!   the page anew.

mod ask;
mod assign;
mod candidate;
mod candidates;
mod county;
mod craft;
mod due;
mod enter;
mod facts;
mod failing;
mod field;
mod form;
mod frame;
mod gauges;
mod kit_moves;
mod lists;
mod marks;
mod message;
mod readings;
mod report;
pub mod station;
mod top;
mod who;

pub use county::{county_page, refused_page};
pub use craft::{
    CraftFacts, Entry, PictureShown, Proofs, ShownPlace, Standing, craft_body, craft_page,
};
pub use due::{DuePage, due_page, due_refused_page};
pub use enter::{enter_body, not_signed_in_body};
pub use facts::{LightStyle, Offers, PageFacts, Viewer};
pub use failing::{
    FAULTS, FAULTS_GROUP, GROUP, faults_group_page, faults_page, faults_refused_page,
};
pub use form::{Fault, FormValues};
pub use frame::frame;
pub use gauges::{GaugesShown, gauges_page};
pub use kit_moves::kit_moves_page;
pub use marks::{mark, readiness_mark};
pub use message::{Message, message_body, message_page};
pub use readings::readings_page;
pub use report::{report_file, report_page};

/// The style sheet of every page.
pub const STYLE: &str = concat!(
    include_str!("html/style.css"),
    include_str!("html/craft.css"),
    include_str!("html/failing.css"),
    include_str!("html/report.css"),
    include_str!("craft_record/record.css"),
    include_str!("svg/drawing.css")
);

/// The picture of every page, for the browser's own marks: a hull from above, as SVG.
pub const ICON: &str = include_str!("html/hull.svg");

/// The script of every page: live updates, and nothing that a page needs to work.
pub const SCRIPT: &str = include_str!("html/live.js");

#[cfg(test)]
mod tests;
