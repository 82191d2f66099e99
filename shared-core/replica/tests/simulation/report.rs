//! What was tried, as one line of JSON for the table of faults.

use std::fmt::Write as _;
use std::path::Path;
use std::time::Duration;

use crate::tally::Tally;

/// What the lives have in common, in words.
const TRIED: &str = "simulated lives of a county: messages lost, late, doubled and cut, power \
                     cuts, wrong clocks, copied stores, ended keys, a lying station, carry files";

/// Writes the line into `target/faults/simulation.json`.
pub(crate) fn write(count: u64, tally: &Tally, (took, wrong): (Duration, usize)) {
    let mut line =
        format!("{{\"faults\": \"{TRIED}\", \"count\": {count}, \"lost\": 0, \"wrong\": {wrong}");
    write!(line, ", \"seconds\": {:.1}", took.as_secs_f64()).expect("text can be written");
    for (name, times) in tally.counts() {
        write!(line, ", \"{name}\": {times}").expect("text can be written");
    }
    line.push_str("}\n");
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).with_file_name("faults");
    std::fs::create_dir_all(&folder).expect("the target folder can be written");
    std::fs::write(folder.join("simulation.json"), line).expect("the folder can be written");
}
