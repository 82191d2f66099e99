//! Gauges and leaks of the county, and the readings of one craft.

use std::sync::Arc;

use axum::extract::{Extension, Path, RawQuery, State};
use axum::http::StatusCode;
use axum::response::Response;
use sponson_client::entries::id_of;
use sponson_client::web::visit::Visit;
use sponson_link::county::visitors::PageRole;
use sponson_link::gauges::LeaksAsked;
use sponson_proto::answer::v1::Question;
use sponson_readiness::ids::SubjectId;
use sponson_readiness::moment::Moment;
use sponson_show::html::{GaugesShown, PageFacts, Viewer, gauges_page, readings_page};
use sponson_show::json::Members;

use super::county::made;
use super::exports;
use super::query;
use super::state::{NotShown, Pages};

/// The county's page.
pub(super) async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    RawQuery(query): RawQuery,
) -> Response {
    let (question, facts) = match question(&pages, &visit, "/gauges", query.as_deref()).await {
        Ok(asked) => asked,
        Err(response) => return response,
    };
    let asked = asked(&question, None);
    let doubted = match pages.door.doubted(asked.as_of).await {
        Ok(doubted) => doubted,
        Err(refusal) => return pages.not_shown(&visit, &NotShown::Refused(refusal)),
    };
    let told = match pages.door.leaks(asked).await {
        Ok(told) => told,
        Err(refusal) => return pages.not_shown(&visit, &NotShown::Refused(refusal)),
    };
    let members = members(&visit);
    made(&pages, &visit, move || {
        let facts = PageFacts {
            notes: told.of.notes.clone(),
            ..facts
        };
        let shown = GaugesShown {
            doubted: &doubted.doubted,
            leaks: &told.leaks,
            holds: &told.holds,
            members,
        };
        gauges_page(&shown, &told.of.ctx, &facts)
    })
    .await
}

/// Member numbers are told to the lead, and at the county's own machine.
fn members(visit: &Visit) -> Members {
    if visit.has(PageRole::Lead) || visit.viewer() == Viewer::AtTheMachine {
        Members::Told
    } else {
        Members::LeftOut
    }
}

/// The readings of one craft.
pub(super) async fn readings(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(name): Path<String>,
    RawQuery(query): RawQuery,
) -> Response {
    let craft = id_of(&name).and_then(|id| <[u8; 16]>::try_from(id).ok());
    let Some(craft) = craft.map(SubjectId::from_bytes) else {
        return not_found(&pages, &visit);
    };
    let path = format!("/craft/{craft}/readings");
    let (question, facts) = match question(&pages, &visit, &path, query.as_deref()).await {
        Ok(asked) => asked,
        Err(response) => return response,
    };
    let told = match pages.door.leaks(asked(&question, Some(craft))).await {
        Ok(told) => told,
        Err(refusal) => return pages.not_shown(&visit, &NotShown::Refused(refusal)),
    };
    if told.craft.is_none() {
        return not_found(&pages, &visit);
    }
    made(&pages, &visit, move || {
        let facts = PageFacts {
            notes: told.of.notes.clone(),
            ..facts
        };
        told.craft.as_ref().map_or_else(String::new, |craft| {
            readings_page(craft, &told.leaks, &told.of.ctx, &facts)
        })
    })
    .await
}

/// Chambers that lose air, for a spreadsheet.
pub(super) async fn csv(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    RawQuery(query): RawQuery,
) -> Response {
    let (question, _) = match question(&pages, &visit, "/leaks.csv", query.as_deref()).await {
        Ok(asked) => asked,
        Err(response) => return response,
    };
    match pages.door.leaks(asked(&question, None)).await {
        Err(refusal) => pages.not_shown(&visit, &NotShown::Refused(refusal)),
        Ok(told) => {
            let text = sponson_show::csv::leaks(&told.leaks, &told.of.ctx);
            exports::file("text/csv; charset=utf-8", "leaks.csv", text)
        }
    }
}

/// The question of an address, and the facts of the visit; else the page that says what is wrong.
async fn question(
    pages: &Pages,
    visit: &Visit,
    path: &str,
    query: Option<&str>,
) -> Result<(Question, PageFacts), Response> {
    let known = pages.known().await;
    let known = known.map_err(|why| pages.not_shown(visit, &why))?;
    let wrong = |text: &str| pages.say(visit, StatusCode::BAD_REQUEST, "Not a question", &[text]);
    let pairs = query::pairs(query.unwrap_or_default()).map_err(|why| wrong(&why))?;
    let asked = query::read(pairs, &known.catalogue);
    let Some(question) = asked.question else {
        let faults = asked.form.faults().iter();
        let faults: Vec<&str> = faults.map(|fault| fault.text.as_str()).collect();
        return Err(wrong(&faults.join("; ")));
    };
    let facts = PageFacts {
        query: asked.query,
        ..pages.facts_with(visit, path, &known)
    };
    Ok((question, facts))
}

/// What of a question is about leaks.
fn asked(question: &Question, craft: Option<SubjectId>) -> LeaksAsked {
    LeaksAsked {
        as_of: question.as_of_unix_ms.map(Moment),
        craft,
        air_mc: question.air_mc,
        water_mc: question.water_mc,
        elevation_mm: question.elevation_mm,
    }
}

fn not_found(pages: &Pages, visit: &Visit) -> Response {
    let text = "No such craft is known here.";
    pages.say(visit, StatusCode::NOT_FOUND, "No such craft", &[text])
}
