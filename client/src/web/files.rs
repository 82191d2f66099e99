//! Style sheets, scripts and the picture, each under a name that holds the hash of its content: a browser
//! may keep it for ever, and never has an old one.

use axum::http::StatusCode;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, ETAG, HeaderMap, IF_NONE_MATCH};
use axum::response::{IntoResponse as _, Response};
use data_encoding::HEXLOWER;
use sha2::{Digest as _, Sha256};
use sponson_show::html;

/// Hexadecimal digits of the hash in a name.
const DIGITS: usize = 16;

/// A file that is served as it is.
#[derive(Clone, Debug)]
pub struct File {
    /// Its path.
    pub path: String,
    kind: &'static str,
    tag: String,
    text: &'static str,
}

impl File {
    /// A style sheet.
    #[must_use]
    pub fn style(name: &str, text: &'static str) -> Self {
        Self::of(name, "css", "text/css; charset=utf-8", text)
    }

    /// A script.
    #[must_use]
    pub fn script(name: &str, text: &'static str) -> Self {
        Self::of(name, "js", "text/javascript; charset=utf-8", text)
    }

    /// The picture.
    #[must_use]
    pub fn icon() -> Self {
        Self::of("hull", "svg", "image/svg+xml", html::ICON)
    }

    fn of(name: &str, end: &str, kind: &'static str, text: &'static str) -> Self {
        let hash: String = HEXLOWER
            .encode(&Sha256::digest(text))
            .chars()
            .take(DIGITS)
            .collect();
        Self {
            path: format!("/{name}-{hash}.{end}"),
            kind,
            tag: format!("\"{hash}\""),
            text,
        }
    }

    /// The file, or that the browser has it already.
    #[must_use]
    pub fn serve(&self, headers: &HeaderMap) -> Response {
        let held = headers.get(IF_NONE_MATCH).and_then(|it| it.to_str().ok());
        let same = held.is_some_and(|held| {
            let mut tags = held.split(',');
            tags.any(|tag| tag.trim().trim_start_matches("W/") == self.tag || tag.trim() == "*")
        });
        let about = [
            (CACHE_CONTROL, "public, max-age=31536000, immutable"),
            (ETAG, self.tag.as_str()),
            (CONTENT_TYPE, self.kind),
        ];
        if same {
            return (StatusCode::NOT_MODIFIED, about).into_response();
        }
        (about, self.text).into_response()
    }
}
