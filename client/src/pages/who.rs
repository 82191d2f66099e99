//! Who records at the station's own machine: a member number, asked once and kept in a cookie.

use std::sync::Arc;

use axum::extract::{Extension, Form, Query, State};
use axum::http::StatusCode;
use axum::http::header::{LOCATION, SET_COOKIE};
use axum::response::{IntoResponse as _, Response};
use serde::Deserialize;
use sponson_link::local::MEMBER_BYTES_MAX;
use sponson_show::html::station::who::who_page;

use super::record::{Pair, value};
use super::state::Pages;
use crate::web::enter::not_proven;
use crate::web::light::back;
use crate::web::visit::{Visit, is_member, keep_member};

/// Where it goes on.
#[derive(Debug, Deserialize)]
pub(super) struct Asked {
    #[serde(default)]
    back: String,
}

/// Asks.
pub(super) async fn ask(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Query(asked): Query<Asked>,
) -> Response {
    asked_again(&pages, &visit, back(&asked.back), None).await
}

async fn asked_again(pages: &Pages, visit: &Visit, back: &str, wrong: Option<&str>) -> Response {
    match pages.facts(visit, "/who").await {
        Err(why) => pages.not_shown(visit, &why),
        Ok(facts) => {
            let mut page = pages.page(&facts, "Who is checking?", &who_page(&facts, back, wrong));
            if wrong.is_some() {
                *page.status_mut() = StatusCode::BAD_REQUEST;
            }
            page
        }
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
    let back = back(value(&form, "back"));
    if !value(&form, "gone").is_empty() {
        return go_to("/who", None, &pages);
    }
    match is_member(value(&form, "member")) {
        Some(member) => go_to(back, Some(&member), &pages),
        None => {
            let wrong = format!(
                "'{}' is no member number: give 1 to {MEMBER_BYTES_MAX} bytes of plain text.",
                sponson_show::clean(value(&form, "member").trim())
            );
            asked_again(&pages, &visit, back, Some(&wrong)).await
        }
    }
}

fn go_to(path: &str, member: Option<&str>, pages: &Pages) -> Response {
    let cookie = keep_member(member, &pages.front.at);
    let headers = [(LOCATION, path), (SET_COOKIE, &cookie)];
    (StatusCode::SEE_OTHER, headers).into_response()
}
