//! Headers of every answer, set in one layer.

use std::time::Duration;

use axum::extract::Request;
use axum::http::HeaderValue;
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, HeaderName, REFERRER_POLICY, RETRY_AFTER,
    X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::middleware::Next;
use axum::response::Response;

/// Nothing from anywhere else, nothing within the page itself, no frame around it.
pub const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; \
    connect-src 'self'; img-src 'self'; form-action 'self'; base-uri 'none'; \
    frame-ancestors 'none'";

/// What every answer carries.
pub const ALWAYS: [(HeaderName, &str); 7] = [
    (CONTENT_SECURITY_POLICY, POLICY),
    (X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (X_FRAME_OPTIONS, "DENY"),
    (REFERRER_POLICY, "no-referrer"),
    (
        HeaderName::from_static("permissions-policy"),
        "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
    ),
    (
        HeaderName::from_static("cross-origin-opener-policy"),
        "same-origin",
    ),
    (
        HeaderName::from_static("cross-origin-resource-policy"),
        "same-origin",
    ),
];

/// Adds them. What does not say how long it may be kept is not kept at all.
pub async fn add(request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    for (name, value) in ALWAYS {
        headers.insert(name, HeaderValue::from_static(value));
    }
    let kept = headers.entry(CACHE_CONTROL);
    kept.or_insert(HeaderValue::from_static("no-store"));
    response
}

/// Says when to come again.
pub fn retry_after(response: &mut Response, wait: Duration) {
    let seconds = HeaderValue::from(wait.as_secs().max(1));
    response.headers_mut().insert(RETRY_AFTER, seconds);
}
