//! The boat check page and its end: a check under way, begun, looked at, dropped.
//!
//! What is entered is kept by the local service before the reply; what it means is the engine's.

use std::sync::Arc;

use axum::extract::{Extension, Form, Path, State};
use axum::http::header::{ACCEPT, CACHE_CONTROL, CONTENT_TYPE};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{get, post};
use serde_json::json;
use sponson_proto::event::v1::SubjectType;
use sponson_proto::service::v1::{
    BeginRequest, CheckUnderWay, EndUnderWayRequest, UnderWayKind, UnderWayRequest, UnderWayStage,
};
use sponson_show::html::station::round::{ROUND_SCRIPT, round, round_state};
use sponson_show::html::station::station_frame_with;

use super::record::{Pair, recorder, value};
use super::routes::{Route, form, read};
use super::state::{NotShown, Pages};
use super::work::script::place;
use crate::error::CommandError;
use crate::web::Gate;
use crate::web::files::File;
use crate::web::visit::Visit;

mod end;
mod enter;
mod made;
mod news;

use made::Made;

/// Their routes.
pub(super) fn routes() -> Vec<Route> {
    vec![
        form("/craft/{id}/check", Gate::Records, post(begin)),
        read("/check/{id}", Gate::Reads, get(show)),
        read("/check/{id}/news", Gate::Reads, get(news::tell)),
        read("/check/{id}/end", Gate::Reads, get(end::before)),
        form("/check/{id}/enter", Gate::Records, post(enter::enter)),
        form("/check/{id}/record", Gate::Records, post(end::record)),
        form("/check/{id}/drop", Gate::Records, post(drop_it)),
        read(&script().path, Gate::Open, get(serve_script)),
    ]
}

/// The script of the round, under a name that holds its hash.
fn script() -> File {
    File::script("round", ROUND_SCRIPT)
}

async fn serve_script(headers: HeaderMap) -> Response {
    script().serve(&headers)
}

/// The round, or its state for its script.
pub(super) async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(id): Path<String>,
    headers: HeaderMap,
) -> Response {
    let check = match of(&pages, &id).await {
        Ok(Some(check)) => check,
        Ok(None) => return not_there(&pages, &visit),
        Err(why) => return pages.not_shown(&visit, &why),
    };
    if is_over(&check) {
        if wants_json(&headers) {
            return told(&json!({ "over": true }));
        }
        return end::after(&pages, &visit, check).await;
    }
    let made = match Made::of(&pages, &visit, check).await {
        Ok(made) => made,
        Err(why) => return pages.not_shown(&visit, &why),
    };
    if wants_json(&headers) {
        return told(&round_state(&made.round()));
    }
    page(&pages, &visit, &made).await
}

/// The whole page of a round.
async fn page(pages: &Pages, visit: &Visit, made: &Made) -> Response {
    let path = format!("/check/{}", made.check.id);
    match pages.facts(visit, &path).await {
        Err(why) => pages.not_shown(visit, &why),
        Ok(facts) => {
            let (round_script, place_script) = (script(), place());
            let scripts = [round_script.path.as_str(), place_script.path.as_str()];
            let title = format!("{}: check", made.check.craft_number);
            let body = round(&made.round());
            let page = station_frame_with(&title, &facts, &scripts, &body);
            axum::response::Html(page).into_response()
        }
    }
}

/// Begins a check of a craft, or goes on with the one that is there.
pub(super) async fn begin(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(craft): Path<String>,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    let member = match recorder(&pages, &visit, &form) {
        Ok(member) => member,
        Err(refused) => return *refused,
    };
    match begun(&pages, &craft, member, &form).await {
        Ok(check) => Redirect::to(&format!("/check/{}", check.id)).into_response(),
        Err(why) => pages.not_shown(&visit, &why),
    }
}

async fn begun(
    pages: &Pages,
    craft: &str,
    member: String,
    form: &[Pair],
) -> Result<CheckUnderWay, NotShown> {
    let known = pages.known().await?;
    let craft = known
        .find(&[SubjectType::Craft], &format!("#{craft}"))
        .map_err(CommandError::from)?;
    let standard = known.standard(craft).map_err(CommandError::from)?;
    let kind = match value(form, "kind") {
        "short" => UnderWayKind::Short,
        "part" => UnderWayKind::Part,
        "fitting-out" => UnderWayKind::FittingOut,
        _ => UnderWayKind::Full,
    };
    let request = BeginRequest {
        craft: craft.id.clone(),
        craft_number: craft.number.clone(),
        kind: kind as i32,
        from_paper: value(form, "from-paper") == "yes",
        member,
        standard: standard.event.clone(),
        or_go_on: true,
    };
    let reply = pages.door.begin(request).await?;
    Ok(reply.check.unwrap_or_default())
}

/// Drops a check: nothing of it is recorded.
pub(super) async fn drop_it(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(id): Path<String>,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    let member = match recorder(&pages, &visit, &form) {
        Ok(member) => member,
        Err(refused) => return *refused,
    };
    let request = EndUnderWayRequest {
        id: id.clone(),
        member,
    };
    match pages.door.end_under_way(request).await {
        Ok(_) => Redirect::to(&format!("/check/{id}")).into_response(),
        Err(refusal) => pages.not_shown(&visit, &refusal.into()),
    }
}

/// A check under way by its id; none when there is none.
async fn of(pages: &Pages, id: &str) -> Result<Option<CheckUnderWay>, NotShown> {
    let is_id = !id.is_empty() && id.len() <= 16 && id.bytes().all(|it| it.is_ascii_hexdigit());
    if !is_id {
        return Ok(None);
    }
    let request = UnderWayRequest {
        id: id.to_owned(),
        without_fields: false,
    };
    match pages.door.under_way(request).await {
        Ok(reply) => Ok(reply.checks.into_iter().find(|check| check.id == id)),
        Err(refusal) if refusal.is_of_the_request() => Ok(None),
        Err(refusal) => Err(refusal.into()),
    }
}

/// Whether nothing more is entered.
fn is_over(check: &CheckUnderWay) -> bool {
    matches!(
        check.stage(),
        UnderWayStage::Recorded | UnderWayStage::Dropped
    )
}

/// Whether a program asks, not a person.
fn wants_json(headers: &HeaderMap) -> bool {
    let accept = headers.get(ACCEPT).and_then(|it| it.to_str().ok());
    accept.is_some_and(|it| it.starts_with("application/json"))
}

/// What a program is told.
fn told(value: &impl serde::Serialize) -> Response {
    let headers = [
        (CONTENT_TYPE, "application/json"),
        (CACHE_CONTROL, "no-store"),
    ];
    match serde_json::to_string(value) {
        Ok(text) => (headers, text).into_response(),
        Err(_) => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

fn not_there(pages: &Pages, visit: &Visit) -> Response {
    let text = "No check of that name is under way here. One that was recorded or dropped is \
                shown for a day.";
    pages.say(visit, StatusCode::NOT_FOUND, "No such check", &[text])
}
