//! The county's page: the answer to the question in its address.

use std::sync::Arc;

use axum::extract::{Extension, RawQuery, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse as _, Response};
use maud::Markup;
use sponson_link::local::pages::Told;
use sponson_show::html::{Fault, PageFacts, county_page, refused_page};
use sponson_show::svg::{Map, map};

use super::query::{self, Asked};
use super::state::{NotShown, Pages};
use sponson_client::web::visit::Visit;

/// Seconds within which a page without script may be loaded anew by itself.
const AGAIN_S: std::ops::RangeInclusive<u32> = 30..=3600;

/// An answer, the question that it answers, and the facts of the visit.
pub(super) struct Answered {
    pub(super) told: Arc<Told>,
    pub(super) facts: PageFacts,
    pub(super) asked: Asked,
}

/// Shows it.
pub(super) async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    RawQuery(query): RawQuery,
) -> Response {
    match answered(&pages, &visit, "/", query.as_deref()).await {
        Err(response) => response,
        Ok(Answered { told, facts, asked }) => {
            let shared = Arc::clone(&pages);
            made(&pages, &visit, move || {
                let facts = PageFacts {
                    map: drawn(&shared, &told),
                    ..facts
                };
                county_page(&told.answer, &told.ctx, &facts, &asked.form)
            })
            .await
        }
    }
}

/// The answer to the question of an address; else the page that says what is wrong.
pub(super) async fn answered(
    pages: &Pages,
    visit: &Visit,
    path: &str,
    query: Option<&str>,
) -> Result<Answered, Response> {
    let query = query.unwrap_or_default();
    let known = pages.known().await;
    let known = known.map_err(|why| pages.not_shown(visit, &why))?;
    let pairs = query::pairs(query).map_err(|why| {
        let title = "Not a question";
        pages.say(visit, StatusCode::BAD_REQUEST, title, &[&why])
    })?;
    let again_s = again(&pairs);
    let mut asked = query::read(pairs, &known.catalogue);
    let mut facts = PageFacts {
        again_s,
        query: asked.query.clone(),
        ..pages.facts_with(visit, path, &known)
    };
    let Some(question) = &asked.question else {
        return Err(refused(&facts, &asked));
    };
    match pages.door.ask(question).await {
        Ok(told) => {
            facts.notes.clone_from(&told.notes);
            facts.utc_offset_min = told.ctx.utc_offset_min;
            Ok(Answered { told, facts, asked })
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
            asked.form = asked.form.refused(vec![fault]);
            Err(refused(&facts, &asked))
        }
    }
}

/// The map of an answer; none while no position of a station is known.
fn drawn(pages: &Pages, told: &Told) -> Option<Markup> {
    let known = !told.positions.is_empty();
    known.then(|| map(&Map::of(&told.answer, &told.positions, &pages.ground)))
}

/// Makes a page on a thread for work, since one of 500 craft takes a while.
pub(super) async fn made(
    pages: &Pages,
    visit: &Visit,
    make: impl FnOnce() -> String + Send + 'static,
) -> Response {
    match tokio::task::spawn_blocking(make).await {
        Ok(page) => Html(page).into_response(),
        Err(error) => {
            tracing::error!(%error, "a page was not made");
            let title = "That could not be done";
            let text = "The page met an unexpected fault; the county goes on.";
            pages.say(visit, StatusCode::INTERNAL_SERVER_ERROR, title, &[text])
        }
    }
}

fn refused(facts: &PageFacts, asked: &Asked) -> Response {
    let page = refused_page(facts, &asked.form);
    (StatusCode::BAD_REQUEST, Html(page)).into_response()
}

fn again(pairs: &[query::Pair]) -> Option<u32> {
    let mut pairs = pairs.iter();
    let (_, text) = pairs.find(|(name, _)| name == "again")?;
    let seconds: u32 = text.parse().ok()?;
    AGAIN_S.contains(&seconds).then_some(seconds)
}
