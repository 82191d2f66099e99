//! A craft's own page.

use proptest::prelude::*;
use scraper::{Html, Selector};
use sponson_readiness::answer::{CountyAnswer, CraftAnswer};
use sponson_readiness::standard::{Standard, built_in};

use super::checks::faults;
use super::{facts, in_lines};
use crate::context::Context;
use crate::html::{CraftFacts, Entry, PageFacts, Proofs, Standing, craft_page};
use crate::sample;

fn sheet() -> Standard {
    Standard::parse(built_in()[0].1).expect("a built-in sheet")
}

fn entry(n: u8, what: &str, standing: Standing) -> Entry {
    Entry {
        id: sample::event(n),
        at: sample::AS_OF.plus_ms(-i64::from(n) * 60_000),
        station: "Mill Race".to_owned(),
        member: "214".to_owned(),
        what: what.to_owned(),
        standing,
    }
}

fn history() -> Vec<Entry> {
    let mut county = entry(3, "assigned to 26-114", Standing::Received);
    county.station.clear();
    county.member.clear();
    vec![
        entry(1, "part check: 1 reading", Standing::Waiting),
        entry(2, "fault: tear at tube 3", Standing::Unconfirmed),
        county,
    ]
}

fn shown(answer: &CountyAnswer, craft: &CraftAnswer, facts: &PageFacts) -> String {
    page(
        (answer, craft),
        &sample::context(),
        facts,
        (Some(&sheet()), &history()),
    )
}

fn page(
    (answer, craft): (&CountyAnswer, &CraftAnswer),
    ctx: &Context,
    facts: &PageFacts,
    (standard, history): (Option<&Standard>, &[Entry]),
) -> String {
    let of_craft = CraftFacts {
        standard,
        history,
        has_older: !history.is_empty(),
        proofs: Proofs::Served,
        pictures: &[],
        ways: None,
        record_href: None,
        readings_href: None,
    };
    craft_page(answer, craft, ctx, facts, &of_craft)
}

#[test]
fn one_craft() {
    let answer = sample::county();
    insta::assert_snapshot!(in_lines(&shown(&answer, &sample::limited(), &facts())));
}

#[test]
fn every_craft_has_a_sound_page() {
    let answer = sample::county();
    for craft in &answer.craft {
        for (standard, history) in [(Some(&sheet()), history()), (None, Vec::new())] {
            let shown = page(
                (&answer, craft),
                &sample::context(),
                &facts(),
                (standard, &history),
            );
            assert_eq!(faults(&shown), Vec::<String>::new(), "{}", craft.number);
        }
    }
}

fn texts(page: &str, css: &str) -> Vec<String> {
    let html = Html::parse_document(page);
    let select = Selector::parse(css).expect("a selector");
    html.select(&select)
        .map(|one| one.text().collect())
        .collect()
}

#[test]
fn numbers_of_the_drawing_are_those_of_the_list() {
    let answer = sample::county();
    let craft = sample::limited();
    let shown = shown(&answer, &craft, &facts());
    let drawn: Vec<String> = texts(&shown, "text.plan-number");
    assert_eq!(drawn, ["1"], "what is only noted has no number");
    let first = texts(&shown, "#finding-1 > p");
    assert!(first[0].contains("ube 1"), "{first:?}");
}

#[test]
fn only_who_may_assign_is_offered_to() {
    let answer = sample::county();
    let craft = sample::limited();
    let forms = |facts: &PageFacts| {
        let shown = shown(&answer, &craft, facts);
        texts(&shown, "form[action^='/craft/']").len()
    };
    assert_eq!(
        forms(&facts()),
        1,
        "assign; it is not assigned, so nothing to release"
    );
    let mut may_not = facts();
    may_not.offers.may_assign = false;
    assert_eq!(forms(&may_not), 0);
    let mut no_token = facts();
    no_token.token = None;
    assert_eq!(forms(&no_token), 0);
}

#[test]
fn how_each_entry_stands_is_said() {
    let answer = sample::county();
    let shown = shown(&answer, &sample::limited(), &facts());
    let rows = texts(&shown, "#history ~ table tbody tr");
    assert_eq!(rows.len(), 3);
    assert!(
        rows[0].contains("not stored by the county yet: part check"),
        "{rows:?}"
    );
    assert!(rows[1].contains("unconfirmed: fault"), "{rows:?}");
    assert!(rows[2].contains("assigned to 26-114county"), "{rows:?}");
    let html = Html::parse_document(&shown);
    let select = Selector::parse("#history ~ table a.entry").expect("a selector");
    let link = html
        .select(&select)
        .next()
        .and_then(|one| one.value().attr("href"));
    assert_eq!(
        link,
        Some(format!("/entry/{}/proof", sample::event(1)).as_str())
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]
    #[test]
    fn what_people_wrote_of_a_craft_is_text(
        hostile in "[<>&\"'`=/a-z \u{202e}\u{1b}]{1,24}|<script>alert\\(1\\)</script>|\"><img src=x onerror=y>",
    ) {
        let answer = sample::county();
        let ctx = sample::context();
        let plain = page((&answer, &sample::limited()), &ctx, &facts(), (Some(&sheet()), &history()));
        let mut craft = sample::limited();
        craft.number.clone_from(&hostile);
        for finding in &mut craft.why {
            finding.source.clone_from(&hostile);
        }
        let mut sheet = sheet();
        sheet.label.clone_from(&hostile);
        for item in &mut sheet.items {
            item.label.clone_from(&hostile);
        }
        let mut history = history();
        for entry in &mut history {
            entry.what.clone_from(&hostile);
        }
        let mut ctx = ctx;
        for name in ctx.stations.values_mut() {
            name.clone_from(&hostile);
        }
        let shown = page((&answer, &craft), &ctx, &facts(), (Some(&sheet), &history));
        let elements = |page: &str| texts(page, "*").len();
        prop_assert_eq!(elements(&shown), elements(&plain));
        let obeyed = shown.contains(['\u{202e}', '\u{1b}']);
        prop_assert!(!obeyed, "control characters");
    }
}
