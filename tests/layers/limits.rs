//! The list of limits, `tests/limits.tsv`, is the sources' own: whatever looks like a limit there has
//! a line, with its value, and beside it the tests that pass just under it and are refused just over.
//!
//! Looks for constants that are numbers, spans of time or ranges; for ranges written as numbers, the
//! `range` of a quantity among them; and for comparisons with a number of two digits or more. It reads text, not Rust: a limit that is worked
//! out in some other way is not found.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// Folders whose sources are walked.
const WALKED: [&str; 8] = [
    "proto/src",
    "shared-core/readiness/src",
    "shared-core/log/src",
    "shared-core/replica/src",
    "shared-core/link/src",
    "shared-core/show/src",
    "client/src",
    "server/src",
];

/// Types of constants that can be a limit.
const NUMBERS: [&str; 14] = [
    "u8", "u16", "u32", "u64", "u128", "usize", "i8", "i16", "i32", "i64", "i128", "f32", "f64",
    "Duration",
];

/// Parts of a name that say a limit: such a constant has a line of its own.
const SAYS_SO: [&str; 6] = ["MAX", "MIN", "MOST", "LEAST", "TIMEOUT", "LIMIT"];

/// Numbers below it are looked at as constants and ranges only, not in comparisons.
const COMPARED_FROM: u64 = 20;

/// Limits that no test shows yet.
const OPEN: usize = 0;

/// One line of the list.
#[derive(Debug)]
struct Row {
    path: String,
    name: String,
    value: String,
    sort: String,
    shown: String,
}

/// Where something stands, what it is called, and its value, as the sources write it.
type Found = (String, String, String);

#[test]
fn every_limit_of_the_sources_is_on_the_list() {
    let rows = rows();
    let exact: BTreeMap<(&str, &str), &Row> = rows
        .iter()
        .map(|row| ((row.path.as_str(), row.name.as_str()), row))
        .collect();
    assert_eq!(exact.len(), rows.len(), "a limit stands in the list twice");
    let folders: Vec<&Row> = rows.iter().filter(|row| row.name == "*").collect();
    let mut used = BTreeSet::new();
    let mut wrong = Vec::new();
    for (path, name, value) in found() {
        let own = exact.get(&(path.as_str(), name.as_str())).copied();
        let says_so = SAYS_SO.iter().any(|part| name.contains(part));
        let folder = folders
            .iter()
            .filter(|row| !says_so && path.starts_with(row.path.as_str()))
            .max_by_key(|row| row.path.len());
        let Some(row) = own.or(folder.copied()) else {
            wrong.push(format!("not on the list:\n{path}\t{name}\t{value}\t\t"));
            continue;
        };
        used.insert((row.path.clone(), row.name.clone()));
        if row.name != "*" && row.value != value {
            wrong.push(format!(
                "{path} {name} is {value}, and the list says {}",
                row.value
            ));
        }
    }
    for row in &rows {
        if !used.contains(&(row.path.clone(), row.name.clone())) {
            wrong.push(format!("not in the sources: {} {}", row.path, row.name));
        }
    }
    assert!(wrong.is_empty(), "tests/limits.tsv:\n{}", wrong.join("\n"));
}

#[test]
fn every_limit_on_the_list_names_tests_that_are_there() {
    let mut texts: BTreeMap<String, String> = BTreeMap::new();
    let mut wrong = Vec::new();
    let mut open = 0;
    for row in rows() {
        let at = format!("{} {}", row.path, row.name);
        match row.sort.as_str() {
            "refused" | "kept" | "waits" => {
                if row.shown.is_empty() {
                    wrong.push(format!("{at} names no test"));
                }
                for test in row.shown.split(' ').filter(|test| !test.is_empty()) {
                    let Some((file, name)) = test.split_once('#') else {
                        wrong.push(format!("{at}: '{test}' is not FILE#TEST"));
                        continue;
                    };
                    let text = texts.entry(file.to_owned()).or_insert_with(|| {
                        std::fs::read_to_string(top().join(file)).unwrap_or_default()
                    });
                    if !is_test(text, name) {
                        wrong.push(format!("{at}: no test {name} in {file}"));
                    }
                }
            }
            "own" => {
                if row.shown.is_empty() {
                    wrong.push(format!(
                        "{at}: why is it no limit on anything from outside?"
                    ));
                }
            }
            "open" => open += 1,
            other => wrong.push(format!("{at}: there is no sort '{other}'")),
        }
    }
    assert!(wrong.is_empty(), "tests/limits.tsv:\n{}", wrong.join("\n"));
    assert_eq!(open, OPEN, "limits that no test shows yet: only ever fewer");
}

/// Whether a text has a function of this name that runs as a test.
fn is_test(text: &str, name: &str) -> bool {
    let Some(at) = text.find(&format!("fn {name}(")) else {
        return false;
    };
    let before: Vec<&str> = text[..at].lines().rev().take(6).collect();
    let marked = |line: &&str| line.contains("#[test]") || line.contains("#[tokio::test");
    before.iter().any(marked)
}

#[test]
fn a_source_is_read_as_it_is_meant() {
    let text = "
/// Words: const NO_MAX: u32 = 1;
pub(crate) const A_MAX: usize = 64
    * 1024;
const WAIT: std::time::Duration = Duration::from_secs(5);
const NAME: &str = \"5..=6\";
const WIND: RangeInclusive<u32> = 0..=100;
const SPAN: Quantity = Quantity { range: (0, 9), };
fn f() { if (10..=20).contains(&x) || y.len() > 200 || z < 7 || (a..=b).contains(&c) {} }
#[cfg(test)]
mod tests {
    const B_MAX: u32 = 1;
}
";
    let wanted = [
        ("A_MAX", "64 * 1024"),
        ("WAIT", "Duration::from_secs(5)"),
        ("WIND", "0..=100"),
        ("10..=20", ""),
        ("range: (0, 9)", ""),
        ("y.len() > 200", ""),
    ];
    let read = limits_of("x.rs", text);
    let read: Vec<(&str, &str)> = read
        .iter()
        .map(|(_, name, value)| (name.as_str(), value.as_str()))
        .collect();
    assert_eq!(read, wanted);
}

/// The list.
fn rows() -> Vec<Row> {
    let text = include_str!("../limits.tsv");
    let lines = text.lines().filter(|line| !line.starts_with('#'));
    lines
        .map(|line| {
            let cells: Vec<&str> = line.split('\t').collect();
            let [path, name, value, sort, shown] = cells[..] else {
                panic!("five cells in a line, not {}: {line}", cells.len());
            };
            Row {
                path: path.to_owned(),
                name: name.to_owned(),
                value: value.to_owned(),
                sort: sort.to_owned(),
                shown: shown.to_owned(),
            }
        })
        .collect()
}

/// What looks like a limit, in all sources.
fn found() -> Vec<Found> {
    let mut files = Vec::new();
    for folder in WALKED {
        walk(&top().join(folder), &mut files);
    }
    assert!(files.len() > 500, "the sources are there");
    let mut found = Vec::new();
    for file in files {
        let text = std::fs::read_to_string(&file).expect("a source can be read");
        let path = file.strip_prefix(top()).expect("it was found there");
        found.extend(limits_of(path.to_str().expect("UTF-8"), &text));
    }
    found
}

/// Sources, but for what is built only for tests.
fn walk(folder: &Path, files: &mut Vec<PathBuf>) {
    let entries = std::fs::read_dir(folder).expect("a folder of sources");
    let mut paths: Vec<PathBuf> = entries
        .map(|entry| entry.expect("an entry").path())
        .collect();
    paths.sort();
    for path in paths {
        let name = path.file_stem().and_then(|name| name.to_str());
        let for_tests = matches!(name, Some("tests" | "sample" | "bin"));
        if for_tests {
            continue;
        }
        if path.is_dir() {
            walk(&path, files);
        } else if path.extension().is_some_and(|end| end == "rs") {
            files.push(path);
        }
    }
}

/// What looks like a limit in one source.
fn limits_of(path: &str, text: &str) -> Vec<Found> {
    let shipped = text
        .find("#[cfg(test)]\nmod ")
        .filter(|at| {
            text[*at..]
                .lines()
                .nth(1)
                .is_some_and(|line| line.ends_with('{'))
        })
        .map_or(text, |at| &text[..at]);
    let lines = shipped
        .lines()
        .map(str::trim)
        .filter(|line| !line.starts_with("//"));
    let code = lines.collect::<Vec<_>>().join(" ");
    let (constants, rest) = constants(&code);
    let ranges = ranges(&rest).into_iter();
    let compared = compared(&rest).into_iter();
    let unnamed = ranges.chain(compared).map(|text| (text, String::new()));
    let mut seen = BTreeSet::new();
    constants
        .into_iter()
        .chain(unnamed)
        .filter(|(name, _)| seen.insert(name.clone()))
        .map(|(name, value)| (path.to_owned(), name, value))
        .collect()
}

/// Constants that are numbers, spans or ranges, and the code without constants and texts.
fn constants(code: &str) -> (Vec<(String, String)>, String) {
    let mut found = Vec::new();
    let mut rest = String::new();
    let mut left = code;
    while let Some(at) = left.find("const ") {
        let (before, after) = left.split_at(at);
        rest.push_str(before);
        let Some((head, body)) = after["const ".len()..].split_once('=') else {
            break;
        };
        let end = body.find(';').unwrap_or(body.len());
        match head.split_once(':') {
            Some((name, sort)) if is_constant(name) && is_number(sort.trim()) => {
                found.push((name.trim().to_owned(), body[..end].trim().to_owned()));
                left = &body[end..];
            }
            _ => left = &after["const ".len()..],
        }
    }
    rest.push_str(left);
    (found, without_texts(&rest))
}

fn is_constant(name: &str) -> bool {
    let plain = |c: char| c.is_ascii_uppercase() || c.is_ascii_digit() || c == '_';
    !name.is_empty() && name.chars().all(plain)
}

fn is_number(sort: &str) -> bool {
    let last = sort.rsplit("::").next().unwrap_or(sort);
    NUMBERS.contains(&last) || last.starts_with("RangeInclusive<")
}

/// Code with its texts emptied: what a message says is no limit.
fn without_texts(code: &str) -> String {
    let pieces = code.split('"').step_by(2);
    pieces.collect::<Vec<_>>().join("\"\"")
}

/// Ranges written as numbers.
fn ranges(code: &str) -> Vec<String> {
    let of_number = |c: char| c.is_ascii_digit() || matches!(c, '_' | '.' | '-');
    let mut found = Vec::new();
    for (at, _) in code.match_indices("..=") {
        let (before, after) = (&code[..at], &code[at + 3..]);
        let start = before.rfind(|c| !of_number(c)).map_or(0, |at| at + 1);
        let end = after.find(|c| !of_number(c)).unwrap_or(after.len());
        let (low, high) = (&before[start..], &after[..end]);
        if is_digits(low) && is_digits(high) {
            found.push(format!("{low}..={high}"));
        }
    }
    // A field of a sort of file: how long it may be.
    for (at, begin) in code.match_indices("bytes_max: ") {
        let value = code[at + begin.len()..].split(',').next().unwrap_or("");
        if value.starts_with(|c: char| c.is_ascii_digit()) {
            found.push(format!("bytes_max: {}", value.trim()));
        }
    }
    // A field of a quantity: least and most.
    for (at, begin) in code.match_indices("range: (") {
        let pair = code[at + begin.len()..].split(')').next().unwrap_or("");
        if pair
            .split(',')
            .all(|end| is_digits(end.trim()) && !end.contains('.'))
        {
            found.push(format!("range: ({pair})"));
        }
    }
    found
}

/// Comparisons with a number of two digits or more, and what is compared.
fn compared(code: &str) -> Vec<String> {
    let words: Vec<&str> = code.split_whitespace().collect();
    let mut found = Vec::new();
    for at in 1..words.len().saturating_sub(1) {
        if !matches!(words[at], "<" | ">" | "<=" | ">=") {
            continue;
        }
        let number = words[at + 1].trim_end_matches(|c: char| !c.is_ascii_digit());
        let plain = number.replace('_', "");
        if plain.parse::<u64>().is_ok_and(|it| it >= COMPARED_FROM) {
            let what = words[at - 1].trim_start_matches(['(', '!', '|']);
            found.push(format!("{what} {} {number}", words[at]));
        }
    }
    found
}

fn is_digits(text: &str) -> bool {
    text.contains(|c: char| c.is_ascii_digit())
}

fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}
