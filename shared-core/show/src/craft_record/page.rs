//! The record as a page: on the county's server, and as a file that needs nothing beside itself.
//! Printed, each sheet says at its head of which craft and time it is and what it rests on; no entry
//! is split between two sheets where it fits on one.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::text::{beside, place, rests, signer};
use super::{CraftRecord, Fact, RecordEntry, RecordSignature, what_is_shown};
use crate::clean::clean;
use crate::html::{PageFacts, frame};

/// Style of the record: a part of the sheet of every page, and within the file.
pub const RECORD_STYLE: &str = include_str!("record.css");

/// The sheet of paper, for the file that stands by itself: as the pages of a server have it.
const PAPER: &str = "@media print { @page { margin: 14mm 12mm 18mm; \
    @bottom-left { content: \"Advice only: local procedure, the maker's manual and the person in charge decide.\"; font: 8pt sans-serif; } \
    @bottom-right { content: \"Page \" counter(page) \" of \" counter(pages); font: 8pt sans-serif; } } }";

/// What the county's page offers beside the record.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RecordOffers {
    /// Where the craft's own page is.
    pub craft_href: String,
    /// Where the signed file is.
    pub file_href: String,
    /// What stood in the fields: from, until, known-by.
    pub fields: [String; 3],
}

/// The record as a page of the server.
#[must_use]
pub fn record_page(
    record: &CraftRecord,
    signature: &RecordSignature,
    facts: &PageFacts,
    offers: &RecordOffers,
) -> String {
    let title = format!("Record of {}", record.name());
    frame(&title, facts, &body(record, signature, Some(offers)))
}

/// The record as a file that needs nothing beside itself.
#[must_use]
pub fn record_file(record: &CraftRecord, signature: &RecordSignature) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'";
                title { "Record of " (record.name()) " - Sponson" }
                style { (PreEscaped(RECORD_STYLE)) (PreEscaped(PAPER)) }
            }
            body { main { (body(record, signature, None)) } }
        }
    };
    page.into_string()
}

/// The head of each printed sheet is that of a table of one column: browsers repeat it.
fn body(
    record: &CraftRecord,
    signature: &RecordSignature,
    offers: Option<&RecordOffers>,
) -> Markup {
    html! {
        article.record {
            table.record-sheet role="presentation" {
                thead { tr { td { (running(record)) } } }
                tbody { tr { td {
                    (head(record, offers))
                    (first_look(record))
                    (identity(record))
                    (entries(record))
                    (sheets(record))
                    (proof(record, signature))
                    (appendix(record))
                } } }
            }
        }
    }
}

fn running(record: &CraftRecord) -> Markup {
    let log = &record.log;
    html! {
        p.record-running aria-hidden="true" {
            strong { (record.name()) } ", " (record.period.words) ". Made " (record.made.words) ". "
            @match &log.id {
                Some(_) => { "County log: " (log.size) " entries, root " span.hex { (short(&log.root)) } },
                None => "No county log held",
            }
        }
    }
}

fn short(hex: &str) -> String {
    hex.chars().take(12).collect()
}

fn head(record: &CraftRecord, offers: Option<&RecordOffers>) -> Markup {
    html! {
        h1 { "Record of " (record.name()) }
        p { (record.period.words) ". Made " (record.made.words) " by " (clean(&record.made.by)) "." }
        p { (rests(record)) "." }
        @for note in &record.log.notes { p.record-mind { (clean(note)) } }
        p.record-caution { strong { (record.caution) } }
        @if let Some(offers) = offers { (asked(offers)) }
    }
}

fn asked(offers: &RecordOffers) -> Markup {
    let [from, until, known] = &offers.fields;
    let fields = [
        ("from", "From, as in 2026-03-01", from),
        ("until", "Until, before this day", until),
        (
            "known-by",
            "Known by: a time, or a number of entries",
            known,
        ),
    ];
    html! {
        div.record-screen {
            form method="get" {
                @for (name, words, value) in fields {
                    p { label for={ "rec-" (name) } { (words) } " "
                        input id={ "rec-" (name) } name=(name) value=(clean(value)); }
                }
                p { button { "Show this time" } }
            }
            p { a href=(offers.file_href) { "The signed file of this record" }
                " (check it with " code { "sponson verify --record FILE" } ")" }
            p { a href=(offers.craft_href) { "The craft's own page" } }
        }
    }
}

fn first_look(record: &CraftRecord) -> Markup {
    html! {
        (list("glance", "At a glance", &record.glance, "Nothing is recorded of it in this time."))
        section aria-labelledby="open" {
            h2 id="open" { "Open faults" }
            @if record.open_faults.is_empty() { p { "None, as far as is known here." } }
            @else {
                ul {
                    @for one in &record.open_faults {
                        li { (clean(&one.words)) " (" (one.fault) "), found " (one.found) (at(record, &one.event)) }
                    }
                }
            }
        }
        @if !record.disagreements.is_empty() {
            (list("differ", "Stations differ, and nobody has settled it", &record.disagreements, ""))
        }
        @if let Some(concluded) = &record.concluded {
            section aria-labelledby="judged" {
                h2 id="judged" { "Judged for " (concluded.as_of) ": " (concluded.words) }
                @if concluded.why.is_empty() { p { "Nothing is found against it." } }
                @else { ul { @for why in &concluded.why { li { (clean(why)) } } } }
            }
        }
    }
}

fn list(id: &str, title: &str, all: &[String], none: &str) -> Markup {
    html! {
        section aria-labelledby=(id) {
            h2 id=(id) { (title) }
            @if all.is_empty() { p { (none) } }
            @else { ul { @for one in all { li { (clean(one)) } } } }
        }
    }
}

fn at(record: &CraftRecord, event: &str) -> Markup {
    html! {
        @if let Some(number) = record.number_of(event) { ", entry " a href={ "#e" (number) } { (number) } }
    }
}

fn identity(record: &CraftRecord) -> Markup {
    let craft = &record.craft;
    let numbers: Vec<String> = craft.numbers.iter().map(|it| clean(it)).collect();
    html! {
        section aria-labelledby="what" {
            h2 id="what" { "The craft" }
            dl.record-facts {
                div { dt { "number" } dd { (numbers.join(", ")) } }
                @for fact in &craft.facts { (row(fact)) }
                div { dt { "id" } dd.hex { (craft.ids.join(", ")) } }
            }
            @if craft.ids.len() > 1 {
                p { "It was registered " (craft.ids.len()) " times; the lead said that these are one." }
            }
            h3 { "Where it stood" }
            @if record.stood.is_empty() { p { "Not known." } }
            @else {
                ul {
                    @for one in &record.stood {
                        li { "from " (one.from) ": " (clean(&one.place)) (at(record, &one.event)) }
                    }
                }
            }
        }
    }
}

fn row(fact: &Fact) -> Markup {
    html! { div { dt { (clean(&fact.name)) } dd { (clean(&fact.value)) } } }
}

fn entries(record: &CraftRecord) -> Markup {
    html! {
        section aria-labelledby="entries" {
            h2 id="entries" { "Every entry, in the order in which they happened" }
            @if record.left_out > 0 { p { (record.left_out) " entries lie outside of the period." } }
            @if record.entries.is_empty() { p { "Nothing is recorded of it in this time." } }
            @for entry in &record.entries { (one(entry)) }
        }
    }
}

fn one(entry: &RecordEntry) -> Markup {
    let number = entry.number;
    html! {
        section.record-entry id={ "e" (number) } aria-labelledby={ "h" (number) } {
            h3 id={ "h" (number) } {
                (number) ". " (entry.when) ": " (clean(&entry.what))
                @if entry.via != "craft" { " (" (clean(&entry.about)) ")" }
            }
            @for mark in &entry.marks { p.record-mark { strong { (clean(mark)) } } }
            @if !entry.facts.is_empty() {
                dl.record-facts { @for fact in &entry.facts { (row(fact)) } }
            }
            @let texts = beside(entry);
            @if !texts.is_empty() {
                dl.record-facts {
                    @for (name, value) in &texts { div { dt { (name) } dd.hex { (value) } } }
                }
            }
            p.record-by { "By " (signer(entry)) ". Entry " span.hex { (place(entry)) } "." }
            @if let Some(entered) = &entry.entered_at { p.record-by { "Entered later, at " (entered) "." } }
        }
    }
}

fn sheets(record: &CraftRecord) -> Markup {
    html! {
        section aria-labelledby="sheets" {
            h2 id="sheets" { "Boat standards and policies that were adopted" }
            @if record.sheets.is_empty() { p { "None is held here." } }
            @else {
                table.record-list {
                    thead { tr { th scope="col" { "What" } th scope="col" { "Adopted" } th scope="col" { "Entry" } th scope="col" { "SHA-256 of its text" } } }
                    tbody {
                        @for one in &record.sheets {
                            tr {
                                th scope="row" { (clean(&one.what)) }
                                td { (one.adopted) }
                                td.hex { (short(&one.event)) @if let Some(place) = one.place { ", number " (place) } }
                                td.hex { (one.text_sha256) }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn proof(record: &CraftRecord, signature: &RecordSignature) -> Markup {
    let (shows, not) = what_is_shown();
    let log = &record.log;
    html! {
        section.record-proof aria-labelledby="signature" {
            h2 id="signature" { "Signature, and how to check it" }
            p {
                "The record is signed with a device key over its JSON form (" (signature.json_bytes)
                " bytes). Whoever holds the signed file checks it on any machine, without any log: "
                code { "sponson verify --record FILE" } ". On a machine that holds a copy of the county log, the "
                "same command also says whether an entry is missing. Paper can be held against the file: the "
                "sums below are those that the command prints."
            }
            dl.record-facts {
                div { dt { "signed by" } dd { (clean(&record.made.by)) } }
                div { dt { "key" } dd.hex { (signature.key) } }
                div { dt { "signature" } dd.hex { (signature.signature) } }
                div { dt { "SHA-256 of the JSON" } dd.hex { (signature.json_sha256) } }
                div { dt { "county" } dd.hex { (log.county) } }
                div { dt { "county log" } dd.hex { (log.id.as_deref().unwrap_or("none held")) } }
                div { dt { "entries of it" } dd { (log.size) } }
                div { dt { "root" } dd.hex { (log.root) } }
                div { dt { "rules" } dd { "version " (record.made.engine) } }
                div { dt { "program" } dd { (clean(&record.made.program)) } }
            }
            p { "The signed file shows" }
            ul { @for one in shows { li { (one) } } }
            p { "It does not show" }
            ul { @for one in not { li { (one) } } }
        }
    }
}

/// Whole ids, for whoever looks an entry up in a copy of the log.
fn appendix(record: &CraftRecord) -> Markup {
    html! {
        section.record-appendix aria-labelledby="ids" {
            h2 id="ids" { "Appendix: ids" }
            table.record-list {
                caption { "Each entry above: its whole id, its device's key, its place in what that key wrote" }
                thead { tr { th scope="col" { "No." } th scope="col" { "Event" } th scope="col" { "Key" } th scope="col" { "Place" } } }
                tbody {
                    @for one in &record.entries {
                        tr {
                            th scope="row" { (one.number) }
                            td.hex { (one.event) }
                            td.hex { (one.signed_by.key) }
                            td { (one.signed_by.seq) }
                        }
                    }
                }
            }
        }
    }
}
