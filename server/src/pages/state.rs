//! What all requests of the pages share.

use std::collections::BTreeSet;
use std::sync::{Arc, Mutex, PoisonError};

use axum::http::StatusCode;
use axum::response::Response;
use maud::Markup;
use sponson_client::catalogue::Catalogue;
use sponson_client::web::files::File;
use sponson_client::web::visit::Visit;
use sponson_client::web::{Bound, Front, Gate, House, Words};
use sponson_link::county::visitors::PageRole;
use sponson_link::local::pages::Door;
use sponson_link::places::LaunchPlaces;
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::Standard;
use sponson_replica::Held;
use sponson_show::html::{self, Offers, PageFacts};
use sponson_show::svg::Ground;
use tokio::sync::watch;

use super::routes;
use crate::clock_check::ClockCheck;
pub(super) use sponson_client::web::NotShown;

/// What all requests share.
#[derive(Debug)]
pub(super) struct Pages {
    /// What stands before them.
    pub front: Arc<Front>,
    /// Answers, the log, who is signed in.
    pub door: Door,
    look: Look,
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
    known: Mutex<Option<(Held, Arc<Known>)>>,
}

/// How every page of the county looks.
#[derive(Clone, Debug)]
struct Look {
    county: String,
    door: Door,
    /// Of the style sheet, the script and the picture.
    hrefs: [String; 3],
}

impl Look {
    fn facts(&self, visit: &Visit, path: &str) -> PageFacts {
        let [style_href, script_href, icon_href] = self.hrefs.clone();
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
            style_href,
            script_href,
            icon_href,
            map: None,
            notes: Vec::new(),
        }
    }
}

impl House for Look {
    fn gate_of(&self, matched: Option<&str>) -> Gate {
        routes::gate_of(matched)
    }

    fn framed(&self, visit: &Visit, title: &str, body: &Markup) -> String {
        html::frame(title, &self.facts(visit, ""), body)
    }

    fn words(&self) -> Words {
        Words {
            whose: "the county",
            home: "To the county's page",
            let_in: "sponson-county let-in",
            who: None,
        }
    }
}

/// The style sheet.
pub(super) fn style() -> File {
    File::style("style", html::STYLE)
}

/// The script.
pub(super) fn script() -> File {
    File::script("live", html::SCRIPT)
}

/// What has a name at this county, and what of it a form offers.
#[derive(Debug)]
pub(super) struct Known {
    /// Names.
    pub catalogue: Catalogue,
    /// Missions and kit for the form.
    pub offers: Offers,
}

impl Pages {
    pub(super) fn new(
        bound: &Bound,
        (county, clock, ground): (String, ClockCheck, Ground),
        told: watch::Receiver<()>,
    ) -> Self {
        let look = Look {
            county,
            door: bound.door().clone(),
            hrefs: [style().path, script().path, File::icon().path],
        };
        let house = Box::new(look.clone());
        let door = bound.door().clone();
        Self {
            front: Arc::new(Front::new(
                door.clone(),
                bound.at().clone(),
                house,
                None,
                told,
            )),
            door,
            look,
            clock,
            ground,
            style: style(),
            script: script(),
            icon: File::icon(),
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
        let catalogue = Catalogue::new(reply);
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
        self.look.facts(visit, path)
    }

    /// The same with what the county offers whoever looks.
    #[must_use]
    pub(super) fn facts_with(&self, visit: &Visit, path: &str, known: &Known) -> PageFacts {
        let mut offers = known.offers.clone();
        offers.places = self.launch_places();
        offers.may_assign = visit.has(PageRole::Coordinator);
        offers.may_decide = visit.has(PageRole::Lead);
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
        self.front.say(visit, status, title, text)
    }

    /// The page of what went wrong.
    #[must_use]
    pub(super) fn not_shown(&self, visit: &Visit, why: &NotShown) -> Response {
        let status = why.status();
        if status.is_server_error() {
            tracing::error!(error = %why, "a page could not be shown");
        }
        let said = why.to_string();
        self.say(visit, status, "That could not be done", &[&said])
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
        may_decide: false,
    }
}
