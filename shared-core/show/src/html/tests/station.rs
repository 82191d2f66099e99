//! What stands round a station's pages, and the pages that are of no one craft.

use insta::assert_snapshot;
use maud::Markup;
use sponson_readiness::moment::Moment;

use super::checks::faults;
use super::{facts, in_lines};
use crate::html::PageFacts;
use crate::html::station::home::{Home, UnderWayHere, home};
use crate::html::station::sync::sync_page;
use crate::html::station::who::{let_in_form, let_in_page, who_page};
use crate::html::station::{StationFacts, SyncLine, SyncTrying, station_frame};
use crate::sample;

const MINUTE_MS: i64 = 60_000;

fn at(minutes: i64) -> Moment {
    Moment(facts().rendered.0 + minutes * MINUTE_MS)
}

fn station_facts() -> StationFacts {
    StationFacts {
        page: PageFacts {
            query: String::new(),
            ..facts()
        },
        station_style_href: "/station-1.css".to_owned(),
        station: "North Landing".to_owned(),
        member: Some("214".to_owned()),
        sync: SyncLine {
            pictures_waiting: 0,
            waiting: 3,
            last_sync: Some(at(-90)),
            clock_offset_ms: Some(-26 * 60 * MINUTE_MS),
            trying: SyncTrying::NextAt(at(4)),
            heard: vec![
                ("Mill Race".to_owned(), Some(at(-300))),
                ("South <Dock>".to_owned(), None),
            ],
        },
    }
}

fn first_page(facts: &StationFacts) -> Markup {
    let answer = sample::county();
    let craft = answer.craft.first().expect("the sample has craft");
    let under_way = [UnderWayHere {
        craft: craft.id,
        number: craft.number.clone(),
        href: "/check/0a1b2c3d".to_owned(),
        what: "full check".to_owned(),
        begun_by: "7".to_owned(),
        changed: at(-5),
    }];
    let shown = Home {
        answer: &answer,
        ctx: &sample::context(),
        here: craft.stations.first().copied(),
        under_way: &under_way,
        lets_in: true,
        notes: &[],
    };
    home(&shown, facts)
}

fn page(body: &Markup) -> String {
    station_frame("Craft", &station_facts(), body)
}

#[test]
fn the_first_page_of_a_station() {
    let page = page(&first_page(&station_facts()));
    assert_snapshot!(in_lines(&page));
}

#[test]
fn sync_and_who() {
    let facts = station_facts();
    let doubt = Some("this device was copied or restored");
    let pages = [
        sync_page(&facts, doubt).into_string(),
        who_page(&facts, "/craft/1", Some("'' is no member number")).into_string(),
        let_in_form(&facts, None).into_string(),
    ];
    assert_snapshot!(in_lines(&pages.join("\n")));
}

#[test]
fn pages_are_sound() {
    let known = station_facts();
    let nobody = StationFacts {
        member: None,
        ..station_facts()
    };
    for body in [
        first_page(&known),
        first_page(&nobody),
        sync_page(&known, Some("x")),
        who_page(&known, "/", Some("wrong")),
        let_in_form(&known, Some("wrong")),
        let_in_page("214", "https://north.example:7343/enter/abc", "10:00"),
    ] {
        assert_eq!(faults(&page(&body)), Vec::<String>::new());
    }
}

#[test]
fn whoever_has_not_said_who_it_is_is_asked_before_a_check() {
    let nobody = StationFacts {
        member: None,
        ..station_facts()
    };
    let page = first_page(&nobody).into_string();
    assert!(page.contains("/who?back=/craft/"));
    assert!(!page.contains("/check\""));
    let known = first_page(&station_facts()).into_string();
    assert!(known.contains("/check\"") && known.contains("a-token"));
}

#[test]
fn how_the_sync_stands_is_one_sentence() {
    let line = |sync: SyncLine| sync.words(at(0), -240);
    assert_snapshot!(line(SyncLine::default()), @"Nothing waits for the county; never synced.");
    assert_snapshot!(line(station_facts().sync), @"3 entries wait for the county; last synced 1 h ago (2026-03-14 07:00); tries again in 4 min; this clock is 26 h fast; Mill Race heard 5 h ago.");
    for (trying, said) in [
        (SyncTrying::Now, "trying now"),
        (SyncTrying::NextAt(at(-1)), "tries again in 0 s"),
        (SyncTrying::NextAt(at(1)), "tries again in 60 s"),
        (
            SyncTrying::Refused("the key ended".to_owned()),
            "the county refused: the key ended",
        ),
        (SyncTrying::Never, "this device cannot sync: tell the lead"),
    ] {
        let sync = SyncLine {
            trying,
            ..SyncLine::default()
        };
        assert!(line(sync.clone()).contains(said), "{}", line(sync));
    }
}

#[test]
fn a_clock_that_is_off_by_less_than_a_minute_is_not_spoken_of() {
    let with = |ms| SyncLine {
        clock_offset_ms: Some(ms),
        ..SyncLine::default()
    };
    assert_eq!(with(59_999).clock_words(), None);
    assert_eq!(with(-59_999).clock_words(), None);
    let said = |ms| with(ms).clock_words().unwrap_or_default();
    assert_eq!(said(120_000), "this clock is 2 min slow");
    assert_eq!(said(-120_000), "this clock is 2 min fast");
}
