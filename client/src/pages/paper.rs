//! Paper: the sheet of a craft to print, its label, where the label leads, and the filled sheet as it
//! is entered.
//!
//! What is entered is a check under way that came from paper: kept as it is typed, recorded as the
//! round records, at the time and by the member that stand on the sheet.

mod entering;
mod kept;

use std::sync::Arc;

use axum::extract::{Extension, Path, State};
use axum::http::Uri;
use axum::http::header::HeaderMap;
use axum::response::{Html, IntoResponse as _, Redirect, Response};
use axum::routing::get;
use sponson_proto::event::v1::SubjectType;
use sponson_proto::service::v1::{
    CatalogueEntry, CheckUnderWay, UnderWayKind, UnderWayRequest, UnderWayStage,
};
use sponson_readiness::event::Extent;
use sponson_readiness::moment::Moment;
use sponson_show::html::station::label::label_page;
use sponson_show::html::station::paper::PAPER_SCRIPT;
use sponson_show::html::station::sheet::{PAPER_STYLE, sheet_page};

use self::entering::{show, take};
use super::routes::{Gate, Route, both, read};
use super::state::{NotShown, Pages};
use crate::catalogue::{Catalogue, LookupError, hex};
use crate::error::CommandError;
use crate::paper::{PaperCraft, label};
use crate::web::files::File;
use crate::web::visit::Visit;

/// Routes of paper.
pub(super) fn routes() -> Vec<Route> {
    vec![
        read("/sheet/{id}", Gate::Reads, get(sheet)),
        read("/label/{id}", Gate::Reads, get(one_label)),
        read("/c/{number}", Gate::Reads, get(from_label)),
        both("/paper/{id}", Gate::Records, get(show).post(take)),
        read(&style().path, Gate::Open, get(serve_style)),
        read(&script().path, Gate::Open, get(serve_script)),
    ]
}

/// Style of sheets and labels.
fn style() -> File {
    File::style("paper", PAPER_STYLE)
}

/// Script of the page on which a sheet is entered.
fn script() -> File {
    File::script("paper", PAPER_SCRIPT)
}

/// Serves the style.
async fn serve_style(headers: HeaderMap) -> Response {
    style().serve(&headers)
}

/// Serves the script.
async fn serve_script(headers: HeaderMap) -> Response {
    script().serve(&headers)
}

/// A craft and what its paper is made from.
struct Asked {
    known: Arc<Catalogue>,
    craft: CatalogueEntry,
    paper: PaperCraft,
}

/// Finds a craft by its id or its number.
///
/// # Errors
/// When none is known here, its model has no standard, or the log is closed.
async fn asked(pages: &Pages, name: &str, extent: Extent) -> Result<Asked, NotShown> {
    let known = pages.known().await?;
    let craft = craft(&known, name).map_err(CommandError::from)?;
    let about = pages.door.about().await?;
    let aboard = pages.door.walk_of(&craft.id).await?.aboard;
    let paper =
        PaperCraft::of(&craft, (aboard, extent), (&known, &about)).map_err(CommandError::from)?;
    Ok(Asked {
        known,
        craft,
        paper,
    })
}

fn craft(known: &Catalogue, name: &str) -> Result<CatalogueEntry, LookupError> {
    let mut entries = known.entries().iter();
    let by_id =
        entries.find(|entry| entry.r#type() == SubjectType::Craft && hex(&entry.id) == name);
    by_id.map_or_else(|| known.craft(name).cloned(), |entry| Ok(entry.clone()))
}

/// The sheet to print.
async fn sheet(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(name): Path<String>,
    uri: Uri,
) -> Response {
    let extent = match uri.query() {
        Some("extent=short") => Extent::Short,
        _ => Extent::Full,
    };
    let asked = match asked(&pages, &name, extent).await {
        Ok(asked) => asked,
        Err(why) => return pages.not_shown(&visit, &why),
    };
    let entry = format!("{}{}", pages.front.at.url, asked.paper.entry_path());
    let printed = Moment(pages.door.now().unix_ms);
    let back = format!("/craft/{}", hex(&asked.craft.id));
    let facts = asked.paper.sheet(printed, Some(&entry));
    Html(sheet_page(&facts, &style().path, &back)).into_response()
}

/// The label of a craft.
async fn one_label(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(name): Path<String>,
) -> Response {
    let asked = match asked(&pages, &name, Extent::Full).await {
        Ok(asked) => asked,
        Err(why) => return pages.not_shown(&visit, &why),
    };
    let back = format!("/craft/{}", hex(&asked.craft.id));
    let label = label(&asked.craft, &asked.known, &pages.front.at.url);
    Html(label_page(&[label], &style().path, &back)).into_response()
}

/// Where a label leads: to the craft's check that is under way, else to the craft, where one begins.
async fn from_label(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(number): Path<String>,
) -> Response {
    match leads_to(&pages, &number).await {
        Ok(path) => Redirect::to(&path).into_response(),
        Err(why) => pages.not_shown(&visit, &why),
    }
}

async fn leads_to(pages: &Pages, number: &str) -> Result<String, NotShown> {
    let known = pages.known().await?;
    let craft = craft(&known, number).map_err(CommandError::from)?;
    let of_boat =
        |check: &CheckUnderWay| !check.from_paper && check.kind() != UnderWayKind::FittingOut;
    let open = open_check(pages, &craft, of_boat).await?;
    Ok(match open {
        Some(check) => format!("/check/{}", check.id),
        None => format!("/craft/{}", hex(&craft.id)),
    })
}

/// The open check of a craft that changed last.
async fn open_check(
    pages: &Pages,
    craft: &CatalogueEntry,
    is: impl Fn(&CheckUnderWay) -> bool,
) -> Result<Option<CheckUnderWay>, NotShown> {
    let all = pages.door.under_way(UnderWayRequest::default()).await?;
    let mut all = all.checks.into_iter();
    Ok(all.find(|check| {
        let is_open = matches!(
            check.stage(),
            UnderWayStage::Open | UnderWayStage::Recording
        );
        is_open && check.craft == craft.id && is(check)
    }))
}
