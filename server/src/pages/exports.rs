//! Everything that is shown, in other forms: JSON, lists for a spreadsheet, a report to print;
//! the style sheet and the script.

use std::sync::Arc;

use axum::extract::{Extension, Path, RawQuery, State};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE, HeaderMap};
use axum::response::{IntoResponse as _, Response};

use super::county::{Answered, answered, made};
use super::due;
use super::faults;
use super::state::Pages;
use sponson_client::web::visit::Visit;
use sponson_show::ahead::Show;

/// The answer as JSON.
pub(super) async fn json(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    RawQuery(query): RawQuery,
) -> Response {
    match answered(&pages, &visit, "/answer.json", query.as_deref()).await {
        Err(response) => response,
        Ok(Answered { told, .. }) => {
            let text = sponson_show::json::to_string(&told.answer, &told.ctx);
            file("application/json", "answer.json", text)
        }
    }
}

/// One list of the answer for a spreadsheet: `who.csv`.
pub(super) async fn csv(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(list): Path<String>,
    RawQuery(query): RawQuery,
) -> Response {
    if let Some(of_faults) = faults::list(&list) {
        return faults::csv(&pages, &visit, of_faults, query.as_deref()).await;
    }
    let coming = list.strip_suffix(".csv").and_then(Show::of);
    if let Some(list) = coming {
        return due::csv(&pages, &visit, list, query.as_deref()).await;
    }
    let section = list.strip_suffix(".csv").and_then(|id| {
        let mut all = sponson_show::csv::Section::ALL.into_iter();
        all.find(|section| section.id() == id)
    });
    let Some(section) = section else {
        return not_found(&pages, &visit);
    };
    match answered(&pages, &visit, &format!("/{list}"), query.as_deref()).await {
        Err(response) => response,
        Ok(Answered { told, .. }) => {
            let text = section.table(&told.answer, &told.ctx);
            file("text/csv; charset=utf-8", &list, text)
        }
    }
}

/// A page that is not there.
pub(super) async fn nothing(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
) -> Response {
    not_found(&pages, &visit)
}

fn not_found(pages: &Pages, visit: &Visit) -> Response {
    let text = "There is no such page.";
    pages.say(visit, StatusCode::NOT_FOUND, "Not found", &[text])
}

/// The answer as one page to print.
pub(super) async fn report(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    RawQuery(query): RawQuery,
) -> Response {
    match answered(&pages, &visit, "/report", query.as_deref()).await {
        Err(response) => response,
        Ok(Answered { told, facts, .. }) => {
            made(&pages, &visit, move || {
                sponson_show::html::report_page(&told.answer, &told.ctx, &facts)
            })
            .await
        }
    }
}

/// The style sheet.
pub(super) async fn style(State(pages): State<Arc<Pages>>, headers: HeaderMap) -> Response {
    pages.style.serve(&headers)
}

/// The picture.
pub(super) async fn icon(State(pages): State<Arc<Pages>>, headers: HeaderMap) -> Response {
    pages.icon.serve(&headers)
}

/// The script.
pub(super) async fn script(State(pages): State<Arc<Pages>>, headers: HeaderMap) -> Response {
    pages.script.serve(&headers)
}

pub(super) fn file(kind: &'static str, name: &str, text: String) -> Response {
    let named = format!("inline; filename=\"{name}\"");
    let headers = [
        (CONTENT_TYPE, kind.to_owned()),
        (CONTENT_DISPOSITION, named),
    ];
    (headers, text).into_response()
}
