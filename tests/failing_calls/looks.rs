//! What a county or a station holds and says, without what differs from run to run: ids, times, and
//! spans of time.

use end_to_end::county::tomorrow;
use end_to_end::process::{DEADLINE_OF_A_FAULT, Ended, within};
use serde_json::Value;

use super::ground::Place;
use super::operations::command;

/// What is held and said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct State {
    /// Entries of the log, sorted; whether each is at the county, and how often there is one like it.
    log: Vec<String>,
    /// Of each craft: readiness, and its findings.
    answer: Vec<String>,
    /// Pictures here, and waiting.
    pictures: Vec<String>,
    /// Checks under way or ended, of a station.
    checks: Vec<String>,
}

impl State {
    /// Entries that it should hold and does not.
    pub(crate) fn lacks(&self, other: &Self) -> Vec<String> {
        beyond(&entries(&other.log), &entries(&self.log))
    }

    /// Entries that it holds and should not.
    pub(crate) fn more_than(&self, other: &Self) -> Vec<String> {
        beyond(&entries(&self.log), &entries(&other.log))
    }
}

/// Entries without whether they are at the county.
fn entries(log: &[String]) -> Vec<String> {
    let plain = |row: &String| {
        let words = row.split(' ');
        let words = words.filter(|word| !matches!(*word, "received" | "waiting"));
        words.collect::<Vec<_>>().join(" ")
    };
    log.iter().map(plain).collect()
}

/// The rows of the log's table: their words, sorted, since how a cell is wrapped hangs on the
/// others.
fn rows(table: &str) -> Vec<String> {
    let mut rows: Vec<String> = Vec::new();
    for line in table.lines() {
        match rows.last_mut() {
            Some(row) if line.starts_with(' ') => *row += line,
            _ if line.starts_with("---") || line.starts_with("when ") => {}
            Some(_) | None => rows.push(line.to_owned()),
        }
    }
    let sorted = |row: &String| {
        let row = plain(row);
        let mut words: Vec<&str> = row.split(' ').collect();
        words.sort_unstable();
        words.join(" ")
    };
    let mut rows: Vec<String> = rows.iter().map(sorted).collect();
    rows.sort();
    rows
}

/// Those of one list that another lacks, as often as it lacks them.
fn beyond(list: &[String], other: &[String]) -> Vec<String> {
    let mut other = other.to_vec();
    let mut beyond = Vec::new();
    for line in list {
        match other.iter().position(|found| found == line) {
            Some(at) => {
                other.swap_remove(at);
            }
            None => beyond.push(line.clone()),
        }
    }
    beyond
}

/// Looks at a device whose disk works.
///
/// # Errors
/// When its log is not whole, or it does not answer.
pub(crate) fn look(place: &Place, at: &str) -> Result<State, String> {
    let verified = said(place, at, &["verify"])?;
    if !verified.starts_with("all is well") {
        return Err(verified);
    }
    let answer = if at.contains("county") {
        "answer"
    } else {
        "ready"
    };
    let answer = said(place, at, &[answer, "--json", "--as-of", &tomorrow()])?;
    let answer: Value = serde_json::from_str(&answer).map_err(|error| error.to_string())?;
    let log = rows(&said(place, at, &["log", "--last", "100"])?);
    let about = said(place, at, &["about"])?;
    let pictures = about.lines().filter(|line| line.starts_with("pictures"));
    let checks = match at.contains("county") {
        true => String::new(),
        false => said(place, at, &["checks"])?,
    };
    Ok(State {
        log,
        answer: findings(&answer),
        pictures: pictures.map(str::to_owned).collect(),
        checks: checks.lines().map(under_way).collect(),
    })
}

fn said(place: &Place, at: &str, args: &[&str]) -> Result<String, String> {
    let ended = ended(place, at, args)?;
    if ended.code() == Some(0) {
        Ok(ended.out)
    } else {
        Err(format!("{args:?}: {ended:?}"))
    }
}

fn ended(place: &Place, at: &str, args: &[&str]) -> Result<Ended, String> {
    let args: Vec<String> = args.iter().map(|it| (*it).to_owned()).collect();
    within(command(place, at, &args, &[]), DEADLINE_OF_A_FAULT)
}

/// A station that refuses its store and names the remedy: whether that makes it whole.
///
/// # Errors
/// When no remedy is named, or it does not help.
pub(crate) fn salvaged(place: &Place, at: &str, why: &str) -> Result<State, String> {
    if at.contains("county") || !why.contains("sponson salvage") {
        return Err(why.to_owned());
    }
    let ended = ended(place, at, &["salvage", "--offline"])?;
    // 4: it has another key now, which the lead has to admit.
    if !matches!(ended.code(), Some(0 | 4)) {
        return Err(format!("{why}\nthe remedy does not help: {ended:?}"));
    }
    look(place, at).map_err(|still| format!("{why}\nthe remedy does not help: {still}"))
}

/// Craft by craft what is found, without figures that grow with time.
fn findings(answer: &Value) -> Vec<String> {
    let text = |of: &Value, name: &str| of[name].as_str().unwrap_or_default().to_owned();
    let mut found = Vec::new();
    for craft in answer["craft"].as_array().into_iter().flatten() {
        let named = text(craft, "craft");
        found.push(format!(
            "{named}: {} {}",
            text(craft, "readiness"),
            text(craft, "status")
        ));
        for why in craft["why"].as_array().into_iter().flatten() {
            let parts = ["rule", "severity", "effect", "subject"].map(|name| text(why, name));
            found.push(plain(&format!("{named}: {}", parts.join(" "))));
        }
    }
    found
}

/// A check under way, without its name here and the times: what it is, and how far it went.
fn under_way(line: &str) -> String {
    let what = line.split_once("  ").map_or(line, |(_, what)| what);
    let (what, stands) = what.split_once(", begun ").unwrap_or((what, ""));
    let stages = ["recording was cut short", "recorded", "dropped"];
    let stage = stages.iter().find(|stage| stands.contains(*stage));
    format!("{what} {}", stage.unwrap_or(&"open"))
}

/// A line without ids, times and the width of its columns.
fn plain(line: &str) -> String {
    let words = line.split_whitespace().map(|word| {
        let bare = word.trim_matches(|letter: char| !letter.is_ascii_alphanumeric());
        let is_id = bare.len() >= 8 && bare.bytes().all(|byte| byte.is_ascii_hexdigit());
        let shaped = |separator: char, parts: usize| {
            let mut found = bare.split(separator);
            found.clone().count() == parts
                && found.all(|part| part.len() >= 2 && part.bytes().all(|it| it.is_ascii_digit()))
        };
        match is_id || shaped('-', 3) || shaped(':', 2) {
            true => "…",
            false => word,
        }
    });
    words.collect::<Vec<_>>().join(" ")
}

#[test]
fn ids_and_times_are_left_out_and_what_lacks_is_named_as_often() {
    let line = "2026-11-29 01:29  Weir     21: minor leak at tube-1 3.4 psi   waiting   0992d991";
    assert_eq!(
        plain(line),
        "… … Weir 21: minor leak at tube-1 3.4 psi waiting …"
    );
    let line = "77cc  11: full check, begun 2 min ago by M-1; recorded less than 1 min ago";
    assert_eq!(under_way(line), "11: full check recorded");
    let lines = |lines: &[&str]| lines.iter().map(|it| (*it).to_owned()).collect::<Vec<_>>();
    let lacks = beyond(&lines(&["leak", "leak", "use"]), &lines(&["leak", "note"]));
    assert_eq!(lacks, ["leak", "use"]);
}
