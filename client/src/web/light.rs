//! Day or night, kept in a cookie: works without script, changes nothing in the log.

use std::sync::Arc;

use axum::extract::{Extension, Form};
use axum::http::StatusCode;
use axum::http::header::{LOCATION, SET_COOKIE};
use axum::response::{IntoResponse as _, Response};
use serde::Deserialize;
use sponson_show::html::LightStyle;

use super::Front;
use super::visit::keep_light;

/// What was chosen, and where it was.
#[derive(Debug, Deserialize)]
pub struct Chosen {
    #[serde(default)]
    light: String,
    #[serde(default)]
    back: String,
}

/// Keeps it and goes back.
pub async fn keep(Extension(front): Extension<Arc<Front>>, Form(chosen): Form<Chosen>) -> Response {
    let cookie = keep_light(LightStyle::of(&chosen.light), &front.at);
    let headers = [(LOCATION, back(&chosen.back)), (SET_COOKIE, &cookie)];
    (StatusCode::SEE_OTHER, headers).into_response()
}

/// A path of ours; the first page when it would lead elsewhere.
#[must_use]
pub fn back(path: &str) -> &str {
    let ours = path.starts_with('/') && !path.starts_with("//") && !path.contains('\\');
    let plain = path.bytes().all(|byte| byte.is_ascii_graphic());
    if ours && plain { path } else { "/" }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_leads_nowhere_else() {
        for (path, wanted) in [
            ("/?mission=flood", "/?mission=flood"),
            ("/craft/ab", "/craft/ab"),
            ("//evil.example", "/"),
            ("/\\evil.example", "/"),
            ("https://evil.example", "/"),
            ("", "/"),
            ("/\r\nSet-Cookie: a=b", "/"),
        ] {
            assert_eq!(back(path), wanted, "{path}");
        }
    }
}
