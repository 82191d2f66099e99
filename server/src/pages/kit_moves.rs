//! The plan by day for moving spare kit.

use std::sync::Arc;

use axum::extract::{Extension, RawQuery, State};
use axum::http::StatusCode;
use axum::response::Response;
use sponson_proto::answer::v1::Question;
use sponson_proto::service::v1::PlanKitMovesRequest;
use sponson_show::html::{FormValues, PageFacts, kit_moves_page};

use super::county::made;
use super::query::{self, Pair};
use super::state::{NotShown, Pages};
use sponson_client::web::visit::Visit;

/// Givers keep only what they need for the missions that are asked for.
const KEEP: &str = "keep-chosen-only";

/// Shows it.
pub(super) async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    RawQuery(query): RawQuery,
) -> Response {
    let known = match pages.known().await {
        Ok(known) => known,
        Err(why) => return pages.not_shown(&visit, &why),
    };
    let wrong = |text: &str| pages.say(&visit, StatusCode::BAD_REQUEST, "Not a question", &[text]);
    let pairs = match query::pairs(query.as_deref().unwrap_or_default()) {
        Ok(pairs) => pairs,
        Err(why) => return wrong(&why),
    };
    let form = FormValues::of(pairs.clone());
    let is_of_the_plan = |(name, _): &Pair| name == "mission" || name == KEEP;
    let (plan, rest): (Vec<Pair>, Vec<Pair>) = pairs.into_iter().partition(is_of_the_plan);
    let asked = query::read(rest, &known.catalogue);
    let Some(question) = asked.question else {
        let faults = asked.form.faults().iter();
        let faults: Vec<&str> = faults.map(|fault| fault.text.as_str()).collect();
        return wrong(&faults.join("; "));
    };
    let facts = pages.facts_with(&visit, "/kit-moves", &known);
    match pages.door.plan_kit_moves(request(&plan, question)).await {
        Err(refusal) => pages.not_shown(&visit, &NotShown::Refused(refusal)),
        Ok(planned) => {
            let facts = PageFacts {
                notes: planned.notes,
                query: asked.query,
                ..facts
            };
            made(&pages, &visit, move || {
                kit_moves_page(&planned.moves, &planned.ctx, &facts, &form)
            })
            .await
        }
    }
}

/// What a plan is made for: of a call-out's question only what the command takes too.
fn request(plan: &[Pair], question: Question) -> PlanKitMovesRequest {
    let missions = plan
        .iter()
        .filter(|(name, value)| name == "mission" && !value.trim().is_empty())
        .map(|(_, value)| value.clone());
    PlanKitMovesRequest {
        missions: missions.collect(),
        keep_chosen_only: plan.iter().any(|(name, _)| name == KEEP),
        question: Some(Question {
            air_mc: question.air_mc,
            water_mc: question.water_mc,
            without: question.without,
            as_of_unix_ms: question.as_of_unix_ms,
            ..Question::default()
        }),
    }
}
