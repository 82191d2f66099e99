//! Style sheets, scripts and pictures; and what is not there.

use std::sync::Arc;

use axum::extract::{Extension, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::Response;

use super::state::Pages;
use crate::web::visit::Visit;

/// The style sheet of all pages.
pub(super) async fn style(State(pages): State<Arc<Pages>>, headers: HeaderMap) -> Response {
    pages.files.style.serve(&headers)
}

/// The style sheet of a station's pages.
pub(super) async fn station_style(State(pages): State<Arc<Pages>>, headers: HeaderMap) -> Response {
    pages.files.station_style.serve(&headers)
}

/// The script of all pages.
pub(super) async fn script(State(pages): State<Arc<Pages>>, headers: HeaderMap) -> Response {
    pages.files.script.serve(&headers)
}

/// The picture.
pub(super) async fn icon(State(pages): State<Arc<Pages>>, headers: HeaderMap) -> Response {
    pages.files.icon.serve(&headers)
}

/// A page that is not there.
pub(super) async fn nothing(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
) -> Response {
    let text = "There is no such page.";
    pages.say(&visit, StatusCode::NOT_FOUND, "Not found", &[text])
}
