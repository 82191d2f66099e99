//! What the pages of the county and of a station have in common: the listener, who may go through,
//! signing in, live updates.
//!
//! A program gives a [`House`]: its gates, its frame, its words. What a page says and what is true
//! is made elsewhere; nothing here knows craft.

use std::sync::{Arc, Mutex};

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::StatusCode;
use axum::middleware::{from_fn, from_fn_with_state};
use axum::response::{Html, IntoResponse as _, Response};
use maud::Markup;
use sponson_link::county::visitors::PageRole;
use sponson_link::local::pages::Door;
use sponson_show::html::{Message, message_body};
use tokio::sync::{Semaphore, watch};

pub mod at;
mod bound;
pub mod changes;
pub mod connections;
pub mod enter;
pub mod files;
pub mod guard;
pub mod headers;
pub mod light;
pub mod limits;
mod not_shown;
pub mod picture;
mod tries;
pub mod visit;

pub use bound::Bound;
pub use not_shown::NotShown;

use at::At;
use guard::Bounds;
use limits::LISTENERS_MAX;
use tries::Tries;
use visit::Visit;

/// Who may go through a route.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gate {
    /// Anybody: nothing of the log is behind it.
    Open,
    /// Whoever may read: at the machine itself anybody, else whoever is signed in.
    Reads,
    /// Whoever said who it is: with a session, or with a member number at a station's own machine.
    Records,
    /// Whoever is signed in.
    SignedIn,
    /// Whoever is signed in with this role or a higher one.
    Has(PageRole),
}

/// What a program gives to its pages.
pub trait House: Send + Sync + std::fmt::Debug {
    /// Who may go through a path as the router matched it.
    fn gate_of(&self, matched: Option<&str>) -> Gate;

    /// A whole page: what stands round `body` is the program's.
    fn framed(&self, visit: &Visit, title: &str, body: &Markup) -> String;

    /// Its words.
    fn words(&self) -> Words;
}

/// Words of a program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Words {
    /// For a sentence: `the county`.
    pub whose: &'static str,
    /// Of the link to its first page.
    pub home: &'static str,
    /// The command that makes a link for signing in.
    pub let_in: &'static str,
    /// Where whoever has said no member number is sent; none where nobody records without a
    /// session.
    pub who: Option<&'static str>,
}

/// What stands before the pages.
#[derive(Debug)]
pub struct Front {
    /// Answers, the log, who is signed in.
    pub door: Door,
    /// Where the pages are served.
    pub at: At,
    /// The program's own part.
    pub house: Box<dyn House>,
    /// What forms carry that are filled in at the machine itself without a session; none where no
    /// such form is taken.
    pub machine_token: Option<String>,
    /// Room for pages that listen.
    pub listeners: Arc<Semaphore>,
    /// Its sender is gone once the server is to end.
    pub told: watch::Receiver<()>,
    tries: Mutex<Tries>,
}

impl Front {
    /// Before a program's pages.
    #[must_use]
    pub fn new(
        door: Door,
        at: At,
        house: Box<dyn House>,
        machine_token: Option<String>,
        told: watch::Receiver<()>,
    ) -> Self {
        Self {
            door,
            at,
            house,
            machine_token,
            listeners: Arc::new(Semaphore::new(LISTENERS_MAX)),
            told,
            tries: Mutex::new(Tries::default()),
        }
    }

    /// A page that says one thing.
    #[must_use]
    pub fn say(&self, visit: &Visit, status: StatusCode, title: &str, text: &[&str]) -> Response {
        let links = if visit.may_read() {
            vec![("/".to_owned(), self.house.words().home.to_owned())]
        } else {
            Vec::new()
        };
        let message = Message {
            title: title.to_owned(),
            text: text.iter().map(|text| (*text).to_owned()).collect(),
            links,
        };
        self.page(visit, status, title, &message_body(&message))
    }

    /// A page of the program.
    #[must_use]
    pub fn page(&self, visit: &Visit, status: StatusCode, title: &str, body: &Markup) -> Response {
        (status, Html(self.house.framed(visit, title, body))).into_response()
    }
}

/// Routes behind the layers, the last of which is the outermost. `body_bytes_max` is the greatest
/// body where a route has no limit of its own.
pub fn behind<S: Clone + Send + Sync + 'static>(
    front: &Arc<Front>,
    routes: Router<S>,
    body_bytes_max: usize,
    state: S,
) -> Router {
    routes
        .layer(DefaultBodyLimit::max(body_bytes_max))
        .layer(from_fn_with_state(body_bytes_max, guard::said_too_long))
        .layer(from_fn_with_state(Arc::clone(front), guard::guard))
        .layer(from_fn_with_state(Bounds::of(front), guard::bounded))
        .layer(from_fn(headers::add))
        .with_state(state)
}
