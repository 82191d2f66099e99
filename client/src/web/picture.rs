//! A picture of a fault or a check, as both programs serve it and name it on a craft's page.

use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse as _, Response};
use sponson_link::local::PictureOf;
use sponson_readiness::moment::Moment;
use sponson_replica::PicturePlace;
use sponson_show::html::{PictureShown, ShownPlace};

/// An hour, in this browser alone: what the lead removes is gone from there too within that time.
const KEPT_BY_BROWSER: &str = "private, max-age=3600";

/// The picture: a browser may keep it, and shows it as nothing else.
#[must_use]
pub fn served(content: Vec<u8>) -> Response {
    let headers = [
        (CONTENT_TYPE, "image/jpeg"),
        (CACHE_CONTROL, KEPT_BY_BROWSER),
    ];
    (headers, content).into_response()
}

/// A picture as a craft's page names it.
#[must_use]
pub fn shown(picture: PictureOf) -> PictureShown {
    let open = picture.fault.as_ref().is_some_and(|fault| fault.open);
    PictureShown {
        name: picture.id.to_string(),
        fault: picture.fault.map(|fault| (fault.class, fault.part)),
        open,
        at: Moment(picture.unix_ms),
        place: match picture.place {
            PicturePlace::Held => ShownPlace::Here,
            PicturePlace::Missing(_) | PicturePlace::NotKnown => ShownPlace::NotHere,
            PicturePlace::Removed => ShownPlace::Removed,
        },
    }
}
