//! How the sync stands, and trying it now.

use std::sync::Arc;

use axum::extract::{Extension, Form, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use maud::html;

use super::record::{Pair, value};
use super::state::Pages;
use crate::web::enter::not_proven;
use crate::web::visit::Visit;

/// Shows it.
pub(super) async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
) -> Response {
    match pages.facts(&visit, "/sync").await {
        Err(why) => pages.not_shown(&visit, &why),
        Ok(facts) => pages.page(&facts, "Sync", &html! { h1 { "Sync with the county" } }),
    }
}

/// Tries it now.
pub(super) async fn now(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    if !visit.is_ours(value(&form, "token")) {
        return not_proven(&pages.front, &visit);
    }
    Redirect::to("/sync").into_response()
}
