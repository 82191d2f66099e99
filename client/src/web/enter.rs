//! Signing in with a one-time link, and leaving.
//!
//! Looking at a link spends nothing: programs that read mail look at links. The button spends it.

use std::sync::Arc;
use std::time::Instant;

use axum::extract::{Extension, Form, Path};
use axum::http::StatusCode;
use axum::http::header::{LOCATION, SET_COOKIE};
use axum::response::{IntoResponse as _, Response};
use data_encoding::BASE32_NOPAD;
use serde::Deserialize;
use sponson_link::county::visitors::{NotLetIn, SESSION_MAX_MS, VisitorsError};
use sponson_show::html::enter_body;

use super::Front;
use super::guard::From;
use super::headers;
use super::visit::{Visit, begin_session, end_session, role_word};

/// Longest code that is looked at.
const CODE_CHARS_MAX: usize = 64;

/// What a form of a session carries beside its values.
#[derive(Debug, Deserialize)]
pub struct Proven {
    #[serde(default)]
    token: String,
}

/// Shows for whom a link was made, and the button.
pub async fn look(
    Extension(front): Extension<Arc<Front>>,
    Extension(visit): Extension<Visit>,
    Extension(From(from)): Extension<From>,
    Path(code): Path<String>,
) -> Response {
    if let Err(wait) = may_try(&front, from) {
        return wait_for_it(&front, &visit, wait);
    }
    let now = front.door.now().unix_ms;
    let visitors = front.door.visitors().lock().await;
    let looked = visitors.look(&read(&code), now);
    let looked = looked.map(|(member, role)| (member.to_owned(), role));
    drop(visitors);
    match looked {
        Err(why) => not_let_in(&front, &visit, from, why),
        Ok((member, role)) => {
            let action = format!("/enter/{code}");
            let hours = u32::try_from(SESSION_MAX_MS / 3_600_000).unwrap_or(u32::MAX);
            let body = enter_body(&action, &member, role_word(role), hours);
            front.page(&visit, StatusCode::OK, "Enter", &body)
        }
    }
}

/// Spends a link and begins a session.
pub async fn spend(
    Extension(front): Extension<Arc<Front>>,
    Extension(visit): Extension<Visit>,
    Extension(From(from)): Extension<From>,
    Path(code): Path<String>,
) -> Response {
    if let Err(wait) = may_try(&front, from) {
        return wait_for_it(&front, &visit, wait);
    }
    let now = front.door.now().unix_ms;
    // Always a new one: no token that somebody brought along becomes a session.
    let token = front.door.draw();
    let mut visitors = front.door.visitors().lock().await;
    let let_in = visitors.let_in(&read(&code), &token, now);
    if let (Ok(Ok(_)), Some(before), Some(visitor)) = (&let_in, &visit.session, &visit.visitor) {
        tracing::debug!(session = %visitor.name, "a session ends for another");
        drop(end(&mut visitors, before, now));
    }
    drop(visitors);
    match let_in {
        Err(error) => failed(&front, &visit, &error),
        Ok(Err(why)) => not_let_in(&front, &visit, from, why),
        Ok(Ok(visitor)) => {
            let (session, role) = (&visitor.name, role_word(visitor.role));
            tracing::info!(%session, member = %visitor.member, role, "signed in at the pages");
            go_to("/", &begin_session(&token, &front.at))
        }
    }
}

/// Ends the session.
pub async fn leave(
    Extension(front): Extension<Arc<Front>>,
    Extension(visit): Extension<Visit>,
    Form(form): Form<Proven>,
) -> Response {
    let Some(session) = visit
        .session
        .as_ref()
        .filter(|_| visit.is_ours(&form.token))
    else {
        return not_proven(&front, &visit);
    };
    let now = front.door.now().unix_ms;
    let ended = end(&mut *front.door.visitors().lock().await, session, now);
    match ended {
        Err(error) => failed(&front, &visit, &error),
        Ok(()) => go_to("/", &end_session(&front.at)),
    }
}

/// The form did not come from a page of this session.
pub fn not_proven(front: &Front, visit: &Visit) -> Response {
    let text = "The form is of another session, or none: nothing was changed. Load the page anew \
                and try again.";
    front.say(visit, StatusCode::FORBIDDEN, "Not from this page", &[text])
}

fn end(
    visitors: &mut sponson_link::county::visitors::Visitors,
    session: &[u8],
    now: i64,
) -> Result<(), VisitorsError> {
    let Some(visitor) = visitors.who(session, now) else {
        return Ok(());
    };
    let ended = visitors.end(|known| known.name == visitor.name, now);
    ended.map(|_| ())
}

fn go_to(path: &'static str, cookie: &str) -> Response {
    let headers = [(LOCATION, path), (SET_COOKIE, cookie)];
    (StatusCode::SEE_OTHER, headers).into_response()
}

/// The bytes of a code; empty, which no link has, when it is none.
fn read(code: &str) -> Vec<u8> {
    if code.len() > CODE_CHARS_MAX {
        return Vec::new();
    }
    let decoded = BASE32_NOPAD.decode(code.to_uppercase().as_bytes());
    decoded.unwrap_or_default()
}

fn may_try(front: &Front, from: std::net::IpAddr) -> Result<(), std::time::Duration> {
    let mut tries = front.tries.lock().unwrap_or_else(|it| it.into_inner());
    tries.may_try(Instant::now(), from)
}

fn wait_for_it(front: &Front, visit: &Visit, wait: std::time::Duration) -> Response {
    let seconds = wait.as_secs() + 1;
    let text = format!("Too many links were not known. Wait {seconds} seconds, then try again.");
    let title = "Too many tries";
    let mut response = front.say(visit, StatusCode::TOO_MANY_REQUESTS, title, &[&text]);
    headers::retry_after(&mut response, wait);
    response
}

fn not_let_in(front: &Front, visit: &Visit, from: std::net::IpAddr, why: NotLetIn) -> Response {
    let status = match why {
        NotLetIn::Unknown => {
            let mut tries = front.tries.lock().unwrap_or_else(|it| it.into_inner());
            tries.was_wrong(Instant::now(), from);
            StatusCode::NOT_FOUND
        }
        NotLetIn::Used | NotLetIn::Ended => StatusCode::GONE,
    };
    let text = format!(
        "{}{}.",
        why.to_string()[..1].to_uppercase(),
        &why.to_string()[1..]
    );
    let to_do = format!(
        "Ask the lead for another: {} MEMBER.",
        front.house.words().let_in
    );
    front.say(visit, status, "Not let in", &[&text, &to_do])
}

fn failed(front: &Front, visit: &Visit, error: &VisitorsError) -> Response {
    tracing::error!(%error, "who is signed in could not be kept");
    let status = StatusCode::SERVICE_UNAVAILABLE;
    let text = format!("{error}.");
    front.say(visit, status, "That could not be done", &[&text])
}
