//! Sheets of paper and labels: every line of every built-in standard is on its sheet once, what is
//! printed reads as it was meant, nothing rests on a colour.

use std::collections::BTreeSet;

use scraper::{ElementRef, Html, Selector};
use sponson_readiness::event::{Extent, GearKind};
use sponson_readiness::ids::SubjectId;
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::{Standard, built_in};
use sponson_readiness::walk::{Aboard, BagAboard, GearAboard, WalkLine, walk};

use super::checks::faults;
use super::in_lines;
use crate::context::Context;
use crate::html::station::label::{Label, label_file, label_page, label_path};
use crate::html::station::paper_lines::{PaperSource, fault_boxes, paper_stops};
use crate::html::station::sheet::{PAPER_STYLE, SheetFacts, sheet_file, sheet_page};
use crate::svg::qr::tests::read;

const ENTRY: &str = "https://mill-race.example.org:7343/paper/0123456789abcdef0123456789abcdef";

/// The standards that come with the program.
fn standards() -> Vec<Standard> {
    let texts = built_in();
    let texts = texts.iter();
    texts
        .map(|(name, text)| Standard::parse(text).expect(name))
        .collect()
}

/// A motor where the model has one, and a bag with some of the kit.
fn aboard(standard: &Standard) -> Aboard {
    let id = |n| SubjectId::from_bytes([n; 16]);
    let mut parts = standard.parts.iter();
    let part = parts.find(|part| part.id.as_str() == "motor");
    let motor = part.map(|part| GearAboard {
        id: id(3),
        number: "M3".to_owned(),
        kind: GearKind::Motor,
        part: Some(part.id.clone()),
    });
    let in_bag = standard.items.iter().skip(12).take(9);
    Aboard {
        bags: vec![BagAboard {
            id: id(7),
            number: "B7".to_owned(),
            items: in_bag.map(|item| item.id.clone()).collect(),
        }],
        gear: motor.into_iter().collect(),
        on_craft: BTreeSet::new(),
    }
}

/// A sheet of a craft of the model, handed on.
fn with_sheet<T>(standard: &Standard, then: impl FnOnce(&SheetFacts<'_>) -> T) -> T {
    let aboard = aboard(standard);
    let walk = walk(standard, &aboard, Extent::Full);
    let open = vec!["tube 3: chafed, since 2026-03-02".to_owned()];
    then(&SheetFacts {
        number: "Boat 3 <b>",
        station: "Mill Race",
        source: PaperSource {
            standard,
            walk: &walk,
            aboard: &aboard,
            units: Context::default().units,
        },
        open_faults: &open,
        printed: Moment(1_773_000_000_000),
        utc_offset_min: -300,
        known: "synced with the county 2026-03-08 09:10, 2 entries waiting",
        entry: Some(ENTRY),
    })
}

fn select<'a>(html: &'a Html, css: &str) -> Vec<ElementRef<'a>> {
    let css = Selector::parse(css).expect("a selector");
    html.select(&css).collect()
}

/// Words of each line on the sheet, without what is wanted.
fn lines(page: &str) -> Vec<String> {
    let html = Html::parse_document(page);
    let words = select(&html, ".line > .words");
    let first = |one: &ElementRef<'_>| one.text().next().unwrap_or_default().trim().to_lowercase();
    words.iter().map(first).collect()
}

#[test]
fn every_line_of_every_standard_is_on_its_sheet_once() {
    for standard in standards() {
        let page = with_sheet(&standard, sheet_file);
        let on_paper = lines(&page);
        let parts = standard.parts.iter().filter(|part| part.pressure.is_some());
        let asked = parts
            .map(|part| &part.label)
            .chain(standard.questions.iter().map(|question| &question.label))
            .chain(standard.items.iter().map(|item| &item.label));
        let mut asked: Vec<String> = asked.map(|label| label.to_lowercase()).collect();
        let mut found: Vec<String> = on_paper
            .iter()
            .filter(|words| asked.contains(words))
            .cloned()
            .collect();
        asked.sort();
        found.sort();
        assert_eq!(found, asked, "{}", standard.label);
        let has_air = standard.parts.iter().any(|part| part.pressure.is_some());
        for asked in ["air round the craft", "stood in that air for", "gauge used"] {
            let times = on_paper.iter().filter(|words| *words == asked).count();
            assert_eq!(times, usize::from(has_air), "{asked} of {}", standard.label);
        }
        let html = Html::parse_document(&page);
        assert_eq!(select(&html, ".sheet-found").len(), 1);
    }
}

#[test]
fn lines_are_numbered_through_and_no_field_stands_twice() {
    for standard in standards() {
        with_sheet(&standard, |facts| {
            let stops = paper_stops(&facts.source);
            let lines: Vec<_> = stops.iter().flat_map(|stop| &stop.lines).collect();
            let numbers = lines.iter().map(|line| line.number);
            assert!(numbers.eq(1..=lines.len()));
            assert_eq!(
                lines.iter().map(|line| &line.line).collect::<Vec<_>>(),
                facts.source.walk.lines().collect::<Vec<_>>()
            );
            let bare = lines.iter().filter(|line| line.boxes.is_empty());
            assert!(bare.map(|line| &line.line).eq([&WalkLine::Faults]));
            let boxes = lines.iter().flat_map(|line| &line.boxes);
            let of_faults: Vec<_> = (1..4).flat_map(fault_boxes).collect();
            let boxes = boxes.chain(&of_faults);
            let names: Vec<&str> = boxes.map(|one| one.field.as_str()).collect();
            let once: BTreeSet<&str> = names.iter().copied().collect();
            assert_eq!(once.len(), names.len(), "{names:?}");
        });
    }
}

#[test]
fn numbers_on_the_drawing_are_those_of_the_lines() {
    let standard = &standards()[0];
    with_sheet(standard, |facts| {
        let page = sheet_file(facts);
        let html = Html::parse_document(&page);
        let drawn = select(&html, ".plan-blank .plan-number");
        let drawn: BTreeSet<String> = drawn.iter().map(|one| one.text().collect()).collect();
        let stops = paper_stops(&facts.source);
        let lines = stops.iter().flat_map(|stop| &stop.lines);
        let read = lines.filter(|line| matches!(line.line, WalkLine::Reading { .. }));
        let read: BTreeSet<String> = read.map(|line| line.number.to_string()).collect();
        assert_eq!(
            drawn, read,
            "every part of the inflatable is on the drawing"
        );
    });
}

#[test]
fn the_sheet_of_the_inflatable() {
    let page = with_sheet(&standards()[0], |facts| {
        sheet_page(facts, "/paper-1.css", "/craft/03")
    });
    insta::assert_snapshot!(in_lines(&page));
}

#[test]
fn sheets_and_labels_are_sound_pages() {
    for standard in standards() {
        let page = with_sheet(&standard, |facts| sheet_page(facts, "/paper-1.css", "/"));
        assert_eq!(faults(&page), Vec::<String>::new(), "{}", standard.label);
    }
    let page = label_page(&labels(), "/paper-1.css", "/");
    assert_eq!(faults(&page), Vec::<String>::new());
}

#[test]
fn a_file_asks_for_nothing_beside_itself() {
    for page in [
        with_sheet(&standards()[1], sheet_file),
        label_file(&labels()),
    ] {
        let html = Html::parse_document(&page);
        assert!(select(&html, "link, script, img, iframe, a").is_empty());
        let inner: String = select(&html, "style")
            .iter()
            .flat_map(ElementRef::text)
            .collect();
        assert!(inner.contains("@page sheet"));
        assert!(!inner.contains("url(") && !inner.contains("@import"));
    }
}

/// The text of each code on a page.
fn codes(page: &str) -> Vec<String> {
    let begins = page.match_indices("<svg class=\"qr\"");
    let codes = begins.map(|(at, _)| {
        let end = page[at..].find("</svg>").expect("it ends") + "</svg>".len();
        read(&page[at..at + end]).expect("it reads")
    });
    codes.collect()
}

#[test]
fn the_code_of_a_sheet_opens_its_entry() {
    let page = with_sheet(&standards()[0], sheet_file);
    assert_eq!(codes(&page), [ENTRY]);
    let alone = with_sheet(&standards()[0], |facts| {
        sheet_file(&SheetFacts {
            entry: None,
            ..*facts
        })
    });
    assert!(codes(&alone).is_empty());
}

fn labels() -> Vec<Label> {
    let label = |number: &str| Label {
        number: number.to_owned(),
        model: "inflatable with inflatable floor, 14 ft".to_owned(),
        station: "Mill Race".to_owned(),
        address: format!("http://127.0.0.1:7343{}", label_path(number)),
    };
    ["Boat 3", "RB-4/2", "Überlandboot Nr. 12"]
        .map(label)
        .to_vec()
}

#[test]
fn the_code_of_a_label_opens_its_check() {
    assert_eq!(
        codes(&label_file(&labels())),
        [
            "http://127.0.0.1:7343/c/Boat%203",
            "http://127.0.0.1:7343/c/RB-4%2F2",
            "http://127.0.0.1:7343/c/%C3%9Cberlandboot%20Nr.%2012",
        ]
    );
}

#[test]
fn labels_of_three_craft() {
    insta::assert_snapshot!(in_lines(&label_page(&labels(), "/paper-1.css", "/")));
}

#[test]
fn nothing_on_paper_rests_on_a_colour() {
    let mut seen = 0;
    for (at, _) in PAPER_STYLE.match_indices('#') {
        let digits: String = PAPER_STYLE[at + 1..]
            .chars()
            .take_while(char::is_ascii_hexdigit)
            .collect();
        let parts = match digits.len() {
            3 => digits
                .split("")
                .filter(|one| !one.is_empty())
                .collect::<BTreeSet<_>>(),
            6 => [&digits[..2], &digits[2..4], &digits[4..]].into(),
            _ => panic!("#{digits} is no colour"),
        };
        assert_eq!(parts.len(), 1, "#{digits} is no grey");
        seen += 1;
    }
    assert!(seen > 10, "colours are written as #rgb");
    for named in ["red", "green", "blue", "orange", "yellow", "rgb(", "hsl("] {
        let as_value = [format!(": {named}"), format!(" {named};")];
        assert!(
            as_value
                .iter()
                .all(|value| !PAPER_STYLE.contains(value.as_str())),
            "{named}"
        );
    }
}

#[test]
fn rows_are_not_broken_and_pages_are_numbered() {
    let print = PAPER_STYLE
        .split("@media print")
        .nth(1)
        .expect("a print style");
    for block in [".sheet-row", ".sheet-first", ".sheet-found", ".sheet-sign"] {
        let rule = print
            .lines()
            .find(|line| line.contains(block))
            .expect(block);
        assert!(rule.contains("break-inside: avoid"), "{rule}");
    }
    assert!(PAPER_STYLE.contains(r#""page " counter(page) " of " counter(pages)"#));
}
