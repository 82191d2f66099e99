//! Faults repaired, and signed off: `/repair/ID`, `/sign-off/ID`.

use std::sync::Arc;

use axum::extract::{Extension, Form, Path, RawQuery, State};
use axum::response::Response;
use sponson_show::html::station::work::{MendFacts, Mending, mend_body};

use super::filled_in::{Failed, Filled, OF_THE_PAGE, on_to, press};
use super::on_craft::OnCraft;
use crate::commands::repair::{self, RepairArgs};
use crate::commands::sign_off::{self, SignOffArgs};
use crate::filled::{self, Pair};
use crate::pages::record::recorder;
use crate::pages::state::Pages;
use crate::session::Session;
use crate::web::visit::Visit;

/// A word for the method that is not on the list.
const OTHER: &str = "method-other";

/// Shows the form of a repair.
pub(super) async fn show_repair(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(id): Path<String>,
    RawQuery(query): RawQuery,
) -> Response {
    show(&pages, &visit, (&id, Mending::Repair), query.as_deref()).await
}

/// Records a repair.
pub(super) async fn keep_repair(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(id): Path<String>,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    keep(&pages, &visit, (&id, Mending::Repair), form).await
}

/// Shows the form of a sign-off.
pub(super) async fn show_sign_off(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(id): Path<String>,
    RawQuery(query): RawQuery,
) -> Response {
    show(&pages, &visit, (&id, Mending::SignOff), query.as_deref()).await
}

/// Records a sign-off.
pub(super) async fn keep_sign_off(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(id): Path<String>,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    keep(&pages, &visit, (&id, Mending::SignOff), form).await
}

async fn show(
    pages: &Pages,
    visit: &Visit,
    (id, mending): (&str, Mending),
    query: Option<&str>,
) -> Response {
    match OnCraft::of(pages, visit, id).await {
        Ok(craft) => {
            let filled = Filled::asked(pages, query).await;
            page(pages, visit, (&craft, mending), filled).await
        }
        Err(response) => response,
    }
}

async fn keep(
    pages: &Pages,
    visit: &Visit,
    (id, mending): (&str, Mending),
    form: Vec<Pair>,
) -> Response {
    let member = match recorder(pages, visit, &form) {
        Ok(member) => member,
        Err(response) => return *response,
    };
    let craft = match OnCraft::of(pages, visit, id).await {
        Ok(craft) => craft,
        Err(response) => return response,
    };
    match recorded(pages, &member, (&craft, mending), &form).await {
        Ok(name) => on_to(&format!("{}{}", mending.path(), craft.id), &name),
        Err(failed) => {
            let filled = Filled::refused(form, failed);
            page(pages, visit, (&craft, mending), filled).await
        }
    }
}

async fn recorded(
    pages: &Pages,
    member: &str,
    (craft, mending): (&OnCraft, Mending),
    form: &[Pair],
) -> Result<String, Failed> {
    let given = as_typed(&craft.with(form));
    match mending {
        Mending::Repair => {
            let args: RepairArgs = filled::read(&given, &OF_THE_PAGE)?;
            press(pages, member, form, async |session: &mut Session<'_>| {
                repair::run(&args, session).await.map(|_| ())
            })
            .await
        }
        Mending::SignOff => {
            let args: SignOffArgs = filled::read(&given, &OF_THE_PAGE)?;
            press(pages, member, form, async |session: &mut Session<'_>| {
                sign_off::run(&args, session).await.map(|_| ())
            })
            .await
        }
    }
}

/// The fields as the command has them: one word for the method.
fn as_typed(given: &[Pair]) -> Vec<Pair> {
    let other = filled::value(given, OTHER).to_owned();
    let others = given
        .iter()
        .filter(|(name, _)| name != OTHER && (other.is_empty() || name != "method"));
    let mut all: Vec<Pair> = others.cloned().collect();
    if !other.is_empty() {
        all.push(("method".to_owned(), other));
    }
    all
}

async fn page(
    pages: &Pages,
    visit: &Visit,
    (craft, mending): (&OnCraft, Mending),
    filled: Filled,
) -> Response {
    let open = craft.open_faults();
    let methods = METHODS.map(str::to_owned);
    let path = format!("{}{}", mending.path(), craft.id);
    let title = match mending {
        Mending::Repair => "A repair",
        Mending::SignOff => "A sign-off",
    };
    filled
        .page((pages, visit), (&path, title), |page| {
            let facts = MendFacts {
                craft: craft.craft(),
                mending,
                open: &open,
                methods: &methods,
            };
            mend_body(&facts, page)
        })
        .await
}

/// Ways of repair that the trade knows; common practice, no source. Others are recorded too.
const METHODS: [&str; 6] = [
    "patch-two-part",
    "patch-one-part",
    "seam-reglued",
    "welded",
    "part-replaced",
    "adjusted",
];
