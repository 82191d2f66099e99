//! What all requests of the pages share.

use std::collections::BTreeSet;
use std::sync::{Arc, Mutex, PoisonError};

use axum::http::StatusCode;
use axum::response::{Html, IntoResponse as _, Response};
use sponson_client::CommandError;
use sponson_client::catalogue::Catalogue;
use sponson_link::county::visitors::PageRole;
use sponson_link::local::pages::Door;
use sponson_link::places::LaunchPlaces;
use sponson_link::refusal::Refusal;
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::Standard;
use sponson_replica::Held;
use sponson_show::html::{Message, Offers, PageFacts, message_page};
use sponson_show::svg::Ground;
use sponson_show::terminal::Exit;
use tokio::sync::{Semaphore, watch};

use super::at::At;
use super::files::File;
use super::limits::{IN_FLIGHT_MAX, LISTENERS_MAX};
use super::tries::Tries;
use super::visit::Visit;
use crate::clock_check::ClockCheck;

/// What all requests share.
#[derive(Debug)]
pub(super) struct Pages {
    /// Answers, the log, who is signed in.
    pub door: Door,
    /// Where the pages are served.
    pub at: At,
    /// Name of the county.
    pub county: String,
    /// What the map shows beneath the stations.
    pub ground: Ground,
    /// How its clock is looked at before anything is recorded.
    pub clock: ClockCheck,
    /// The style sheet.
    pub style: File,
    /// The script.
    pub script: File,
    /// The picture.
    pub icon: File,
    /// Wrong codes.
    pub tries: Mutex<Tries>,
    /// Room for pages that listen.
    pub listeners: Arc<Semaphore>,
    /// Room for requests.
    pub in_flight: Arc<Semaphore>,
    /// Its sender is gone once the server is to end.
    pub told: watch::Receiver<()>,
    known: Mutex<Option<(Held, Arc<Known>)>>,
}

/// What has a name at this county, and what of it a form offers.
#[derive(Debug)]
pub(super) struct Known {
    /// Names.
    pub catalogue: Catalogue,
    /// Missions and kit for the form.
    pub offers: Offers,
}

/// Why a page was not made.
#[derive(Debug, thiserror::Error)]
pub(super) enum NotShown {
    /// The log refused.
    #[error("{}: {}", .0.what(), .0.to_do())]
    Refused(Refusal),
    /// A command would say the same.
    #[error(transparent)]
    Command(#[from] CommandError),
}

impl From<Refusal> for NotShown {
    fn from(refusal: Refusal) -> Self {
        Self::Refused(refusal)
    }
}

impl Pages {
    pub(super) fn new(
        door: Door,
        at: At,
        (county, clock, ground): (String, ClockCheck, Ground),
        told: watch::Receiver<()>,
    ) -> Self {
        Self {
            door,
            at,
            county,
            clock,
            ground,
            style: File::style(),
            script: File::script(),
            icon: File::icon(),
            tries: Mutex::new(Tries::default()),
            listeners: Arc::new(Semaphore::new(LISTENERS_MAX)),
            in_flight: Arc::new(Semaphore::new(IN_FLIGHT_MAX)),
            told,
            known: Mutex::new(None),
        }
    }

    /// What has a name, as long as nothing more is held made once.
    ///
    /// # Errors
    /// When the log is closed, or the policy cannot be read.
    pub(super) async fn known(&self) -> Result<Arc<Known>, NotShown> {
        let held = *self.door.changes().borrow();
        if let Some((of, known)) = &*self.known.lock().unwrap_or_else(PoisonError::into_inner)
            && *of == held
        {
            return Ok(Arc::clone(known));
        }
        let reply = self.door.catalogue().await?;
        let catalogue = Catalogue::new(reply).map_err(CommandError::from)?;
        let known = Arc::new(Known {
            offers: offers(&catalogue),
            catalogue,
        });
        let kept = Some((held, Arc::clone(&known)));
        *self.known.lock().unwrap_or_else(PoisonError::into_inner) = kept;
        Ok(known)
    }

    /// The facts of a visit to a path.
    #[must_use]
    pub(super) fn facts(&self, visit: &Visit, path: &str) -> PageFacts {
        PageFacts {
            county: self.county.clone(),
            viewer: visit.viewer(),
            token: visit.form_token.clone(),
            offers: Offers::default(),
            rendered: Moment(self.door.now().unix_ms),
            utc_offset_min: 0,
            query: String::new(),
            path: path.to_owned(),
            again_s: None,
            light: visit.light,
            style_href: self.style.path.clone(),
            script_href: self.script.path.clone(),
            icon_href: self.icon.path.clone(),
            map: None,
            notes: Vec::new(),
        }
    }

    /// The same with what the county offers whoever looks.
    #[must_use]
    pub(super) fn facts_with(&self, visit: &Visit, path: &str, known: &Known) -> PageFacts {
        let mut offers = known.offers.clone();
        offers.places = self.launch_places();
        offers.may_assign = visit.has(PageRole::Coordinator);
        PageFacts {
            offers,
            utc_offset_min: known.catalogue.policy().utc_offset_min,
            ..self.facts(visit, path)
        }
    }

    /// Names of launch places, as the county's list has them now; none when it cannot be read,
    /// which every answer about a place says.
    fn launch_places(&self) -> Vec<String> {
        let file = self.door.host().shared.places();
        let places = file.and_then(|file| LaunchPlaces::read(file).ok());
        let places = places.iter().flat_map(LaunchPlaces::iter);
        places.map(|place| place.name.clone()).collect()
    }

    /// A page that says one thing.
    #[must_use]
    pub(super) fn say(
        &self,
        visit: &Visit,
        status: StatusCode,
        title: &str,
        text: &[&str],
    ) -> Response {
        let links = if visit.may_read() {
            vec![("/".to_owned(), "To the county's page".to_owned())]
        } else {
            Vec::new()
        };
        let message = Message {
            title: title.to_owned(),
            text: text.iter().map(|text| (*text).to_owned()).collect(),
            links,
        };
        let page = message_page(&message, &self.facts(visit, ""));
        (status, Html(page)).into_response()
    }

    /// The page of what went wrong.
    #[must_use]
    pub(super) fn not_shown(&self, visit: &Visit, why: &NotShown) -> Response {
        let status = status_of(why);
        if status.is_server_error() {
            tracing::error!(error = %why, "a page could not be shown");
        }
        let said = why.to_string();
        self.say(visit, status, "That could not be done", &[&said])
    }
}

/// The number that says how a request ended.
fn status_of(why: &NotShown) -> StatusCode {
    let exit = match why {
        NotShown::Refused(refusal) if refusal.is_of_the_request() => Exit::Refused,
        NotShown::Refused(_) => Exit::Store,
        NotShown::Command(error) => error.exit(),
    };
    match exit {
        Exit::WrongUse | Exit::Refused => StatusCode::BAD_REQUEST,
        Exit::Fine | Exit::Judged | Exit::Store | Exit::Network => StatusCode::SERVICE_UNAVAILABLE,
    }
}

fn offers(catalogue: &Catalogue) -> Offers {
    let sheets = catalogue.standards();
    let sheets = sheets.filter_map(|held| Standard::parse(&held.text).ok());
    let kit: BTreeSet<(String, String)> = sheets
        .flat_map(|sheet| {
            let items = sheet.items.into_iter();
            items.map(|item| (item.id.as_str().to_owned(), item.label))
        })
        .collect();
    Offers {
        missions: catalogue.missions().into_iter().collect(),
        places: Vec::new(),
        kit: kit.into_iter().collect(),
        may_assign: false,
    }
}
