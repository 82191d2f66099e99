//! How the sync stands, and trying it now.

use std::sync::Arc;

use axum::extract::{Extension, Form, State};
use axum::response::{IntoResponse as _, Redirect, Response};
use sponson_proto::answer::v1::Question;
use sponson_proto::service::v1::SyncNowRequest;
use sponson_show::html::station::sync::sync_page;

use super::record::{Pair, command, value};
use super::state::{NotShown, Pages};
use crate::commands::about::doubt;
use crate::web::enter::not_proven;
use crate::web::visit::Visit;

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
    let told = pages.door.ask(&Question::default()).await?;
    pages.note_heard(&told);
    let about = pages.door.about().await?;
    let facts = pages.facts(visit, "/sync").await?;
    let body = sync_page(&facts, doubt(&about).as_deref());
    Ok(pages.page(&facts, "Sync", &body))
}

/// Tries it now, and does not wait for its end: the line on every page says how it went.
pub(super) async fn now(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    if !visit.is_ours(value(&form, "token")) {
        return not_proven(&pages.front, &visit);
    }
    tokio::spawn(async move {
        let tried = command(&pages, "", async |session| {
            let reply = session.service().sync_now(SyncNowRequest {}).await?;
            let mut stream = reply.into_inner();
            while stream.message().await?.is_some() {}
            Ok(())
        });
        if let Err(error) = tried.await {
            tracing::info!(%error, "a sync that was asked for on a page failed");
        }
    });
    Redirect::to("/sync").into_response()
}
