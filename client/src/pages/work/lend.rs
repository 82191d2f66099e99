//! Loose kit that was lent: `/lend`.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use axum::extract::{Extension, Form, RawQuery, State};
use axum::response::Response;
use sponson_link::refusal::Refusal;
use sponson_proto::event::v1::SubjectType;
use sponson_proto::service::v1::CatalogueEntry;
use sponson_readiness::standard::Standard;
use sponson_show::html::station::work::{LendFacts, Thing, lend_body};

use super::filled_in::{Failed, Filled, OF_THE_PAGE, escaped, not_shown, on_to, press};
use super::moves::things;
use crate::catalogue::Catalogue;
use crate::commands::lend::{self, LendArgs};
use crate::filled::{self, Pair};
use crate::lending::{Away, ENDS, away};
use crate::pages::record::recorder;
use crate::pages::state::Pages;
use crate::web::visit::Visit;

/// Craft of the station whose entries are looked through, and how many of each: a note is a reminder
/// of the last weeks.
const CRAFT_MAX: usize = 30;
const LINES: usize = 200;

/// Shows the form; `from`, `to` and `item` in the address choose.
pub(super) async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    RawQuery(query): RawQuery,
) -> Response {
    let filled = Filled::asked(&pages, query.as_deref()).await;
    page(&pages, &visit, filled).await
}

/// Records both counts.
pub(super) async fn keep(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    let member = match recorder(&pages, &visit, &form) {
        Ok(member) => member,
        Err(response) => return *response,
    };
    match recorded(&pages, &member, &form).await {
        Ok(name) => on_to("/lend", &name),
        Err(failed) => page(&pages, &visit, Filled::refused(form, failed)).await,
    }
}

async fn recorded(pages: &Pages, member: &str, form: &[Pair]) -> Result<String, Failed> {
    let args: LendArgs = filled::read(form, &OF_THE_PAGE)?;
    press(pages, member, form, async |session| {
        lend::run(&args, session).await.map(|_| ())
    })
    .await
}

async fn page(pages: &Pages, visit: &Visit, filled: Filled) -> Response {
    let known = match pages.known().await {
        Ok(known) => known,
        Err(why) => return not_shown(pages, visit, why),
    };
    let own = match pages.door.about().await {
        Ok(about) => about.station,
        Err(refusal) => return not_shown(pages, visit, refusal),
    };
    let places: Vec<Thing> = things(&known, &ENDS, &own)
        .into_iter()
        .map(|(_, thing)| thing)
        .collect();
    let items = items(&known);
    let back = match back(pages, &known, &own, &items).await {
        Ok(back) => back,
        Err(refusal) => return not_shown(pages, visit, refusal),
    };
    filled
        .page((pages, visit), ("/lend", "Loose kit lent"), |page| {
            let facts = LendFacts {
                places: &places,
                items: &items,
                back: &back,
            };
            lend_body(&facts, page)
        })
        .await
}

/// Kit of every boat standard in force, each line once.
fn items(known: &Catalogue) -> Vec<(String, String)> {
    let sheets = known
        .standards()
        .filter_map(|held| Standard::parse(&held.text).ok());
    let items = sheets.flat_map(|sheet| sheet.items);
    let items: BTreeMap<String, String> = items
        .map(|item| (item.id.to_string(), item.label))
        .collect();
    items.into_iter().collect()
}

/// The way back of what was lent by craft of this station, or to them.
async fn back(
    pages: &Pages,
    known: &Catalogue,
    own: &[u8],
    items: &[(String, String)],
) -> Result<Vec<(String, String)>, Refusal> {
    let is_here =
        |entry: &&CatalogueEntry| entry.r#type() == SubjectType::Craft && entry.station == own;
    let mut all: BTreeSet<Away> = BTreeSet::new();
    for craft in known.entries().iter().filter(is_here).take(CRAFT_MAX) {
        let log = pages.door.log_of(&craft.id, LINES).await?;
        all.extend(away(&craft.number, &log.lines));
    }
    let back = all.iter().map(|one| {
        let label = items.iter().find(|(id, _)| *id == one.item);
        let label = label.map_or(&one.item, |(_, label)| label);
        let href = format!(
            "/lend?from={}&to={}&item={}",
            escaped(&one.to),
            escaped(&one.from),
            escaped(&one.item)
        );
        (href, format!("{label}: {} has it, of {}", one.to, one.from))
    });
    Ok(back.collect())
}
