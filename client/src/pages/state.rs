//! What all requests of a station's pages share.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use axum::http::StatusCode;
use axum::response::{Html, IntoResponse as _, Response};
use data_encoding::HEXLOWER;
use maud::Markup;
use sponson_link::county::visitors::PageRole;
use sponson_link::local::pages::{Door, Told};
use sponson_proto::service::v1::AboutReply;
use sponson_readiness::ids::SubjectId;
use sponson_readiness::moment::Moment;
use sponson_replica::Held;
use sponson_show::html::station::{self, StationFacts, SyncLine, SyncTrying, station_frame};
use sponson_show::html::{self, Offers, PageFacts};
use tokio::sync::{Semaphore, watch};

use super::routes;
use super::work::pressed::Pressed;
use crate::catalogue::Catalogue;
pub(super) use crate::web::NotShown;
use crate::web::at::Reach;
use crate::web::files::File;
use crate::web::visit::Visit;
use crate::web::{Bound, Front, Gate, House, Words};

/// Bytes of the secret of which forms carry a sign at the machine itself.
const SECRET_BYTES: usize = 32;

/// What all requests share.
#[derive(Debug)]
pub(super) struct Pages {
    /// What stands before them.
    pub front: Arc<Front>,
    /// Answers, the log, who is signed in.
    pub door: Door,
    /// Files that are served as they are.
    pub files: Files,
    /// What buttons of forms did.
    pub pressed: Pressed,
    /// Room for making a picture ready.
    pub preparing: Arc<Semaphore>,
    look: Look,
    known: Mutex<Option<(Held, Arc<Catalogue>)>>,
}

/// Files that are served as they are.
#[derive(Debug)]
pub(super) struct Files {
    /// The style sheet of all pages.
    pub style: File,
    /// The style sheet of a station's pages.
    pub station_style: File,
    /// The script of all pages.
    pub script: File,
    /// The picture.
    pub icon: File,
}

impl Pages {
    pub(super) fn new(bound: &Bound, county: String, told: watch::Receiver<()>) -> Self {
        let door = bound.door().clone();
        let look = Look {
            county,
            door: door.clone(),
            gates: routes::gates(),
            hrefs: [
                style().path,
                script().path,
                File::icon().path,
                station_style().path,
            ],
            last: Arc::default(),
        };
        let token = HEXLOWER.encode(&door.draw::<SECRET_BYTES>());
        let house = Box::new(look.clone());
        Self {
            front: Arc::new(Front::new(
                door.clone(),
                bound.at().clone(),
                house,
                Some(token),
                told,
            )),
            door,
            files: Files {
                style: style(),
                station_style: station_style(),
                script: script(),
                icon: File::icon(),
            },
            pressed: Pressed::default(),
            preparing: Arc::new(Semaphore::new(1)),
            look,
            known: Mutex::new(None),
        }
    }

    /// What has a name, as long as nothing more is held made once.
    ///
    /// # Errors
    /// When the log is closed, or the policy cannot be read.
    pub(super) async fn known(&self) -> Result<Arc<Catalogue>, NotShown> {
        let held = *self.door.changes().borrow();
        if let Some((of, known)) = &*self.known.lock().unwrap_or_else(PoisonError::into_inner)
            && *of == held
        {
            return Ok(Arc::clone(known));
        }
        let reply = self.door.catalogue().await?;
        let known = Arc::new(Catalogue::new(reply));
        let kept = Some((held, Arc::clone(&known)));
        *self.known.lock().unwrap_or_else(PoisonError::into_inner) = kept;
        Ok(known)
    }

    /// The facts of a visit to a path, with the sync as it stands now.
    ///
    /// # Errors
    /// When the log is closed, or the policy cannot be read.
    pub(super) async fn facts(&self, visit: &Visit, path: &str) -> Result<StationFacts, NotShown> {
        let known = self.known().await?;
        let about = self.door.about().await?;
        let mut last = self.look.last();
        last.station.clone_from(&about.station_name);
        last.here = about
            .station
            .as_ref()
            .try_into()
            .ok()
            .map(SubjectId::from_bytes);
        last.utc_offset_min = known.policy().utc_offset_min;
        let others = last.heard.iter().filter(|(id, ..)| Some(*id) != last.here);
        let heard = others.map(|(_, name, at)| (name.clone(), *at)).collect();
        last.sync = SyncLine {
            heard,
            ..sync_line(&about)
        };
        drop(last);
        Ok(self.look.facts(visit, path))
    }

    /// Keeps what an answer says of other stations, for the line on every page.
    pub(super) fn note_heard(&self, told: &Told) {
        let stations = told.answer.stations.iter();
        let mut heard: Vec<(SubjectId, String, Option<Moment>)> = stations
            .map(|station| (station.id, station.name.clone(), station.last_heard))
            .collect();
        heard.sort_by_key(|(.., at)| std::cmp::Reverse(*at));
        self.look.last().heard = heard;
    }

    /// This station; none while that is not known.
    #[must_use]
    pub(super) fn here(&self) -> Option<SubjectId> {
        self.look.last().here
    }

    /// Whether whoever looks may let a phone in, and one could come.
    #[must_use]
    pub(super) fn may_let_in(&self, visit: &Visit) -> bool {
        self.front.at.reach == Reach::Network && visit.has(PageRole::Lead)
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

    /// A page of a body.
    #[must_use]
    pub(super) fn page(&self, facts: &StationFacts, title: &str, body: &Markup) -> Response {
        Html(station_frame(title, facts, body)).into_response()
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

/// How the sync stands, as the service tells it.
fn sync_line(about: &AboutReply) -> SyncLine {
    SyncLine {
        waiting: about.waiting,
        pictures_waiting: about.pictures_waiting,
        last_sync: about.last_sync_unix_ms.map(Moment),
        clock_offset_ms: about.clock_offset_ms,
        trying: match &about.sync_refused {
            _ if about.ended_at.is_some() => SyncTrying::Never,
            Some(refused) => SyncTrying::Refused(refused.words.clone()),
            None => match &about.sync_state {
                Some(state) if state.now => SyncTrying::Now,
                Some(state) => state
                    .next_unix_ms
                    .map_or(SyncTrying::Idle, |at| SyncTrying::NextAt(Moment(at))),
                None => SyncTrying::Idle,
            },
        },
        heard: about
            .heard
            .iter()
            .map(|heard| (heard.station.clone(), heard.unix_ms.map(Moment)))
            .collect(),
    }
}

/// How every page of the station looks.
#[derive(Clone, Debug)]
struct Look {
    county: String,
    door: Door,
    gates: BTreeMap<String, Gate>,
    /// Of the style sheet, the script, the picture and the station's own style sheet.
    hrefs: [String; 4],
    last: Arc<Mutex<Last>>,
}

/// What was known when a page was last made: for pages that say that something went wrong, which
/// ask nothing of the log.
#[derive(Clone, Debug, Default)]
struct Last {
    station: String,
    here: Option<SubjectId>,
    heard: Vec<(SubjectId, String, Option<Moment>)>,
    utc_offset_min: i32,
    sync: SyncLine,
}

impl Look {
    fn last(&self) -> MutexGuard<'_, Last> {
        self.last.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn facts(&self, visit: &Visit, path: &str) -> StationFacts {
        let [style_href, script_href, icon_href, station_style_href] = self.hrefs.clone();
        let last = self.last().clone();
        StationFacts {
            page: PageFacts {
                county: self.county.clone(),
                viewer: visit.viewer(),
                token: visit.form_token.clone(),
                offers: Offers::default(),
                rendered: Moment(self.door.now().unix_ms),
                utc_offset_min: last.utc_offset_min,
                query: String::new(),
                path: path.to_owned(),
                again_s: None,
                light: visit.light,
                style_href,
                script_href,
                icon_href,
                map: None,
                notes: Vec::new(),
            },
            station_style_href,
            station: last.station,
            member: visit.member(),
            sync: last.sync,
        }
    }
}

impl House for Look {
    fn gate_of(&self, matched: Option<&str>) -> Gate {
        let gate = matched.and_then(|path| self.gates.get(path));
        // What is no route is read by nobody who may not read.
        gate.copied().unwrap_or(Gate::Reads)
    }

    fn framed(&self, visit: &Visit, title: &str, body: &Markup) -> String {
        if visit.may_read() {
            return station_frame(title, &self.facts(visit, ""), body);
        }
        // Whoever may not read learns nothing of the station but its name.
        let facts = StationFacts {
            sync: SyncLine::default(),
            ..self.facts(visit, "")
        };
        station_frame(title, &facts, body)
    }

    fn words(&self) -> Words {
        Words {
            whose: "the station",
            home: "To the craft at this station",
            let_in: "sponson let-in",
            who: Some("/who"),
        }
    }
}

/// The style sheet of all pages.
pub(super) fn style() -> File {
    File::style("style", html::STYLE)
}

/// The style sheet of a station's pages.
pub(super) fn station_style() -> File {
    File::style("station", station::STYLE)
}

/// The script of all pages.
pub(super) fn script() -> File {
    File::script("live", html::SCRIPT)
}
