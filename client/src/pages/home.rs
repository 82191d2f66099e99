//! The first page: the craft at this station, and the way to any craft by its number.

use std::sync::Arc;

use axum::extract::{Extension, Query, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse as _, Redirect, Response};
use serde::Deserialize;
use sponson_proto::answer::v1::Question;
use sponson_proto::event::v1::SubjectType;
use sponson_proto::service::v1::{
    CatalogueEntry, CheckUnderWay, UnderWayKind, UnderWayRequest, UnderWayStage,
};
use sponson_readiness::ids::SubjectId;
use sponson_readiness::moment::Moment;
use sponson_show::html::station::home::{Home, UnderWayHere, home};
use sponson_show::html::station::station_frame;

use super::state::{NotShown, Pages};
use crate::catalogue::{Catalogue, LookupError, hex};
use crate::web::visit::Visit;

/// What was typed.
#[derive(Debug, Deserialize)]
pub(super) struct Typed {
    #[serde(default)]
    number: String,
}

/// Shows it.
pub(super) async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
) -> Response {
    match page(&pages, &visit).await {
        Ok(page) => Html(page).into_response(),
        Err(why) => pages.not_shown(&visit, &why),
    }
}

async fn page(pages: &Pages, visit: &Visit) -> Result<String, NotShown> {
    let told = pages.door.ask(&Question::default()).await?;
    pages.note_heard(&told);
    let facts = pages.facts(visit, "/").await?;
    let open = pages.door.under_way(UnderWayRequest {
        id: String::new(),
        without_fields: true,
    });
    let under_way: Vec<UnderWayHere> = open.await?.checks.iter().filter_map(shown).collect();
    let shown = Home {
        answer: &told.answer,
        ctx: &told.ctx,
        here: pages.here(),
        under_way: &under_way,
        lets_in: pages.may_let_in(visit),
        notes: &told.notes,
    };
    Ok(station_frame("Craft", &facts, &home(&shown, &facts)))
}

/// A check that can be gone on with.
fn shown(check: &CheckUnderWay) -> Option<UnderWayHere> {
    match check.stage() {
        UnderWayStage::Open | UnderWayStage::Recording => {}
        UnderWayStage::Unspecified | UnderWayStage::Recorded | UnderWayStage::Dropped => {
            return None;
        }
    }
    let what = match check.kind() {
        UnderWayKind::Unspecified | UnderWayKind::Full => "full check",
        UnderWayKind::Short => "short check",
        UnderWayKind::Part => "part of a check",
        UnderWayKind::FittingOut => "fitting out",
    };
    let what = if check.from_paper {
        format!("{what}, from paper")
    } else {
        what.to_owned()
    };
    Some(UnderWayHere {
        craft: SubjectId::from_bytes(check.craft.as_ref().try_into().ok()?),
        number: check.craft_number.clone(),
        href: format!("/check/{}", check.id),
        what,
        begun_by: check.begun_by.clone(),
        changed: Moment(check.changed_unix_ms),
    })
}

/// Leads on to the craft of a number.
pub(super) async fn find(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Query(typed): Query<Typed>,
) -> Response {
    let known = match pages.known().await {
        Ok(known) => known,
        Err(why) => return pages.not_shown(&visit, &why),
    };
    match by_number(&known, &typed.number) {
        Ok(entry) => Redirect::to(&format!("/craft/{}", hex(&entry.id))).into_response(),
        Err(error) => {
            let said = format!("{error}.");
            pages.say(&visit, StatusCode::NOT_FOUND, "No such craft", &[&said])
        }
    }
}

/// The craft of a number as people type it: as it is painted whatever its capitals, or the
/// figure in it alone where only one craft has that figure.
fn by_number<'a>(known: &'a Catalogue, typed: &str) -> Result<&'a CatalogueEntry, LookupError> {
    let typed = typed.trim();
    let exactly = known.find(&[SubjectType::Craft], typed);
    if exactly.is_ok() {
        return exactly;
    }
    let same = |entry: &&CatalogueEntry| {
        let is_craft = entry.r#type() == SubjectType::Craft;
        is_craft && is_figure(typed) && figures(&entry.number) == figures(typed)
    };
    let mut craft = known.entries().iter().filter(same);
    match (craft.next(), craft.next()) {
        (Some(one), None) => Ok(one),
        _ => exactly,
    }
}

/// Whether somebody typed only a figure.
fn is_figure(typed: &str) -> bool {
    !typed.is_empty() && typed.bytes().all(|byte| byte.is_ascii_digit())
}

/// The digits of a number, zeros before them taken off.
fn figures(number: &str) -> String {
    let digits: String = number.chars().filter(char::is_ascii_digit).collect();
    digits.trim_start_matches('0').to_owned()
}
