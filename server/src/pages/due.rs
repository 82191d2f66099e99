//! What comes due: the page, and the same as a calendar, as JSON and as lists for a spreadsheet. What
//! is asked stands in the address, under the names of the command's flags, and is read by the same
//! code.

use std::sync::Arc;

use axum::extract::{Extension, RawQuery, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse as _, Response};
use clap::{CommandFactory as _, FromArgMatches as _, Parser};
use sponson_client::catalogue::Catalogue;
use sponson_client::commands::due::Ahead;
use sponson_client::commands::ready::When;
use sponson_client::web::visit::Visit;
use sponson_link::ahead::AheadTold;
use sponson_proto::event::v1::SubjectType;
use sponson_proto::service::v1::AheadRequest;
use sponson_show::ahead::Show;
use sponson_show::html::{DuePage, Fault, FormValues, PageFacts, due_page, due_refused_page};

use super::county::made;
use super::exports::file;
use super::query::{self, Pair};
use super::state::{NotShown, Pages};

/// What may be asked.
#[derive(Debug, Parser)]
#[command(
    no_binary_name = true,
    disable_help_flag = true,
    disable_version_flag = true
)]
struct Typed {
    #[command(flatten)]
    ahead: Ahead,
    #[command(flatten)]
    when: When,
    /// An event for each thing in the calendar, not for each visit.
    #[arg(long)]
    each: bool,
}

/// What comes due, and the facts of the visit.
pub(super) struct Looked {
    told: AheadTold,
    facts: PageFacts,
    form: FormValues,
    stations: Vec<String>,
}

/// Shows the page.
pub(super) async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    RawQuery(query): RawQuery,
) -> Response {
    match looked(&pages, &visit, "/due", query.as_deref()).await {
        Err(response) => response,
        Ok(Looked {
            told,
            facts,
            form,
            stations,
        }) => {
            made(&pages, &visit, move || {
                let shown = DuePage {
                    ahead: &told.ahead,
                    as_of: told.as_of,
                    stations: &stations,
                    ctx: &told.ctx,
                };
                due_page(&shown, &facts, &form)
            })
            .await
        }
    }
}

/// The calendar.
pub(super) async fn calendar(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    RawQuery(query): RawQuery,
) -> Response {
    let kind = "text/calendar; charset=utf-8";
    let looked = looked(&pages, &visit, "/due.ics", query.as_deref()).await;
    as_file(looked, (kind, "due.ics"), |told| told.calendar()).await
}

/// Everything for programs.
pub(super) async fn json(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    RawQuery(query): RawQuery,
) -> Response {
    let looked = looked(&pages, &visit, "/due.json", query.as_deref()).await;
    as_file(looked, ("application/json", "due.json"), |told| told.json()).await
}

/// One list for a spreadsheet.
pub(super) async fn csv(pages: &Pages, visit: &Visit, list: Show, query: Option<&str>) -> Response {
    let name = format!("{}.csv", list.id());
    let looked = looked(pages, visit, &format!("/{name}"), query).await;
    as_file(looked, ("text/csv; charset=utf-8", &name), move |told| {
        told.csv(list)
    })
    .await
}

/// Makes a file on a thread for work.
async fn as_file(
    looked: Result<Looked, Response>,
    (kind, name): (&'static str, &str),
    make: impl FnOnce(&AheadTold) -> String + Send + 'static,
) -> Response {
    let told = match looked {
        Ok(looked) => looked.told,
        Err(response) => return response,
    };
    match tokio::task::spawn_blocking(move || make(&told)).await {
        Ok(text) => file(kind, name, text),
        Err(error) => {
            tracing::error!(%error, "a file was not made");
            StatusCode::INTERNAL_SERVER_ERROR.into_response()
        }
    }
}

/// Looks ahead as an address asks; else the page that says what is wrong.
async fn looked(
    pages: &Pages,
    visit: &Visit,
    path: &str,
    query: Option<&str>,
) -> Result<Looked, Response> {
    let known = pages.known().await;
    let known = known.map_err(|why| pages.not_shown(visit, &why))?;
    let pairs = query::pairs(query.unwrap_or_default());
    let pairs = pairs.map_err(|why| {
        let title = "Not a question";
        pages.say(visit, StatusCode::BAD_REQUEST, title, &[&why])
    })?;
    let given = query::given(pairs);
    let stations = stations(&known.catalogue);
    let facts = PageFacts {
        query: query::written(&given),
        ..pages.facts_with(visit, path, &known)
    };
    let request = request(&given, &known.catalogue);
    let form = FormValues::of(given);
    let refused = |form: FormValues, fault: Fault| {
        let page = due_refused_page(&stations, &facts, &form.refused(vec![fault]));
        (StatusCode::BAD_REQUEST, Html(page)).into_response()
    };
    let request = match request {
        Ok(request) => request,
        Err(fault) => return Err(refused(form, fault)),
    };
    match pages.door.ahead(request).await {
        Ok(told) => Ok(Looked {
            facts: PageFacts {
                notes: told.notes.clone(),
                utc_offset_min: told.ctx.utc_offset_min,
                ..facts
            },
            told,
            form,
            stations,
        }),
        Err(refusal) if refusal.is_of_the_request() => Err(refused(
            form,
            Fault {
                field: String::new(),
                text: format!("{}: {}", refusal.what(), refusal.to_do()),
            },
        )),
        Err(refusal) => Err(pages.not_shown(visit, &NotShown::Refused(refusal))),
    }
}

/// The request that an address makes.
fn request(given: &[Pair], catalogue: &Catalogue) -> Result<AheadRequest, Fault> {
    let command = Typed::command();
    let matches = command
        .clone()
        .try_get_matches_from(query::flags(given, &command))
        .map_err(|error| query::not_typed(&error, given))?;
    let typed =
        Typed::from_arg_matches(&matches).map_err(|error| query::not_typed(&error, given))?;
    let asked = typed.when.question(catalogue);
    let asked = asked.map_err(|error| query::not_read(&error, given))?;
    if asked.known_by.is_some() {
        return Err(Fault {
            field: "known-by".to_owned(),
            text: "known-by goes with what is past due alone: leave it out".to_owned(),
        });
    }
    let request = typed.ahead.request(catalogue);
    Ok(AheadRequest {
        as_of_unix_ms: asked.as_of_unix_ms,
        each: typed.each,
        ..request.map_err(|error| query::not_read(&error, given))?
    })
}

/// Names of the stations, for the form.
fn stations(catalogue: &Catalogue) -> Vec<String> {
    let all = catalogue.entries().iter();
    let all = all.filter(|entry| entry.r#type() == SubjectType::Station);
    let mut names: Vec<String> = all.map(|entry| entry.number.clone()).collect();
    names.sort();
    names.dedup();
    names
}
