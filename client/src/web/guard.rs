//! Stands before every page: who it is, whether the request is from a page of ours, who may go on.
//!
//! Deny by default in this one layer: a path that no route lists is a thing to be read, and what
//! changes anything must be a form of a page of ours. No handler has a rule of its own but the
//! form's token, which stands in the body.

use std::fmt::Write as _;
use std::net::IpAddr;
use std::sync::Arc;
use std::time::Duration;

use axum::extract::{MatchedPath, Request, State};
use axum::http::header::{HOST, HeaderMap, ORIGIN};
use axum::http::{Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse as _, Redirect, Response};
use sponson_show::html::not_signed_in_body;
use tokio::sync::Semaphore;

use super::at::Reach;
use super::headers;
use super::limits::{IN_FLIGHT_MAX, PATH_BYTES_MAX, REQUEST_TIMEOUT};
use super::visit::{Visit, form_token, light_of, member_of, session_of};
use super::{Front, Gate};

/// Where a connection comes from.
#[derive(Clone, Copy, Debug)]
pub struct From(
    /// The address.
    pub IpAddr,
);

/// How long to wait when there is no room.
const WAIT: Duration = Duration::from_secs(2);

/// Room and time for requests.
#[derive(Clone, Debug)]
pub struct Bounds {
    in_flight: Arc<Semaphore>,
    time: Duration,
    whose: &'static str,
}

impl Bounds {
    /// Room for [`IN_FLIGHT_MAX`] at a time, each of which may take [`REQUEST_TIMEOUT`].
    #[must_use]
    pub fn of(front: &Front) -> Self {
        Self::new(IN_FLIGHT_MAX, REQUEST_TIMEOUT, front.house.words().whose)
    }

    /// Room for so many at a time, each of which may take so long, at `whose` pages.
    #[must_use]
    pub fn new(in_flight: usize, time: Duration, whose: &'static str) -> Self {
        Self {
            in_flight: Arc::new(Semaphore::new(in_flight)),
            time,
            whose,
        }
    }
}

/// Room and time for a request; outside of everything else.
pub async fn bounded(State(bounds): State<Bounds>, request: Request, next: Next) -> Response {
    let Ok(_room) = Arc::clone(&bounds.in_flight).try_acquire_owned() else {
        return come_again(bounds.whose);
    };
    let answered = tokio::time::timeout(bounds.time, next.run(request)).await;
    answered.unwrap_or_else(|_| come_again(bounds.whose))
}

/// Says in words that a body is longer than is taken, where a route did not say so itself.
pub async fn said_too_long(State(most): State<usize>, request: Request, next: Next) -> Response {
    let extensions = request.extensions();
    let front = extensions.get::<Arc<Front>>().cloned();
    let visit = extensions.get::<Visit>().cloned();
    let response = next.run(request).await;
    match (response.status(), front, visit) {
        (status @ StatusCode::PAYLOAD_TOO_LARGE, Some(front), Some(visit)) => {
            let text = format!(
                "What was sent is longer than {most} bytes: nothing was kept. Send less at a time."
            );
            front.say(&visit, status, "Too long", &[&text])
        }
        (_, _, _) => response,
    }
}

/// Says to come again.
pub fn busy(front: &Front) -> Response {
    come_again(front.house.words().whose)
}

fn come_again(whose: &str) -> Response {
    let text = format!(
        "{}: try again in a moment.\n",
        capital(&format!("{whose} is busy"))
    );
    let mut response = (StatusCode::SERVICE_UNAVAILABLE, text).into_response();
    headers::retry_after(&mut response, WAIT);
    response
}

/// Lets a request through, or refuses it.
pub async fn guard(State(front): State<Arc<Front>>, mut request: Request, next: Next) -> Response {
    let Some(host) = named(&request, &front) else {
        let text = "These pages are not served under this name.\n";
        return (StatusCode::MISDIRECTED_REQUEST, text).into_response();
    };
    let visit = visit(request.headers(), &front).await;
    let uri = request.uri();
    if uri.path_and_query().map_or(0, |it| it.as_str().len()) > PATH_BYTES_MAX {
        let text = format!("The address is longer than {PATH_BYTES_MAX} bytes: ask for less.");
        return front.say(&visit, StatusCode::URI_TOO_LONG, "Too long", &[&text]);
    }
    let matched = request.extensions().get::<MatchedPath>();
    let gate = front.house.gate_of(matched.map(MatchedPath::as_str));
    if !may_pass(gate, &visit) {
        return refused(gate, &visit, &front, &request);
    }
    match *request.method() {
        Method::GET | Method::HEAD => {}
        Method::POST if is_ours(request.headers(), &host, &front) => {}
        Method::POST => {
            let text = "It came from elsewhere: nothing was changed. Use the form on the page.";
            return front.say(&visit, StatusCode::FORBIDDEN, "Not from this page", &[text]);
        }
        _ => return StatusCode::METHOD_NOT_ALLOWED.into_response(),
    }
    request.extensions_mut().insert(visit);
    request.extensions_mut().insert(Arc::clone(&front));
    next.run(request).await
}

/// The one `Host` of a request, when it names us. A page of another name that leads here would
/// otherwise be one of ours to a browser.
fn named(request: &Request, front: &Front) -> Option<String> {
    let mut hosts = request.headers().get_all(HOST).iter();
    let host = hosts.next()?.to_str().ok()?.to_owned();
    let same = request
        .uri()
        .authority()
        .is_none_or(|authority| authority.as_str().eq_ignore_ascii_case(&host));
    (hosts.next().is_none() && same && front.at.is_named(&host)).then_some(host)
}

/// Whether a form came from a page of ours: as the browser says itself, and where it says it.
/// Without either nothing says so.
fn is_ours(headers: &HeaderMap, host: &str, front: &Front) -> bool {
    let of = |name: &str| headers.get(name).map(|value| value.to_str().unwrap_or(""));
    let site = of("sec-fetch-site");
    let origin = of(ORIGIN.as_str());
    // A page that tells nobody where it was sends `null`; then the site has to say it.
    let origin = origin.filter(|origin| *origin != "null");
    let same_origin = origin.map(|origin| front.at.is_origin(origin, host));
    match (site, same_origin) {
        (Some(site), same_origin) => site == "same-origin" && same_origin.unwrap_or(true),
        (None, Some(same)) => same,
        (None, None) => false,
    }
}

/// Who it is. Looking through is use of a session; what a page does by itself is none.
async fn visit(headers: &HeaderMap, front: &Front) -> Visit {
    let now = front.door.now().unix_ms;
    let session = session_of(headers, &front.at);
    let mut visitors = front.door.visitors().lock().await;
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
        form_token: match session.as_deref() {
            Some(session) => Some(form_token(session)),
            None if front.at.reach == Reach::Machine => front.machine_token.clone(),
            None => None,
        },
        said_member: match front.at.reach {
            Reach::Machine => member_of(headers, &front.at),
            Reach::Network => None,
        },
        session,
        light: light_of(headers),
        reach: front.at.reach,
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
        Gate::Records => visit.member().is_some(),
        Gate::SignedIn => visit.visitor.is_some(),
        Gate::Has(role) => visit.has(role),
    }
}

fn refused(gate: Gate, visit: &Visit, front: &Front, request: &Request) -> Response {
    let words = front.house.words();
    if let (Gate::Records, true, Some(who)) = (gate, visit.may_read(), words.who) {
        return who_is_it(who, visit, front, request);
    }
    if visit.visitor.is_none() {
        let body = not_signed_in_body(words.let_in);
        return front.page(visit, StatusCode::UNAUTHORIZED, "Not signed in", &body);
    }
    let needs = match gate {
        Gate::Has(role) => super::visit::role_word(role),
        Gate::Open | Gate::Reads | Gate::Records | Gate::SignedIn => "another role",
    };
    let text = format!("This needs the role of {needs}: ask the lead for a link with it.");
    front.say(visit, StatusCode::FORBIDDEN, "Not with your role", &[&text])
}

/// Leads whoever has said no member number to where it is asked, and back; what was filled in on a
/// form does not come along, so that is said.
fn who_is_it(who: &str, visit: &Visit, front: &Front, request: &Request) -> Response {
    let here = request.uri().path_and_query();
    match (request.method(), here) {
        (&Method::GET, Some(here)) => {
            let back = encoded(here.as_str());
            Redirect::to(&format!("{who}?back={back}")).into_response()
        }
        _ => {
            let text = format!("Nothing was recorded: say who you are first, at {who}.");
            front.say(visit, StatusCode::FORBIDDEN, "Who are you?", &[&text])
        }
    }
}

/// A path with its query as the value of a query.
fn encoded(path: &str) -> String {
    let mut encoded = String::new();
    for byte in path.bytes() {
        match byte {
            b'/' | b'-' | b'0'..=b'9' | b'a'..=b'z' | b'A'..=b'Z' => encoded.push(byte.into()),
            // Writing to a String cannot fail.
            _ => drop(write!(encoded, "%{byte:02X}")),
        }
    }
    encoded
}

/// The same with a capital letter.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|first| first.to_uppercase().to_string());
    first.unwrap_or_default() + letters.as_str()
}
