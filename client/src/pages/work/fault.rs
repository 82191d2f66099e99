//! Something is wrong on a craft: `/fault/ID`.

use std::sync::Arc;

use axum::extract::{Extension, Form, Path, RawQuery, State};
use axum::response::Response;
use sponson_readiness::moment::Moment;
use sponson_show::html::station::work::{FaultFacts, LikeFault, fault_body};
use sponson_show::units::print;

use super::filled_in::{Failed, Filled, OF_THE_PAGE, on_to, press};
use super::on_craft::{OnCraft, what_is_open};
use crate::catalogue::short_fault;
use crate::check_file::CLASSES;
use crate::commands::fault::{self, FaultArgs};
use crate::filled::{self, Pair};
use crate::pages::record::recorder;
use crate::pages::state::Pages;
use crate::web::visit::Visit;

/// A word for the class that is not on the list.
const OTHER: &str = "class-other";
/// What was answered to 'the same as this one?'.
const SAME: &str = "same";

/// Shows the form; `part` in its address chooses one.
pub(super) async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(id): Path<String>,
    RawQuery(query): RawQuery,
) -> Response {
    match OnCraft::of(&pages, &visit, &id).await {
        Ok(craft) => {
            let filled = Filled::asked(&pages, query.as_deref()).await;
            page(&pages, &visit, &craft, filled, &[]).await
        }
        Err(response) => response,
    }
}

/// Records the fault; asks first where one like it is open.
pub(super) async fn keep(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(id): Path<String>,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    let member = match recorder(&pages, &visit, &form) {
        Ok(member) => member,
        Err(response) => return *response,
    };
    let craft = match OnCraft::of(&pages, &visit, &id).await {
        Ok(craft) => craft,
        Err(response) => return response,
    };
    let given = as_typed(&craft.with(&form));
    let own = [&OF_THE_PAGE[..], &[SAME, OTHER]].concat();
    let args: FaultArgs = match filled::read(&given, &own) {
        Ok(args) => args,
        Err(faults) => {
            let filled = Filled::refused(form, Failed::Fields(faults));
            return page(&pages, &visit, &craft, filled, &[]).await;
        }
    };
    if filled::value(&form, SAME).is_empty() {
        let like = like(&craft, &given);
        if !like.is_empty() {
            let filled = Filled::asked_back(form);
            return page(&pages, &visit, &craft, filled, &like).await;
        }
    }
    let done = press(&pages, &member, &form, async |session| {
        fault::run(&args, session).await.map(|_| ())
    });
    match done.await {
        Ok(name) => on_to(&format!("/fault/{}", craft.id), &name),
        Err(failed) => {
            let filled = Filled::refused(form, failed);
            page(&pages, &visit, &craft, filled, &[]).await
        }
    }
}

/// The fields as the command has them: one word for the class.
fn as_typed(given: &[Pair]) -> Vec<Pair> {
    let other = filled::value(given, OTHER).to_owned();
    let others = given
        .iter()
        .filter(|(name, _)| name != OTHER && (other.is_empty() || name != "class"));
    let mut all: Vec<Pair> = others.cloned().collect();
    if !other.is_empty() {
        all.push(("class".to_owned(), other));
    }
    all
}

/// Open faults that may be the same defect.
fn like(craft: &OnCraft, given: &[Pair]) -> Vec<LikeFault> {
    let value = |field| filled::value(given, field);
    let offset = craft.told.ctx.utc_offset_min;
    let what = (value("part"), value("class"));
    let faults = craft.known.like(&craft.entry, what, value("side"));
    let like = faults.into_iter().map(|fault| LikeFault {
        name: short_fault(fault),
        what: what_is_open(fault),
        found: print::local(Moment(fault.found_unix_ms), offset),
    });
    like.collect()
}

async fn page(
    pages: &Pages,
    visit: &Visit,
    craft: &OnCraft,
    filled: Filled,
    like: &[LikeFault],
) -> Response {
    let gear = craft.gear();
    let open = craft.open_faults();
    let path = format!("/fault/{}", craft.id);
    filled
        .page((pages, visit), (&path, "A fault"), |page| {
            let facts = FaultFacts {
                craft: craft.craft(),
                standard: &craft.adopted.standard,
                units: craft.told.ctx.units,
                classes: &CLASSES,
                gear: &gear,
                open: &open,
                like,
            };
            fault_body(&facts, page)
        })
        .await
}
