//! The record for a terminal: at most 80 columns, the first look first, then every entry.

use super::{CraftRecord, RecordEntry, RecordText, or_none, what_is_shown};
use crate::clean::clean;
use crate::table::lines::Lines;

/// Lines of a text that are shown: notes have some, a report that was shown has many.
const LINES_MAX: usize = 12;

/// The record as text.
#[must_use]
pub fn record_report(record: &CraftRecord) -> String {
    let mut lines = Lines::default();
    head(&mut lines, record);
    section(&mut lines, "At a glance", &record.glance);
    let open = record.open_faults.iter();
    let open: Vec<String> = open
        .map(|it| format!("{} ({}), found {}", it.words, it.fault, it.found))
        .collect();
    section(&mut lines, "Open faults", &open);
    section(&mut lines, "Stations differ", &record.disagreements);
    concluded(&mut lines, record);
    let stood = record.stood.iter();
    let stood: Vec<String> = stood
        .map(|it| format!("from {}: {}", it.from, it.place))
        .collect();
    section(&mut lines, "Where it stood", &stood);
    lines.blank();
    lines.wrapped("", 0, "Entries, in the order in which they happened");
    for entry in &record.entries {
        lines.blank();
        one(&mut lines, entry);
    }
    if record.entries.is_empty() {
        lines.wrapped("  ", 2, "nothing is recorded of it in this time");
    }
    sheets(&mut lines, record);
    foot(&mut lines, record);
    lines.into_text()
}

fn head(lines: &mut Lines, record: &CraftRecord) {
    let name = record.name();
    lines.wrapped("", 0, &format!("Record of {name}, {}", record.period.words));
    let made = &record.made;
    lines.wrapped(
        "",
        0,
        &format!("Made {} by {}", made.words, clean(&made.by)),
    );
    lines.wrapped("", 0, &rests(record));
    for note in &record.log.notes {
        lines.wrapped("note: ", 6, &clean(note));
    }
    lines.wrapped("", 0, &record.caution);
    lines.blank();
    if record.craft.numbers.len() > 1 {
        let numbers: Vec<String> = record.craft.numbers.iter().map(|it| clean(it)).collect();
        lines.wrapped("  numbers: ", 4, &numbers.join(", "));
    }
    for fact in &record.craft.facts {
        lines.wrapped(
            &format!("  {}: ", clean(&fact.name)),
            4,
            &clean(&fact.value),
        );
    }
    lines.wrapped("  id: ", 4, &record.craft.ids.join(", "));
}

/// What it rests on, in a sentence.
pub(super) fn rests(record: &CraftRecord) -> String {
    let log = &record.log;
    let then = if log.as_known_then {
        ", as it was known then"
    } else {
        ""
    };
    let beyond = match log.beyond {
        0 => String::new(),
        some => format!("; {some} of its entries are not yet at the county"),
    };
    match &log.id {
        None => "Nothing of the county log is held here, so nothing in it is proven".to_owned(),
        Some(_) => format!(
            "Rests on {} entries of the county log{then}{beyond}; rules version {}",
            log.size, record.made.engine
        ),
    }
}

fn section(lines: &mut Lines, title: &str, all: &[String]) {
    if all.is_empty() {
        return;
    }
    lines.blank();
    lines.wrapped("", 0, title);
    for one in all {
        lines.wrapped("  - ", 4, &clean(one));
    }
}

fn concluded(lines: &mut Lines, record: &CraftRecord) {
    let Some(concluded) = &record.concluded else {
        return;
    };
    let title = format!("Judged for {}: {}", concluded.as_of, concluded.words);
    section(lines, &title, &concluded.why);
    if concluded.why.is_empty() {
        lines.blank();
        lines.wrapped("", 0, &title);
    }
}

fn one(lines: &mut Lines, entry: &RecordEntry) {
    let head = format!("{}: {}", clean(&entry.about), clean(&entry.what));
    lines.wrapped(
        &format!("{}. ", entry.number),
        4,
        &format!("{}  {head}", entry.when),
    );
    for mark in &entry.marks {
        lines.wrapped("    ! ", 6, &clean(mark));
    }
    for fact in &entry.facts {
        lines.wrapped(
            &format!("    {}: ", clean(&fact.name)),
            6,
            &clean(&fact.value),
        );
    }
    for (name, value) in beside(entry) {
        lines.wrapped(&format!("    {name}: "), 6, &value);
    }
    lines.wrapped("    by ", 6, &signer(entry));
    lines.wrapped("    entry ", 6, &place(entry));
}

/// Texts and pictures, by what they belong to.
pub(super) fn beside(entry: &RecordEntry) -> Vec<(String, String)> {
    let texts = entry.texts.iter().map(|it| {
        if let Some(lines) = long(it) {
            return (clean(&it.of), lines);
        }
        let said = it
            .text
            .as_deref()
            .map_or_else(|| it.not_here.clone(), clean);
        (clean(&it.of), said)
    });
    let pictures = entry.pictures.iter().map(|it| {
        let said = if it.removed.is_empty() {
            format!("{} bytes, SHA-256 {}", it.bytes, it.sha256)
        } else {
            it.removed.clone()
        };
        (clean(&it.of), said)
    });
    texts.chain(pictures).collect()
}

/// A whole page that was shown then is not shown again here: how long it is.
fn long(text: &RecordText) -> Option<String> {
    let lines = text.text.as_ref()?.lines().count();
    (lines > LINES_MAX).then(|| {
        format!("{lines} lines, in the JSON form of this record; shown again by the command 'sent'")
    })
}

/// Who signed, and as which of its entries.
pub(super) fn signer(entry: &RecordEntry) -> String {
    let by = &entry.signed_by;
    let station = match clean(&by.station) {
        none if none.is_empty() => "a device that the county has not let in".to_owned(),
        station => station,
    };
    let device = match clean(&by.device) {
        none if none.is_empty() || none == station => String::new(),
        device => format!(", device '{device}'"),
    };
    let member = clean(&by.member);
    format!("{station}{device}, member {}", or_none(&member))
}

/// The entry's name and its place in the county log.
pub(super) fn place(entry: &RecordEntry) -> String {
    let name: String = entry.event.chars().take(12).collect();
    match entry.place {
        Some(place) => format!(
            "{name}, number {place} of the county log, {}",
            entry.received
        ),
        None => format!("{name}, {}", entry.received),
    }
}

fn sheets(lines: &mut Lines, record: &CraftRecord) {
    let sheets = record.sheets.iter();
    let sheets: Vec<String> = sheets
        .map(|it| {
            let name: String = it.event.chars().take(12).collect();
            format!("{}, adopted {} (entry {name})", it.what, it.adopted)
        })
        .collect();
    section(lines, "Boat standards and policies", &sheets);
}

fn foot(lines: &mut Lines, record: &CraftRecord) {
    lines.blank();
    if record.left_out > 0 {
        let left = format!("{} entries lie outside of the period", record.left_out);
        lines.wrapped("", 0, &left);
    }
    let (shows, not) = what_is_shown();
    lines.wrapped(
        "",
        0,
        "Written with --signed FILE, the record can be checked by anybody: sponson verify --record \
         FILE. The file shows",
    );
    for one in shows {
        lines.wrapped("  - ", 4, one);
    }
    lines.wrapped("", 0, "It does not show");
    for one in not {
        lines.wrapped("  - ", 4, one);
    }
}
