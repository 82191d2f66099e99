//! What is filled in: forms of pages, a check as a file, settings, reckoning by hand.

use std::io::Write as _;

use clap::{Args, Command, FromArgMatches as _};
use sponson_client::CheckFile;
use sponson_client::check_file::build;
use sponson_client::commands::{
    air, count, crews, fault, inspect, ready, reckon, release, repair, sign_off, r#use,
};
use sponson_client::filled::{self, Pair};
use sponson_client::settings::Settings;
use sponson_readiness::moment::Moment;
use sponson_show::terminal::{Attended, Terminal};

use crate::county::START;
use crate::lists::catalogue;
use crate::said::{choice, refused, shown, text};

/// A form: the first byte says of which command, then a field in each line, `name=value`.
///
/// # Panics
/// When a refusal names nothing.
pub fn page_form(data: &[u8]) {
    let (which, rest) = choice(data);
    let Some(text) = text(rest) else { return };
    let pairs: Vec<Pair> = text
        .lines()
        .map(|line| {
            let (name, value) = line.split_once('=').unwrap_or((line, ""));
            (name.to_owned(), value.to_owned())
        })
        .collect();
    match which % 11 {
        0 => question(&pairs),
        1 => read::<fault::FaultArgs>(&pairs),
        2 => read::<r#use::UseArgs>(&pairs),
        3 => read::<repair::RepairArgs>(&pairs),
        4 => read::<air::AirArgs>(&pairs),
        5 => read::<count::CountArgs>(&pairs),
        6 => read::<crews::CrewsArgs>(&pairs),
        7 => read::<inspect::InspectArgs>(&pairs),
        8 => read::<sign_off::SignOffArgs>(&pairs),
        9 => read::<release::ReleaseArgs>(&pairs),
        _ => read::<ready::Together>(&pairs),
    }
}

fn read<A: Args>(pairs: &[Pair]) {
    if let Err(faults) = filled::read::<A>(pairs, &["token"]) {
        assert!(!faults.is_empty(), "refused, and nothing is wrong");
        for fault in faults {
            refused(&fault.text);
        }
    }
}

fn question(pairs: &[Pair]) {
    match filled::read::<ready::Launch>(pairs, &["token"]) {
        Ok(launch) => {
            if let Err(error) = launch.question(&catalogue()) {
                refused(&error.to_string());
            }
        }
        Err(faults) => assert!(!faults.is_empty(), "refused, and nothing is wrong"),
    }
}

/// A check as a file.
///
/// # Panics
/// When a check is written as one that reads otherwise.
pub fn check_file(data: &[u8]) {
    let Some(text) = text(data) else { return };
    match CheckFile::parse(text) {
        Ok(check) => {
            let written = check.to_text().expect("a check is written");
            assert_eq!(CheckFile::parse(&written).as_ref(), Ok(&check));
            match build(&check, &catalogue(), Moment(START)) {
                Ok(built) => assert!(!built.subjects.is_empty()),
                Err(error) => refused(&error.to_string()),
            }
        }
        Err(error) => refused(&error.to_string()),
    }
}

/// The settings of a device.
///
/// # Panics
/// When settings are written as others.
pub fn settings_file(data: &[u8]) {
    let Some(text) = text(data) else { return };
    match toml::from_str::<Settings>(text) {
        Ok(settings) => {
            let written = toml::to_string(&settings).expect("settings are written");
            assert_eq!(toml::from_str::<Settings>(&written).as_ref(), Ok(&settings));
            if let Err(error) = settings.station_side() {
                refused(&error.to_string());
            }
            let _ = settings.county_id();
        }
        Err(error) => assert!(!error.to_string().is_empty()),
    }
}

/// What stands for the file in the lines of [`reckoned`].
const FILE: &str = "FILE";

/// Reckoning by hand: an argument in each line; after an empty line the file that is named FILE.
///
/// # Panics
/// When a result is no number, or obeys a terminal.
pub fn reckoned(data: &[u8]) {
    let Some(text) = text(data) else { return };
    let (args, content) = text.split_once("\n\n").unwrap_or((text, ""));
    // No other file of the machine is read.
    if args.contains('/') || args.contains("..") {
        return;
    }
    let mut file = tempfile::NamedTempFile::new().expect("a passing file");
    file.write_all(content.as_bytes()).expect("it is written");
    let path = file.path().to_string_lossy().into_owned();
    let args = args.lines().map(|arg| arg.replace(FILE, &path));
    let command = Command::new("reckon").no_binary_name(true);
    let command = reckon::ReckonArgs::augment_args(command);
    let Ok(matches) = command.try_get_matches_from(args) else {
        return;
    };
    let Ok(asked) = reckon::ReckonArgs::from_arg_matches(&matches) else {
        return;
    };
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let mut input = std::io::empty();
    let terminal = Terminal::new(&mut out, &mut err, &mut input, Attended::No);
    let now = reckon::Now {
        unix_ms: START,
        utc_offset_min: -360,
    };
    match reckon::run(&asked, now, terminal) {
        Ok(_) => {
            let said = String::from_utf8(out).expect("text");
            shown(&said);
            assert!(!said.contains("NaN"), "{said}");
        }
        Err(error) => refused(&error.to_string()),
    }
}
