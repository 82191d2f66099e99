//! Every route of a station's pages, with who may go through it, a line each. Nothing else is
//! served.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::Router;
use axum::routing::{MethodRouter, get, post};
use sponson_link::county::visitors::PageRole;

pub use crate::web::Gate;
use crate::web::files::File;
use crate::web::{changes, enter, light};

use super::state::{self, Pages};
use super::{coming, craft, files, home, let_in, paper, pictures, round, sync, who, work};

/// A route.
#[derive(Clone, Debug)]
pub struct Route {
    /// Its path, names in braces.
    pub path: String,
    /// Who may go through it.
    pub gate: Gate,
    /// What is done there.
    pub taken: Taken,
    method: MethodRouter<Arc<Pages>>,
}

/// What is done at a route.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Taken {
    /// It is only read.
    Read,
    /// It only takes forms.
    Form,
    /// Both.
    Both,
}

type Method = MethodRouter<Arc<Pages>>;

impl Route {
    /// All of them.
    #[must_use]
    pub fn all() -> Vec<Self> {
        let mut all = vec![
            read("/", Gate::Reads, get(home::show)),
            read("/find", Gate::Reads, get(home::find)),
            read("/due", Gate::Reads, get(coming::show)),
            both("/sync", Gate::Reads, get(sync::show).post(sync::now)),
            both("/who", Gate::Reads, get(who::ask).post(who::keep)),
            read("/craft/{id}", Gate::Reads, get(craft::show)),
            both(
                "/let-in",
                Gate::Has(PageRole::Lead),
                get(let_in::ask).post(let_in::make),
            ),
            form("/check/{id}/picture", Gate::Records, pictures::taking()),
            read("/picture/{name}", Gate::Reads, get(pictures::show)),
            read("/changes", Gate::Reads, get(changes::tell)),
            both(
                "/enter/{code}",
                Gate::Open,
                get(enter::look).post(enter::spend),
            ),
            form("/leave", Gate::SignedIn, post(enter::leave)),
            form("/light", Gate::Open, post(light::keep)),
            // Files, each under a name that holds its hash.
            read(&state::style().path, Gate::Open, get(files::style)),
            read(
                &state::station_style().path,
                Gate::Open,
                get(files::station_style),
            ),
            read(&state::script().path, Gate::Open, get(files::script)),
            read(&File::icon().path, Gate::Open, get(files::icon)),
        ];
        all.extend(work::routes());
        all.extend(paper::routes());
        all.extend(round::routes());
        all
    }
}

pub(super) fn read(path: &str, gate: Gate, method: Method) -> Route {
    route(path, gate, Taken::Read, method)
}

pub(super) fn form(path: &str, gate: Gate, method: Method) -> Route {
    route(path, gate, Taken::Form, method)
}

pub(super) fn both(path: &str, gate: Gate, method: Method) -> Route {
    route(path, gate, Taken::Both, method)
}

fn route(path: &str, gate: Gate, taken: Taken, method: Method) -> Route {
    Route {
        path: path.to_owned(),
        gate,
        taken,
        method,
    }
}

/// All routes.
pub(super) fn router() -> Router<Arc<Pages>> {
    let all = Route::all().into_iter();
    all.fold(Router::new(), |router, route| {
        router.route(&route.path, route.method)
    })
}

/// The gates, by path as the router matches it.
pub(super) fn gates() -> BTreeMap<String, Gate> {
    let all = Route::all().into_iter();
    all.map(|route| (route.path, route.gate)).collect()
}
