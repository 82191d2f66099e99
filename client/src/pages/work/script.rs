//! The script of the place picker.

use axum::http::HeaderMap;
use axum::response::Response;
use sponson_show::html::station::place::PLACE_SCRIPT;

use crate::web::files::File;

/// It, under a name that holds its hash.
pub(in crate::pages) fn place() -> File {
    File::script("place", PLACE_SCRIPT)
}

/// Serves it.
pub(super) async fn serve(headers: HeaderMap) -> Response {
    place().serve(&headers)
}
