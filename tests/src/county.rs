//! A county in a folder of its own, made by its commands as a lead would, and stations that join.

use std::collections::BTreeSet;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};

use demo_stations::rounds::{Round, go_round};
use demo_stations::world::Craft;
use serde_json::{Map, Value};
use sponson_readiness::standard::{Standard, built_in};

use crate::process::Device;

/// A moment at which both sides are asked: local time of the county, a day after any test.
#[must_use]
pub fn tomorrow() -> String {
    let moment = chrono::DateTime::from_timestamp_millis(now_unix_ms() + 86_400_000);
    let moment = moment.expect("within the calendar");
    format!("{}", moment.format("%Y-%m-%dT%H:%M:%SZ"))
}

fn now_unix_ms() -> i64 {
    let since = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH);
    let since = since.expect("the clock is past 1970");
    i64::try_from(since.as_millis()).expect("within the calendar")
}

/// Craft of two stations, as `bring-in --craft` reads them.
const CRAFT: &str = "call sign,model,station,persons,total (lb),hp\n\
     11,inflatable-14,Millrace,10,2200,40\n\
     12,inflatable-14,Millrace,10,2200,40\n\
     21,inflatable-14,Weir,10,2200,40\n";

/// Folders of one county and its stations; gone with the value.
#[derive(Debug)]
pub struct World {
    folder: tempfile::TempDir,
}

impl World {
    /// A county with the built-in inflatable in force and the craft 11, 12 and 21 of two stations.
    ///
    /// # Panics
    /// When a command of it fails.
    #[must_use]
    pub fn founded() -> Self {
        Self::founded_with(CRAFT)
    }

    /// The same with the craft of a list, as `bring-in --craft` reads it.
    ///
    /// # Panics
    /// When a command of it fails.
    #[must_use]
    pub fn founded_with(craft: &str) -> Self {
        let world = Self::founded_empty();
        let craft = world.file("craft.csv", craft);
        let args = ["bring-in", "--craft", text(&craft), "--register-stations"];
        world.county().fine(&args);
        world
    }

    /// A county with the built-in inflatable in force, and neither stations nor craft.
    ///
    /// # Panics
    /// When a command of it fails.
    #[must_use]
    pub fn founded_empty() -> Self {
        let world = Self {
            folder: tempfile::tempdir().expect("a folder"),
        };
        let county = world.county();
        let root = world.path("root.key");
        county.fine(&["init", "--name", "Reed County", "--root-key", text(&root)]);
        county.fine(&["adopt", "inflatable-14"]);
        world
    }

    /// A path in the world's folder.
    #[must_use]
    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Writes a file.
    ///
    /// # Panics
    /// When it cannot be written.
    #[must_use]
    pub fn file(&self, name: &str, text: &str) -> PathBuf {
        let path = self.path(name);
        std::fs::write(&path, text).expect("a temporary folder can be written");
        path
    }

    /// The county.
    #[must_use]
    pub fn county(&self) -> Device {
        Device::county(&self.path("county"))
    }

    /// A station by the name of its folder.
    #[must_use]
    pub fn station(&self, name: &str) -> Device {
        Device::station(&self.path(name))
    }

    /// Admits a station by its name, and lets its device join; its folder is the name in lower
    /// case. The county serves at the address.
    ///
    /// # Panics
    /// When a command fails.
    #[must_use]
    pub fn joined(&self, name: &str, address: SocketAddr) -> Device {
        let code = admitted(&self.county(), name);
        let station = self.station(&name.to_lowercase());
        station.fine(&["join", &code, "--county", &address.to_string()]);
        station
    }
}

/// Admits a station; gives its code.
///
/// # Panics
/// When the command fails.
#[must_use]
pub fn admitted(county: &Device, name: &str) -> String {
    code_of(name, &county.fine(&["admit", name]))
}

/// The same for a station at a place, which `admit` registers when there is none of its name.
///
/// # Panics
/// When the command fails.
#[must_use]
pub fn admitted_at(county: &Device, name: &str, at: &str) -> String {
    let roles = ["--role", "crew", "--role", "maintenance"];
    let args = [["admit", name, "--at", at].as_slice(), &roles].concat();
    code_of(name, &county.fine(&args))
}

fn code_of(name: &str, said: &str) -> String {
    let line = said.lines().next().expect("a line");
    let code = line.strip_prefix(&format!("code for {name}: "));
    code.expect("the first line holds the code").to_owned()
}

/// Tells a station that the county is at another address now, as a person would in its settings.
///
/// # Panics
/// When the settings cannot be read or written.
pub fn county_moved(station: &Device, address: SocketAddr) {
    let file = station
        .folder()
        .join(sponson_client::settings::SETTINGS_FILE);
    let mut settings = sponson_client::settings::Settings::read(&file).expect("it has joined");
    settings.county = Some(address.to_string());
    settings.write(&file).expect("writes");
}

/// A path as an argument.
///
/// # Panics
/// When it is not UTF-8, which no temporary folder's is.
#[must_use]
pub fn text(path: &Path) -> &str {
    path.to_str().expect("UTF-8")
}

/// A line of `about`, as a number.
///
/// # Panics
/// When there is no such line.
#[must_use]
pub fn about(device: &Device, line: &str) -> u64 {
    let said = device.fine(&["about"]);
    let found = said
        .lines()
        .find_map(|found| found.strip_prefix(line)?.strip_prefix(": ")?.parse().ok());
    found.unwrap_or_else(|| panic!("no '{line}' in {said}"))
}

/// Checks the whole copy of the log; the sentence says how many events are held.
///
/// # Panics
/// When anything is wrong with it.
pub fn verify(device: &Device) {
    let said = device.fine(&["verify"]);
    let events = about(device, "events held");
    let all_is_well = format!("all is well: {events} events");
    assert!(said.starts_with(&all_is_well), "{said}");
}

/// The answer about all craft at a moment, as JSON: `answer` at the county, `ready` at a station.
///
/// # Panics
/// When the command fails or writes something else.
#[must_use]
pub fn answer(device: &Device, command: &str, as_of: &str) -> Value {
    let said = device.fine(&[command, "--json", "--as-of", as_of]);
    serde_json::from_str(&said).expect("JSON")
}

/// Records a fault; gives its short name, by which a sign-off names it.
///
/// # Panics
/// When the command fails.
#[must_use]
pub fn fault(station: &Device, craft: &str, part: &str, class: &str) -> String {
    let args = ["fault", craft, part, class, "--severity", "restrictive"];
    let said = station.fine(&args);
    let name = said.trim_end().rsplit(' ').next();
    name.expect("it ends with the short name").to_owned()
}

/// Where two answers differ: the place in the JSON, and both values. Empty when they are equal.
#[must_use]
pub fn differences(one: &Value, other: &Value) -> Vec<String> {
    let mut found = Vec::new();
    differ("", one, other, &mut found);
    found
}

fn differ(at: &str, one: &Value, other: &Value, found: &mut Vec<String>) {
    match (one, other) {
        (Value::Array(one), Value::Array(other)) if one.len() == other.len() => {
            for (position, (one, other)) in one.iter().zip(other).enumerate() {
                differ(&format!("{at}/{position}"), one, other, found);
            }
        }
        (Value::Object(one), Value::Object(other)) => {
            let names: BTreeSet<&String> = one.keys().chain(other.keys()).collect();
            for name in names {
                let value = |of: &Map<String, Value>| of.get(name).cloned().unwrap_or_default();
                differ(&format!("{at}/{name}"), &value(one), &value(other), found);
            }
        }
        (Value::Array(one), Value::Array(other)) => {
            let alone = |these: &[Value], those: &[Value]| -> Vec<Value> {
                let alone = these.iter().filter(|value| !those.contains(value));
                alone.cloned().collect()
            };
            let (one, other) = (alone(one, other), alone(other, one));
            found.push(format!("{at}: {one:?} alone and {other:?} alone"));
        }
        (one, other) if one == other => {}
        (one, other) => found.push(format!("{at}: {one} and {other}")),
    }
}

/// Every inspection of the built-in inflatable that is no matter of a check.
///
/// # Panics
/// When the built-in sheet cannot be read.
#[must_use]
pub fn inspections() -> Vec<String> {
    let lines = inflatable().inspections;
    lines
        .iter()
        .map(|line| line.id.as_str().to_owned())
        .collect()
}

fn inflatable() -> Standard {
    let sheets = built_in();
    let sheet = sheets.iter().find(|(model, _)| *model == "inflatable-14");
    let (_, sheet) = sheet.expect("the sheet is built in");
    Standard::parse(sheet).expect("the sheet can be read")
}

/// Writes the file of a full check of a built-in inflatable that is in order.
///
/// # Panics
/// When the built-in sheet cannot be read, or the file not be written.
#[must_use]
pub fn check_in_order(world: &World, number: &str) -> PathBuf {
    let mut craft = Craft::in_order(inflatable(), "", "", now_unix_ms());
    checked_file(world, &mut craft, number)
}

/// Writes the file of a full check of a craft without a motor, as a crew finds it now.
///
/// # Panics
/// When the file cannot be written.
#[must_use]
pub fn checked_file(world: &World, craft: &mut Craft, number: &str) -> PathBuf {
    let round = Round {
        number,
        member: "M-1",
        extent: "full",
        celsius: 15.0,
        now_ms: now_unix_ms(),
        gauge: None,
    };
    let (written, _) = go_round(craft, &round);
    let lines: Vec<&str> = written
        .lines()
        .filter(|line| *line != "aboard = []")
        .collect();
    // No motor is fitted, so it has no meter.
    let meter = lines.iter().position(|line| *line == "[meters]");
    let kept = lines
        .iter()
        .enumerate()
        .filter(|(index, _)| meter.is_none_or(|meter| *index != meter && *index != meter + 1));
    let kept: Vec<&str> = kept.map(|(_, line)| *line).collect();
    world.file("check.toml", &kept.join("\n"))
}
