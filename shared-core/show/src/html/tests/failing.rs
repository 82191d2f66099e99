//! The pages of what keeps failing.

use std::collections::BTreeMap;

use insta::assert_snapshot;
use scraper::{Html, Selector};
use sponson_readiness::ids::ModelId;
use sponson_readiness::standard::{Standard, built_in};

use super::checks::faults;
use super::{facts, in_lines};
use crate::failing::Failing;
use crate::html::{
    Fault, FormValues, PageFacts, faults_group_page, faults_page, faults_refused_page,
};
use crate::json;
use crate::sample::context;
use crate::sample::failing::{boat_9, found, past, said};

fn seen_by(may_decide: bool) -> PageFacts {
    let mut facts = PageFacts {
        query: "by=craft-place".to_owned(),
        path: "/faults".to_owned(),
        ..facts()
    };
    facts.offers.may_decide = may_decide;
    facts
}

fn standards() -> BTreeMap<ModelId, Standard> {
    let sheet = Standard::parse(built_in()[0].1).expect("a built-in sheet");
    BTreeMap::from([(ModelId::from("inflatable-14"), sheet)])
}

fn page(failing: &Failing, may_decide: bool) -> String {
    let form = FormValues::of([("by", "craft-place")]);
    let page = faults_page(failing, &context(), &seen_by(may_decide), &form);
    assert_eq!(faults(&page), Vec::<String>::new());
    page
}

fn group_page(failing: &Failing, may_decide: bool) -> String {
    let facts = PageFacts {
        path: "/faults/group".to_owned(),
        query: format!("by=craft-place&group={}", failing.groups[0].key),
        ..seen_by(may_decide)
    };
    let page = faults_group_page(
        failing,
        &failing.groups[0],
        &context(),
        &facts,
        &standards(),
    );
    assert_eq!(faults(&page), Vec::<String>::new());
    page
}

#[test]
fn the_list() {
    assert_snapshot!(in_lines(&page(&said(&found(), &past()), true)));
}

#[test]
fn one_group() {
    assert_snapshot!(in_lines(&group_page(&said(&found(), &past()), true)));
}

/// Only the lead finds a form that decides.
#[test]
fn who_may_not_decide_finds_no_form() {
    let failing = said(&found(), &past());
    for page in [page(&failing, false), group_page(&failing, false)] {
        assert!(!page.contains("/faults/decide"));
        assert!(page.contains("repair again"));
    }
    assert!(page(&failing, true).contains("action=\"/faults/decide\""));
}

/// Every figure of the JSON stands on the page with the same digits.
#[test]
fn numbers_on_the_page_are_those_of_the_json() {
    let failing = said(&found(), &past());
    let json: serde_json::Value =
        serde_json::from_str(&json::faults(&failing)).expect("a JSON text");
    let page = group_page(&failing, false);
    let html = Html::parse_document(&page);
    let rows = Selector::parse("tbody tr").expect("a selector");
    let rows: Vec<String> = html
        .select(&rows)
        .map(|row| row.text().collect::<Vec<_>>().join(" "))
        .collect();
    let group = &json["groups"][0];
    let figures = group["figures"].as_object().expect("figures");
    assert!(figures.len() > 15, "{figures:?}");
    for (id, figure) in figures {
        let name = figure["text"].as_str().expect("a name");
        let row = rows.iter().find(|row| row.starts_with(name)).expect(name);
        for field in ["value", "lower", "upper"] {
            let number = &figure[field];
            let there = number.is_null() || row.contains(&number.to_string());
            assert!(there, "{id} {field} {number}: {row}");
        }
    }
    for step in group["mcf"].as_array().expect("steps") {
        let numbers = ["t", "mcf", "lower", "upper"].map(|it| step[it].to_string());
        let in_row = |row: &&String| numbers.iter().all(|number| row.contains(number));
        assert!(rows.iter().any(|row| in_row(&row)), "{step}");
    }
    let line = group["text"].as_str().expect("a line");
    assert!(page.to_lowercase().contains(&line.to_lowercase()));
}

#[test]
fn what_was_refused_is_said_and_the_form_is_open() {
    let form = FormValues::of([("by", "boat")]).refused(vec![Fault {
        field: "by".to_owned(),
        text: "invalid value 'boat'".to_owned(),
    }]);
    let page = faults_refused_page(&seen_by(false), &form);
    assert_eq!(faults(&page), Vec::<String>::new());
    assert!(page.contains("invalid value") && page.contains("id=\"ask-form\" open"));
}

#[test]
fn words_of_people_are_text() {
    let mut history = past();
    let craft = history.crafts.get_mut(&boat_9()).expect("the craft");
    craft.number = "<b>9\u{202e}".to_owned();
    craft.faults[0].class = "<script>".to_owned();
    craft.repairs[0].method = "<i>".to_owned();
    let failing = said(&found(), &history);
    for page in [page(&failing, true), group_page(&failing, true)] {
        assert!(!page.contains("<b>9") && !page.contains("<i>"));
        assert!(!page.contains("<script>") && !page.contains('\u{202e}'));
    }
}

/// Where a question goes: to its own page, never to those about a launch.
#[test]
fn what_is_asked_here_is_not_asked_of_other_pages() {
    let page = page(&said(&found(), &past()), false);
    assert!(page.contains("href=\"/faults?by=craft-place\" aria-current=\"page\""));
    for path in ["/", "/kit-moves", "/report", "/due", "/gauges"] {
        assert!(page.contains(&format!("href=\"{path}\"")), "{path}");
    }
}
