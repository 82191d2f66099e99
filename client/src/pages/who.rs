//! Who records at the station's own machine: a member number, asked once and kept in a cookie.

use std::sync::Arc;

use axum::extract::{Extension, Form, State};
use axum::http::StatusCode;
use axum::http::header::{LOCATION, SET_COOKIE};
use axum::response::{IntoResponse as _, Response};
use maud::html;

use super::record::{Pair, value};
use super::state::Pages;
use crate::web::enter::not_proven;
use crate::web::visit::{Visit, is_member, keep_member};

/// Asks.
pub(super) async fn ask(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
) -> Response {
    match pages.facts(&visit, "/who").await {
        Err(why) => pages.not_shown(&visit, &why),
        Ok(facts) => pages.page(&facts, "Who", &html! { h1 { "Who is checking?" } }),
    }
}

/// Keeps it.
pub(super) async fn keep(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    if !visit.is_ours(value(&form, "token")) {
        return not_proven(&pages.front, &visit);
    }
    let Some(member) = is_member(value(&form, "member")) else {
        let text = "Give the member number in 1 to 64 bytes of plain text.";
        return pages.say(
            &visit,
            StatusCode::BAD_REQUEST,
            "Not a member number",
            &[text],
        );
    };
    let cookie = keep_member(Some(&member), &pages.front.at);
    let headers = [(LOCATION, "/"), (SET_COOKIE, &cookie)];
    (StatusCode::SEE_OTHER, headers).into_response()
}
