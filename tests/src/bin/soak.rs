//! Bench: a county of many stations over simulated years: what it takes on the disk and in memory,
//! and how long it takes to start and to answer.
//!
//! `cargo run --release -p end-to-end --bin soak -- years 3` prints a line for each quarter. With
//! `stations N craft N idle N busy N seed N` the county is another one. `open FOLDER WHOSE NOW` is what the
//! soak runs for each of its own stores.

use std::path::Path;
use std::process::ExitCode;
use std::time::Instant;

use anyhow::{Context as _, Result, bail};
use end_to_end::soak::county::{Sort, station_key, working};
use end_to_end::soak::{founded, open, quarters};
use serde_json::Value;

/// What issue and practice name as a large county: 60 stations with 10 craft each.
const USUAL: Sort = Sort {
    stations: 60,
    craft_each: 10,
    whole: 2,
    idle_rounds: 4,
    busy: 1,
    seed: 0x50a4,
};

fn main() -> Result<ExitCode> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let args: Vec<&str> = args.iter().map(String::as_str).collect();
    match args.as_slice() {
        ["open", folder, whose, now_ms] => {
            let key = match *whose {
                "county" => working(),
                number => station_key(number.parse()?),
            };
            let measured = open::measured(Path::new(folder), key, now_ms.parse()?);
            say(&measured.to_string());
        }
        named => years(named)?,
    }
    Ok(ExitCode::SUCCESS)
}

fn years(named: &[&str]) -> Result<()> {
    let (mut sort, mut count) = (USUAL, 3_u32);
    for pair in named.chunks(2) {
        let [name, value] = pair else {
            bail!("each name needs a number after it");
        };
        match *name {
            "years" => count = value.parse()?,
            "stations" => sort.stations = value.parse()?,
            "craft" => sort.craft_each = value.parse()?,
            "idle" => sort.idle_rounds = value.parse()?,
            "busy" => sort.busy = value.parse()?,
            "seed" => sort.seed = value.parse()?,
            other => bail!("{other}: known are years, stations, craft, idle, busy, seed"),
        }
    }
    let folder = tempfile::tempdir().context("a temporary folder can be made")?;
    let begun = Instant::now();
    say(HEADING);
    let mut county = founded(folder.path(), sort);
    quarters(&mut county, 4 * count, |row| {
        say(&line(row, begun.elapsed().as_secs()));
    });
    Ok(())
}

const HEADING: &str = "quarter  events  signed  county disk (x signed)  station disk (x)  memory opened, answered \
     (a year's entry)  start  first answer  answer  a month ago  past  idle sync  records (largest)  \
     seconds";

fn line(row: &Value, seconds: u64) -> String {
    let number = |at: &str| row.pointer(at).and_then(Value::as_u64).unwrap_or_default();
    let times = |at: &str| {
        let tenths = number(at) * 10 / number("/signed_bytes").max(1);
        format!("{}.{}", tenths / 10, tenths % 10)
    };
    let memory = number("/county/rss_answered") - number("/county/rss_before");
    format!(
        "{:>3} {:>8} {:>6} KiB  {:>7} KiB ({})  {:>7} KiB ({})  {:>6} KiB, {:>6} KiB ({} B each)  \
         {:>5} ms  {:>5} ms  {:>4} ms  {:>5} ms  {:>5} ms  {} B in {}  {:>6} KiB ({} B)  {seconds} s",
        number("/quarter"),
        number("/events"),
        number("/signed_bytes") / 1024,
        number("/county_bytes") / 1024,
        times("/county_bytes"),
        number("/station_bytes") / 1024,
        times("/station_bytes"),
        number("/county/rss_opened") / 1024,
        number("/county/rss_answered") / 1024,
        memory / number("/events").max(1),
        number("/county/open_ms"),
        number("/county/first_answer_ms"),
        number("/county/answer_ms"),
        number("/county/answer_month_ago_ms"),
        number("/county/history_ms"),
        number("/idle_bytes"),
        number("/idle_rounds"),
        number("/county/record_bytes") / 1024,
        number("/county/record_bytes_most"),
    )
}

#[expect(clippy::print_stdout, reason = "a bench prints what it measured")]
fn say(line: &str) {
    println!("{line}");
}
