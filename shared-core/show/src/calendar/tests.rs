//! The feed, read back by a library that is not the one which writes it, and held against the
//! examples of RFC 5545.
//!
//! Examples of RFC 5545 stand beside their section numbers; their wording is from memory.

use calcard::icalendar::{
    ICalendar, ICalendarComponent, ICalendarComponentType, ICalendarDuration, ICalendarMethod,
    ICalendarProperty as Name, ICalendarValue,
};
use calcard::{Entry, Parser};
use proptest::prelude::*;

use super::*;
use crate::sample::{AS_OF, day};

fn calendar(days: Vec<Day>) -> Calendar {
    Calendar {
        name: "County of Otter; boats, due".to_owned(),
        about: "What comes due".to_owned(),
        at: AS_OF,
        sequence: 17,
        days,
    }
}

fn one(summary: &str, lines: &[&str], place: &str) -> Calendar {
    calendar(vec![Day {
        uid: "visit.0101.2026-03-16@sponson".to_owned(),
        day: day(2026, 3, 16),
        summary: summary.to_owned(),
        lines: lines.iter().map(|line| (*line).to_owned()).collect(),
        place: place.to_owned(),
    }])
}

/// Reads a feed whole: one calendar, nothing after it, and as many properties as it has lines.
fn read_back(text: &str) -> ICalendar {
    let mut parser = Parser::new(text);
    let Entry::ICalendar(read) = parser.entry() else {
        panic!("no calendar: {text}");
    };
    assert_eq!(parser.entry(), Entry::Eof, "{text}");
    let whole = text.replace("\r\n ", "");
    let is_property = |line: &&str| !line.starts_with("BEGIN:") && !line.starts_with("END:");
    let lines = lines_of(&whole).into_iter().filter(is_property).count();
    let read_of_it: usize = read.components.iter().map(|it| it.entries.len()).sum();
    assert_eq!(read_of_it, lines, "{text}");
    read
}

fn of_kind(read: &ICalendar, kind: &ICalendarComponentType) -> Vec<ICalendarComponent> {
    let all = read.components.iter();
    all.filter(|part| part.component_type == *kind)
        .cloned()
        .collect()
}

fn events(read: &ICalendar) -> Vec<ICalendarComponent> {
    of_kind(read, &ICalendarComponentType::VEvent)
}

fn text(part: &ICalendarComponent, name: &Name) -> String {
    let entry = part.property(name).expect("the property is there");
    match entry.values.as_slice() {
        [] => String::new(),
        [value] => value.as_text().expect("text").to_owned(),
        several => panic!("{several:?}"),
    }
}

/// Year, month, day, and hour, minute, second where there are any.
type Date = (
    Option<u16>,
    Option<u8>,
    Option<u8>,
    Option<u8>,
    Option<u8>,
    Option<u8>,
);

fn date(part: &ICalendarComponent, name: &Name) -> Date {
    let entry = part.property(name).expect("the property is there");
    let at = entry.values[0].as_partial_date_time().expect("a date");
    (at.year, at.month, at.day, at.hour, at.minute, at.second)
}

fn lines_of(text: &str) -> Vec<&str> {
    text.split_terminator("\r\n").collect()
}

/// RFC 5545, 3.1: lines of at most 75 octets that end in CR LF, and neither sign elsewhere.
fn is_folded(text: &str) -> bool {
    let lines = lines_of(text);
    text.ends_with("\r\n")
        && lines
            .iter()
            .all(|line| line.len() <= 75 && !line.contains(['\r', '\n']))
}

#[test]
fn the_feed_as_it_is_written() {
    let feed = one(
        "Mill Race: 3 things are due",
        &["Boat 11: service, yearly", "Boat 12: hold test; flares"],
        "Mill Race",
    );
    insta::assert_snapshot!(feed.text().replace("\r\n", "\n"));
}

#[test]
fn another_library_reads_back_every_field() {
    let (summary, place) = (
        "Mill Race: 3 things, one visit; bring \\ plugs",
        "Mill Race, dock 2",
    );
    let lines = [
        "Boat 11: yearly service, 100 h",
        "Boat 12; hold test",
        "C:\\new, \\; \\N",
    ];
    let read = read_back(&one(summary, &lines, place).text());
    let whole = &of_kind(&read, &ICalendarComponentType::VCalendar)[0];
    assert_eq!(text(whole, &Name::Version), "2.0");
    assert_eq!(text(whole, &Name::Prodid), PRODID);
    assert_eq!(text(whole, &Name::Name), "County of Otter; boats, due");
    assert_eq!(text(whole, &Name::Description), "What comes due");
    let refresh = whole.property(&Name::RefreshInterval).expect("a refresh");
    let six_hours = ICalendarDuration::from_seconds(6 * 3600);
    assert_eq!(refresh.values, [ICalendarValue::Duration(six_hours)]);
    let method = whole.property(&Name::Method).expect("a method");
    assert_eq!(
        method.values,
        [ICalendarValue::Method(ICalendarMethod::Publish)]
    );
    let events = events(&read);
    let [event] = events.as_slice() else {
        panic!("{events:?}");
    };
    assert_eq!(event.uid(), Some("visit.0101.2026-03-16@sponson"));
    assert_eq!(text(event, &Name::Summary), summary);
    assert_eq!(text(event, &Name::Description), lines.join("\n"));
    assert_eq!(text(event, &Name::Location), place);
    let on = |day| (Some(2026), Some(3), Some(day), None, None, None);
    assert_eq!(date(event, &Name::Dtstart), on(16));
    assert_eq!(date(event, &Name::Dtend), on(17));
    let made = (Some(2026), Some(3), Some(14), Some(12), Some(30), Some(0));
    assert_eq!(date(event, &Name::Dtstamp), made);
    assert_eq!(date(event, &Name::LastModified), made);
    let sequence = &event.property(&Name::Sequence).expect("a sequence").values[0];
    assert_eq!(sequence.as_integer(), Some(17));
}

#[test]
fn text_is_escaped_as_the_examples_of_the_rfc_are() {
    // RFC 5545: 3.3.11 (an intentional line break), 3.8.1.7 (a comma in LOCATION).
    let feed = one(
        "Project XYZ Final Review",
        &[
            "Project XYZ Final Review",
            "Conference Room - 3B",
            "Come Prepared.",
        ],
        "Conference Room - F123, Bldg. 002",
    );
    let whole = feed.text().replace("\r\n ", "");
    for line in [
        r"DESCRIPTION:Project XYZ Final Review\nConference Room - 3B\nCome Prepared.",
        r"LOCATION:Conference Room - F123\, Bldg. 002",
    ] {
        assert!(lines_of(&whole).contains(&line), "{line}: {whole}");
    }
}

#[test]
fn lines_are_unfolded_as_the_example_of_the_rfc_is() {
    // RFC 5545, 3.1: the example of one long line in three pieces.
    let pieces = "DESCRIPTION:This is a lo\r\n ng description\r\n  that exists on a long line.\r\n";
    let long = "DESCRIPTION:This is a long description that exists on a long line.\r\n";
    assert_eq!(folded(pieces), long);
    let wrapped = |line: &str| format!("BEGIN:VEVENT\r\n{line}END:VEVENT\r\n");
    let of = |line: &str| text(&events(&read_back(&wrapped(line)))[0], &Name::Description);
    assert_eq!(of(pieces), of(long));
}

#[test]
fn an_event_of_a_day_ends_where_the_next_begins() {
    // RFC 5545, 3.6.1: DTEND is the end that is not part of it; a DATE stands with VALUE=DATE.
    for (from, start, end) in [
        (day(2026, 12, 31), "20261231", "20270101"),
        (day(2028, 2, 28), "20280228", "20280229"),
    ] {
        let mut feed = one("s", &["l"], "p");
        feed.days[0].day = from;
        let text = feed.text();
        for line in [
            format!("DTSTART;VALUE=DATE:{start}"),
            format!("DTEND;VALUE=DATE:{end}"),
        ] {
            assert!(lines_of(&text).contains(&line.as_str()), "{line}: {text}");
        }
    }
}

#[test]
fn no_line_has_more_than_75_octets_whatever_its_length() {
    // The last piece of a fold is the one that goes wrong easily: every length over three pieces.
    for wide in ["x", "é", "船", "🛶"] {
        for count in 0..240 {
            let summary = wide.repeat(count);
            let text = one(&summary, &["l"], "p").text();
            assert!(is_folded(&text), "{wide} {count}: {text}");
        }
    }
}

#[test]
fn a_hostile_name_adds_no_line() {
    for hostile in [
        "x\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nUID:other",
        "x\nATTACH:https://example.com",
        "x\u{85}URL:https://example.com",
        "x\\nEND:VEVENT",
        "x;VALUE=URI:https://example.com",
        "\"quoted\";ALTREP=\"x\":y",
        " \r\n folded",
        "\u{0}\u{8}\u{1b}[31m",
    ] {
        let mut feed = one(hostile, &[hostile, hostile], hostile);
        feed.days[0].uid = hostile.to_owned();
        feed.name = hostile.to_owned();
        feed.about = hostile.to_owned();
        let written = feed.text();
        assert!(is_folded(&written), "{written}");
        let read = read_back(&written);
        let events = events(&read);
        assert_eq!((read.components.len(), events.len()), (2, 1), "{written}");
        let plain = read_back(&one("s", &["l"], "p").text());
        let plain = self::events(&plain);
        let names = |part: &ICalendarComponent| -> Vec<String> {
            let all = part.entries.iter();
            all.map(|entry| entry.name.as_str().to_owned()).collect()
        };
        assert_eq!(names(&events[0]), names(&plain[0]), "{written}");
        assert_eq!(text(&events[0], &Name::Summary), clean(hostile));
    }
}

#[test]
fn the_same_gives_the_same_bytes() {
    let feed = || one("Mill Race", &["Boat 11"], "Mill Race").text();
    assert_eq!(feed(), feed());
    assert!(
        calendar(Vec::new())
            .text()
            .starts_with("BEGIN:VCALENDAR\r\n")
    );
}

proptest! {
    #[test]
    fn any_text_is_read_back(summary in any::<String>(), line in any::<String>()) {
        let written = one(&summary, &[&line, "more"], "place").text();
        prop_assert!(is_folded(&written));
        let read = read_back(&written);
        let event = &events(&read)[0];
        let (read, meant) = (text(event, &Name::Summary), clean(&summary));
        prop_assert_eq!(read.trim(), meant.trim());
        prop_assert!(text(event, &Name::Description).ends_with("\nmore"));
    }
}
