//! One invented history, and what the engine of each version makes of it: hashes of its records and
//! of its answers. What was said once under a version is said by that version for ever.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use serde_json::Value;
use sha2::{Digest as _, Sha256};
use sponson_proto::event::v1::{self as wire, Kind};
use sponson_readiness::answer::{CountyAnswer, ENGINE_VERSION};
use sponson_readiness::engine::Question;
use sponson_readiness::moment::Moment;
use sponson_replica::Knowing;
use sponson_show::Context;

use crate::asking::{checked, question};
use crate::county::{
    DAY, MINUTE, Placed, START, event, fault, join, out_of_service, reading, sign_off, south,
    stranger, sync,
};

/// When set, the file of a version that has none yet is written.
const WRITE: &str = "SPONSON_WRITE_GOLDEN_ANSWERS";

/// What to do about a difference.
const REMEDY: &str = "the engine judges this history otherwise than its version did. When that is \
meant, raise ENGINE_VERSION in shared-core/readiness/src/answer.rs and run this test once with \
SPONSON_WRITE_GOLDEN_ANSWERS=1; the file of a version that was ever given out is never changed";

/// The history: checks, a fault signed off and one open, kit, two stations apart, a device that
/// nobody let in, old paper, a correction.
fn history() -> (Placed, Placed) {
    let (mut county, mut first) = checked();
    let mut second = join(south());
    sync(&mut second, &mut county, START + 2 * DAY);
    let leak = first.append(fault("leak"), START + 3 * DAY);
    first.append(sign_off(leak), START + 4 * DAY);
    first.append(reading(20_100), START + 4 * DAY + MINUTE);
    second.append(reading(17_300), START + 4 * DAY + 2 * MINUTE);
    second.append(fault("tear"), START + 5 * DAY);
    let mut paper = reading(19_000);
    paper.observed = Some((START + DAY, START + DAY + 30 * MINUTE));
    second.append(paper, START + 5 * DAY + MINUTE);
    let mut strange = join(stranger());
    sync(&mut strange, &mut county, START + 5 * DAY);
    strange.append(out_of_service(), START + 5 * DAY);
    for placed in [&mut first, &mut second, &mut strange] {
        sync(placed, &mut county, START + 6 * DAY);
    }
    let wrong = first.append(reading(9_000), START + 6 * DAY + MINUTE);
    let withdrawn = wire::Correction {
        original: wrong.to_bytes(),
        r#type: wire::CorrectionType::Withdrawn as i32,
        ..wire::Correction::default()
    };
    first.append(event(Kind::Correction, &withdrawn), START + 7 * DAY);
    sync(&mut first, &mut county, START + 7 * DAY);
    (county, first)
}

/// Questions, each with how much is known.
fn questions(entries: u64) -> Vec<(&'static str, u64, Question)> {
    let asked = |days: i64| question(START + days * DAY);
    let cold = Question {
        mission: Some("swiftwater".into()),
        air_mc: Some(-12_000),
        water_mc: Some(2_000),
        elevation_mm: Some(1_500_000),
        ..asked(8)
    };
    vec![
        ("at the end", entries, asked(8)),
        ("on the fourth day", entries, asked(4)),
        ("half a year later", entries, asked(190)),
        ("swiftwater in the cold", entries, cold),
        ("by half of the log", entries / 2, asked(8)),
        ("by all but one entry", entries - 1, asked(7)),
    ]
}

/// Whatever only people read; words may change within a version.
const WORDS: &[&str] = &[
    "about",
    "caution",
    "label",
    "limits",
    "settle",
    "source",
    "subject",
    "text",
    "until",
    "what_to_do",
];

/// The judgement alone, in one form: fields in the order of their names, a line each.
fn judgement(path: &str, value: &Value, out: &mut Vec<String>) {
    match value {
        Value::Object(fields) => {
            for (name, field) in fields
                .iter()
                .filter(|(name, _)| !WORDS.contains(&name.as_str()))
            {
                judgement(&format!("{path}.{name}"), field, out);
            }
        }
        Value::Array(values) => {
            for (index, value) in values.iter().enumerate() {
                judgement(&format!("{path}[{index:04}]"), value, out);
            }
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {
            out.push(format!("{path} = {value}"));
        }
    }
}

fn hash(bytes: &[u8]) -> String {
    let digest = Sha256::digest(bytes);
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn of_answer(answer: &CountyAnswer) -> String {
    let said = sponson_show::json::county_answer(answer, &Context::default());
    let mut lines = Vec::new();
    judgement("answer", &said, &mut lines);
    lines.sort_unstable();
    hash(lines.join("\n").as_bytes())
}

/// The lines of a version's file, as this program and a replica make them.
fn lines(placed: &mut Placed) -> String {
    let records: Vec<u8> = placed.record_bytes().concat();
    let mut lines = format!("{}  records\n", hash(&records));
    for (name, size, question) in questions(placed.replica.tree().size()) {
        let known = placed.replica.known(Knowing::Size(size), Moment(START));
        let known = known.expect("so much is held");
        let answer = placed.replica.ask_known(&question, known).answer;
        let hash = of_answer(&answer);
        writeln!(lines, "{hash}  {name}").expect("a text grows");
    }
    lines
}

fn file() -> PathBuf {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden-answers");
    folder.join(format!("engine-{ENGINE_VERSION}.txt"))
}

#[test]
fn the_engine_says_what_its_version_said() {
    let (mut county, mut station) = history();
    let said = lines(&mut county);
    assert_eq!(lines(&mut station), said, "county and station differ");
    if std::env::var_os(WRITE).is_some() && !file().exists() {
        std::fs::write(file(), &said).expect("the folder is there");
    }
    let held = std::fs::read_to_string(file()).unwrap_or_default();
    assert_eq!(said, held, "{REMEDY}");
}
