//! A craft's own page.

use std::sync::Arc;

use axum::extract::{Extension, Path, RawQuery, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use sponson_client::catalogue::hex;
use sponson_client::entries::{entries, id_of};
use sponson_client::web::picture;
use sponson_proto::event::v1::SubjectType;
use sponson_readiness::answer::CraftAnswer;
use sponson_show::html::{CraftFacts, PictureShown, Proofs, craft_page};

use super::county::{Answered, answered, made};
use super::state::{Known, NotShown, Pages};
use sponson_client::web::visit::Visit;

/// Lines of the log on a craft's page.
const LINES: usize = 60;

/// Shows it. A craft is found by its id, and by its number too.
pub(super) async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(name): Path<String>,
    RawQuery(query): RawQuery,
) -> Response {
    let known = match pages.known().await {
        Ok(known) => known,
        Err(why) => return pages.not_shown(&visit, &why),
    };
    let Some(id) = id_of(&name) else {
        return by_number(&pages, &visit, &known, &name);
    };
    let path = format!("/craft/{}", hex(&id));
    let Answered { told, facts, .. } = match answered(&pages, &visit, &path, query.as_deref()).await
    {
        Ok(answered) => answered,
        Err(response) => return response,
    };
    let log = match pages.door.log_of(&id, LINES).await {
        Ok(log) => log,
        Err(refusal) => return pages.not_shown(&visit, &NotShown::Refused(refusal)),
    };
    let is_it = |craft: &CraftAnswer| craft.id.as_bytes().as_slice() == id.as_slice();
    let pictures: Vec<PictureShown> = match pages.door.pictures_of(&id).await {
        Ok(pictures) => pictures.into_iter().map(picture::shown),
        Err(refusal) => return pages.not_shown(&visit, &NotShown::Refused(refusal)),
    }
    .collect();
    let Some(place) = told.answer.craft.iter().position(is_it) else {
        return not_found(&pages, &visit, &name);
    };
    let entry = known.catalogue.by_id(&id);
    let adopted = entry.and_then(|entry| known.catalogue.standard(entry).ok());
    made(&pages, &visit, move || {
        let history = entries(&log.lines, &known.catalogue);
        let record_href = format!("{path}/record");
        let readings_href = facts.link(&format!("{path}/readings"));
        let of_craft = CraftFacts {
            standard: adopted.as_ref().map(|adopted| &adopted.standard),
            history: &history,
            has_older: !log.next_page_token.is_empty(),
            proofs: Proofs::ByCommand,
            pictures: &pictures,
            ways: None,
            record_href: Some(&record_href),
            readings_href: Some(&readings_href),
        };
        let craft = &told.answer.craft[place];
        craft_page(&told.answer, craft, &told.ctx, &facts, &of_craft)
    })
    .await
}

/// A picture as it is kept.
pub(super) async fn picture(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(name): Path<String>,
) -> Response {
    match pages.door.picture(&name).await {
        Ok(content) => picture::served(content),
        Err(refusal) => pages.not_shown(&visit, &NotShown::Refused(refusal)),
    }
}

/// Leads on to the craft of a number.
fn by_number(pages: &Pages, visit: &Visit, known: &Known, name: &str) -> Response {
    match known.catalogue.find(&[SubjectType::Craft], name) {
        Ok(entry) => Redirect::to(&format!("/craft/{}", hex(&entry.id))).into_response(),
        Err(error) => {
            let said = format!("{error}.");
            pages.say(visit, StatusCode::NOT_FOUND, "No such craft", &[&said])
        }
    }
}

fn not_found(pages: &Pages, visit: &Visit, name: &str) -> Response {
    let said = format!("No craft {} is known here.", sponson_show::clean(name));
    pages.say(visit, StatusCode::NOT_FOUND, "No such craft", &[&said])
}
