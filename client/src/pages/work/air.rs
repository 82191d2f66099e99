//! Air added or let out: `/air/ID`.

use std::sync::Arc;

use axum::extract::{Extension, Form, Path, RawQuery, State};
use axum::response::Response;
use sponson_proto::event::v1::SubjectType;
use sponson_proto::service::v1::CatalogueEntry;
use sponson_show::html::station::work::{AirFacts, air_body};
use sponson_show::units::print;

use super::filled_in::{Failed, Filled, OF_THE_PAGE, on_to, press};
use super::on_craft::{OnCraft, numbers};
use crate::commands::air::{self, AirArgs};
use crate::filled::{self, Pair};
use crate::pages::record::recorder;
use crate::pages::state::Pages;
use crate::web::visit::Visit;

/// Sorts of gear that air comes from.
const SOURCES: [&str; 4] = ["pump", "cylinder", "breathing-set", "compressor"];

/// Shows the form.
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

/// Records the air.
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
        Ok(name) => on_to(&format!("/air/{}", craft.id), &name),
        Err(failed) => page(&pages, &visit, &craft, Filled::refused(form, failed)).await,
    }
}

async fn recorded(
    pages: &Pages,
    member: &str,
    craft: &OnCraft,
    form: &[Pair],
) -> Result<String, Failed> {
    let args: AirArgs = filled::read(&craft.with(form), &OF_THE_PAGE)?;
    press(pages, member, form, async |session| {
        air::run(&args, session).await.map(|_| ())
    })
    .await
}

async fn page(pages: &Pages, visit: &Visit, craft: &OnCraft, filled: Filled) -> Response {
    let units = craft.told.ctx.units;
    let unit = print::pressure_unit(units);
    let holding = craft.adopted.standard.parts.iter();
    let holding = holding.filter_map(|part| Some((part, part.pressure.as_ref()?)));
    let parts: Vec<(String, String)> = holding
        .map(|(part, rule)| {
            let wanted = format!(
                "{} (wanted {} to {} {unit})",
                part.label,
                print::pressure_number(rule.low_pa, units),
                print::pressure_number(rule.high_pa, units)
            );
            (part.id.to_string(), wanted)
        })
        .collect();
    let is_source = |entry: &&CatalogueEntry| {
        let near = entry.craft == craft.entry.id || entry.station == craft.entry.station;
        entry.r#type() == SubjectType::Gear && near && SOURCES.contains(&entry.gear.as_str())
    };
    let sources = numbers(craft.known.entries().iter().filter(is_source));
    let path = format!("/air/{}", craft.id);
    filled
        .page((pages, visit), (&path, "Air"), |page| {
            let facts = AirFacts {
                craft: craft.craft(),
                parts: &parts,
                sources: &sources,
                unit,
            };
            air_body(&facts, page)
        })
        .await
}
