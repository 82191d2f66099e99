//! What is due on a craft, each with the form by which it is recorded as done: `/inspect/ID`.

use std::sync::Arc;

use axum::extract::{Extension, Form, Path, RawQuery, State};
use axum::response::Response;
use sponson_show::html::station::work::{DueFacts, due_body, due_of};

use super::filled_in::{Failed, Filled, OF_THE_PAGE, on_to, press};
use super::on_craft::OnCraft;
use crate::commands::inspect::{self, InspectArgs};
use crate::filled::{self, Pair};
use crate::pages::record::recorder;
use crate::pages::state::Pages;
use crate::web::visit::Visit;

/// Fields of a hold test, part by part.
const ENDS: [&str; 2] = ["start", "end"];

/// Shows what is due; with `inspection` in its address the form of that line.
pub(super) async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(id): Path<String>,
    RawQuery(query): RawQuery,
) -> Response {
    match OnCraft::of(&pages, &visit, &id).await {
        Ok(craft) => {
            let filled = Filled::asked(&pages, query.as_deref()).await;
            page(&pages, &visit, &craft, filled).await
        }
        Err(response) => response,
    }
}

/// Records that it was done.
pub(super) async fn keep(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(id): Path<String>,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    let member = match recorder(&pages, &visit, &form) {
        Ok(member) => member,
        Err(response) => return *response,
    };
    let craft = match OnCraft::of(&pages, &visit, &id).await {
        Ok(craft) => craft,
        Err(response) => return response,
    };
    let back = match filled::value(&form, "back") {
        "use" => format!("/use/{}", craft.id),
        _ => format!("/inspect/{}", craft.id),
    };
    match recorded(&pages, &member, &craft, &form).await {
        Ok(name) => on_to(&back, &name),
        Err(failed) => page(&pages, &visit, &craft, Filled::refused(form, failed)).await,
    }
}

async fn recorded(
    pages: &Pages,
    member: &str,
    craft: &OnCraft,
    form: &[Pair],
) -> Result<String, Failed> {
    let given = by_part(&craft.with(form));
    let args: InspectArgs = filled::read(&given, &OF_THE_PAGE)?;
    press(pages, member, form, async |session| {
        inspect::run(&args, session).await.map(|_| ())
    })
    .await
}

/// `start.tube-1` and `end.tube-1` as the command takes them: part, start and end, in one order.
fn by_part(given: &[Pair]) -> Vec<Pair> {
    let is_end = |name: &str| {
        let (end, part) = name.split_once('.')?;
        ENDS.contains(&end).then(|| part.to_owned())
    };
    let filled = given.iter().filter(|(_, value)| !value.trim().is_empty());
    let mut parts: Vec<String> = Vec::new();
    for part in filled.filter_map(|(name, _)| is_end(name)) {
        if !parts.contains(&part) {
            parts.push(part);
        }
    }
    let others = given.iter().filter(|(name, _)| is_end(name).is_none());
    let mut all: Vec<Pair> = others.cloned().collect();
    for part in parts {
        for end in ENDS {
            let value = filled::value(given, &format!("{end}.{part}"));
            all.push((end.to_owned(), value.to_owned()));
        }
        all.push(("part".to_owned(), part));
    }
    all
}

async fn page(pages: &Pages, visit: &Visit, craft: &OnCraft, filled: Filled) -> Response {
    let standard = &craft.adopted.standard;
    let (due, others) = match craft.answer() {
        Some(answer) => due_of(answer, standard, craft.as_of(), &craft.told.ctx),
        None => (Vec::new(), Vec::new()),
    };
    let wanted = filled.value("inspection").to_owned();
    let chosen = due.iter().chain(&others).find(|due| due.line == wanted);
    let path = format!("/inspect/{}", craft.id);
    filled
        .page((pages, visit), (&path, "What is due"), |page| {
            let facts = DueFacts {
                craft: craft.craft(),
                due: &due,
                others: &others,
                chosen,
            };
            due_body(&facts, page)
        })
        .await
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hold_test_is_given_part_by_part() {
        let pair = |name: &str, value: &str| (name.to_owned(), value.to_owned());
        let given = [
            pair("inspection", "hold"),
            pair("start.tube-1", "260mbar@80F"),
            pair("end.tube-1", "200mbar@60F"),
            pair("start.tube-2", ""),
            pair("end.tube-2", ""),
            pair("start.keel", "200mbar@80F"),
            pair("hours", "24"),
        ];
        let all = by_part(&given);
        let of = |name: &str| -> Vec<&str> {
            let all = all.iter().filter(|(known, _)| known == name);
            all.map(|(_, value)| value.as_str()).collect()
        };
        assert_eq!(of("part"), ["tube-1", "keel"]);
        assert_eq!(of("start"), ["260mbar@80F", "200mbar@80F"]);
        assert_eq!(of("end"), ["200mbar@60F", ""]);
        assert_eq!(of("hours"), ["24"]);
    }
}
