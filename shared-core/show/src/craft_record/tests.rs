//! The record in its forms: what stands in one stands in the others, hostile text harms none, and it
//! stays usable when it is long.

use std::collections::BTreeSet;

use scraper::{Html, Selector};
use unicode_width::UnicodeWidthStr as _;

use super::*;
use crate::html::{LightStyle, Offers, PageFacts, Viewer};

fn fact(name: &str, value: &str) -> Fact {
    Fact {
        name: name.to_owned(),
        value: value.to_owned(),
    }
}

/// An entry with so many facts, as a full check has some 90 of.
fn entry(number: u32, facts: usize) -> RecordEntry {
    let lines = (0..facts).map(|line| {
        let name = format!("question {line}: the motor's stop switch stops it");
        fact(&name, "yes")
    });
    RecordEntry {
        number,
        event: format!("{number:064x}"),
        kind: "check".to_owned(),
        about: "Marsh 21".to_owned(),
        via: "craft".to_owned(),
        what: format!("Full check number {number}"),
        facts: lines.collect(),
        when: "2026-03-14 08:30".to_owned(),
        claimed_at: "2026-03-14T08:30:00Z".to_owned(),
        received_at: Some("2026-03-14T09:00:00Z".to_owned()),
        received: "received at the county 2026-03-14 09:00".to_owned(),
        received_unix_ms: Some(1_773_478_800_000),
        place: Some(u64::from(number) * 50),
        signed_by: SignedBy {
            key: "ab".repeat(32),
            seq: u64::from(number),
            device: "bay tablet".to_owned(),
            station: "Mill Race".to_owned(),
            member: "214".to_owned(),
        },
        // A body of a full check has about 2 KiB.
        signed: "A".repeat(if facts > 9 { 2_800 } else { 600 }),
        ..RecordEntry::default()
    }
}

fn record(entries: impl Iterator<Item = RecordEntry>) -> CraftRecord {
    CraftRecord {
        schema: RECORD_SCHEMA.to_owned(),
        craft: CraftIdentity {
            ids: vec!["11".repeat(16)],
            numbers: vec!["Marsh 21".to_owned(), "Marsh 12".to_owned()],
            facts: vec![fact("model", "inflatable-14")],
        },
        period: Period {
            words: "all that is known".to_owned(),
            ..Period::default()
        },
        made: Made {
            words: "2026-03-15 10:00 (UTC)".to_owned(),
            by: "the county".to_owned(),
            engine: 3,
            ..Made::default()
        },
        log: RestsOn {
            id: Some("cd".repeat(16)),
            size: 4_321,
            root: "ef".repeat(32),
            ..RestsOn::default()
        },
        glance: vec!["3 checks, 1 fault".to_owned()],
        open_faults: vec![OpenFault {
            fault: "000000000001-0".to_owned(),
            words: "major, leak at tube 2".to_owned(),
            found: "2026-03-14 08:30".to_owned(),
            event: format!("{:064x}", 1),
        }],
        entries: entries.collect(),
        caution: crate::caution().to_owned(),
        ..CraftRecord::default()
    }
}

fn signature(record: &CraftRecord) -> RecordSignature {
    RecordSignature {
        key: "01".repeat(32),
        signature: "02".repeat(64),
        json_sha256: "03".repeat(32),
        json_bytes: record.to_json().len(),
    }
}

fn facts() -> PageFacts {
    PageFacts {
        county: "Two Rivers county".to_owned(),
        viewer: Viewer::AtTheMachine,
        token: None,
        offers: Offers::default(),
        rendered: sponson_readiness::moment::Moment(1_773_478_800_000),
        utc_offset_min: 0,
        query: String::new(),
        path: "/craft/11/record".to_owned(),
        again_s: None,
        light: LightStyle::System,
        style_href: "/s.css".to_owned(),
        script_href: "/s.js".to_owned(),
        icon_href: "/i.svg".to_owned(),
        map: None,
        notes: Vec::new(),
    }
}

/// The page of the server and the file that stands by itself.
fn pages(record: &CraftRecord) -> [String; 2] {
    let signature = signature(record);
    let offers = RecordOffers {
        craft_href: "/craft/11".to_owned(),
        file_href: "/craft/11/record/file".to_owned(),
        fields: ["2026-03-01".to_owned(), String::new(), String::new()],
    };
    [
        record_page(record, &signature, &facts(), &offers),
        record_file(record, &signature),
    ]
}

#[test]
fn the_form_is_read_as_it_is_written_and_no_other() {
    let record = record((1..4).map(|number| entry(number, 3)));
    let json = record.to_json();
    assert_eq!(
        CraftRecord::of_json(json.as_bytes()).expect("the form"),
        record
    );
    let wrong = [
        json.replacen("\"schema\":", "\"schema\": ", 1),
        json.replacen("\"left_out\":0", "\"left_out\":0,\"more\":1", 1),
        json.replacen("record/1", "record/2", 1),
        json.trim_end().to_owned(),
        json.replacen("\"glance\"", "\"glanced\"", 1),
        String::new(),
        "{}".to_owned(),
    ];
    for text in wrong {
        assert!(CraftRecord::of_json(text.as_bytes()).is_err(), "{text:.60}");
    }
}

#[test]
fn each_entry_stands_in_every_form_with_its_place_and_signer() {
    let record = record((1..6).map(|number| entry(number, 2)));
    let text = record_report(&record)
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    let pages = pages(&record);
    for entry in &record.entries {
        let place = entry.place.expect("a place");
        for said in [
            entry.what.clone(),
            format!("number {place} of the county log"),
            "Mill Race, device 'bay tablet', member 214".to_owned(),
        ] {
            assert!(text.contains(&said), "{said}: {text}");
            assert!(pages.iter().all(|page| page.contains(&said)), "{said}");
        }
        // Whole ids stand in the appendix.
        assert!(pages.iter().all(|page| page.contains(&entry.event)));
    }
    for said in [
        "4321 entries of the county log",
        "all that is known",
        crate::caution(),
    ] {
        assert!(text.contains(said), "{said}");
        assert!(
            pages[1].contains(&said.replace('\'', "&#39;")) || pages[1].contains(said),
            "{said}"
        );
    }
}

#[test]
fn a_page_is_sound_and_each_sheet_of_paper_says_what_it_is() {
    let record = record((1..6).map(|number| entry(number, 2)));
    for page in pages(&record) {
        let read = Html::parse_document(&page);
        let all = |selector: &str| {
            let selector = Selector::parse(selector).expect("a selector");
            read.select(&selector)
                .map(|it| it.value().clone())
                .collect::<Vec<_>>()
        };
        assert_eq!(all("h1").len(), 1);
        let ids: Vec<String> = all("[id]")
            .iter()
            .filter_map(|it| it.id().map(str::to_owned))
            .collect();
        let unique: BTreeSet<&String> = ids.iter().collect();
        assert_eq!(unique.len(), ids.len(), "an id stands twice");
        for labelled in all("[aria-labelledby]") {
            let by = labelled
                .attr("aria-labelledby")
                .expect("it has one")
                .to_owned();
            assert!(ids.contains(&by), "{by}");
        }
        for link in all("article a[href^='#']") {
            let to = link
                .attr("href")
                .expect("it has one")
                .trim_start_matches('#')
                .to_owned();
            assert!(ids.contains(&to), "{to}");
        }
        assert_eq!(all(".record-entry").len(), 5);
        assert_eq!(all(".record-sheet > thead .record-running").len(), 1);
        assert!(all("[style], script:not([src])").is_empty());
    }
    for rule in ["break-inside: avoid", "table-header-group"] {
        assert!(RECORD_STYLE.contains(rule), "{rule}");
    }
}

#[test]
fn hostile_text_harms_no_form() {
    let evil = "</script><script>alert(1)</script>\u{1b}[2J\u{202e}";
    let mut record = record((1..3).map(|number| entry(number, 1)));
    record.craft.numbers[0] = evil.to_owned();
    record.glance.push(evil.to_owned());
    record.log.notes.push(evil.to_owned());
    let entry = &mut record.entries[0];
    entry.what = evil.to_owned();
    entry.facts[0] = fact(evil, evil);
    entry.marks.push(evil.to_owned());
    entry.signed_by.member = evil.to_owned();
    entry.texts.push(RecordText {
        of: evil.to_owned(),
        text: Some(evil.to_owned()),
        not_here: String::new(),
    });
    let json = record.to_json();
    assert_eq!(
        CraftRecord::of_json(json.as_bytes()).expect("the form"),
        record
    );
    // The JSON form keeps what was written, as JSON escapes it.
    assert!(!json.contains('\u{1b}'));
    for form in pages(&record).iter().chain([&record_report(&record)]) {
        assert!(
            !form.contains('\u{1b}') && !form.contains('\u{202e}'),
            "{form:.200}"
        );
    }
    assert!(
        pages(&record)
            .iter()
            .all(|page| !page.contains("<script>alert"))
    );
}

#[test]
fn no_line_of_the_terminal_is_too_wide() {
    let mut record = record((1..4).map(|number| entry(number, 30)));
    record.entries[0]
        .facts
        .push(fact("note", &"long ".repeat(100)));
    record.entries[1].what = "x".repeat(300);
    for line in record_report(&record).lines() {
        assert!(line.width() <= crate::table::WIDTH, "{line}");
    }
}

/// A craft of 2,000 entries: a full check in every fourth. The most that a record takes: 4,000 full
/// checks of 9 KiB.
#[test]
fn a_long_record_stays_within_its_limits() {
    let usual = |number: u32| entry(number, if number.is_multiple_of(4) { 90 } else { 5 });
    let long = record((1..=2_000).map(usual));
    let (json, page) = (long.to_json().len(), pages(&long)[1].len());
    assert!(json < 8 * 1024 * 1024, "{json} bytes of JSON");
    assert!(page < 10 * 1024 * 1024, "{page} bytes of page");
    let full = entry(1, 90);
    let one = serde_json::to_string(&full).expect("JSON").len();
    assert!(one < 11 * 1024, "{one} bytes of one full check");
    assert!(4_000 * one < 48 * 1024 * 1024, "{one} bytes, 4,000 times");
}
