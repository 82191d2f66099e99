//! What keeps failing: the page, one group of it, and the same for programs and spreadsheets.
//!
//! What is asked is read by the arguments of the command `faults`.

use std::sync::Arc;

use axum::extract::{Extension, Form, RawQuery, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse as _, Redirect, Response};
use sponson_client::commands::faults::FaultsAsked;
use sponson_client::filled;
use sponson_client::web::enter::not_proven;
use sponson_client::web::visit::Visit;
use sponson_link::keeps_failing::FailingTold;
use sponson_show::csv::FaultsList;
use sponson_show::html::{
    FAULTS, FAULTS_GROUP, Fault, FormValues, GROUP, PageFacts, faults_group_page, faults_page,
    faults_refused_page,
};

use super::county::made;
use super::exports::file;
use super::query::{self, Pair};
use super::record::command;
use super::state::{NotShown, Pages};
use crate::commands::decide;

/// Names that are for the page alone.
const OF_THE_PAGE: [&str; 3] = ["again", "since", GROUP];

/// Fields of the form that are no part of a decision.
const OF_THE_FORM: [&str; 2] = ["token", "back"];

/// What was asked, and what there is to show.
struct Shown {
    told: FailingTold,
    facts: PageFacts,
    form: FormValues,
    group: String,
}

/// Shows the page.
pub(super) async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    RawQuery(query): RawQuery,
) -> Response {
    match asked(&pages, &visit, FAULTS, query.as_deref()).await {
        Err(response) => response,
        Ok(Shown {
            told, facts, form, ..
        }) => {
            made(&pages, &visit, move || {
                faults_page(&told.failing, &told.past.ctx, &facts, &form)
            })
            .await
        }
    }
}

/// Shows one group.
pub(super) async fn group(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    RawQuery(query): RawQuery,
) -> Response {
    let Shown {
        told, facts, group, ..
    } = match asked(&pages, &visit, FAULTS_GROUP, query.as_deref()).await {
        Err(response) => return response,
        Ok(shown) => shown,
    };
    if told.failing.group(&group).is_none() {
        let text = "There is no such group with a fault, as of then: look it up among all that keeps failing.";
        return pages.say(&visit, StatusCode::NOT_FOUND, "No such group", &[text]);
    }
    made(&pages, &visit, move || {
        let (past, failing) = (&told.past, &told.failing);
        let page = |group| faults_group_page(failing, group, &past.ctx, &facts, &past.standards);
        failing.group(&group).map(page).unwrap_or_default()
    })
    .await
}

/// The same for programs.
pub(super) async fn json(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    RawQuery(query): RawQuery,
) -> Response {
    match asked(&pages, &visit, FAULTS, query.as_deref()).await {
        Err(response) => response,
        Ok(shown) => {
            let text = sponson_show::json::faults(&shown.told.failing);
            file("application/json", "faults.json", text)
        }
    }
}

/// Records what the lead decided, as the command `decide` does, with the member number of whoever is
/// signed in. Only what is ticked carries it out as well.
pub(super) async fn decide(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    let visitor = visit.visitor.as_ref();
    let ours = visit.is_ours(filled::value(&form, "token"));
    let Some(visitor) = visitor.filter(|_| ours) else {
        return not_proven(&pages.front, &visit);
    };
    let not_recorded = |why: &str| {
        let text = format!("{why}. Nothing was recorded.");
        pages.say(&visit, StatusCode::BAD_REQUEST, "Not recorded", &[&text])
    };
    if filled::value(&form, "why").is_empty() {
        return not_recorded("why is empty: say in words why it is decided so");
    }
    let args = match filled::read::<decide::DecideArgs>(&typed(&form), &OF_THE_FORM) {
        Ok(args) => args,
        Err(faults) => {
            let faults: Vec<&str> = faults.iter().map(|fault| fault.text.as_str()).collect();
            return not_recorded(&faults.join("; "));
        }
    };
    let done = command(&pages, &visitor.member, async |session| {
        decide::run(&args, session).await.map(|_| ())
    });
    match done.await {
        Ok(()) => Redirect::to(back(&form)).into_response(),
        Err(why) => not_recorded(&why),
    }
}

/// The form as the command takes it: what is not ticked is said not to be wanted.
fn typed(form: &[Pair]) -> Vec<Pair> {
    let mut typed = form.to_vec();
    if filled::value(form, "also").is_empty() {
        typed.push(("only-decided".to_owned(), "on".to_owned()));
    }
    typed
}

/// The page that the form stood on, if it is one of these.
fn back(form: &[Pair]) -> &str {
    let path = filled::value(form, "back");
    let whole = path.split(['?', '#']).next().unwrap_or_default();
    let is_ours = whole == FAULTS || whole == FAULTS_GROUP;
    let is_plain = path.bytes().all(|byte| byte.is_ascii_graphic());
    if is_ours && is_plain { path } else { FAULTS }
}

/// The list of a file name: `faults.csv`.
pub(super) fn list(name: &str) -> Option<FaultsList> {
    let id = name.strip_suffix(".csv")?;
    FaultsList::ALL.into_iter().find(|list| list.id() == id)
}

/// One list for a spreadsheet.
pub(super) async fn csv(
    pages: &Pages,
    visit: &Visit,
    list: FaultsList,
    query: Option<&str>,
) -> Response {
    match asked(pages, visit, FAULTS, query).await {
        Err(response) => response,
        Ok(shown) => {
            let name = format!("{}.csv", list.id());
            let text = list.table(&shown.told.failing);
            file("text/csv; charset=utf-8", &name, text)
        }
    }
}

/// What is to be shown for an address; else the page that says what is wrong.
async fn asked(
    pages: &Pages,
    visit: &Visit,
    path: &str,
    query: Option<&str>,
) -> Result<Shown, Response> {
    let known = pages.known().await;
    let known = known.map_err(|why| pages.not_shown(visit, &why))?;
    let pairs = query::pairs(query.unwrap_or_default()).map_err(|why| {
        let title = "Not a question";
        pages.say(visit, StatusCode::BAD_REQUEST, title, &[&why])
    })?;
    let is_filled = |(name, value): &Pair| name != "again" && !value.trim().is_empty();
    let given: Vec<Pair> = pairs.into_iter().filter(is_filled).collect();
    let group = filled::value(&given, GROUP).to_owned();
    let mut facts = PageFacts {
        query: query::written(&given),
        ..pages.facts_with(visit, path, &known)
    };
    let form = FormValues::of(given.clone());
    let read = filled::read::<FaultsAsked>(&given, &OF_THE_PAGE).and_then(|asked| {
        let request = asked.request(&known.catalogue);
        request.map_err(|error| vec![filled::refused(&error, &given)])
    });
    let request = match read {
        Ok(request) => request,
        Err(faults) => return Err(refused(&facts, &form.refused(faults))),
    };
    match pages.door.keeps_failing(&request).await {
        Ok(told) => {
            facts.notes.clone_from(&told.past.notes);
            facts.utc_offset_min = told.past.ctx.utc_offset_min;
            Ok(Shown {
                told,
                facts,
                form,
                group,
            })
        }
        Err(refusal) => {
            let why = NotShown::Refused(refusal);
            let response = pages.not_shown(visit, &why);
            if response.status() != StatusCode::BAD_REQUEST {
                return Err(response);
            }
            let fault = Fault {
                field: String::new(),
                text: why.to_string(),
            };
            Err(refused(&facts, &form.refused(vec![fault])))
        }
    }
}

fn refused(facts: &PageFacts, form: &FormValues) -> Response {
    let page = faults_refused_page(facts, form);
    (StatusCode::BAD_REQUEST, Html(page)).into_response()
}
