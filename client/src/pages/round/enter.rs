//! Fields of a check under way are entered: from a form of a stop, or one by one by the page's script.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::{Extension, Form, Path, Query, State};
use axum::http::{HeaderMap, StatusCode, Uri};
use axum::response::{IntoResponse as _, Redirect, Response};
use serde::Serialize;
use sponson_proto::service::v1::{CheckUnderWay, EnterRequest, FieldTyped};
use sponson_readiness::moment::Moment;
use sponson_show::html::station::round::{Refused as ShownRefused, RoundState, round_state};

use super::made::Made;
use super::{is_over, not_there, of, page, told, wants_json};
use crate::pages::record::{Pair, recorder, value};
use crate::pages::state::{NotShown, Pages};
use crate::under_way::form::{Refused, Tried, try_fields};
use crate::web::visit::Visit;

/// Fields of the form that are none of the check.
const NOT_OF_THE_CHECK: [&str; 4] = ["token", "stop", "was", "go"];

/// What became of what was sent, and the round as it stands then.
#[derive(Debug, Serialize)]
struct Entered {
    kept: Vec<String>,
    refused: Vec<NotKept>,
    #[serde(flatten)]
    state: RoundState,
}

#[derive(Debug, Serialize)]
struct NotKept {
    field: String,
    why: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    stand_by: Option<String>,
}

/// Enters fields.
pub(in crate::pages) async fn enter(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(id): Path<String>,
    headers: HeaderMap,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    let member = match recorder(&pages, &visit, &form) {
        Ok(member) => member,
        Err(refused) => return *refused,
    };
    let check = match of(&pages, &id).await {
        Ok(Some(check)) => check,
        Ok(None) => return not_there(&pages, &visit),
        Err(why) => return pages.not_shown(&visit, &why),
    };
    if is_over(&check) {
        if wants_json(&headers) {
            return told(&serde_json::json!({ "over": true }));
        }
        return Redirect::to(&format!("/check/{id}")).into_response();
    }
    let typed = changed(&form);
    match keep(&pages, check, member, &typed).await {
        Err(why) => pages.not_shown(&visit, &why),
        Ok((check, tried)) => reply(&pages, &visit, (check, tried), (&headers, &form)).await,
    }
}

/// Keeps what can be kept: it is durable when this comes back.
async fn keep(
    pages: &Pages,
    check: CheckUnderWay,
    member: String,
    typed: &[FieldTyped],
) -> Result<(CheckUnderWay, Tried), NotShown> {
    let known = pages.known().await?;
    let now = Moment(pages.door.now().unix_ms.max(check.changed_unix_ms));
    let tried = try_fields(&check, typed, &known, now);
    if tried.keep.is_empty() {
        return Ok((check, tried));
    }
    let request = EnterRequest {
        id: check.id.clone(),
        member,
        fields: tried.keep.clone(),
    };
    let reply = pages.door.enter(request).await?;
    Ok((reply.check.unwrap_or(check), tried))
}

async fn reply(
    pages: &Pages,
    visit: &Visit,
    (check, tried): (CheckUnderWay, Tried),
    (headers, form): (&HeaderMap, &[Pair]),
) -> Response {
    let at = stop_to_go_to(form);
    let back = format!("/check/{}#{at}", check.id);
    if tried.refused.is_empty() && !wants_json(headers) {
        return Redirect::to(&back).into_response();
    }
    let mut made = match Made::of(pages, visit, check).await {
        Ok(made) => made,
        Err(why) => return pages.not_shown(visit, &why),
    };
    if wants_json(headers) {
        let entered = Entered {
            kept: tried.keep.into_iter().map(|field| field.name).collect(),
            refused: tried.refused.into_iter().map(NotKept::of).collect(),
            state: round_state(&made.round()),
        };
        return told(&entered);
    }
    made.refused = shown(tried.refused, form);
    let mut response = page(pages, visit, &made).await;
    *response.status_mut() = StatusCode::UNPROCESSABLE_ENTITY;
    response
}

impl NotKept {
    fn of(refused: Refused) -> Self {
        Self {
            field: refused.field,
            why: refused.why,
            stand_by: refused.stand_by,
        }
    }
}

/// What was refused, with what was typed, for the page.
fn shown(refused: Vec<Refused>, form: &[Pair]) -> BTreeMap<String, ShownRefused> {
    let one = |one: Refused| {
        let refused = ShownRefused {
            text: value(form, &one.field).to_owned(),
            why: one.why,
            stand_by: one.stand_by,
        };
        (one.field, refused)
    };
    refused.into_iter().map(one).collect()
}

/// The place on the page to come back at.
fn stop_to_go_to(form: &[Pair]) -> String {
    let wanted = match value(form, "go") {
        "" => value(form, "stop"),
        go => go,
    };
    let is_id = |c: char| c.is_ascii_alphanumeric() || c == '-';
    match wanted {
        "end" => "end".to_owned(),
        stop if !stop.is_empty() && stop.chars().all(is_id) => format!("stop-{stop}"),
        _ => "main".to_owned(),
    }
}

/// Fields that are others than the page showed. What stands there since then by somebody else stays:
/// a form that says nothing of how it was shown is taken as it is.
fn changed(form: &[Pair]) -> Vec<FieldTyped> {
    let was = form.iter().find(|(name, _)| name == "was");
    let was: Option<BTreeMap<String, String>> = was.map(|(_, was)| pairs(was));
    let mut typed: BTreeMap<&str, &str> = BTreeMap::new();
    for (name, text) in form {
        let text = text.trim();
        if NOT_OF_THE_CHECK.contains(&name.as_str()) {
            continue;
        }
        let shown = was
            .as_ref()
            .map(|was| was.get(name).map_or("", String::as_str));
        if shown != Some(text) {
            typed.insert(name, text);
        }
    }
    let typed = typed.into_iter().map(|(name, text)| FieldTyped {
        name: name.to_owned(),
        value: text.to_owned(),
    });
    typed.collect()
}

/// A query string as fields; none when it is no such string.
fn pairs(query: &str) -> BTreeMap<String, String> {
    let uri = format!("/?{query}").parse::<Uri>().ok();
    let pairs = uri.and_then(|uri| Query::try_from_uri(&uri).ok());
    pairs.map_or_else(BTreeMap::new, |Query(pairs)| pairs)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(form: &[(&str, &str)], wanted: &[(&str, &str)]) {
        let form: Vec<Pair> = form
            .iter()
            .map(|(name, text)| ((*name).to_owned(), (*text).to_owned()))
            .collect();
        let typed = changed(&form);
        let typed: Vec<(&str, &str)> = typed
            .iter()
            .map(|field| (field.name.as_str(), field.value.as_str()))
            .collect();
        assert_eq!(typed, wanted, "{form:?}");
    }

    #[test]
    fn a_form_enters_what_it_changes() {
        check(
            &[
                ("token", "x"),
                ("was", "air=41+F"),
                ("air", "41 F"),
                ("stood", ""),
            ],
            &[],
        );
        check(&[("was", ""), ("air", " 41 F ")], &[("air", "41 F")]);
        // Cleared: taken out.
        check(&[("was", "air=41+F"), ("air", "")], &[("air", "")]);
        // A key beside its empty field, before it in the form.
        let key = ("count.pump.count", "1");
        check(&[("was", ""), key, ("count.pump.count", "")], &[key]);
        // A key beside a field that another number stood in.
        let was = ("was", "count.pump.count=2");
        check(&[was, key, ("count.pump.count", "2")], &[key]);
        // ‘Take it out’ beside the answer that stands.
        let answer = "answer.plate";
        check(
            &[("was", "answer.plate=yes"), (answer, "yes"), (answer, "")],
            &[(answer, "")],
        );
    }

    #[test]
    fn a_script_enters_as_it_says() {
        check(&[("token", "x"), ("air", "")], &[("air", "")]);
    }

    #[test]
    fn one_comes_back_at_a_stop_of_the_page_alone() {
        for (form, at) in [
            (vec![("stop", "bow"), ("go", "port")], "stop-port"),
            (vec![("stop", "bow")], "stop-bow"),
            (vec![("go", "end")], "end"),
            (vec![("go", "../\r\nx")], "main"),
            (vec![], "main"),
        ] {
            let form: Vec<Pair> = form
                .iter()
                .map(|(name, text)| ((*name).to_owned(), (*text).to_owned()))
                .collect();
            assert_eq!(stop_to_go_to(&form), at);
        }
    }
}
