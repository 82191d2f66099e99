//! Programs in other languages: Python asks a running county, once with stubs from the `.proto`
//! files and once by reflection alone, and hears what the county's own command says.
//!
//! The interpreter is that of `SPONSON_TEST_PYTHON`, else the one that `tests/run` installs.

use std::path::{Path, PathBuf};
use std::process::Command;

use end_to_end::county::{World, answer, fault, text};
use end_to_end::process::Device;
use serde_json::{Value, json};

const WORKSPACE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/..");

/// The moment that is judged: long after any test, so that inspections are overdue.
const AS_OF: (&str, i64) = ("2035-01-01T00:00:00Z", 2_051_222_400_000);

/// The interpreter; none when the caller leaves this test out.
fn python() -> Option<PathBuf> {
    let given = std::env::var("SPONSON_TEST_PYTHON").unwrap_or_default();
    let python = match given.as_str() {
        "none" => return None,
        "" => Path::new(WORKSPACE).join("target/test-python/bin/python"),
        given => PathBuf::from(given),
    };
    assert!(
        python.exists(),
        "no Python with grpcio at {}: run tests/run, which installs it, or set \
         SPONSON_TEST_PYTHON to an interpreter, or to 'none' to leave this out",
        python.display()
    );
    Some(python)
}

#[test]
#[expect(
    clippy::print_stderr,
    reason = "whoever leaves a check out is told so beside the results"
)]
fn python_hears_what_the_countys_own_command_says() {
    let Some(python) = python() else {
        eprintln!("left out: SPONSON_TEST_PYTHON is 'none'");
        return;
    };
    let world = World::founded();
    let county = world.county();
    let (_up, address) = county.serve_county();
    let station = world.joined("Millrace", address);
    station.fine(&["sync"]);
    let _ = fault(&station, "11", "tube-2", "leak");
    station.fine(&["sync"]);

    let own = told_by_command(&answer(&county, "answer", AS_OF.0));
    let asked = ask(&python, &world, &county, &station, &address.to_string());
    let has = |part: &str| own[part].as_array().is_some_and(|list| !list.is_empty());
    for part in ["craft", "overdue", "stations"] {
        assert!(has(part), "nothing to compare in {part}: {own}");
    }
    for way in ["stubs", "reflection"] {
        assert_eq!(told_by_service(&asked[way]), own, "{way}");
    }
    let stranger = strange_device(&world);
    let refused = run(&python, &world, &county, &stranger, &address.to_string());
    let said = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert!(!refused.status.success(), "a stranger was answered: {said}");
    assert!(
        said.contains("grpc"),
        "it failed for another reason: {said}"
    );
}

/// The keys of a device that the county never admitted.
fn strange_device(world: &World) -> Device {
    let folder = world.path("stranger");
    std::fs::create_dir_all(&folder).expect("a folder");
    sponson_link::Identity::create(&folder, &sponson_link::Entropy::system()).expect("keys");
    Device::station(&folder)
}

fn ask(python: &Path, world: &World, county: &Device, station: &Device, address: &str) -> Value {
    let ended = run(python, world, county, station, address);
    assert!(
        ended.status.success(),
        "{}",
        String::from_utf8_lossy(&ended.stderr)
    );
    serde_json::from_slice(&ended.stdout).expect("JSON")
}

fn run(
    python: &Path,
    world: &World,
    county: &Device,
    station: &Device,
    address: &str,
) -> std::process::Output {
    let work = world.path("stubs");
    std::fs::create_dir_all(&work).expect("a folder");
    Command::new(python)
        .arg(concat!(env!("CARGO_MANIFEST_DIR"), "/python/ask_county.py"))
        .arg(address)
        .arg(county.folder().join("tls.crt"))
        .arg(station.folder().join("tls.crt"))
        .arg(station.folder().join("tls.key"))
        .arg(format!("{WORKSPACE}/proto"))
        .args([text(&work), &AS_OF.1.to_string()])
        .output()
        .expect("Python runs")
}

/// What is compared, from the JSON of the command.
fn told_by_command(answer: &Value) -> Value {
    assert_eq!(answer["as_of"], AS_OF.0);
    told(answer)
}

/// What is compared, from the message of the service.
fn told_by_service(answer: &Value) -> Value {
    assert_eq!(answer["as_of_unix_ms"], AS_OF.1.to_string());
    told(answer)
}

fn told(answer: &Value) -> Value {
    json!({
        "schema": answer["schema"],
        "engine": answer["engine"],
        "caution": answer["caution"],
        "craft": rows(&answer["craft"], &["craft", "model", "stations", "readiness", "status"]),
        "why": answer["craft"].as_array().map(|list| {
            let why = |craft: &Value| rows(&craft["why"], &["rule", "effect", "subject", "text"]);
            list.iter().map(why).collect::<Vec<_>>()
        }),
        "overdue": rows(&answer["overdue"], &["craft", "inspection", "label", "effect"]),
        "stations": rows(&answer["stations"], &["station"]),
    })
}

fn rows(list: &Value, fields: &[&str]) -> Vec<Value> {
    let list = list.as_array().map(Vec::as_slice).unwrap_or_default();
    list.iter()
        .map(|row| fields.iter().map(|field| row[field].clone()).collect())
        .collect()
}
