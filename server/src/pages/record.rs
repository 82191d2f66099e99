//! Assigning and releasing from a page: the same command as at the county's terminal, with the
//! member number of whoever is signed in.
//!
//! The county's working key signs it: the log proves the county's device, and the number is what
//! the session said. Every page with such a form says so.

use std::sync::Arc;

use axum::extract::{Extension, Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use sponson_client::CommandError;
use sponson_client::assigning::{Sender, Shown};
use sponson_client::catalogue::subject;
use sponson_client::commands::release::{self, ReleaseArgs};
use sponson_client::session::{Record, Session};
use sponson_proto::answer::v1::Question;
use sponson_proto::answer::v1::question::KnownBy;
use sponson_proto::event::v1::Kind;
use sponson_show::terminal::{Attended, Terminal};

use super::query::{self, Pair};
use super::state::Pages;
use crate::error::CountyError;
use sponson_client::entries::id_of;
use sponson_client::web::enter::not_proven;
use sponson_client::web::visit::Visit;

/// Longest name of an incident: a word of the log has 64 bytes (`parse/fields.rs` of the replica).
const INCIDENT_BYTES_MAX: usize = 64;

/// What a form says beside the question that its page answered.
struct Said<'a> {
    craft: String,
    member: String,
    form: &'a [Pair],
}

/// Assigns a craft.
pub(super) async fn assign(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(craft): Path<String>,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    let Some(said) = said(&visit, &craft, &form) else {
        return not_proven(&pages.front, &visit);
    };
    let done = command(&pages, &said.member, async |session| {
        sent(&said, session).await
    })
    .await;
    ended(&pages, &visit, &craft, &form, done)
}

/// Releases a craft.
pub(super) async fn release(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(craft): Path<String>,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    let Some(said) = said(&visit, &craft, &form) else {
        return not_proven(&pages.front, &visit);
    };
    let why = value(&form, "note").trim();
    let args = ReleaseArgs {
        craft: said.craft.clone(),
        from: None,
        why: (!why.is_empty()).then(|| why.to_owned()),
        note: None,
    };
    let done = command(&pages, &said.member, async |session| {
        Ok(release::run(&args, session).await.map(|_| ())?)
    })
    .await;
    ended(&pages, &visit, &craft, &form, done)
}

/// What a form of this session says; none when it is not of this session.
fn said<'a>(visit: &Visit, craft: &str, form: &'a [Pair]) -> Option<Said<'a>> {
    let visitor = visit.visitor.as_ref()?;
    visit.is_ours(value(form, "token")).then(|| Said {
        craft: id_of(craft).map_or_else(|| craft.to_owned(), |_| format!("#{craft}")),
        member: visitor.member.clone(),
        form,
    })
}

/// Records the assignment with the answer that the page showed: to the same question, at the same
/// moment, by as much as was known then.
async fn sent(said: &Said<'_>, session: &mut Session<'_>) -> Result<(), CountyError> {
    let incident = value(said.form, "incident").trim();
    if incident.is_empty() || incident.len() > INCIDENT_BYTES_MAX {
        let limit = format!("say for which incident, in 1 to {INCIDENT_BYTES_MAX} bytes");
        return Err(refused("incident", incident, limit));
    }
    let catalogue = session.catalogue().await?;
    let craft = catalogue.craft(&said.craft).map_err(CommandError::from)?;
    let pairs = query::pairs(value(said.form, "query"));
    let pairs = pairs.map_err(|limit| refused("query", "", limit))?;
    let asked = query::read(pairs, &catalogue);
    let mut question = asked.question.ok_or_else(|| {
        let faults = asked.form.faults().iter();
        let faults: Vec<&str> = faults.map(|fault| fault.text.as_str()).collect();
        refused("the question", "not one", faults.join("; "))
    })?;
    as_shown(&mut question, said.form);
    let listed = match question.callout {
        Some(_) => Some(session.ask(question.clone()).await?.callout_text),
        None => None,
    };
    question.craft = catalogue.asked(craft);
    let reply = session.ask(question.clone()).await?;
    let shown = Shown {
        question,
        reply,
        listed,
    };
    let why = value(said.form, "note").trim();
    let sender = Sender {
        member: said.member.clone(),
        why: (!why.is_empty()).then(|| why.to_owned()),
        note: None,
    };
    let mut record = Record::about([subject(craft)]);
    record.texts = sender.texts();
    record.texts.extend(shown.texts());
    let message = shown.assigned(incident);
    session.record(Kind::Assigned, &message, record).await?;
    Ok(())
}

/// Asks as of what the page showed, where its question does not say that itself.
fn as_shown(question: &mut Question, form: &[Pair]) {
    let number = |field| value(form, field).parse::<i64>().ok();
    if question.as_of_unix_ms.is_some() || question.known_by.is_some() {
        return;
    }
    question.as_of_unix_ms = number("as_of_unix_ms");
    let size = number("known_size").and_then(|size| u64::try_from(size).ok());
    if number("known_beyond") == Some(0) {
        question.known_by = size.filter(|size| *size > 0).map(KnownBy::KnownBySize);
    }
}

fn refused(field: &str, value: &str, limit: String) -> CountyError {
    CountyError::Command(CommandError::Refused {
        field: field.to_owned(),
        value: sponson_show::clean(value),
        limit,
    })
}

/// Back to the craft; else what was wrong.
fn ended(
    pages: &Pages,
    visit: &Visit,
    craft: &str,
    form: &[Pair],
    done: Result<(), String>,
) -> Response {
    match done {
        Ok(()) => {
            let query = value(form, "query");
            let gap = if query.is_empty() { "" } else { "?" };
            let path = format!("/craft/{craft}{gap}{query}");
            let plain = id_of(craft).is_some() && path.bytes().all(|it| it.is_ascii_graphic());
            Redirect::to(if plain { &path } else { "/" }).into_response()
        }
        Err(why) => {
            let text = format!("{why}. Nothing was recorded.");
            pages.say(visit, StatusCode::BAD_REQUEST, "Not recorded", &[&text])
        }
    }
}

/// Does what a command does, as a member, with nobody at its terminal.
pub(super) async fn command(
    pages: &Pages,
    member: &str,
    run: impl AsyncFnOnce(&mut Session<'_>) -> Result<(), CountyError>,
) -> Result<(), String> {
    let local = pages.door.local().await.map_err(|it| it.to_string())?;
    let (mut out, mut err, mut input) = (Vec::new(), Vec::new(), std::io::empty());
    let now = pages.door.now().unix_ms;
    let terminal = Terminal::new(&mut out, &mut err, &mut input, Attended::No);
    let mut session = Session::new(local.client(), terminal, member.to_owned(), now);
    let may = pages.clock.of_session(&mut session).await;
    let done = match may {
        Ok(()) => run(&mut session).await,
        Err(error) => Err(error),
    };
    drop(session);
    local.close().await;
    done.map_err(|error| error.to_string())
}

fn value<'a>(form: &'a [Pair], field: &str) -> &'a str {
    let mut pairs = form.iter();
    pairs
        .find(|(name, _)| name == field)
        .map_or("", |(_, value)| value.as_str())
}
