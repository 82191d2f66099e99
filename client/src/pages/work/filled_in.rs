//! A form of work as it came in: recorded as its command does, or shown again with what was wrong.

use std::fmt::Write as _;
use std::sync::Arc;

use axum::http::StatusCode;
use axum::response::{Html, IntoResponse as _, Redirect, Response};
use data_encoding::HEXLOWER;
use maud::{Markup, html};
use sha2::{Digest as _, Sha256};
use sponson_show::clean;
use sponson_show::html::station::station_frame_with;
use sponson_show::html::station::work::{Kept, WorkPage};
use sponson_show::html::{Fault, FormValues, Standing};
use sponson_show::terminal::{Attended, Terminal};

use super::moves::name_of;
use super::pressed::{Done, is_name};
use super::script;
use crate::catalogue::{ALL_TYPES, Catalogue, short_event};
use crate::error::CommandError;
use crate::filled::{self, Pair};
use crate::pages::state::{NotShown, Pages};
use crate::session::Session;
use crate::web::visit::Visit;

/// Fields of every form that are for the page alone.
pub(super) const OF_THE_PAGE: [&str; 5] = ["token", "once", "back", "kept", "observed"];

/// Bytes of the name of a form's copy: that two of one station's day share it has a chance of
/// 300² / 2 / 2^64.
const ONCE_BYTES: usize = 8;

/// What a page of work shows beside what it knows.
pub(super) struct Filled {
    /// What stood in the fields, and what was wrong.
    pub(super) form: FormValues,
    /// The same as it came.
    pub(super) given: Vec<Pair>,
    status: StatusCode,
    done: Arc<Done>,
}

/// Why a form recorded nothing, or not all.
pub(super) enum Failed {
    /// Fields that cannot be.
    Fields(Vec<Fault>),
    /// What the command said, and what it had recorded before.
    Command(CommandError, Done),
}

impl From<Vec<Fault>> for Failed {
    fn from(faults: Vec<Fault>) -> Self {
        Self::Fields(faults)
    }
}

impl Filled {
    /// A page that is asked for: its address may fill fields in, and names what was done just now.
    pub(super) async fn asked(pages: &Pages, query: Option<&str>) -> Self {
        let given = pairs(query.unwrap_or_default());
        let done = pages
            .pressed
            .alone()
            .await
            .of(filled::value(&given, "kept"));
        Self {
            form: FormValues::of(given.clone()),
            given,
            status: StatusCode::OK,
            done: done.unwrap_or_default(),
        }
    }

    /// A form that was not recorded.
    pub(super) fn refused(given: Vec<Pair>, failed: Failed) -> Self {
        let (faults, done) = match failed {
            Failed::Fields(faults) => (faults, Done::default()),
            Failed::Command(error, done) => (vec![filled::refused(&error, &given)], done),
        };
        Self {
            form: FormValues::of(given.clone()).refused(faults),
            given,
            status: StatusCode::BAD_REQUEST,
            done: Arc::new(done),
        }
    }

    /// A form about which something is asked first.
    pub(super) fn asked_back(given: Vec<Pair>) -> Self {
        Self {
            form: FormValues::of(given.clone()),
            given,
            status: StatusCode::OK,
            done: Arc::default(),
        }
    }

    /// The value of a field; empty when it was not given.
    pub(super) fn value(&self, field: &str) -> &str {
        filled::value(&self.given, field)
    }

    /// The same, where a field names a thing by its id, with the name that the form has for it.
    pub(super) fn with_numbers(mut self, fields: &[&str], known: &Catalogue) -> Self {
        for (_, value) in self
            .given
            .iter_mut()
            .filter(|(name, _)| fields.contains(&name.as_str()))
        {
            if value.starts_with('#')
                && let Ok(entry) = known.find(&ALL_TYPES, value)
            {
                *value = name_of(known, entry);
            }
        }
        let faults = self.form.faults().to_vec();
        self.form = FormValues::of(self.given.clone()).refused(faults);
        self
    }

    /// The page around a body.
    pub(super) async fn page(
        self,
        (pages, visit): (&Pages, &Visit),
        (path, title): (&str, &str),
        body: impl FnOnce(&WorkPage<'_>) -> Markup,
    ) -> Response {
        let facts = match pages.facts(visit, path).await {
            Ok(facts) => facts,
            Err(why) => return pages.not_shown(visit, &why),
        };
        let all_sent = facts.sync.waiting == 0;
        let kept: Vec<Kept> = self
            .done
            .kept
            .iter()
            .cloned()
            .map(|one| sent(one, all_sent))
            .collect();
        let once = HEXLOWER.encode(&pages.door.draw::<ONCE_BYTES>());
        let page = WorkPage {
            token: facts.page.token.as_deref(),
            member: facts.member.as_deref(),
            here: path,
            once: &once,
            kept: &kept,
            form: &self.form,
        };
        let body = html! {
            (body(&page))
            @if !self.done.notes.is_empty() {
                section aria-labelledby="said" {
                    h2 id="said" { "Said about it" }
                    ul { @for note in &self.done.notes { li { (clean(note)) } } }
                }
            }
        };
        let place = script::place().path;
        let text = station_frame_with(title, &facts, &[&place], &body);
        (self.status, Html(text)).into_response()
    }
}

/// What was waiting is no more, once nothing waits.
fn sent(one: Kept, all_sent: bool) -> Kept {
    let standing = if all_sent {
        Standing::Received
    } else {
        one.standing
    };
    Kept { standing, ..one }
}

/// Does what a command does for a form, once however often its button is pressed; gives the name
/// under which the next page finds what was done.
pub(super) async fn press(
    pages: &Pages,
    member: &str,
    given: &[Pair],
    run: impl AsyncFnOnce(&mut Session<'_>) -> Result<(), CommandError>,
) -> Result<String, Failed> {
    let mut presses = pages.pressed.alone().await;
    let copy = filled::value(given, "once");
    let copy = if is_name(copy) {
        copy.to_owned()
    } else {
        HEXLOWER.encode(&pages.door.draw::<ONCE_BYTES>())
    };
    let name = format!("{copy}{}", content(given));
    if presses.of(&name).is_some() {
        return Ok(name);
    }
    let observed = filled::value(given, "observed");
    let (ended, done) = recorded(pages, member, observed, run).await;
    match ended {
        Ok(()) => {
            presses.keep(&name, done);
            Ok(name)
        }
        Err(error) => Err(Failed::Command(error, done)),
    }
}

/// What stands in a form, in few digits: a page has several forms, and one that was filled in anew
/// is another press.
fn content(given: &[Pair]) -> String {
    let all = given.iter().filter(|(name, _)| name != "token");
    let hash = all.fold(Sha256::new(), |hash, (name, value)| {
        hash.chain_update(name.len().to_le_bytes())
            .chain_update(name)
            .chain_update(value.len().to_le_bytes())
            .chain_update(value)
    });
    let digits = HEXLOWER.encode(&hash.finalize());
    digits.chars().take(2 * ONCE_BYTES).collect()
}

async fn recorded(
    pages: &Pages,
    member: &str,
    observed: &str,
    run: impl AsyncFnOnce(&mut Session<'_>) -> Result<(), CommandError>,
) -> (Result<(), CommandError>, Done) {
    let local = match pages.door.local().await {
        Ok(local) => local,
        Err(error) => return (Err(error.into()), Done::default()),
    };
    let (mut out, mut err, mut input) = (Vec::new(), Vec::new(), std::io::empty());
    let now = pages.door.now().unix_ms;
    let terminal = Terminal::new(&mut out, &mut err, &mut input, Attended::No);
    let mut session = Session::new(local.client(), terminal, member.to_owned(), now);
    let when = match observed {
        "" => Ok(()),
        text => session.set_observed(text).await,
    };
    let ended = match when {
        Ok(()) => run(&mut session).await,
        Err(error) => Err(error),
    };
    let events: Vec<String> = session.events().iter().map(|id| short_event(id)).collect();
    drop(session);
    local.close().await;
    (ended, done(&events, &out, &err))
}

/// What was said of each event, and what else was.
fn done(events: &[String], out: &[u8], err: &[u8]) -> Done {
    let out = String::from_utf8_lossy(out);
    let mut notes: Vec<String> = Vec::new();
    let mut kept: Vec<Kept> = Vec::new();
    for line in out.lines().filter(|line| !line.trim().is_empty()) {
        let is_new = |event: &&String| {
            line.contains(event.as_str()) && kept.iter().all(|one| one.event != **event)
        };
        match events.iter().find(is_new) {
            Some(event) => kept.push(Kept {
                event: event.clone(),
                what: line.replace(&format!(" (event {event})"), ""),
                standing: Standing::Waiting,
            }),
            None => notes.push(line.to_owned()),
        }
    }
    let err = String::from_utf8_lossy(err);
    notes.extend(
        err.lines()
            .filter(|it| !it.trim().is_empty())
            .map(str::to_owned),
    );
    Done { kept, notes }
}

/// On to the page that says what was done.
pub(super) fn on_to(path: &str, name: &str) -> Response {
    let gap = if path.contains('?') { '&' } else { '?' };
    Redirect::to(&format!("{path}{gap}kept={name}")).into_response()
}

/// The page of what could not be shown.
pub(super) fn not_shown(pages: &Pages, visit: &Visit, why: impl Into<NotShown>) -> Response {
    pages.not_shown(visit, &why.into())
}

/// The pairs of an address; none where it holds what is no text.
fn pairs(query: &str) -> Vec<Pair> {
    let uri = format!("/?{query}").parse::<axum::http::Uri>().ok();
    let pairs = uri.and_then(|uri| axum::extract::Query::<Vec<Pair>>::try_from_uri(&uri).ok());
    let mut pairs = pairs.map(|it| it.0).unwrap_or_default();
    pairs.truncate(filled::PAIRS_MAX);
    pairs
}

/// A value as an address holds it.
pub(super) fn escaped(text: &str) -> String {
    let mut all = String::new();
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-_.~".contains(&byte) {
            all.push(char::from(byte));
        } else {
            // Writing to a String cannot fail.
            let _ = write!(all, "%{byte:02X}");
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_command_said_is_told_by_its_events() {
        let events = ["1a2b3c4d".to_owned(), "5e6f7a8b".to_owned()];
        let out = b"Boat 3: leak at tube-2: fault 1a2b3c4d-0\nB3: now at Boat 3, event 1a2b3c4d (event 5e6f7a8b)\nstill open: 1a2b3c4d-0\n";
        let done = done(&events, out, b"the clock is off\n");
        let said: Vec<&str> = done.kept.iter().map(|one| one.what.as_str()).collect();
        assert_eq!(
            said,
            [
                "Boat 3: leak at tube-2: fault 1a2b3c4d-0",
                "B3: now at Boat 3, event 1a2b3c4d"
            ]
        );
        assert_eq!(done.notes, ["still open: 1a2b3c4d-0", "the clock is off"]);
    }

    #[test]
    fn an_address_is_read_and_written() {
        assert_eq!(
            pairs("a=b%20c&d="),
            [("a".into(), "b c".into()), ("d".into(), String::new())]
        );
        // What is no text is read as far as it is one: it is held against the command's own words then.
        assert_eq!(pairs("a=%FF"), [("a".into(), "\u{fffd}".into())]);
        assert_eq!(escaped("#1a/B 3"), "%231a%2FB%203");
    }
}
