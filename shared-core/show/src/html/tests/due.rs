//! The page of what comes due.

use insta::assert_snapshot;
use scraper::{Html, Selector};
use sponson_readiness::ahead::Ahead;

use super::checks::faults;
use super::{facts, in_lines};
use crate::html::station::coming::{Coming, coming_body};
use crate::html::{DuePage, Fault, FormValues, PageFacts, due_page, due_refused_page};
use crate::json;
use crate::sample::ahead::ahead;
use crate::sample::{AS_OF, context};

fn page(ahead: &Ahead) -> String {
    let facts = PageFacts {
        query: "station=Mill+Race".to_owned(),
        path: "/due".to_owned(),
        ..facts()
    };
    let stations = ["Mill Race", "Otter Ferry"].map(str::to_owned);
    let shown = DuePage {
        ahead,
        as_of: AS_OF,
        stations: &stations,
        ctx: &context(),
    };
    let page = due_page(&shown, &facts, &FormValues::of([("station", "Mill Race")]));
    assert_eq!(faults(&page), Vec::<String>::new());
    page
}

/// The text of whatever a selector finds.
fn texts(page: &str, selector: &str) -> Vec<String> {
    let selector = Selector::parse(selector).expect("a selector");
    let read = Html::parse_document(page);
    let found = read.select(&selector);
    found
        .map(|it| it.text().collect::<String>().trim().to_owned())
        .collect()
}

fn attributes(page: &str, selector: &str, name: &str) -> Vec<String> {
    let selector = Selector::parse(selector).expect("a selector");
    let read = Html::parse_document(page);
    let found = read.select(&selector);
    found
        .filter_map(|it| it.value().attr(name).map(str::to_owned))
        .collect()
}

fn words(value: &serde_json::Value, list: &str, field: &str) -> Vec<String> {
    let all = value[list].as_array().expect("a list").iter();
    all.map(|one| {
        let value = &one[field];
        value
            .as_str()
            .map_or_else(|| value.to_string(), str::to_owned)
    })
    .collect()
}

#[test]
fn the_page() {
    assert_snapshot!(in_lines(&page(&ahead())));
}

#[test]
fn the_page_and_json_say_the_same_numbers() {
    let page = page(&ahead());
    let json = json::due(&ahead(), AS_OF, 412, &context());
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    let first = texts(&page, ".top b");
    assert_eq!(json["first"], serde_json::json!(first));
    // Everything, in the order of the page: by station and week.
    let mut shown = attributes(&page, ".all-due td:first-child time", "datetime");
    let mut said = words(&json, "due", "due");
    shown.sort();
    said.sort();
    assert_eq!(shown, said);
    let column =
        |section: &str, n: usize| texts(&page, &format!(".{section} tbody td:nth-child({n})"));
    for (at, field) in [(3, "items"), (4, "overdue"), (5, "by_engine_hours")] {
        let weeks = format!(".weeks > details > table tbody td:nth-child({at})");
        assert_eq!(
            texts(&page, &weeks),
            words(&json, "weeks", field),
            "{field}"
        );
    }
    assert_eq!(
        texts(&page, ".shelf tbody > tr > th"),
        words(&json, "shelf", "label")
    );
    // What runs out before stands beneath in the same cell.
    let there: Vec<String> = column("shelf", 4)
        .iter()
        .map(|text| text.chars().take(1).collect())
        .collect();
    assert_eq!(there, words(&json, "shelf", "there"));
    let late: Vec<String> = json["late"]["done"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|one| one["days_late"].to_string())
        .collect();
    let shown: Vec<String> = column("late", 5)
        .iter()
        .map(|text| text.chars().take_while(char::is_ascii_digit).collect())
        .collect();
    assert_eq!(shown, late);
}

#[test]
fn nothing_is_said_to_be_nothing() {
    let nothing = Ahead {
        from: ahead().from,
        until: ahead().until,
        ..Ahead::default()
    };
    let page = page(&nothing);
    assert!(page.contains("Nothing that is known here."));
    assert!(page.contains("Nothing was late, as far as is known here."));
}

#[test]
fn a_long_list_is_cut_and_said_to_be() {
    let mut many = ahead();
    let one = many.due[0].clone();
    many.due = vec![one; 900];
    many.visits.clear();
    let page = page(&many);
    assert!(
        page.contains("Of 900 only the first are shown here"),
        "{page}"
    );
}

#[test]
fn what_was_refused_stands_beside_its_field() {
    let fault = Fault {
        field: "ahead".to_owned(),
        text: "--ahead: 'soon' is not an interval".to_owned(),
    };
    let form = FormValues::of([("ahead", "soon"), ("station", "Mill Race")]).refused(vec![fault]);
    let page = due_refused_page(&["Mill Race".to_owned()], &facts(), &form);
    assert_eq!(faults(&page), Vec::<String>::new());
    assert!(page.contains("is not an interval") && page.contains("value=\"soon\""));
    assert!(page.contains("aria-invalid=\"true\""));
}

/// What people wrote is text.
#[test]
fn words_of_people_are_text() {
    let mut some = ahead();
    some.due[0].number = "<b>Boat\u{202e} 11".to_owned();
    some.due[1].label = "<script>alert(1)</script>".to_owned();
    let page = page(&some);
    assert!(!page.contains("<b>Boat") && !page.contains("<script>alert"));
    assert!(!page.contains('\u{202e}'));
}

#[test]
fn a_station_sees_what_comes_due_there() {
    let some = ahead();
    let shown = Coming {
        ahead: &some,
        as_of: AS_OF,
        is_here: true,
        ctx: &context(),
        notes: &[],
    };
    let body = coming_body(&shown).into_string();
    assert_snapshot!(in_lines(&body));
    let craft = some.due[0].craft.expect("a craft");
    assert!(body.contains(&format!("href=\"/inspect/{craft}\"")));
}
