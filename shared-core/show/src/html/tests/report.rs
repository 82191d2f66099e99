//! The printed report: what stands on it, that it fits a sheet, that it needs nothing else.

use super::facts;
use crate::html::{report_file, report_page};
use crate::sample;

/// Lines of 8.5 point that a sheet has room for, and characters of a line that is full.
const SHEET_LINES: usize = 72;
const LINE_CHARS: usize = 130;

fn file() -> String {
    report_file(&sample::county(), &sample::context(), &[])
}

#[test]
fn the_file_needs_nothing_beside_itself() {
    let page = file();
    for outside in [
        "http://", "https://", "src=", "url(", "<script", "<link", "href=",
    ] {
        assert!(!page.contains(outside), "{outside}");
    }
    assert!(page.contains("default-src 'none'"));
}

#[test]
fn the_page_of_the_server_has_no_style_within() {
    let page = report_page(&sample::county(), &sample::context(), &facts());
    assert!(!page.contains("<style") && !page.contains("style="));
    assert!(page.contains("href=\"/style-1.css\""));
}

#[test]
fn it_says_the_caution_the_moment_and_what_it_rests_on() {
    let note = "The county came back from a backup.".to_owned();
    let page = report_file(
        &sample::county(),
        &sample::context(),
        std::slice::from_ref(&note),
    );
    for words in [
        crate::caution(),
        "2026-03-14 08:30",
        "swiftwater",
        "Assumed",
        "Not heard for long",
        "Boat 9: life jacket, 3 of 4",
        "fuel line inspection",
        "go and look",
        "Rests on",
        &note,
    ] {
        assert!(page.contains(words), "{words}");
    }
    for number in ["Boat 3", "Boat 7", "Boat 9", "Raft 2"] {
        assert!(page.contains(number), "{number}");
    }
}

#[test]
fn what_people_wrote_stays_text() {
    let mut answer = sample::county();
    answer.craft[0].number = "<b>&\"".to_owned();
    let page = report_file(&answer, &sample::context(), &["<i>".to_owned()]);
    assert!(!page.contains("<b>") && !page.contains("<i>"));
    assert!(page.contains("&lt;b&gt;&amp;"));
}

/// Text of an element's lines, as a sheet breaks them.
fn lines(page: &str) -> usize {
    let body = page.split_once("<main>").expect("a main").1;
    let rows = body
        .replace("</tr>", "\n")
        .replace("</li>", "\n")
        .replace("</p>", "\n");
    let rows = rows
        .replace("</h1>", "\n")
        .replace("</h2>", "\n")
        .replace("</dd>", "\n");
    let (lists, others): (Vec<&str>, Vec<&str>) =
        rows.lines().partition(|line| line.contains("<li>"));
    let height = |line: &&str, chars: usize| {
        let mut text = 0;
        let mut within = false;
        for c in line.chars() {
            match c {
                '<' => within = true,
                '>' => within = false,
                _ if !within => text += 1,
                _ => {}
            }
        }
        text.max(1_usize).div_ceil(chars)
    };
    let others: usize = others.iter().map(|line| height(line, LINE_CHARS)).sum();
    // Lists stand in two columns.
    let lists: usize = lists.iter().map(|line| height(line, LINE_CHARS / 2)).sum();
    others + lists.div_ceil(2)
}

#[test]
fn a_county_of_many_craft_still_fits_a_sheet_and_says_how_many_are_left_off() {
    let mut answer = sample::county();
    let samples = answer.craft.clone();
    answer.craft = (0..120)
        .map(|at| {
            let mut one = samples[at % samples.len()].clone();
            one.number = format!("Boat {at}");
            one
        })
        .collect();
    let (short, late) = (answer.missing_kit[0].clone(), answer.overdue[0].clone());
    answer.missing_kit = vec![short; 80];
    answer.overdue = vec![late; 80];
    let page = report_file(&answer, &sample::context(), &[]);
    assert!(page.contains("And 74 more, in the answer"));
    assert!(page.contains("and 20 more"));
    let lines = lines(&page);
    assert!(lines <= SHEET_LINES, "{lines} lines");
}
