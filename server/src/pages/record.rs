//! Assigning and releasing from a page: the same command as at the county's terminal, with the
//! member number of whoever is signed in.
//!
//! The county's working key signs it: the log proves the county's device, and the number is what
//! the session said. Every page with such a form says so.

use std::sync::Arc;

use axum::extract::{Extension, Form, Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse as _, Redirect, Response};
use clap::{Args, FromArgMatches};
use sponson_client::session::Session;
use sponson_show::terminal::{Attended, Terminal};

use super::craft::id_of;
use super::enter::not_proven;
use super::query::{self, Pair};
use super::state::Pages;
use super::visit::Visit;
use crate::commands::assign::{self, AssignArgs};
use crate::commands::release::{self, ReleaseArgs};
use crate::error::CountyError;

/// Names in a form that are no argument of a command.
const OF_THE_FORM: [&str; 6] = [
    "token",
    "query",
    "as_of_unix_ms",
    "known_size",
    "known_beyond",
    "incident",
];

/// Assigns a craft.
pub(super) async fn assign(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(craft): Path<String>,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    let incident = value(&form, "incident").trim().to_owned();
    if incident.is_empty() {
        let text = "Say for which incident: its name or number. Nothing was recorded.";
        return pages.say(&visit, StatusCode::BAD_REQUEST, "No incident", &[text]);
    }
    let asked = match query::pairs(value(&form, "query")) {
        Ok(asked) => asked,
        Err(why) => return pages.say(&visit, StatusCode::BAD_REQUEST, "Not a question", &[&why]),
    };
    recorded(&pages, &visit, &craft, &form, (asked, Some(incident))).await
}

/// Releases a craft.
pub(super) async fn release(
    State(pages): State<Arc<Pages>>,
    Extension(visit): Extension<Visit>,
    Path(craft): Path<String>,
    Form(form): Form<Vec<Pair>>,
) -> Response {
    recorded(&pages, &visit, &craft, &form, (Vec::new(), None)).await
}

async fn recorded(
    pages: &Pages,
    visit: &Visit,
    craft: &str,
    form: &[Pair],
    (asked, incident): (Vec<Pair>, Option<String>),
) -> Response {
    let (true, Some(visitor)) = (visit.is_ours(value(form, "token")), &visit.visitor) else {
        return not_proven(pages, visit);
    };
    let name = id_of(craft).map_or_else(|| craft.to_owned(), |_| format!("#{craft}"));
    let own = form
        .iter()
        .filter(|(name, _)| !OF_THE_FORM.contains(&name.as_str()));
    let mut given: Vec<Pair> = asked.into_iter().chain(own.cloned()).collect();
    given.retain(|(name, value)| !value.trim().is_empty() && name != "again");
    let member = &visitor.member;
    let done = match incident {
        Some(incident) => {
            let words = [name, incident];
            match typed::<AssignArgs>(&given, &words) {
                Ok(args) => command(pages, member, async |it| assign::run(&args, it).await).await,
                Err(why) => Err(why),
            }
        }
        None => match typed::<ReleaseArgs>(&given, &[name]) {
            Ok(args) => command(pages, member, async |it| release::run(&args, it).await).await,
            Err(why) => Err(why),
        },
    };
    match done {
        Ok(()) => Redirect::to(&format!("/craft/{craft}")).into_response(),
        Err(why) => {
            let text = format!("{why}. Nothing was recorded.");
            pages.say(visit, StatusCode::BAD_REQUEST, "Not recorded", &[&text])
        }
    }
}

/// The arguments of a command, as a form gives them.
fn typed<A: Args + FromArgMatches>(given: &[Pair], words: &[String]) -> Result<A, String> {
    let command = clap::Command::new("page")
        .no_binary_name(true)
        .disable_help_flag(true);
    let command = A::augment_args(command);
    let mut line = query::flags(given, &command);
    line.push("--".to_owned());
    line.extend_from_slice(words);
    let read = command.try_get_matches_from(line);
    let read = read.and_then(|matches| A::from_arg_matches(&matches));
    read.map_err(|error| {
        let said = error.to_string();
        let first = said.lines().next().unwrap_or_default();
        let first = first.strip_prefix("error: ").unwrap_or(first);
        sponson_show::clean(first)
    })
}

/// Does what a command does, as a member, with nobody at its terminal.
async fn command<T>(
    pages: &Pages,
    member: &str,
    run: impl AsyncFnOnce(&mut Session<'_>) -> Result<T, CountyError>,
) -> Result<(), String> {
    let local = pages.door.local().await.map_err(|it| it.to_string())?;
    let (mut out, mut err, mut input) = (Vec::new(), Vec::new(), std::io::empty());
    let now = pages.door.now().unix_ms;
    let terminal = Terminal::new(&mut out, &mut err, &mut input, Attended::No);
    let mut session = Session::new(local.client(), terminal, member.to_owned(), now);
    let may = pages.clock.of_session(&mut session).await;
    let done = match may {
        Ok(()) => run(&mut session).await.map(|_| ()),
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
