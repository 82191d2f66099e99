//! What every output keeps, whatever texts it holds: one check for each form.
//!
//! Each reads an output back by a library that did not write it, and gives what is wrong with it.

use std::collections::BTreeSet;

use calcard::{Entry, Parser};
use scraper::{ElementRef, Html, Node};

/// An element's name with the names of its attributes, in order.
pub(super) type Shape = (String, Vec<String>);

/// Attributes whose value is an address (HTML Living Standard, index of attributes; SVG 2).
const ADDRESSES: [&str; 12] = [
    "action",
    "background",
    "cite",
    "data",
    "formaction",
    "href",
    "manifest",
    "ping",
    "poster",
    "src",
    "srcset",
    "xlink:href",
];

/// Whether a character is obeyed, reorders text, or cannot be seen: Cc and Zl, Zp of Unicode,
/// Bidi_Control (UAX 9), and Default_Ignorable_Code_Point (UAX 44) without the joiners and
/// variation selectors that scripts and pictures need. The blocks are from memory.
pub(super) fn hides(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}'..='\u{1160}' | '\u{17b4}'..='\u{17b5}'
            | '\u{180e}' | '\u{200b}' | '\u{200e}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{3164}' | '\u{feff}' | '\u{ffa0}'
            | '\u{fff0}'..='\u{fffb}' | '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}'
            | '\u{e0000}'..='\u{e007f}')
}

fn hidden(text: &str) -> Option<String> {
    let found = text.char_indices().find(|(_, c)| hides(*c));
    found.map(|(at, c)| format!("{:?} in {:?}", c, around(text, at)))
}

/// Some letters of a text before and after a place in it.
fn around(text: &str, at: usize) -> String {
    let before: Vec<char> = text[..at].chars().rev().take(60).collect();
    let before = before.into_iter().rev();
    before.chain(text[at..].chars().take(60)).collect()
}

/// What a terminal gets: lines, and nothing that it obeys.
pub(super) fn terminal(text: &str) -> Vec<String> {
    let text = text.replace("\r\n", "\n");
    text.split('\n').filter_map(hidden).collect()
}

/// Lines of which none was begun by what a text holds.
pub(super) fn lines(text: &str) -> Vec<String> {
    let mut wrong = terminal(text);
    let forged = text.lines().filter(|line| line.starts_with("ERROR hst"));
    wrong.extend(forged.map(|line| format!("a line that nobody wrote: {line:?}")));
    wrong
}

/// JSON that can be read, and printed on a terminal.
pub(super) fn json(text: &str) -> Vec<String> {
    let mut wrong = terminal(text);
    if let Err(error) = serde_json::from_str::<serde_json::Value>(text) {
        wrong.push(format!("no JSON: {error}"));
    }
    wrong
}

/// Whether a spreadsheet would run a cell (OWASP, CSV Injection).
fn runs(cell: &str) -> bool {
    let shown = cell.trim_start_matches(|c: char| c.is_whitespace() || c == '"');
    let begins = shown.starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠']);
    begins && shown.parse::<f64>().is_err()
}

/// A list for a spreadsheet: as many cells in each line, none that it runs, nor where it parts cells
/// at semicolons.
pub(super) fn csv(text: &str) -> Vec<String> {
    let mut wrong = Vec::new();
    let mut reader = ::csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(text.as_bytes());
    for record in reader.records() {
        match record {
            Err(error) => wrong.push(format!("no list: {error}")),
            Ok(record) => {
                wrong.extend(record.iter().filter_map(hidden));
                let pieces = record.iter().flat_map(|cell| cell.split(';'));
                let run = pieces.filter(|piece| runs(piece));
                wrong.extend(run.map(|piece| format!("a formula: {piece:?}")));
            }
        }
    }
    wrong
}

/// A calendar: one, of days alone, each line of at most 75 octets (RFC 5545, 3.1).
pub(super) fn calendar(text: &str) -> Vec<String> {
    let mut wrong = Vec::new();
    let mut parser = Parser::new(text);
    if let Entry::ICalendar(read) = parser.entry() {
        let days = text.matches("\r\nBEGIN:VEVENT\r\n").count();
        if read.components.len() != days + 1 {
            wrong.push(format!("{} parts for {days} days", read.components.len()));
        }
    } else {
        wrong.push("no calendar".to_owned());
    }
    if parser.entry() != Entry::Eof {
        wrong.push("something follows".to_owned());
    }
    for line in text.split_terminator("\r\n") {
        if line.len() > 75 {
            wrong.push(format!("a line of {} octets: {line}", line.len()));
        }
        wrong.extend(hidden(line));
        if line.starts_with("HST") || line.starts_with("BEGIN:VALARM") {
            wrong.push(format!("a property that nobody wrote: {line}"));
        }
    }
    wrong
}

/// The shapes of a page's elements.
pub(super) fn shapes(page: &str) -> BTreeSet<Shape> {
    let page = Html::parse_document(page);
    let elements = page.tree.nodes().filter_map(ElementRef::wrap);
    let mut all = BTreeSet::new();
    for element in elements {
        all.insert(shape(&element));
        let name = element.value().name();
        if matches!(name, "script" | "style") {
            all.insert(holding(name, element.text().collect()));
        }
    }
    all
}

/// An element with its whole text.
fn holding(name: &str, text: String) -> Shape {
    (name.to_owned(), vec![text])
}

fn shape(element: &ElementRef<'_>) -> Shape {
    let mut names: Vec<String> = element
        .value()
        .attrs()
        .map(|(name, _)| name.to_owned())
        .collect();
    names.sort();
    (element.value().name().to_owned(), names)
}

/// A page: no element with attributes that `known` does not hold, no handler, no style and no script
/// of its own, no address elsewhere, nothing that hides.
pub(super) fn page(text: &str, known: &BTreeSet<Shape>) -> Vec<String> {
    let mut wrong = Vec::new();
    let page = Html::parse_document(text);
    for node in page.tree.nodes() {
        if let Node::Text(text) = node.value() {
            wrong.extend(unless_typed(&node).and_then(|()| hidden_here(text)));
        }
        if let Node::Comment(comment) = node.value() {
            wrong.push(format!("a comment: {comment:?}"));
        }
        if let Some(element) = ElementRef::wrap(node) {
            wrong.extend(element_wrong(&element, known));
        }
    }
    wrong
}

/// Nothing of a text that somebody goes on typing in: there it stands as it was typed.
fn unless_typed(node: &ego_tree::NodeRef<'_, Node>) -> Option<()> {
    let parent = node.parent().and_then(ElementRef::wrap)?;
    (parent.value().name() != "textarea").then_some(())
}

/// Lines of a page's source are no harm.
fn hidden_here(text: &str) -> Option<String> {
    text.split('\n').find_map(hidden)
}

fn element_wrong(element: &ElementRef<'_>, known: &BTreeSet<Shape>) -> Vec<String> {
    let mut wrong = Vec::new();
    let shape = shape(element);
    if !known.contains(&shape) {
        wrong.push(format!("an element that is not ours: {}", element.html()));
    }
    let name = element.value().name();
    let own = element.text().collect::<String>();
    if matches!(name, "script" | "style") && !own.is_empty() && !known.contains(&holding(name, own))
    {
        wrong.push(format!("a {name} in the page that is not ours"));
    }
    for (attribute, value) in element.value().attrs() {
        let runs = attribute.starts_with("on") || matches!(attribute, "style" | "srcdoc" | "hst");
        if runs {
            wrong.push(format!("{attribute} of {name}: {value}"));
        }
        if ADDRESSES.contains(&attribute) && !is_here(value) {
            wrong.push(format!("{attribute} of {name} leads elsewhere: {value:?}"));
        }
        // Values and names are as they were typed: nobody reads them there.
        if !matches!(attribute, "value" | "name") {
            wrong.extend(hidden(value).map(|it| format!("{attribute} of {name}: {it}")));
        }
    }
    wrong
}

/// Whether an address stays at this server, by a path (RFC 3986, 4.2), its query or a place in it.
fn is_here(address: &str) -> bool {
    let path = address.starts_with('/') && !address.starts_with("//") && !address.contains('\\');
    path || address.is_empty() || address.starts_with(['#', '?'])
}

#[test]
fn each_check_finds_what_it_is_for() {
    let known = shapes("<p class=a>b</p><a href=/x>y</a><textarea></textarea>");
    for (text, fine) in [
        ("<p class=a>b</p><a href=/z>\"'&lt;script></a>", true),
        ("<textarea>\u{202e}</textarea>", true),
        ("<p class=a hst>b</p>", false),
        ("<p class=a>b</p><script>1</script>", false),
        ("<a href=//evil.example>y</a>", false),
        ("<a href='javascript:1'>y</a>", false),
        ("<a href=/x onclick=1>y</a>", false),
        ("<p class=a>\u{202e}b</p>", false),
        ("<p class='\u{200b}'>b</p>", false),
        ("<!-- b --><p class=a>b</p>", false),
    ] {
        assert_eq!(page(text, &known).is_empty(), fine, "{text}");
    }
    for (text, fine) in [
        ("a,b\r\n'=1,-5\r\n", true),
        ("a,b\r\n=1,c\r\n", false),
        ("a,b\r\nx;=1,c\r\n", false),
        ("a,b\r\nx; \"=1\",c\r\n", false),
        ("a,b\r\nc\r\n", false),
        ("a,b\r\n\u{1b}c,d\r\n", false),
    ] {
        assert_eq!(csv(text).is_empty(), fine, "{text:?}");
    }
    let day = "BEGIN:VEVENT\r\nUID:1\r\nSUMMARY:a\r\nEND:VEVENT\r\n";
    for (days, fine) in [
        (day.to_owned(), true),
        (day.replace(":a", &":a".repeat(40)), false),
        (day.replace(":a", ":a\r\nHST:1"), false),
        (day.replace(":a", ":\u{9b}2J"), false),
        (
            format!("{day}END:VCALENDAR\r\nBEGIN:VCALENDAR\r\nVERSION:2.0\r\n"),
            false,
        ),
    ] {
        let text = format!("BEGIN:VCALENDAR\r\nVERSION:2.0\r\n{days}END:VCALENDAR\r\n");
        assert_eq!(calendar(&text).is_empty(), fine, "{text:?}");
    }
    for (text, fine) in [
        ("{\"a\": \"\\u202e\"}\n", true),
        ("{\"a\": \"\u{9b}\"}\n", false),
        ("{\"a\": ", false),
    ] {
        assert_eq!(json(text).is_empty(), fine, "{text:?}");
    }
    for (text, fine) in [
        ("a\nb \u{200d}", true),
        ("a\rb", false),
        ("\u{7}", false),
        ("a\nERROR hst: forged", false),
    ] {
        assert_eq!(lines(text).is_empty(), fine, "{text:?}");
    }
}
