//! What comes due at this station in the next weeks: `/due`, from what this device holds.

use std::sync::Arc;

use axum::extract::{Extension, State};
use axum::response::Response;
use sponson_proto::service::v1::AheadRequest;
use sponson_show::html::station::coming::{Coming, coming_body};

use super::state::{NotShown, Pages};
use crate::web::visit::Visit;

/// Days that are shown: eight weeks, within which an order can still come.
const DAYS: u32 = 56;

/// Shows it.
pub(super) async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
) -> Response {
    match page(&pages, &visit).await {
        Ok(page) => page,
        Err(why) => pages.not_shown(&visit, &why),
    }
}

async fn page(pages: &Pages, visit: &Visit) -> Result<Response, NotShown> {
    let facts = pages.facts(visit, "/due").await?;
    let here = pages.here();
    let told = pages.door.ahead(AheadRequest {
        days: DAYS,
        station: here
            .map(|id| id.as_bytes().to_vec())
            .unwrap_or_default()
            .into(),
        ..AheadRequest::default()
    });
    let told = told.await?;
    let shown = Coming {
        ahead: &told.ahead,
        as_of: told.as_of,
        is_here: here.is_some(),
        ctx: &told.ctx,
        notes: &told.notes,
    };
    Ok(pages.page(&facts, "What comes due here", &coming_body(&shown)))
}
