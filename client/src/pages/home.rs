//! The first page: the craft at this station.

use std::sync::Arc;

use axum::extract::{Extension, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::html;
use serde::Deserialize;
use sponson_proto::event::v1::SubjectType;

use super::state::Pages;
use crate::catalogue::hex;
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
    match pages.facts(&visit, "/").await {
        Err(why) => pages.not_shown(&visit, &why),
        Ok(facts) => pages.page(&facts, "Craft", &html! { h1 { "Craft at this station" } }),
    }
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
    match known.find(&[SubjectType::Craft], typed.number.trim()) {
        Ok(entry) => Redirect::to(&format!("/craft/{}", hex(&entry.id))).into_response(),
        Err(error) => {
            let said = format!("{error}.");
            pages.say(&visit, StatusCode::NOT_FOUND, "No such craft", &[&said])
        }
    }
}
