//! Doing what a command does, for a form: as a member, with nobody at its terminal.
//!
//! The station's key signs it: the log proves the device, and the number is what was said there.

use axum::http::StatusCode;
use axum::response::Response;
use sponson_show::terminal::{Attended, Terminal};

use super::state::Pages;
use crate::error::CommandError;
use crate::session::Session;
use crate::web::enter::not_proven;
use crate::web::visit::Visit;

/// Values of a form, in its order.
pub(super) type Pair = (String, String);

/// The first value of a field; empty when it is not there.
pub(super) fn value<'a>(form: &'a [Pair], field: &str) -> &'a str {
    let mut pairs = form.iter();
    pairs
        .find(|(name, _)| name == field)
        .map_or("", |(_, value)| value.as_str())
}

/// Who records, when the form is of this session or this machine; else the page that says why
/// nothing was recorded.
pub(super) fn recorder(
    pages: &Pages,
    visit: &Visit,
    form: &[Pair],
) -> Result<String, Box<Response>> {
    if !visit.is_ours(value(form, "token")) {
        return Err(Box::new(not_proven(&pages.front, visit)));
    }
    visit.member().ok_or_else(|| {
        let text = "Say who you are first: nothing was recorded.";
        Box::new(pages.say(visit, StatusCode::FORBIDDEN, "Who are you?", &[text]))
    })
}

/// Does what a command does.
///
/// # Errors
/// When the command fails, or the local service cannot be reached.
pub(super) async fn command<T>(
    pages: &Pages,
    member: &str,
    run: impl AsyncFnOnce(&mut Session<'_>) -> Result<T, CommandError>,
) -> Result<T, CommandError> {
    let local = pages.door.local().await?;
    let (mut out, mut err, mut input) = (Vec::new(), Vec::new(), std::io::empty());
    let now = pages.door.now().unix_ms;
    let terminal = Terminal::new(&mut out, &mut err, &mut input, Attended::No);
    let mut session = Session::new(local.client(), terminal, member.to_owned(), now);
    let done = run(&mut session).await;
    drop(session);
    local.close().await;
    done
}
