//! After use: `/use/ID`.

use std::sync::Arc;

use axum::extract::{Extension, Form, Path, RawQuery, State};
use axum::response::Response;
use sponson_readiness::answer::Status;
use sponson_show::html::Fault;
use sponson_show::html::station::work::{Due, UseFacts, due_of, use_body};

use super::filled_in::{Failed, Filled, OF_THE_PAGE, on_to, press};
use super::on_craft::{OnCraft, numbers};
use crate::commands::release::{self, ReleaseArgs};
use crate::commands::r#use::{self as used, UseArgs};
use crate::filled::{self, Pair};
use crate::pages::record::recorder;
use crate::pages::state::Pages;
use crate::web::visit::Visit;

/// Releases the craft with the same press.
const RELEASE: &str = "release";

/// Shows the form, and what is owed.
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

/// Records the use, and the release where it was wanted.
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
    match recorded(&pages, &member, &craft, &form).await {
        Ok(name) => on_to(&format!("/use/{}", craft.id), &name),
        Err(failed) => page(&pages, &visit, &craft, Filled::refused(form, failed)).await,
    }
}

async fn recorded(
    pages: &Pages,
    member: &str,
    craft: &OnCraft,
    form: &[Pair],
) -> Result<String, Failed> {
    let own = OF_THE_PAGE.iter().chain(&[RELEASE]).copied();
    let own: Vec<&str> = own.collect();
    let args: UseArgs = filled::read(&craft.with(form), &own)?;
    let frees = !filled::value(form, RELEASE).is_empty();
    if frees && craft.entry.assigned.is_empty() {
        return Err(Failed::Fields(vec![Fault {
            field: RELEASE.to_owned(),
            text: "it is not assigned any more, as far as is known here: leave this out".to_owned(),
        }]));
    }
    let release = ReleaseArgs {
        craft: format!("#{}", craft.id),
        from: None,
        why: None,
        note: None,
    };
    press(pages, member, form, async |session| {
        used::run(&args, session).await?;
        if frees {
            release::run(&release, session).await?;
        }
        Ok(())
    })
    .await
}

async fn page(pages: &Pages, visit: &Visit, craft: &OnCraft, filled: Filled) -> Response {
    let standard = &craft.adopted.standard;
    let motors = numbers(craft.known.serving(&craft.entry, "motor"));
    let has_motor = standard
        .parts
        .iter()
        .any(|part| part.id.as_str() == "motor");
    let meters = if motors.is_empty() && has_motor {
        vec![craft.entry.number.clone()]
    } else {
        motors
    };
    let items: Vec<(String, String)> = standard
        .items
        .iter()
        .map(|item| (item.id.to_string(), item.label.clone()))
        .collect();
    let missions: Vec<String> = standard.missions.keys().map(ToString::to_string).collect();
    let assigned = match craft.answer().map(|answer| &answer.status) {
        Some(Status::Assigned { incident }) => vec![incident.clone()],
        Some(Status::Available | Status::OutOfService { .. } | Status::Condemned) | None => {
            Vec::new()
        }
    };
    let owed = owed(craft);
    let path = format!("/use/{}", craft.id);
    filled
        .page((pages, visit), (&path, "After use"), |page| {
            let facts = UseFacts {
                craft: craft.craft(),
                assigned: &assigned,
                meters: &meters,
                items: &items,
                missions: &missions,
                owed: &owed,
            };
            use_body(&facts, page)
        })
        .await
}

/// What is owed after use, and what use has made due.
fn owed(craft: &OnCraft) -> Vec<Due> {
    let standard = &craft.adopted.standard;
    let Some(answer) = craft.answer() else {
        return Vec::new();
    };
    let (due, _) = due_of(answer, standard, craft.as_of(), &craft.told.ctx);
    let of_use = |due: &Due| {
        let after = standard
            .after_use
            .iter()
            .any(|line| line.id.as_str() == due.line);
        let mut lines = standard.inspections.iter();
        let line = lines.find(|line| line.id.as_str() == due.line);
        after || line.is_some_and(|line| line.clears_immersion)
    };
    due.into_iter().filter(of_use).collect()
}
