//! Every route of the pages, with who may go through it. Nothing else is served.

use std::sync::Arc;

use axum::Router;
use axum::routing::{MethodRouter, get, post};
pub use sponson_client::web::Gate;
use sponson_client::web::files::File;
use sponson_client::web::{changes, enter, light};
use sponson_link::county::visitors::PageRole;
use sponson_show::html::{FAULTS, FAULTS_GROUP};

use super::state::Pages;
use super::{county, craft, craft_record, due, exports, faults, gauges, kit_moves, record, state};

/// A route.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Route {
    /// The county's page.
    County,
    /// A craft's page.
    Craft,
    /// The record of a craft, to print.
    Record,
    /// Its signed file.
    RecordFile,
    /// Plans for moving kit.
    KitMoves,
    /// Gauges and leaks.
    Gauges,
    /// Chambers that lose air, for a spreadsheet.
    LeaksCsv,
    /// The readings of a craft.
    Readings,
    /// What keeps failing.
    Faults,
    /// One group of it.
    FaultsGroup,
    /// The same for programs.
    FaultsJson,
    /// What comes due.
    Due,
    /// The same as a calendar.
    DueCalendar,
    /// The same for programs.
    DueJson,
    /// The answer to print.
    Report,
    /// The answer for programs.
    AnswerJson,
    /// A list for a spreadsheet.
    Csv,
    /// Tells of changes.
    Changes,
    /// A one-time link: looks, or is spent.
    Enter,
    /// Ends the session.
    Leave,
    /// Day or night.
    Light,
    /// Assigns a craft.
    Assign,
    /// Decides what is done about what keeps failing.
    Decide,
    /// Releases a craft.
    Release,
    /// The style sheet.
    Style,
    /// The script.
    Script,
    /// A picture of a fault or a check.
    Picture,
    /// The icon.
    Icon,
}

impl Route {
    /// All of them.
    pub const ALL: [Self; 28] = [
        Self::County,
        Self::Craft,
        Self::Record,
        Self::RecordFile,
        Self::KitMoves,
        Self::Gauges,
        Self::LeaksCsv,
        Self::Readings,
        Self::Faults,
        Self::FaultsGroup,
        Self::FaultsJson,
        Self::Decide,
        Self::Due,
        Self::DueCalendar,
        Self::DueJson,
        Self::Report,
        Self::AnswerJson,
        Self::Csv,
        Self::Changes,
        Self::Enter,
        Self::Leave,
        Self::Light,
        Self::Assign,
        Self::Release,
        Self::Style,
        Self::Script,
        Self::Picture,
        Self::Icon,
    ];

    /// Who may go through it.
    #[must_use]
    pub const fn gate(self) -> Gate {
        match self {
            Self::County
            | Self::Craft
            | Self::Record
            | Self::RecordFile
            | Self::KitMoves
            | Self::Gauges
            | Self::LeaksCsv
            | Self::Readings
            | Self::Faults
            | Self::FaultsGroup
            | Self::FaultsJson
            | Self::Due
            | Self::DueCalendar
            | Self::DueJson
            | Self::Report
            | Self::AnswerJson
            | Self::Csv
            | Self::Picture
            | Self::Changes => Gate::Reads,
            Self::Enter | Self::Light | Self::Style | Self::Script | Self::Icon => Gate::Open,
            Self::Leave => Gate::SignedIn,
            Self::Assign | Self::Release => Gate::Has(PageRole::Coordinator),
            Self::Decide => Gate::Has(PageRole::Lead),
        }
    }

    /// Its path, names in braces.
    #[must_use]
    pub fn path(self) -> String {
        match self {
            Self::County => "/",
            Self::Craft => "/craft/{id}",
            Self::Record => "/craft/{id}/record",
            Self::RecordFile => "/craft/{id}/record/file",
            Self::KitMoves => "/kit-moves",
            Self::Gauges => "/gauges",
            Self::LeaksCsv => "/leaks.csv",
            Self::Readings => "/craft/{id}/readings",
            Self::Faults => FAULTS,
            Self::FaultsGroup => FAULTS_GROUP,
            Self::FaultsJson => "/faults.json",
            Self::Decide => "/faults/decide",
            Self::Due => "/due",
            Self::DueCalendar => "/due.ics",
            Self::DueJson => "/due.json",
            Self::Report => "/report",
            Self::AnswerJson => "/answer.json",
            Self::Csv => "/{list}",
            Self::Picture => "/picture/{name}",
            Self::Changes => "/changes",
            Self::Enter => "/enter/{code}",
            Self::Leave => "/leave",
            Self::Light => "/light",
            Self::Assign => "/craft/{id}/assign",
            Self::Release => "/craft/{id}/release",
            Self::Style => return state::style().path,
            Self::Script => return state::script().path,
            Self::Icon => return File::icon().path,
        }
        .to_owned()
    }

    /// Whether it takes forms; all others are only read.
    #[must_use]
    pub const fn takes_forms(self) -> bool {
        matches!(
            self,
            Self::Enter | Self::Leave | Self::Light | Self::Assign | Self::Release | Self::Decide
        )
    }

    fn method(self) -> MethodRouter<Arc<Pages>> {
        match self {
            Self::County => get(county::show),
            Self::Craft => get(craft::show),
            Self::Record => get(craft_record::show),
            Self::RecordFile => get(craft_record::file),
            Self::KitMoves => get(kit_moves::show),
            Self::Gauges => get(gauges::show),
            Self::LeaksCsv => get(gauges::csv),
            Self::Readings => get(gauges::readings),
            Self::Faults => get(faults::show),
            Self::FaultsGroup => get(faults::group),
            Self::FaultsJson => get(faults::json),
            Self::Decide => post(faults::decide),
            Self::Due => get(due::show),
            Self::DueCalendar => get(due::calendar),
            Self::DueJson => get(due::json),
            Self::Report => get(exports::report),
            Self::AnswerJson => get(exports::json),
            Self::Csv => get(exports::csv),
            Self::Picture => get(craft::picture),
            Self::Changes => get(changes::tell),
            Self::Enter => get(enter::look).post(enter::spend),
            Self::Leave => post(enter::leave),
            Self::Light => post(light::keep),
            Self::Assign => post(record::assign),
            Self::Release => post(record::release),
            Self::Style => get(exports::style),
            Self::Script => get(exports::script),
            Self::Icon => get(exports::icon),
        }
    }
}

/// All routes.
pub(super) fn router() -> Router<Arc<Pages>> {
    let all = Route::ALL.iter();
    all.fold(Router::new(), |router, route| {
        router.route(&route.path(), route.method())
    })
}

/// The gate of a path as the router matched it; what it does not know is read by nobody who may
/// not read.
pub(super) fn gate_of(matched: Option<&str>) -> Gate {
    let mut all = Route::ALL.iter();
    let route = all.find(|route| Some(route.path().as_str()) == matched);
    route.map_or(Gate::Reads, |route| route.gate())
}
