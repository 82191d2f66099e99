//! Out of service, and back: `/service/ID`.

use std::sync::Arc;

use axum::extract::{Extension, Form, Path, RawQuery, State};
use axum::response::Response;
use sponson_readiness::moment::Moment;
use sponson_show::html::Fault;
use sponson_show::html::station::work::{OutNow, ServiceFacts, service_body};
use sponson_show::units::print;

use super::filled_in::{Failed, Filled, OF_THE_PAGE, not_shown, on_to, press};
use super::on_craft::OnCraft;
use crate::commands::back::{self, BackArgs};
use crate::commands::log::what;
use crate::commands::out::{self, OutArgs};
use crate::filled::{self, Pair};
use crate::pages::record::recorder;
use crate::pages::state::Pages;
use crate::web::visit::Visit;

/// Which of the two forms it is.
const DO: &str = "do";
/// The note of the form that returns it.
const NOTE_BACK: &str = "note-back";

/// Lines of the log that are looked through for who declared it.
const LINES: usize = 200;

/// Shows both forms.
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

/// Records the statement.
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
        Ok(name) => on_to(&format!("/service/{}", craft.id), &name),
        Err(failed) => page(&pages, &visit, &craft, Filled::refused(form, failed)).await,
    }
}

async fn recorded(
    pages: &Pages,
    member: &str,
    craft: &OnCraft,
    form: &[Pair],
) -> Result<String, Failed> {
    let own = [&OF_THE_PAGE[..], &[DO, NOTE_BACK]].concat();
    match filled::value(form, DO) {
        "out" => {
            let args: OutArgs = filled::read(&craft.with(form), &own)?;
            let run = async |session: &mut crate::session::Session<'_>| {
                out::run(&args, session).await.map(|_| ())
            };
            press(pages, member, form, run).await
        }
        "back" => {
            let note = filled::value(form, NOTE_BACK).to_owned();
            let given = craft.with(&[("note".to_owned(), note)]);
            let args: BackArgs = filled::read(&given, &own)?;
            let run = async |session: &mut crate::session::Session<'_>| {
                back::run(&args, session).await.map(|_| ())
            };
            press(pages, member, form, run).await
        }
        _ => Err(Failed::Fields(vec![Fault {
            field: String::new(),
            text: "say whether it is out of service or back".to_owned(),
        }])),
    }
}

async fn page(pages: &Pages, visit: &Visit, craft: &OnCraft, filled: Filled) -> Response {
    let log = match pages.door.log_of(&craft.entry.id, LINES).await {
        Ok(log) => log,
        Err(refusal) => return not_shown(pages, visit, refusal),
    };
    let offset = craft.told.ctx.utc_offset_min;
    let out: Vec<OutNow> = craft
        .entry
        .out
        .iter()
        .map(|event| {
            let mut lines = log.lines.iter();
            let line = lines.find(|line| line.event_id == event);
            line.map_or_else(
                || OutNow {
                    what: "declared out of service".to_owned(),
                    by: "longer ago than is shown here".to_owned(),
                },
                |line| OutNow {
                    what: what(line, &craft.known),
                    by: format!(
                        "{}, by {}",
                        print::local(Moment(line.claimed_unix_ms), offset),
                        [&line.station, &line.member]
                            .into_iter()
                            .filter(|it| !it.is_empty())
                            .cloned()
                            .collect::<Vec<_>>()
                            .join(", ")
                    ),
                },
            )
        })
        .collect();
    let path = format!("/service/{}", craft.id);
    filled
        .page((pages, visit), (&path, "Out of service"), |page| {
            let facts = ServiceFacts {
                craft: craft.craft(),
                out: &out,
            };
            service_body(&facts, page)
        })
        .await
}
