//! A craft's own page at a station: what to do with it, then what is known of it.

use std::sync::Arc;

use axum::extract::{Extension, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use sponson_proto::answer::v1::Question;
use sponson_readiness::answer::CraftAnswer;
use sponson_show::html::station::home::craft_do;
use sponson_show::html::{CraftFacts, PictureShown, Proofs, craft_body};

use super::state::{NotShown, Pages};
use crate::catalogue::hex;
use crate::entries::{entries, id_of};
use crate::web::picture;
use crate::web::visit::Visit;

/// Lines of the log on a craft's page.
const LINES: usize = 60;

/// Shows it. A craft is found by its id, and by its number too.
pub(super) async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(name): Path<String>,
) -> Response {
    let shown = match id_of(&name) {
        Some(id) => page(&pages, &visit, &name, &id).await,
        None => by_number(&pages, &visit, &name).await,
    };
    shown.unwrap_or_else(|why| pages.not_shown(&visit, &why))
}

async fn page(pages: &Pages, visit: &Visit, name: &str, id: &[u8]) -> Result<Response, NotShown> {
    let known = pages.known().await?;
    let Some(entry) = known.by_id(id) else {
        return Ok(not_found(pages, visit, name));
    };
    let question = Question {
        craft: format!("#{}", hex(id)),
        ..Question::default()
    };
    let told = pages.door.ask(&question).await?;
    let is_it = |craft: &&CraftAnswer| craft.id.as_bytes().as_slice() == id;
    let Some(craft) = told.answer.craft.iter().find(is_it) else {
        return Ok(not_found(pages, visit, name));
    };
    let log = pages.door.log_of(id, LINES).await?;
    let pictures = pages.door.pictures_of(id).await?;
    let pictures: Vec<PictureShown> = pictures.into_iter().map(picture::shown).collect();
    let adopted = known.standard(entry).ok();
    let history = entries(&log.lines, &known);
    let facts = pages.facts(visit, &format!("/craft/{}", hex(id))).await?;
    let ways = craft_do(craft, &facts);
    let of_craft = CraftFacts {
        standard: adopted.as_ref().map(|adopted| &adopted.standard),
        history: &history,
        has_older: !log.next_page_token.is_empty(),
        proofs: Proofs::ByCommand,
        pictures: &pictures,
        ways: Some(&ways),
        record_href: None,
        readings_href: None,
    };
    let body = craft_body(&told.answer, craft, &told.ctx, &facts.page, &of_craft);
    Ok(pages.page(&facts, &craft.number, &body))
}

/// Leads on to the craft of a number.
async fn by_number(pages: &Pages, visit: &Visit, name: &str) -> Result<Response, NotShown> {
    let known = pages.known().await?;
    Ok(match known.craft(name) {
        Ok(entry) => Redirect::to(&format!("/craft/{}", hex(&entry.id))).into_response(),
        Err(error) => {
            let said = format!("{error}.");
            pages.say(visit, StatusCode::NOT_FOUND, "No such craft", &[&said])
        }
    })
}

fn not_found(pages: &Pages, visit: &Visit, name: &str) -> Response {
    let said = format!("No craft {} is known here.", sponson_show::clean(name));
    pages.say(visit, StatusCode::NOT_FOUND, "No such craft", &[&said])
}
