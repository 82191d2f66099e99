//! What holds of every page: no style or script in its markup, ids once, labels, headings in order,
//! and whatever people wrote is text.

use std::collections::BTreeSet;

use proptest::prelude::*;
use scraper::{ElementRef, Html, Selector};

use super::facts;
use crate::html::{Fault, Message};
use crate::html::{FormValues, PageFacts, county_page, message_page, refused_page};
use crate::sample;
use crate::sample::callout::called_out;

fn select(css: &str) -> Selector {
    Selector::parse(css).expect("a selector")
}

/// Everything wrong with the markup of a page.
pub(crate) fn faults(page: &str) -> Vec<String> {
    let html = Html::parse_document(page);
    let mut wrong = inline(&html);
    wrong.extend(ids(&html));
    wrong.extend(headings(&html));
    wrong.extend(controls(&html));
    wrong.extend(tables(&html));
    for (css, number) in [("h1", 1), ("main", 1), ("html[lang=en]", 1), ("title", 1)] {
        if html
            .select(&select(css))
            .filter(|one| !in_svg(*one))
            .count()
            != number
        {
            wrong.push(format!("not {number} of {css}"));
        }
    }
    wrong
}

fn in_svg(one: ElementRef<'_>) -> bool {
    let mut above = one.ancestors().filter_map(ElementRef::wrap);
    above.any(|it| it.value().name() == "svg")
}

fn inline(html: &Html) -> Vec<String> {
    let mut wrong = Vec::new();
    for one in html.select(&select("*")) {
        let named = |(name, _): (&str, &str)| name == "style" || name.starts_with("on");
        if one.value().attrs().any(named) {
            wrong.push(format!("inline: {}", one.html()));
        }
        let script = one.value().name() == "script" && !one.inner_html().is_empty();
        if script || one.value().name() == "style" {
            wrong.push(format!("inline: {}", one.html()));
        }
        let goes = |(name, value): (&str, &str)| {
            matches!(name, "href" | "src" | "action") && value.contains(':') && value != "data:,"
        };
        if one.value().attrs().any(goes) {
            wrong.push(format!("leads elsewhere: {}", one.html()));
        }
    }
    wrong
}

fn ids(html: &Html) -> Vec<String> {
    let mut seen = BTreeSet::new();
    let ids: Vec<&str> = html
        .select(&select("[id]"))
        .filter_map(|one| one.value().attr("id"))
        .collect();
    let mut wrong: Vec<String> = ids
        .iter()
        .filter(|id| !seen.insert(**id))
        .map(|id| format!("twice: {id}"))
        .collect();
    for name in ["aria-labelledby", "aria-describedby", "for", "list"] {
        let with = select(&format!("[{name}]"));
        let named = html.select(&with).filter_map(|one| one.value().attr(name));
        let missing = named
            .flat_map(str::split_whitespace)
            .filter(|id| !seen.contains(id));
        wrong.extend(missing.map(|id| format!("{name} leads nowhere: {id}")));
    }
    wrong
}

fn headings(html: &Html) -> Vec<String> {
    let mut level = 0;
    let mut wrong = Vec::new();
    for one in html.select(&select("h1, h2, h3, h4")) {
        let next: u32 = one
            .value()
            .name()
            .trim_start_matches('h')
            .parse()
            .expect("a level");
        if next > level + 1 {
            wrong.push(format!("h{next} after h{level}"));
        }
        level = next;
    }
    wrong
}

fn controls(html: &Html) -> Vec<String> {
    let labels: BTreeSet<&str> = html
        .select(&select("label[for]"))
        .filter_map(|one| one.value().attr("for"))
        .collect();
    let fields = select("input:not([type=hidden]), select, textarea");
    let all: BTreeSet<&str> = html
        .select(&fields)
        .map(|one| one.value().attr("id").unwrap_or("no id"))
        .collect();
    let bare = all.difference(&labels).map(|id| format!("no label: {id}"));
    let lost = labels.difference(&all).map(|id| format!("no field: {id}"));
    let speaking = select("button, a[href], summary, legend, th, option");
    let silent = html
        .select(&speaking)
        .filter(|one| one.text().collect::<String>().trim().is_empty())
        .map(|one| format!("says nothing: {}", one.html()));
    bare.chain(lost).chain(silent).collect()
}

fn tables(html: &Html) -> Vec<String> {
    html.select(&select("th:not([scope])"))
        .map(|one| format!("no scope: {}", one.html()))
        .collect()
}

fn check(page: &str) {
    assert_eq!(faults(page), Vec::<String>::new());
}

#[test]
fn pages_are_sound() {
    let ctx = sample::context();
    let form = FormValues::of([("without-station", "Mill Race"), ("mission", "unheard-of")]);
    check(&county_page(&sample::county(), &ctx, &facts(), &form));
    check(&county_page(&called_out(), &ctx, &facts(), &form));
    let faults = ["air", "closed", "mission", "metar", "strange"].map(|field| Fault {
        field: field.to_owned(),
        text: format!("--{field} cannot be"),
    });
    check(&refused_page(&facts(), &form.refused(faults.to_vec())));
    check(
        &message_page(
            &Message::default(),
            &PageFacts {
                again_s: Some(120),
                ..facts()
            },
        )
        .replace("<h1></h1>", "<h1>x</h1>"),
    );
}

#[test]
fn the_caution_stands_on_each_printed_sheet() {
    assert!(crate::html::STYLE.contains(&format!("content: \"{}\"", crate::caution())));
}

#[test]
fn each_check_finds_what_it_is_for() {
    for (markup, wrong) in [
        ("<p style='x'>", "inline"),
        ("<a href='javascript:x'>y</a>", "leads elsewhere"),
        ("<a id='x'>y</a><a id='x'>y</a>", "twice"),
        ("<h1>x</h1><h3>y</h3>", "h3 after h1"),
        ("<input id='x'>", "no label"),
        ("<label for='x'>y</label>", "no field"),
        ("<button></button>", "says nothing"),
        ("<table><tr><th>x</th></tr></table>", "no scope"),
        ("<p aria-describedby='x'>", "leads nowhere"),
    ] {
        let found = faults(markup).join("; ");
        assert!(found.contains(wrong), "{markup}: {found}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    /// Whatever people wrote of craft, stations, items and themselves stays text.
    #[test]
    fn what_people_wrote_is_text(
        hostile in "[<>&\"'`=/a-z \u{202e}\u{1b}]{1,24}|<script>alert\\(1\\)</script>|\"><img src=x onerror=y>",
    ) {
        let mut answer = called_out();
        for one in answer.callout.iter_mut().flat_map(|it| &mut it.candidates) {
            one.number.clone_from(&hostile);
            for kit in &mut one.at_ramp {
                kit.label.clone_from(&hostile);
            }
            for call in &mut one.whom_to_call {
                call.name.clone_from(&hostile);
                call.call.clone_from(&hostile);
            }
        }
        for craft in &mut answer.craft {
            craft.number.clone_from(&hostile);
        }
        for station in &mut answer.stations {
            station.name.clone_from(&hostile);
        }
        for item in &mut answer.missing_kit {
            item.label.clone_from(&hostile);
            item.number.clone_from(&hostile);
        }
        for one in &mut answer.disagreements {
            one.number.clone_from(&hostile);
            for side in &mut one.sides {
                side.origin.author.member.clone_from(&hostile);
            }
        }
        let mut ctx = sample::context();
        for name in ctx.stations.values_mut() {
            name.clone_from(&hostile);
        }
        let given = FormValues::of([("metar", hostile.as_str()), ("mission", &hostile), ("place", &hostile)]);
        let facts = PageFacts {
            county: hostile.clone(),
            notes: vec![hostile.clone()],
            ..facts()
        };
        let typed = FormValues::of(["metar", "mission", "place"].map(|name| (name, "x")));
        let page = county_page(&called_out(), &sample::context(), &super::facts(), &typed);
        let plain = elements(&page);
        let page = county_page(&answer, &ctx, &facts, &given);
        // The note, and nothing else, is more than on the plain page.
        prop_assert_eq!(elements(&page), plain + 1);
        // What somebody typed comes back to them as typed; what others wrote is cleaned.
        let shown = county_page(&answer, &ctx, &facts, &FormValues::default());
        let obeyed = shown.contains(['\u{202e}', '\u{1b}']);
        prop_assert!(!obeyed, "control characters");
    }
}

fn elements(page: &str) -> usize {
    Html::parse_document(page).select(&select("*")).count()
}
