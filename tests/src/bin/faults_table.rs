//! Collects the lines that the tests of faults left in `TARGET/faults` into the table that is
//! checked in: `faults_table FILE`.

use std::path::Path;

use anyhow::{Context as _, Result, ensure};
use end_to_end::faults::folder;
use serde_json::Value;

const HEAD: &str = "\
# Faults tried

Made by `tests/run --table` from what the tests of faults measured; do not edit by hand.

Lost: events that were acknowledged and came back neither by themselves nor by `sponson salvage`.
Wrong: answers that were not what they should be, while nobody was told. Refused: the program ended
loudly with what to do, instead of going on. A seed is replayed by `SPONSON_SEED`, more rounds are
tried by `SPONSON_ROUNDS`.

| faults tried | count | refused | lost | wrong | time | seed | beside |
|---|---:|---:|---:|---:|---:|---|---|
";

fn main() -> Result<()> {
    let file = std::env::args_os().nth(1).context("name the file")?;
    let lines = lines(&folder())?;
    ensure!(
        !lines.is_empty(),
        "no test of faults has run: cargo test first"
    );
    let rows: String = lines.iter().map(row).collect();
    std::fs::write(&file, format!("{HEAD}{rows}"))?;
    Ok(())
}

/// The lines, in order of their names.
fn lines(folder: &Path) -> Result<Vec<Value>> {
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .context("no test of faults has run")?
        .collect::<Result<Vec<_>, _>>()?;
    files.sort_by_key(std::fs::DirEntry::file_name);
    let read = files.iter().map(|file| {
        let text = std::fs::read_to_string(file.path())?;
        serde_json::from_str(&text).with_context(|| file.path().display().to_string())
    });
    read.collect()
}

fn row(line: &Value) -> String {
    let cell = |name: &str| match &line[name] {
        Value::Null => String::new(),
        Value::String(text) => text.replace('|', "/"),
        number @ (Value::Number(_) | Value::Bool(_) | Value::Array(_) | Value::Object(_)) => {
            number.to_string()
        }
    };
    let cells = ["faults", "count", "refused", "lost", "wrong"].map(cell);
    let seconds = cell("seconds");
    let rest = ["seed", "note"].map(cell);
    format!(
        "| {} | {seconds} s | {} |\n",
        cells.join(" | "),
        rest.join(" | ")
    )
}
