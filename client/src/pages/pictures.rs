//! Pictures at a station's pages: taken for a check under way, given to whoever may read.
//!
//! A picture is made ready here, kept as a file, and named in a field of the check; the event that the
//! check becomes commits to it.

use std::sync::Arc;

use axum::body::Bytes;
use axum::extract::{
    DefaultBodyLimit, Extension, FromRequest as _, Multipart, Path, Request, State,
};
use axum::http::header::{ACCEPT, CONTENT_TYPE, HeaderMap};
use axum::http::{HeaderName, StatusCode};
use axum::response::{IntoResponse as _, Redirect, Response};
use axum::routing::{MethodRouter, post};
use sponson_link::refusal::Refusal;
use sponson_proto::service::v1::{EnterRequest, FieldTyped, UnderWayRequest};

use super::record::{Pair, recorder, value};
use super::state::{NotShown, Pages};
use crate::pictures::{FILE_BYTES_MAX, PictureError, prepared, too_long};
use crate::web::picture;
use crate::web::visit::Visit;

/// Greatest body: a file, and the few hundred bytes that a form puts around it.
const BODY_BYTES_MAX: usize = FILE_BYTES_MAX + 64 * 1024;

/// Values of a form beside the picture: a token, a fault, a stop.
const VALUE_BYTES_MAX: usize = 1024;

/// How much of the name of a field is said again.
const NAME_CHARS_SAID: usize = 40;

/// Pictures of one fault, or of the craft, in one check.
const PICTURES_MAX: u32 = 16;

/// With a bare picture as the body, what a form has as fields stands in headers of these names.
const HEADERS: [(&str, HeaderName); 3] = [
    ("token", HeaderName::from_static("x-form-token")),
    ("fault", HeaderName::from_static("x-fault")),
    ("stop", HeaderName::from_static("x-stop")),
];

/// What came.
#[derive(Debug)]
struct Came {
    form: Vec<Pair>,
    picture: Bytes,
}

/// Why a picture was not taken.
#[derive(Debug, thiserror::Error)]
enum NotTaken {
    #[error(transparent)]
    Picture(#[from] PictureError),
    #[error("{0}: nothing was kept")]
    Form(String),
    #[error("{}: {}", .0.what(), .0.to_do())]
    Refused(Refusal),
}

/// The handler of a picture for a check under way, with a limit of its own.
pub(super) fn taking() -> MethodRouter<Arc<Pages>> {
    post(take).layer(DefaultBodyLimit::max(BODY_BYTES_MAX))
}

/// A picture as it is kept: a browser may keep it too, and shows it as nothing else.
pub(super) async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(name): Path<String>,
) -> Response {
    match pages.door.picture(&name).await {
        Ok(content) => picture::served(content),
        Err(refusal) => pages.not_shown(&visit, &NotShown::Refused(refusal)),
    }
}

/// Takes a picture of a fault that is entered in a check under way, or of the craft.
async fn take(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(id): Path<String>,
    request: Request,
) -> Response {
    let headers = request.headers().clone();
    let came = match read(request).await {
        Ok(came) => came,
        Err(why) => return not_taken(&pages, &visit, &headers, &why),
    };
    let member = match recorder(&pages, &visit, &came.form) {
        Ok(member) => member,
        Err(response) => return *response,
    };
    match keep(&pages, &id, &member, &came).await {
        Ok((field, name)) => {
            if wants_json(&headers) {
                let said = serde_json::json!({
                    "kept": [{ "field": field, "value": name }],
                    "picture": format!("/picture/{name}"),
                    "refused": [],
                });
                return json(StatusCode::OK, &said);
            }
            let stop = value(&came.form, "stop");
            Redirect::to(&back(&id, stop)).into_response()
        }
        Err(why) => not_taken(&pages, &visit, &headers, &why),
    }
}

/// Keeps it, and enters it in the check; gives the field and the picture's name.
async fn keep(
    pages: &Pages,
    id: &str,
    member: &str,
    came: &Came,
) -> Result<(String, String), NotTaken> {
    let request = UnderWayRequest {
        id: id.to_owned(),
        without_fields: false,
    };
    let known = pages
        .door
        .under_way(request)
        .await
        .map_err(NotTaken::Refused)?;
    let check = known.checks.into_iter().next();
    let check = check.ok_or_else(|| NotTaken::Form("no such check is under way".to_owned()))?;
    let taken: Vec<&str> = check
        .fields
        .iter()
        .map(|field| field.name.as_str())
        .collect();
    let field = next_field(value(&came.form, "fault"), &taken)?;
    let catalogue = pages
        .known()
        .await
        .map_err(|why| NotTaken::Form(why.to_string()))?;
    let policy = catalogue.policy().pictures;
    let picture = came.picture.clone();
    // One at a time: each takes up to a few hundred megabytes while it is read.
    let alone = Arc::clone(&pages.preparing).acquire_owned().await;
    let ready = tokio::task::spawn_blocking(move || {
        let ready = prepared(&picture, &policy);
        drop(alone);
        ready
    });
    let ready = ready
        .await
        .map_err(|_| NotTaken::Form("the picture could not be read".to_owned()))??;
    let name = pages
        .door
        .keep_picture(ready)
        .await
        .map_err(NotTaken::Refused)?;
    let entered = EnterRequest {
        id: id.to_owned(),
        member: member.to_owned(),
        fields: vec![FieldTyped {
            name: field.clone(),
            value: name.clone(),
        }],
    };
    pages.door.enter(entered).await.map_err(NotTaken::Refused)?;
    Ok((field, name))
}

/// The first free field for a picture: of a fault by its number in the check, else of the craft.
fn next_field(fault: &str, taken: &[&str]) -> Result<String, NotTaken> {
    let before = match fault.trim() {
        "" => String::new(),
        number => match number.parse::<u32>() {
            Ok(number) => format!("fault.{number}."),
            Err(_) => {
                let said = format!("fault is {}; give its number", sponson_show::clean(number));
                return Err(NotTaken::Form(said));
            }
        },
    };
    (0..PICTURES_MAX)
        .map(|number| format!("{before}picture.{number}"))
        .find(|field| !taken.contains(&field.as_str()))
        .ok_or_else(|| {
            NotTaken::Form(format!(
                "pictures are {PICTURES_MAX} already, the most of one: leave one out first"
            ))
        })
}

/// Reads a form with a file, or a bare picture with headers.
async fn read(request: Request) -> Result<Came, NotTaken> {
    let kind = request.headers().get(CONTENT_TYPE);
    let kind = kind.and_then(|it| it.to_str().ok()).unwrap_or_default();
    let unreadable = |status: StatusCode, said: String| match status {
        StatusCode::PAYLOAD_TOO_LARGE => NotTaken::Picture(too_long()),
        _ => NotTaken::Form(format!("what came cannot be read ({said})")),
    };
    if kind.starts_with("image/") {
        let header = |(field, name): (&str, HeaderName)| {
            let value = request.headers().get(name)?.to_str().ok()?;
            Some((field.to_owned(), value.to_owned()))
        };
        let form = HEADERS.into_iter().filter_map(header).collect();
        let picture = Bytes::from_request(request, &()).await;
        let picture = picture.map_err(|error| unreadable(error.status(), error.body_text()))?;
        return Ok(Came { form, picture });
    }
    let form = Multipart::from_request(request, &()).await;
    let mut form = form.map_err(|error| unreadable(error.status(), error.body_text()))?;
    let mut came = Came {
        form: Vec::new(),
        picture: Bytes::new(),
    };
    while let Some(field) = form
        .next_field()
        .await
        .map_err(|error| unreadable(error.status(), error.body_text()))?
    {
        let name = field.name().unwrap_or_default().to_owned();
        let content = field
            .bytes()
            .await
            .map_err(|error| unreadable(error.status(), error.body_text()))?;
        if name == "picture" {
            came.picture = content;
        } else if content.len() > VALUE_BYTES_MAX {
            return Err(NotTaken::Form(format!(
                "{} is {} bytes long; at most {VALUE_BYTES_MAX} are read",
                sponson_show::clean(&name.chars().take(NAME_CHARS_SAID).collect::<String>()),
                content.len()
            )));
        } else if came.form.len() < HEADERS.len() {
            let text = String::from_utf8_lossy(&content).into_owned();
            came.form.push((name, text));
        }
    }
    Ok(came)
}

/// Where the page goes on: at the stop from which the picture was sent.
fn back(id: &str, stop: &str) -> String {
    let plain = |text: &str| {
        text.len() <= 64
            && text
                .bytes()
                .all(|it| it.is_ascii_alphanumeric() || it == b'-')
    };
    match (plain(id), plain(stop), stop) {
        (false, ..) => "/".to_owned(),
        (true, true, stop) if !stop.is_empty() => format!("/check/{id}#stop-{stop}"),
        (true, ..) => format!("/check/{id}"),
    }
}

fn wants_json(headers: &HeaderMap) -> bool {
    let accept = headers.get(ACCEPT).and_then(|it| it.to_str().ok());
    accept.is_some_and(|accept| accept.contains("application/json"))
}

fn json(status: StatusCode, said: &serde_json::Value) -> Response {
    (
        status,
        [(CONTENT_TYPE, "application/json")],
        said.to_string(),
    )
        .into_response()
}

fn not_taken(pages: &Pages, visit: &Visit, headers: &HeaderMap, why: &NotTaken) -> Response {
    let said = why.to_string();
    let status = match why {
        NotTaken::Picture(_) | NotTaken::Form(_) => StatusCode::BAD_REQUEST,
        NotTaken::Refused(refusal) if refusal.is_of_the_request() => StatusCode::BAD_REQUEST,
        NotTaken::Refused(_) => StatusCode::SERVICE_UNAVAILABLE,
    };
    if wants_json(headers) {
        let refused = serde_json::json!({
            "kept": [],
            "refused": [{ "field": "picture", "why": said }],
        });
        return json(status, &refused);
    }
    pages.say(visit, status, "The picture was not taken", &[&said])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_gets_the_first_free_field_of_its_fault_or_of_the_craft() {
        let next = |fault, taken: &[&str]| next_field(fault, taken).ok();
        let some = |field: &str| Some(field.to_owned());
        assert_eq!(next("", &[]), some("picture.0"));
        assert_eq!(
            next("", &["picture.0", "fault.1.picture.0"]),
            some("picture.1")
        );
        assert_eq!(
            next("1", &["picture.0", "fault.1.picture.0"]),
            some("fault.1.picture.1")
        );
        assert_eq!(next("2", &["fault.1.picture.0"]), some("fault.2.picture.0"));
        assert_eq!(next("x", &[]), None);
        let all: Vec<String> = (0..PICTURES_MAX)
            .map(|it| format!("picture.{it}"))
            .collect();
        let all: Vec<&str> = all.iter().map(String::as_str).collect();
        assert_eq!(next("", &all), None);
        assert_eq!(next("", &all[1..]), some("picture.0"));
    }

    #[test]
    fn a_page_goes_on_at_its_stop_and_nowhere_else() {
        assert_eq!(back("1a2b3c4d", "bow"), "/check/1a2b3c4d#stop-bow");
        assert_eq!(back("1a2b3c4d", ""), "/check/1a2b3c4d");
        assert_eq!(back("1a2b3c4d", "x\r\nset-cookie: y"), "/check/1a2b3c4d");
        assert_eq!(back("//elsewhere.example", "bow"), "/");
    }
}
