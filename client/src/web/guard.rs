//! Stands before every page: who it is, whether the request is from a page of ours, who may go on.
//!
//! Deny by default in this one layer: a path that no route lists is a thing to be read, and what
//! changes anything must be a form of a page of ours. No handler has a rule of its own but the
//! form's token, which stands in the body.

use std::net::IpAddr;
use std::sync::Arc;
use std::time::Duration;

use axum::extract::{MatchedPath, Request, State};
use axum::http::header::{HOST, HeaderMap, ORIGIN};
use axum::http::{Method, StatusCode};
use axum::middleware::Next;
use axum::response::{Html, IntoResponse as _, Response};
use sponson_show::html::not_signed_in_page;

use super::headers;
use super::limits::{PATH_BYTES_MAX, REQUEST_TIMEOUT};
use super::routes::{Gate, gate_of};
use super::state::Pages;
use super::visit::{Visit, form_token, light_of, session_of};

/// Where a connection comes from.
#[derive(Clone, Copy, Debug)]
pub(super) struct From(pub(super) IpAddr);

/// How long to wait when there is no room.
const WAIT: Duration = Duration::from_secs(2);

/// Room and time for a request; outside of everything else.
pub(super) async fn bounded(
    State(pages): State<Arc<Pages>>,
    request: Request,
    next: Next,
) -> Response {
    let Ok(_room) = Arc::clone(&pages.in_flight).try_acquire_owned() else {
        return busy();
    };
    let answered = tokio::time::timeout(REQUEST_TIMEOUT, next.run(request)).await;
    answered.unwrap_or_else(|_| busy())
}

/// Says to come again.
pub(super) fn busy() -> Response {
    let text = "The county is busy: try again in a moment.\n";
    let mut response = (StatusCode::SERVICE_UNAVAILABLE, text).into_response();
    headers::retry_after(&mut response, WAIT);
    response
}

/// Lets a request through, or refuses it.
pub(super) async fn guard(
    State(pages): State<Arc<Pages>>,
    mut request: Request,
    next: Next,
) -> Response {
    let Some(host) = named(&request, &pages) else {
        let text = "These pages are not served under this name.\n";
        return (StatusCode::MISDIRECTED_REQUEST, text).into_response();
    };
    let visit = visit(request.headers(), &pages).await;
    let uri = request.uri();
    if uri.path_and_query().map_or(0, |it| it.as_str().len()) > PATH_BYTES_MAX {
        let text = format!("The address is longer than {PATH_BYTES_MAX} bytes: ask for less.");
        return pages.say(&visit, StatusCode::URI_TOO_LONG, "Too long", &[&text]);
    }
    let matched = request.extensions().get::<MatchedPath>();
    let gate = gate_of(matched.map(MatchedPath::as_str));
    if !may_pass(gate, &visit) {
        return refused(gate, &visit, &pages);
    }
    match *request.method() {
        Method::GET | Method::HEAD => {}
        Method::POST if is_ours(request.headers(), &host, &pages) => {}
        Method::POST => {
            let text = "It came from elsewhere: nothing was changed. Use the form on the page.";
            return pages.say(&visit, StatusCode::FORBIDDEN, "Not from this page", &[text]);
        }
        _ => return StatusCode::METHOD_NOT_ALLOWED.into_response(),
    }
    request.extensions_mut().insert(visit);
    next.run(request).await
}

/// The one `Host` of a request, when it names us. A page of another name that leads here would
/// otherwise be one of ours to a browser.
fn named(request: &Request, pages: &Pages) -> Option<String> {
    let mut hosts = request.headers().get_all(HOST).iter();
    let host = hosts.next()?.to_str().ok()?.to_owned();
    let same = request
        .uri()
        .authority()
        .is_none_or(|authority| authority.as_str().eq_ignore_ascii_case(&host));
    (hosts.next().is_none() && same && pages.at.is_named(&host)).then_some(host)
}

/// Whether a form came from a page of ours: as the browser says itself, and where it says it.
/// Without either nothing says so.
fn is_ours(headers: &HeaderMap, host: &str, pages: &Pages) -> bool {
    let of = |name: &str| headers.get(name).map(|value| value.to_str().unwrap_or(""));
    let site = of("sec-fetch-site");
    let origin = of(ORIGIN.as_str());
    // A page that tells nobody where it was sends `null`; then the site has to say it.
    let origin = origin.filter(|origin| *origin != "null");
    let same_origin = origin.map(|origin| pages.at.is_origin(origin, host));
    match (site, same_origin) {
        (Some(site), same_origin) => site == "same-origin" && same_origin.unwrap_or(true),
        (None, Some(same)) => same,
        (None, None) => false,
    }
}

/// Who it is. Looking through is use of a session; what a page does by itself is none.
async fn visit(headers: &HeaderMap, pages: &Pages) -> Visit {
    let now = pages.door.now().unix_ms;
    let session = session_of(headers, &pages.at);
    let mut visitors = pages.door.visitors().lock().await;
    let visitor = session.as_ref().and_then(|it| visitors.who(it, now));
    let session = session.filter(|_| visitor.is_some());
    if let Some(session) = &session
        && is_by_hand(headers)
        && let Err(error) = visitors.used(session, now)
    {
        tracing::warn!(%error, "the use of a session could not be noted");
    }
    Visit {
        visitor,
        form_token: session.as_deref().map(form_token),
        session,
        light: light_of(headers),
        reach: pages.at.reach,
    }
}

/// Whether a person went there, not a page by itself.
fn is_by_hand(headers: &HeaderMap) -> bool {
    let mode = headers.get("sec-fetch-mode");
    mode.is_none_or(|mode| mode == "navigate")
}

fn may_pass(gate: Gate, visit: &Visit) -> bool {
    match gate {
        Gate::Open => true,
        Gate::Reads => visit.may_read(),
        Gate::SignedIn => visit.visitor.is_some(),
        Gate::Has(role) => visit.has(role),
    }
}

fn refused(gate: Gate, visit: &Visit, pages: &Pages) -> Response {
    if visit.visitor.is_none() {
        let page = not_signed_in_page(&pages.facts(visit, ""));
        return (StatusCode::UNAUTHORIZED, Html(page)).into_response();
    }
    let needs = match gate {
        Gate::Has(role) => super::visit::role_word(role),
        Gate::Open | Gate::Reads | Gate::SignedIn => "another role",
    };
    let text = format!("This needs the role of {needs}: ask the lead for a link with it.");
    pages.say(visit, StatusCode::FORBIDDEN, "Not with your role", &[&text])
}
