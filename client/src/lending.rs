//! Loose kit that goes from one craft, shelf, store or bag to another, for whoever records it: the
//! command, or a page of the station.
//!
//! There is no event of its own for it: what is true afterwards is what is counted at both ends. So
//! both are counted and recorded together, the giver first: a cut between the two leaves a unit in
//! neither place, and never in both. Each has a note that names the other.

use std::collections::BTreeMap;

use bytes::Bytes;
use sponson_proto::event::v1::{Kind, StockCounted, SubjectType};
use sponson_proto::service::v1::{AppendSubject, AppendText, CatalogueEntry, LogLine};
use sponson_readiness::dates::day;
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::Standard;
use sponson_show::clean;

use crate::assigning::WHY;
use crate::catalogue::{Catalogue, short_event, subject};
use crate::check_file::{
    BuiltCheck, CheckFile, CheckFileError, CountLine, Extent, build, spares_counted,
};
use crate::commands::log;
use crate::error::CommandError;
use crate::near::{near, plain};
use crate::session::{Record, Session};
use crate::text_beside::{self, TextBeside};

/// How the text beside a count begins at the giver, and at the taker.
const LENT_TO: &str = "lent to";
const LENT_BY: &str = "lent by";

/// Where loose kit can be.
pub const ENDS: [SubjectType; 4] = [
    SubjectType::Craft,
    SubjectType::Shelf,
    SubjectType::Station,
    SubjectType::Bag,
];

/// What was handed over, as it was counted at both ends afterwards.
#[derive(Clone, Debug, Default)]
pub struct Lent {
    /// Number of the giver.
    pub from: String,
    /// Number of the taker.
    pub to: String,
    /// Line of the boat standards.
    pub item: String,
    /// Counted at the giver.
    pub left: CountLine,
    /// Counted at the taker.
    pub there: CountLine,
    /// Anything else, in words.
    pub note: Option<String>,
}

/// One end, ready to be recorded.
enum Half {
    /// A check of a craft.
    Check(Box<BuiltCheck>),
    /// A count of a store, a shelf or a bag on no craft.
    Stock(AppendSubject, StockCounted),
}

impl Half {
    /// The line that was counted.
    fn item(&self) -> &str {
        let counts = match self {
            Self::Check(built) => &built.check.counts,
            Self::Stock(_, message) => &message.counts,
        };
        counts.first().map_or("", |count| count.item.as_str())
    }
}

/// A count that was recorded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Counted {
    /// Its event.
    pub event: Bytes,
    /// What it says, in words.
    pub said: String,
}

/// Records both counts, once both can be; the giver's first.
///
/// # Errors
/// When an end or the line is not known, a count cannot be, or the service refuses: then nothing was
/// recorded, unless the words say so.
pub async fn lend(lent: &Lent, session: &mut Session<'_>) -> Result<[Counted; 2], CommandError> {
    let catalogue = session.catalogue().await?;
    let now = Moment(session.now_unix_ms());
    let from = catalogue.find(&ENDS, &lent.from)?;
    let to = catalogue.find(&ENDS, &lent.to)?;
    if from.id == to.id {
        return Err(CommandError::Refused {
            field: "TO".to_owned(),
            value: clean(&to.number),
            limit: "that is who gave it: give the other end".to_owned(),
        });
    }
    let giver = half(("left", from), (&lent.item, &lent.left), &catalogue, now)?;
    let taker = half(("there", to), (&lent.item, &lent.there), &catalogue, now)?;
    let item = giver.item().to_owned();
    let why = |words: &str, other: &CatalogueEntry, more: &str| {
        format!("{words} {}: {item}{more}", other.number)
    };
    let note = lent.note.as_deref();
    let first = record(from, giver, (why(LENT_TO, to, ""), note), session).await?;
    let beside = format!(", event {}", short_event(&first.event));
    let second = why(LENT_BY, from, &beside);
    let second = record(to, taker, (second, note), session)
        .await
        .map_err(|error| CommandError::Refused {
            field: "there".to_owned(),
            value: "not recorded".to_owned(),
            limit: format!(
                "the count at {} was (event {}): count at {} and record it by itself. {error}",
                clean(&from.number),
                short_event(&first.event),
                clean(&to.number)
            ),
        })?;
    Ok([first, second])
}

/// The count at one end; `field` is how it is called in refusals.
fn half(
    (field, at): (&str, &CatalogueEntry),
    (item, line): (&str, &CountLine),
    catalogue: &Catalogue,
    now: Moment,
) -> Result<Half, CommandError> {
    let on_craft = match at.r#type() {
        SubjectType::Craft => Some(at),
        SubjectType::Bag => catalogue.by_id(&at.craft),
        SubjectType::Gear
        | SubjectType::Shelf
        | SubjectType::Station
        | SubjectType::Unspecified
        | SubjectType::County
        | SubjectType::Member => None,
    };
    let Some(craft) = on_craft else {
        return stock((field, at), (item, line), catalogue, now);
    };
    let bag = (at.r#type() == SubjectType::Bag).then(|| at.number.clone());
    let line = CountLine {
        bag,
        ..line.clone()
    };
    let file = CheckFile {
        craft: catalogue.asked(craft),
        extent: Extent::Part,
        counts: [(item.to_owned(), line)].into(),
        ..CheckFile::default()
    };
    let built = build(&file, catalogue, now).map_err(|error| of_end(field, error))?;
    Ok(Half::Check(Box::new(built)))
}

fn stock(
    (field, at): (&str, &CatalogueEntry),
    (item, line): (&str, &CountLine),
    catalogue: &Catalogue,
    now: Moment,
) -> Result<Half, CommandError> {
    let sheets: Vec<Standard> = catalogue
        .standards()
        .filter_map(|held| Standard::parse(&held.text).ok())
        .collect();
    let items = || sheets.iter().flat_map(|sheet| &sheet.items);
    let wanted = plain(item);
    let known = items().find(|known| plain(known.id.as_str()) == wanted);
    let known = known.ok_or_else(|| {
        let close = near(item, items().map(|known| known.id.as_str()));
        CommandError::Refused {
            field: "ITEM".to_owned(),
            value: clean(item),
            limit: match close.as_slice() {
                [] => "no boat standard in force has such a line".to_owned(),
                close => format!(
                    "no boat standard has it; did you mean {}?",
                    close.join(", ")
                ),
            },
        }
    })?;
    let on = day(now, catalogue.policy().utc_offset_min);
    let life = known.dated.and_then(|dated| dated.life_months);
    let count = spares_counted(field, (known.id.as_str(), line), life, on);
    let counts = vec![count.map_err(|error| of_end(field, error))?];
    Ok(Half::Stock(subject(at), StockCounted { counts }))
}

/// A refusal in the words of a count at an end, not of a check file.
fn of_end(field: &str, error: CheckFileError) -> CheckFileError {
    let named = |place: String| {
        let (table, last) = place.rsplit_once('.').unwrap_or(("", place.as_str()));
        match last {
            "count" => format!("--{field}"),
            "dates" => format!("--{field}-dates"),
            _ if table.is_empty() => place,
            _ => "ITEM".to_owned(),
        }
    };
    match error {
        CheckFileError::Value {
            place,
            value,
            limit,
        } => CheckFileError::Value {
            place: named(place),
            value,
            limit,
        },
        CheckFileError::Name { place, what } => CheckFileError::Name {
            place: named(place),
            what,
        },
        CheckFileError::Quantity(said) => {
            let end = said.find([' ', ':']).unwrap_or(said.len());
            let (place, rest) = said.split_at(end);
            CheckFileError::Quantity(format!("{}{rest}", named(place.to_owned())))
        }
        CheckFileError::Unreadable(_) | CheckFileError::OtherCraft { .. } => error,
    }
}

/// What stands beside a count: why, and what else was said.
fn texts(why: String, note: Option<&str>) -> Vec<AppendText> {
    let text = |belongs_to: &str, text: String| AppendText {
        belongs_to: belongs_to.to_owned(),
        text,
    };
    let note = note.map(|note| text("", note.to_owned()));
    std::iter::once(text(WHY, why)).chain(note).collect()
}

async fn record(
    at: &CatalogueEntry,
    half: Half,
    (why, note): (String, Option<&str>),
    session: &mut Session<'_>,
) -> Result<Counted, CommandError> {
    let beside = texts(why.clone(), note);
    let (what, event) = match half {
        Half::Check(built) => {
            let record = Record {
                subjects: built.subjects,
                observed: None,
                pictures: Vec::new(),
                texts: [built.texts, beside].concat(),
            };
            let event = session.record(Kind::Check, &built.check, record).await?;
            ("counted in part of a check", event)
        }
        Half::Stock(at, message) => {
            let record = Record {
                subjects: vec![at],
                observed: None,
                pictures: Vec::new(),
                texts: beside,
            };
            let event = session.record(Kind::StockCounted, &message, record).await?;
            ("spares counted", event)
        }
    };
    let said = format!("{}: {what}, {}", clean(&at.number), clean(&why));
    Ok(Counted { event, said })
}

/// Kit that is at another craft, shelf or store than its own, as far as entries say so.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Away {
    /// Whose it is.
    pub from: String,
    /// Who has it.
    pub to: String,
    /// Line of the boat standards.
    pub item: String,
}

/// What was lent to or by one craft and was not brought back, by its entries, the oldest first.
///
/// It reads the notes beside them, so it is no more than a reminder: what counts is what was counted.
#[must_use]
pub fn away(own: &str, lines: &[LogLine]) -> Vec<Away> {
    let mut open: BTreeMap<(String, String), i64> = BTreeMap::new();
    for line in lines {
        let Some((other, item, went)) = lent_so(line) else {
            continue;
        };
        let held = open.entry((other, item)).or_default();
        *held += went;
    }
    let away = open.into_iter().filter_map(|((other, item), held)| {
        let (from, to) = match held {
            0 => return None,
            1.. => (own.to_owned(), other),
            _ => (other, own.to_owned()),
        };
        Some(Away { from, to, item })
    });
    away.collect()
}

/// The other end and the line of an entry about lending; 1 where it went there, -1 where it came.
fn lent_so(line: &LogLine) -> Option<(String, String, i64)> {
    let header = log::body(line)?.header?;
    let TextBeside::Here(why) = text_beside::text(line, &header, WHY)? else {
        return None;
    };
    read_why(&why)
}

fn read_why(why: &str) -> Option<(String, String, i64)> {
    let (rest, went) = match (why.strip_prefix(LENT_TO), why.strip_prefix(LENT_BY)) {
        (Some(rest), _) => (rest, 1),
        (None, Some(rest)) => (rest, -1),
        (None, None) => return None,
    };
    let (other, rest) = rest.trim().rsplit_once(": ")?;
    let item = rest.split(',').next()?;
    Some((other.to_owned(), item.to_owned(), went))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_note_says_of_lending_is_read_back() {
        for (why, read) in [
            (
                "lent to Boat 4: throw-bag",
                Some(("Boat 4", "throw-bag", 1)),
            ),
            (
                "lent by Boat 3: throw-bag, event 1a2b3c4d",
                Some(("Boat 3", "throw-bag", -1)),
            ),
            ("lent to Shelf: 2: oar", Some(("Shelf: 2", "oar", 1))),
            ("a drill", None),
            ("lent to nobody", None),
        ] {
            let read = read.map(|(other, item, went)| (other.to_owned(), item.to_owned(), went));
            assert_eq!(read_why(why), read, "{why}");
        }
    }
}
