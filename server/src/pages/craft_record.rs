//! The record of a craft as a page to print, and its signed file.

use std::sync::Arc;

use axum::extract::{Extension, Path, RawQuery, State};
use axum::http::StatusCode;
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse as _, Response};
use clap::{CommandFactory as _, FromArgMatches as _, Parser};
use sponson_client::CommandError;
use sponson_client::catalogue::Catalogue;
use sponson_client::commands::record::RecordTime;
use sponson_client::entries::id_of;
use sponson_client::web::visit::Visit;
use sponson_link::craft_record::RecordWritten;
use sponson_proto::service::v1::CraftRecordRequest;
use sponson_show::clean;
use sponson_show::craft_record::{RecordOffers, record_page};
use sponson_show::html::PageFacts;

use super::county::made;
use super::query;
use super::state::{NotShown, Pages};

/// Fields of the page, as the command's arguments are named.
const FIELDS: [&str; 3] = ["from", "until", "known-by"];

/// What may be asked.
#[derive(Debug, Parser)]
#[command(
    no_binary_name = true,
    disable_help_flag = true,
    disable_version_flag = true
)]
struct Typed {
    #[command(flatten)]
    time: RecordTime,
}

/// A record, and what was asked for it.
struct Asked {
    written: RecordWritten,
    facts: PageFacts,
    fields: [String; 3],
    file_href: String,
}

/// Shows it.
pub(super) async fn show(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(name): Path<String>,
    RawQuery(query): RawQuery,
) -> Response {
    let asked = match asked(&pages, &visit, &name, query.as_deref()).await {
        Ok(asked) => asked,
        Err(response) => return response,
    };
    made(&pages, &visit, move || {
        let Asked {
            written,
            facts,
            fields,
            file_href,
        } = asked;
        let offers = RecordOffers {
            craft_href: format!("/craft/{name}"),
            file_href,
            fields,
        };
        record_page(&written.record, &written.signature, &facts, &offers)
    })
    .await
}

/// Gives the signed file.
pub(super) async fn file(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(name): Path<String>,
    RawQuery(query): RawQuery,
) -> Response {
    match asked(&pages, &visit, &name, query.as_deref()).await {
        Err(response) => response,
        Ok(asked) => {
            let named = format!("attachment; filename=\"{name}.record\"");
            let headers = [
                (CONTENT_TYPE, "application/octet-stream".to_owned()),
                (CONTENT_DISPOSITION, named),
            ];
            (headers, asked.written.file).into_response()
        }
    }
}

async fn asked(
    pages: &Arc<Pages>,
    visit: &Visit,
    name: &str,
    query: Option<&str>,
) -> Result<Asked, Response> {
    let known = pages.known().await;
    let known = known.map_err(|why| pages.not_shown(visit, &why))?;
    let wrong = |text: &str| pages.say(visit, StatusCode::BAD_REQUEST, "Not a record", &[text]);
    let id = id_of(name).ok_or_else(|| not_found(pages, visit, name))?;
    let pairs = query::pairs(query.unwrap_or_default()).map_err(|why| wrong(&why))?;
    let given = pairs
        .into_iter()
        .filter(|(_, value)| !value.trim().is_empty());
    let given: Vec<query::Pair> = given.collect();
    let request =
        request(&given, id.clone().into(), &known.catalogue).map_err(|why| wrong(&why))?;
    let written = pages.door.craft_record(request).await;
    let is_known = known.catalogue.by_id(&id).is_some();
    let written = written.map_err(|refusal| match is_known {
        true => pages.not_shown(visit, &NotShown::Refused(refusal)),
        false => not_found(pages, visit, name),
    })?;
    // The time asked for is no part of a question: other pages are not asked for it.
    let query = match query::written(&given) {
        none if none.is_empty() => none,
        some => format!("?{some}"),
    };
    let path = format!("/craft/{name}/record");
    Ok(Asked {
        file_href: format!("{path}/file{query}"),
        facts: PageFacts {
            path: format!("{path}{query}"),
            utc_offset_min: written.record.made.utc_offset_min,
            ..pages.facts_with(visit, &path, &known)
        },
        fields: FIELDS.map(|field| {
            let mut given = given.iter();
            let value = given.find(|(name, _)| name == field);
            value.map_or_else(String::new, |(_, value)| value.clone())
        }),
        written,
    })
}

fn request(
    given: &[query::Pair],
    craft: bytes::Bytes,
    catalogue: &Catalogue,
) -> Result<CraftRecordRequest, String> {
    let known = given
        .iter()
        .filter(|(name, _)| name != "again" && name != "since");
    let flags = known.map(|(name, value)| format!("--{name}={value}"));
    let command = Typed::command();
    let typed = command
        .try_get_matches_from(flags)
        .and_then(|matches| Typed::from_arg_matches(&matches))
        .map_err(|error| first_line(&error.to_string()))?;
    let request: Result<_, CommandError> = typed.time.request(craft, catalogue);
    request.map_err(|error| error.to_string())
}

fn first_line(text: &str) -> String {
    let line = text.lines().next().unwrap_or_default();
    clean(line.trim_start_matches("error: "))
}

fn not_found(pages: &Pages, visit: &Visit, name: &str) -> Response {
    let said = format!("No craft {} is known here by its id.", clean(name));
    pages.say(visit, StatusCode::NOT_FOUND, "No such craft", &[&said])
}
