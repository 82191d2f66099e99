//! `log`: what was recorded, by whom, when.

use std::collections::VecDeque;

use clap::Args;
use sponson_proto::event::v1::{Body, Check, Header, Kind};
use sponson_proto::service::v1::{LogLine, LogRequest, RemovedText};
use sponson_readiness::moment::Moment;
use sponson_show::clean;
use sponson_show::table::columns;
use sponson_show::terminal::Exit;
use sponson_show::units::print;

use prost::Message as _;

use crate::assigning::{LISTED, SHOWN, WHY};
use crate::beside::Beside;
use crate::catalogue::{Catalogue, ID_DIGITS_MIN, hex, short_event};
use crate::describe::{describe, fields, kind_words};
use crate::error::CommandError;
use crate::session::Session;
use crate::text_beside::{self, TextBeside};

/// Lines of one page: 1,000 of at most 64 KiB are more than a message may hold, and most events
/// are below 1 KiB.
const PAGE_LINES: u32 = 200;

/// Most lines that are shown at once.
const LINES_MAX: usize = 10_000;

/// Columns of the table; the members' is left out when nobody gave a number.
const HEADERS: [&str; 6] = ["when", "station", "member", "what", "county", "event"];
const MEMBER: usize = 2;
const WHAT: usize = 3;

/// What the mark means.
const BESIDE: &str = "* another station recorded something else without knowing of it; \
                      nobody has settled it: see disagreements";

/// Show what was recorded, newest last; or one event with all its fields.
#[derive(Args, Debug)]
pub struct LogArgs {
    /// A craft, gear, bag or station by number, or an event by its short name; all when not given.
    pub what: Option<String>,
    /// Show at most so many of the newest.
    #[arg(long, default_value_t = 20, value_name = "N")]
    pub last: usize,
}

/// Lists events, or shows one.
///
/// # Errors
/// When a name is not known, or the service fails.
pub async fn run(args: &LogArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let subject = match &args.what {
        None => bytes::Bytes::new(),
        Some(name) => match catalogue.find(&crate::catalogue::ALL_TYPES, name) {
            Ok(entry) => entry.id.clone(),
            Err(_) if looks_like_event(name) => {
                return one_event(name, &catalogue, session).await;
            }
            Err(error) => return Err(error.into()),
        },
    };
    let keep = args.last.clamp(1, LINES_MAX);
    let mut lines = newest(keep, session, subject).await?;
    if lines.is_empty() {
        session.terminal().result("nothing is recorded yet")?;
        return Ok(Exit::Fine);
    }
    let beside = Beside::known(session).await?;
    let lines = lines.make_contiguous();
    let table = marked_table(lines, &catalogue, &beside);
    session.terminal().result(&table)?;
    if lines.iter().any(|line| beside.marks(&line.event_id)) {
        session.terminal().result(BESIDE)?;
    }
    Ok(Exit::Fine)
}

/// Events as a table.
#[must_use]
pub fn table(lines: &[LogLine], catalogue: &Catalogue) -> String {
    marked_table(lines, catalogue, &Beside::default())
}

/// The same, with a mark at those that stand beside others.
fn marked_table(lines: &[LogLine], catalogue: &Catalogue, beside: &Beside) -> String {
    let marked = |line: &LogLine| {
        let mut row = row(line, catalogue);
        if let Some(what) = row.get_mut(WHAT).filter(|_| beside.marks(&line.event_id)) {
            what.insert_str(0, "* ");
        }
        row
    };
    let mut rows: Vec<Vec<String>> = lines.iter().map(marked).collect();
    let mut headers = HEADERS.to_vec();
    if rows
        .iter()
        .all(|row| row.get(MEMBER).is_none_or(String::is_empty))
    {
        headers.remove(MEMBER);
        for row in &mut rows {
            row.remove(MEMBER);
        }
    }
    columns(&headers, &rows)
}

/// The newest lines, newest last.
async fn newest(
    keep: usize,
    session: &mut Session<'_>,
    subject: bytes::Bytes,
) -> Result<VecDeque<LogLine>, CommandError> {
    let mut lines = VecDeque::new();
    pages(session, subject, |page| {
        for line in page.into_iter().rev() {
            lines.push_front(line);
        }
        if lines.len() < keep {
            Older::Wanted
        } else {
            Older::Enough
        }
    })
    .await?;
    lines.drain(..lines.len().saturating_sub(keep));
    Ok(lines)
}

/// The newest event of a kind about one subject.
pub(crate) async fn newest_of(
    wanted: Kind,
    subject: bytes::Bytes,
    session: &mut Session<'_>,
) -> Result<Option<LogLine>, CommandError> {
    let mut found = None;
    pages(session, subject, |page| {
        found = page.into_iter().rev().find(|line| kind(line) == wanted);
        if found.is_some() {
            Older::Enough
        } else {
            Older::Wanted
        }
    })
    .await?;
    Ok(found)
}

/// Whether older pages are wanted.
enum Older {
    Wanted,
    Enough,
}

/// Fetches pages, the newest first; newest last in each.
async fn pages(
    session: &mut Session<'_>,
    subject: bytes::Bytes,
    mut take: impl FnMut(Vec<LogLine>) -> Older,
) -> Result<(), CommandError> {
    let mut page_token = String::new();
    loop {
        let request = LogRequest {
            subject: subject.clone(),
            page_size: PAGE_LINES,
            page_token,
        };
        let reply = session.service().log(request).await?.into_inner();
        let older = take(reply.lines);
        page_token = reply.next_page_token;
        if page_token.is_empty() || matches!(older, Older::Enough) {
            return Ok(());
        }
    }
}

fn looks_like_event(name: &str) -> bool {
    name.len() >= ID_DIGITS_MIN && name.bytes().all(|byte| byte.is_ascii_hexdigit())
}

fn row(line: &LogLine, catalogue: &Catalogue) -> Vec<String> {
    let offset = catalogue.policy().utc_offset_min;
    let received = match line.received_unix_ms {
        None => "waiting".to_owned(),
        Some(_) if !line.unconfirmed.is_empty() => "unconfirmed".to_owned(),
        Some(_) => "received".to_owned(),
    };
    vec![
        print::local(Moment(line.claimed_unix_ms), offset),
        line.station.clone(),
        line.member.clone(),
        what(line, catalogue),
        received,
        short_event(&line.event_id),
    ]
}

/// What an entry says, in words.
#[must_use]
pub fn what(line: &LogLine, catalogue: &Catalogue) -> String {
    let whom = line
        .numbers
        .first()
        .map(|number| clean(number))
        .unwrap_or_default();
    let said = payload(line).map_or_else(
        || kind_words(kind(line)).to_owned(),
        |payload| describe(kind(line), &payload, catalogue),
    );
    let entered = entered_by(line);
    let why = why(line).map(|why| format!(" ({why})")).unwrap_or_default();
    if whom.is_empty() {
        format!("{said}{entered}{why}")
    } else {
        format!("{whom}: {said}{entered}{why}")
    }
}

/// Who entered a check that somebody else had written on paper.
fn entered_by(line: &LogLine) -> String {
    let is_check = kind(line) == Kind::Check && !line.member.is_empty();
    let check = is_check.then(|| payload(line)).flatten();
    let check = check.and_then(|payload| Check::decode(payload).ok());
    if check.is_some_and(|check| !check.checked_by.is_empty()) {
        format!(", entered by {}", clean(&line.member))
    } else {
        String::new()
    }
}

/// Why, where an event was written with it.
fn why(line: &LogLine) -> Option<String> {
    let header = body(line)?.header?;
    match text_beside::text(line, &header, WHY)? {
        TextBeside::Here(why) => Some(clean(&why)),
        TextBeside::Removed(_) | TextBeside::NotHere => None,
    }
}

pub(crate) fn kind(line: &LogLine) -> Kind {
    i32::try_from(line.kind)
        .ok()
        .and_then(|number| Kind::try_from(number).ok())
        .unwrap_or(Kind::Unspecified)
}

pub(crate) fn body(line: &LogLine) -> Option<Body> {
    Body::decode(line.event.as_ref()?.body.clone()).ok()
}

pub(crate) fn payload(line: &LogLine) -> Option<bytes::Bytes> {
    Some(body(line)?.payload)
}

async fn one_event(
    name: &str,
    catalogue: &Catalogue,
    session: &mut Session<'_>,
) -> Result<Exit, CommandError> {
    let line = find_event(name, session).await?;
    let beside = Beside::known(session).await?;
    session.terminal().result(&whole(&line, catalogue))?;
    for text in beside.of(&line.event_id) {
        let said = format!("stands beside, not settled: {text}");
        session.terminal().result(&said)?;
    }
    Ok(Exit::Fine)
}

/// Finds an event by its short name, or more of it.
///
/// # Errors
/// When there is none here, or more than one, or the service fails.
pub async fn find_event(name: &str, session: &mut Session<'_>) -> Result<LogLine, CommandError> {
    let refused = |limit: String| CommandError::Refused {
        field: "event".to_owned(),
        value: clean(name),
        limit,
    };
    let wanted = name.trim_start_matches('#').to_ascii_lowercase();
    if !looks_like_event(&wanted) {
        let limit = "an event is named by at least 8 letters and digits, as log shows them";
        return Err(refused(limit.to_owned()));
    }
    let mut found = Vec::new();
    pages(session, bytes::Bytes::new(), |page| {
        let named = |line: &LogLine| hex(&line.event_id).starts_with(&wanted);
        found.extend(page.into_iter().filter(named));
        Older::Wanted
    })
    .await?;
    let several = found.len();
    match found.pop() {
        Some(line) if several == 1 => Ok(line),
        None => Err(refused(
            "no event here has this name: sync, or look in log".to_owned(),
        )),
        Some(_) => Err(refused(format!(
            "{several} events begin so: give more of it"
        ))),
    }
}

fn whole(line: &LogLine, catalogue: &Catalogue) -> String {
    let offset = catalogue.policy().utc_offset_min;
    let at = |ms| {
        format!(
            "{} {}",
            print::local(Moment(ms), offset),
            print::offset(offset)
        )
    };
    let mut rows = vec![
        ("event", hex(&line.event_id)),
        ("what", what(line, catalogue)),
        ("recorded at", at(line.claimed_unix_ms)),
        ("station", clean(&line.station)),
        ("member", clean(&line.member)),
        ("place in its chain", line.seq.to_string()),
        (
            "county",
            line.received_unix_ms
                .map_or_else(|| "waiting".to_owned(), |ms| format!("received {}", at(ms))),
        ),
    ];
    if !line.unconfirmed.is_empty() {
        rows.push(("unconfirmed", clean(&line.unconfirmed)));
    }
    let numbers: Vec<String> = line.numbers.iter().map(|number| clean(number)).collect();
    rows.push(("about", numbers.join(", ")));
    let header = body(line).and_then(|body| body.header).unwrap_or_default();
    if let Some(observed) = header.observed {
        let (from, to) = (at(observed.from_unix_ms), at(observed.to_unix_ms));
        let when = if from == to {
            from
        } else {
            format!("{from} to {to}")
        };
        rows.push(("observed", when));
    }
    let mut text: Vec<String> = rows
        .into_iter()
        .filter(|(_, value)| !value.is_empty())
        .map(|(name, value)| format!("{name}: {value}"))
        .collect();
    if let Some(payload) = payload(line) {
        text.push(String::new());
        text.extend(fields(kind(line), &payload, catalogue));
    }
    text.extend(notes(line, &header, offset));
    text.extend(pictures(line, &header, offset));
    text.join("\n")
}

/// Of a text that is not here.
pub(crate) const NOT_HERE: &str = "not held here: it came without its text";

/// Of a text that the lead had removed.
pub(crate) fn removed_words(removed: &RemovedText, offset: i32) -> String {
    format!(
        "text removed by the lead on {} (event {})",
        print::local_day(Moment(removed.unix_ms), offset),
        short_event(&removed.by)
    )
}

/// Pictures beside the event, by the short names of their files.
fn pictures(line: &LogLine, header: &Header, offset: i32) -> Vec<String> {
    let pictures = text_beside::pictures(line, header);
    let said = pictures.map(|(committed, removed)| {
        let name = match committed.belongs_to.as_str() {
            "" => "picture".to_owned(),
            other => format!("picture of {}", clean(&other.replacen(':', " ", 1))),
        };
        let what = removed.map_or_else(
            || format!("{}, {} bytes", hex(&committed.commitment), committed.size),
            |removed| removed_words(removed, offset).replacen("text", "picture", 1),
        );
        format!("{name}: {what}")
    });
    said.collect()
}

/// Texts beside the event, each with what it belongs to; of those that are not here, why not. Whole
/// pages that were shown are shown again by another command.
fn notes(line: &LogLine, header: &Header, offset: i32) -> Vec<String> {
    let texts = text_beside::texts(line, header);
    let note = |(belongs_to, text): (&str, TextBeside<'_>)| {
        let page = [SHOWN, LISTED].contains(&belongs_to);
        let said = match text {
            TextBeside::Here(text) if page => {
                let lines = print::count(i64::try_from(text.lines().count()).unwrap_or(0), "line");
                let event = short_event(&line.event_id);
                format!("{lines}, shown again by 'sent {event}'")
            }
            TextBeside::Here(text) => clean(&text),
            TextBeside::Removed(removed) => removed_words(removed, offset),
            TextBeside::NotHere => NOT_HERE.to_owned(),
        };
        let name = match belongs_to {
            "" => "note".to_owned(),
            WHY => "why".to_owned(),
            SHOWN => "report that was shown".to_owned(),
            LISTED => "candidates that were listed".to_owned(),
            other => format!("note on {}", clean(&other.replacen(':', " ", 1))),
        };
        format!("{name}: {said}")
    };
    texts.map(note).collect()
}
