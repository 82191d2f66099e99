//! The page on which a filled sheet is entered, and what becomes of its form.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::{Extension, Form, Path, State};
use axum::http::StatusCode;
use axum::http::header::{ACCEPT, CONTENT_TYPE, HeaderMap};
use axum::response::{Html, IntoResponse as _, Redirect, Response};
use sponson_proto::service::v1::{
    AppendRequest, CheckUnderWay, RecordUnderWayRequest, TryCheckRequest,
};
use sponson_readiness::event::Extent;
use sponson_readiness::moment::Moment;
use sponson_show::html::station::paper::{PaperAsked, PaperEntry, paper_page};
use sponson_show::html::{Fault, FormValues};

use super::super::record::{Pair, recorder, value};
use super::super::state::{NotShown, Pages};
use super::kept::{EXTENT, Wrong, begun, end, entered, keep, merged, who_checked, wrong};
use super::{Asked, asked, open_check, script};
use crate::catalogue::hex;
use crate::under_way::finish::plan;
use crate::under_way::form::fields_of;
use crate::under_way::typed::yes;
use crate::web::visit::Visit;

/// Shows the page on which a filled sheet is entered.
pub(super) async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(name): Path<String>,
) -> Response {
    let shown = async {
        let asked = asked(&pages, &name, Extent::Full).await?;
        let check = open_check(&pages, &asked.craft, |check| check.from_paper).await?;
        Ok::<_, NotShown>((asked, check))
    };
    match shown.await {
        Err(why) => pages.not_shown(&visit, &why),
        Ok((asked, check)) => {
            let back = match &check {
                None => Ok(BTreeMap::new()),
                Some(check) => asked_back(&pages, &asked, check).await,
            };
            let shown = back.map(|back| Shown {
                form: FormValues::of(entered(check.as_ref())),
                kept: check.is_some(),
                left_out: Vec::new(),
                asked: back,
            });
            match shown {
                Ok(shown) => page(&pages, &visit, &asked, &shown).await,
                Err(why) => pages.not_shown(&visit, &why),
            }
        }
    }
}

/// What a page shows beside the lines.
struct Shown {
    form: FormValues,
    kept: bool,
    left_out: Vec<String>,
    asked: BTreeMap<String, PaperAsked>,
}

/// What hardly makes sense in a check that can be read.
async fn asked_back(
    pages: &Pages,
    asked: &Asked,
    check: &CheckUnderWay,
) -> Result<BTreeMap<String, PaperAsked>, NotShown> {
    let now = Moment(pages.door.now().unix_ms);
    let Ok(planned) = plan(check, &check.begun_by, &asked.known, now) else {
        return Ok(BTreeMap::new());
    };
    let events = planned.events.into_iter().map(|event| AppendRequest {
        texts: Vec::new(),
        ..event
    });
    let affirmed = fields_of(check).into_iter().filter_map(|(name, value)| {
        let stood_by = name.is_affirmed() && yes(&value) == Some(true);
        stood_by.then(|| name.to_string())
    });
    let request = TryCheckRequest {
        craft: check.craft.clone(),
        events: events.collect(),
        question: None,
        affirmed: affirmed.collect(),
    };
    let tried = pages.door.try_check(request).await?;
    let lines = tried.asked.into_iter().map(|line| {
        let asked = PaperAsked {
            words: line.words,
            stand_by: line.affirmed_by,
        };
        (line.field, asked)
    });
    Ok(lines.collect())
}

async fn page(pages: &Pages, visit: &Visit, asked: &Asked, shown: &Shown) -> Response {
    let path = format!("/paper/{}", hex(&asked.craft.id));
    let facts = match pages.facts(visit, &path).await {
        Ok(facts) => facts,
        Err(why) => return pages.not_shown(visit, &why),
    };
    let craft_path = format!("/craft/{}", hex(&asked.craft.id));
    let entry = PaperEntry {
        number: asked.paper.number(),
        craft_path: &craft_path,
        path: &path,
        script: &script().path,
        source: asked.paper.source(),
        form: &shown.form,
        asked: &shown.asked,
        left_out: &shown.left_out,
        kept: shown.kept,
    };
    let status = if shown.form.faults().is_empty() {
        StatusCode::OK
    } else {
        StatusCode::BAD_REQUEST
    };
    (status, Html(paper_page(&facts, &entry))).into_response()
}

/// Takes what was entered: keeps it, records it, or drops it.
pub(super) async fn take(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(name): Path<String>,
    headers: HeaderMap,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    let member = match recorder(&pages, &visit, &form) {
        Ok(member) => member,
        Err(response) => return *response,
    };
    let asked = match asked(&pages, &name, Extent::Full).await {
        Ok(asked) => asked,
        Err(why) => return pages.not_shown(&visit, &why),
    };
    let taken = taken(&pages, &asked, &member, &form).await;
    let wants_json = headers
        .get(ACCEPT)
        .is_some_and(|it| it.as_bytes() == b"application/json");
    match taken {
        Err(why) => pages.not_shown(&visit, &why),
        Ok(Taken::Again(shown)) if wants_json => {
            let refused = shown.form.faults().iter();
            let refused: Vec<&str> = refused.map(|one| one.text.as_str()).collect();
            said(&refused)
        }
        Ok(Taken::Elsewhere(_)) if wants_json => said(&[]),
        Ok(Taken::Elsewhere(path)) => Redirect::to(&path).into_response(),
        Ok(Taken::Again(shown)) => page(&pages, &visit, &asked, &shown).await,
    }
}

/// What the script of the page is told.
fn said(refused: &[&str]) -> Response {
    let text = serde_json::json!({ "refused": refused }).to_string();
    ([(CONTENT_TYPE, "application/json")], text).into_response()
}

/// What became of a form.
enum Taken {
    /// It is done; the page to go to.
    Elsewhere(String),
    /// The page again, with what was wrong or is asked.
    Again(Shown),
}

async fn taken(
    pages: &Pages,
    asked: &Asked,
    member: &str,
    form: &[Pair],
) -> Result<Taken, NotShown> {
    let craft_path = format!("/craft/{}", hex(&asked.craft.id));
    let wanted = value(form, "do");
    let check = begun(pages, asked, member, value(form, EXTENT)).await?;
    if wanted == "drop" {
        end(pages, &check, member).await?;
        return Ok(Taken::Elsewhere(craft_path));
    }
    let (check, refused) = keep(pages, asked, (member, form), check).await?;
    let again = |refused: Vec<Wrong>, left_out| {
        let (faults, asked): (Vec<Fault>, Vec<_>) = refused.into_iter().unzip();
        Ok(Taken::Again(Shown {
            form: FormValues::of(merged(&check, form)).refused(faults),
            kept: true,
            left_out,
            asked: asked.into_iter().flatten().collect(),
        }))
    };
    if !refused.is_empty() {
        return again(refused, Vec::new());
    }
    if !wanted.starts_with("record") {
        return Ok(Taken::Elsewhere(format!("/paper/{}", hex(&asked.craft.id))));
    }
    let now = Moment(pages.door.now().unix_ms);
    let (planned, mut problems) = match plan(&check, member, &asked.known, now) {
        Ok(planned) => (Some(planned), Vec::new()),
        Err(problems) => {
            let wrong = problems.into_iter().map(|one| {
                let stand_by = one.stand_by.map(|name| name.to_string());
                wrong(&one.field.to_string(), &one.why, stand_by)
            });
            (None, wrong.collect())
        }
    };
    problems.extend(who_checked(&check));
    let Some(planned) = planned.filter(|_| problems.is_empty()) else {
        return again(problems, Vec::new());
    };
    if !planned.left_out.is_empty() && wanted != "record-all-the-same" {
        return again(Vec::new(), planned.left_out);
    }
    let request = RecordUnderWayRequest {
        id: check.id.clone(),
        member: member.to_owned(),
        events: planned.events,
        entries: check.entries,
    };
    pages.door.record_under_way(request).await?;
    Ok(Taken::Elsewhere(craft_path))
}
