//! The operations whose calls fail, and running one, with a fault or without.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

use end_to_end::county::{county_moved, text};
use end_to_end::process::{DEADLINE_OF_A_FAULT, Ended, Running, beside, programs, within};

use super::calls::{Fault, What, traced};
use super::ground::Place;

/// Whom it meets over the network.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Meets {
    Nobody,
    /// The county serves; nothing of it fails.
    County,
    /// It is the county that serves; nothing of the station that syncs fails.
    Station,
}

/// When the same command is given once more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Again {
    Always,
    UnlessDone,
    /// It makes this file.
    UnlessThere(&'static str),
    /// It is many operations, one after another: given again it goes on from what is there.
    GoesOn,
}

/// What runs it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Program {
    /// The program of the device.
    Own,
    /// A crew that is asked line by line.
    Crew,
}

/// An operation at one end.
#[derive(Debug)]
pub(crate) struct Operation {
    pub(crate) name: &'static str,
    /// Folder of the device whose calls fail.
    at: &'static str,
    /// `@` stands before a file, `=` before one whose content is meant.
    args: &'static [&'static str],
    meets: Meets,
    pub(crate) again: Again,
    /// Folders that are looked at.
    pub(crate) looks: &'static [&'static str],
    /// What is taken away first.
    without: Option<&'static str>,
    program: Program,
}

const fn at(name: &'static str, at: &'static str, args: &'static [&'static str]) -> Operation {
    Operation {
        name,
        at,
        args,
        meets: Meets::Nobody,
        again: Again::UnlessDone,
        looks: match at.as_bytes() {
            b"county" => &["county"],
            _ => &["millrace"],
        },
        without: None,
        program: Program::Own,
    }
}

/// All of them.
pub(crate) const OPERATIONS: [Operation; 13] = [
    at(
        "check",
        "millrace",
        &["check", "11", "--from", "@check.toml"],
    ),
    at("picture", "millrace", &["picture", "=fault", "@photo.jpg"]),
    Operation {
        again: Again::UnlessThere("out.carry"),
        ..at("carry out", "millrace", &["carry", "out", "@out.carry"])
    },
    Operation {
        again: Again::Always,
        ..at("carry in", "millrace", &["carry", "in", "@stick.carry"])
    },
    Operation {
        again: Again::Always,
        ..at(
            "carry in at the county",
            "county",
            &["carry", "in", "@stick.carry"],
        )
    },
    Operation {
        again: Again::Always,
        meets: Meets::County,
        looks: &["millrace", "county"],
        ..at("sync", "millrace", &["sync"])
    },
    Operation {
        again: Again::Always,
        meets: Meets::Station,
        looks: &["millrace", "county"],
        ..at("sync at the county", "county", &[])
    },
    Operation {
        again: Again::Always,
        meets: Meets::County,
        looks: &["county", "new"],
        ..at("join", "new", &["join", "=code", "--county", "ADDRESS"])
    },
    Operation {
        again: Again::UnlessThere("out.backup"),
        ..at("backup", "county", &["backup", "@out.backup"])
    },
    Operation {
        without: Some("county"),
        ..at(
            "restore",
            "county",
            &["restore", "@county.backup", "--root-key", "@root.key"],
        )
    },
    Operation {
        without: Some("county"),
        ..at(
            "init",
            "county",
            &["init", "--name", "Reed County", "--root-key", "@new.key"],
        )
    },
    at("salvage", "millrace", &["salvage", "--offline", "--anew"]),
    Operation {
        program: Program::Crew,
        again: Again::GoesOn,
        ..at("check line by line", "millrace", &["11"])
    },
];

/// How an operation ended.
#[derive(Debug)]
pub(crate) struct Told {
    code: Option<i32>,
    out: String,
    err: String,
    pub(crate) hangs: bool,
}

impl Told {
    fn of(ended: Result<Ended, String>) -> Self {
        match ended {
            Ok(ended) => Self {
                code: ended.code(),
                out: ended.out,
                err: ended.err,
                hangs: false,
            },
            Err(hangs) => Self {
                code: None,
                out: String::new(),
                err: hangs,
                hangs: true,
            },
        }
    }

    pub(crate) fn is_fine(&self) -> bool {
        self.code == Some(0)
    }

    /// A command says on standard output what it did, once it is done.
    pub(crate) fn is_acknowledged(&self) -> bool {
        self.is_fine() || !self.out.is_empty()
    }

    /// Lines of a check that were kept: what was asked, and what was typed.
    pub(crate) fn kept(&self) -> Vec<(&str, &str)> {
        self.lines("kept ")
    }

    /// Lines of a check that were asked, and what stood there.
    pub(crate) fn asked(&self) -> Vec<(&str, &str)> {
        self.lines("asked ")
    }

    fn lines(&self, word: &str) -> Vec<(&str, &str)> {
        let lines = self.err.lines().filter_map(|line| line.strip_prefix(word));
        lines.filter_map(|line| line.split_once(" = ")).collect()
    }

    /// What is wrong with how it ended: a failure is told, and with a number of its own.
    pub(crate) fn wrong(&self, what: What) -> Vec<&'static str> {
        let mut wrong = Vec::new();
        if self.hangs {
            wrong.push("it hangs");
        }
        match self.code {
            // Killed, or strace ended with what it ran.
            None if what == What::Kill => return wrong,
            Some(0) => {}
            Some(3..=5) => {
                // What a salvage could not bring back is in its report.
                if self.err.trim().is_empty() && !self.out.contains("may be lost") {
                    wrong.push("it fails and says nothing");
                }
            }
            _ => wrong.push("it ends as no command should"),
        }
        wrong
    }
}

/// A command of a device, under what runs it.
pub(crate) fn command(place: &Place, at: &str, args: &[String], under: &[String]) -> Command {
    let name = if at.contains("county") {
        "sponson-county"
    } else {
        "sponson"
    };
    command_of(&programs().join(name), place.file(at), args, under)
}

/// A command of a program, under what runs it.
fn command_of(program: &Path, folder: PathBuf, args: &[String], under: &[String]) -> Command {
    let mut command = match under.split_first() {
        None => Command::new(program),
        Some((first, rest)) => {
            let mut command = Command::new(first);
            command.args(rest).arg("--").arg(program);
            command
        }
    };
    command.arg("--folder").arg(folder).args(args);
    command.env_remove("RUST_LOG").env_remove("RUST_BACKTRACE");
    command
}

impl Operation {
    pub(crate) fn make_ready(&self, place: &Place) {
        if let Some(folder) = self.without {
            std::fs::remove_dir_all(place.file(folder)).expect("it is there");
        }
    }

    /// Runs it with a fault, or without.
    pub(crate) fn performed(&self, place: &Place, fault: Option<&Fault>) -> Told {
        let under = fault.map(|fault| strace(Path::new("/dev/null"), &fault.args(place.path())));
        self.run(place, &under.unwrap_or_default())
    }

    /// Runs it and records its calls.
    pub(crate) fn traced(&self, place: &Place) -> (Told, String) {
        let into = place.file("trace");
        let args = ["-y".to_owned(), "-e".to_owned(), traced()];
        let told = self.run(place, &strace(&into, &args));
        let trace = std::fs::read(into).expect("strace wrote it");
        (told, String::from_utf8_lossy(&trace).into_owned())
    }

    fn run(&self, place: &Place, under: &[String]) -> Told {
        match self.meets {
            Meets::Nobody => {
                let args = self.args(place, "");
                let command = match self.program {
                    Program::Own => command(place, self.at, &args, under),
                    Program::Crew => {
                        let crew = beside("walks_round");
                        command_of(&crew, place.file(self.at), &args, under)
                    }
                };
                Told::of(within(command, DEADLINE_OF_A_FAULT))
            }
            Meets::County => self.meets_county(place, under),
            Meets::Station => meets_station(place, under),
        }
    }

    fn meets_county(&self, place: &Place, under: &[String]) -> Told {
        let (up, address) = place.device("county").serve_county();
        if place.file(self.at).exists() && !self.args.contains(&"ADDRESS") {
            county_moved(&place.device(self.at), address);
        }
        let args = self.args(place, &address.to_string());
        let ended = within(command(place, self.at, &args, under), DEADLINE_OF_A_FAULT);
        let county = up.terminate();
        let mut told = Told::of(ended);
        if county.code() != Some(0) {
            told.code = None;
            told.err += &format!("; and the county: {county:?}");
        }
        told
    }

    fn args(&self, place: &Place, address: &str) -> Vec<String> {
        let args = self.args.iter().map(|arg| match arg.split_at(1) {
            ("@", file) => text(&place.file(file)).to_owned(),
            ("=", file) => std::fs::read_to_string(place.file(file)).expect("it is there"),
            _ if *arg == "ADDRESS" => address.to_owned(),
            _ => (*arg).to_owned(),
        });
        args.collect()
    }
}

/// The county serves under a fault, and a station syncs with it. What the station was told counts;
/// how the county ended is looked at too.
fn meets_station(place: &Place, under: &[String]) -> Told {
    let serve = ["serve", "--listen", "127.0.0.1:0", "--pages", "none"].map(str::to_owned);
    // The county is to be the process that is told to end, and strace one beside it.
    let under: Vec<String> = under
        .iter()
        .take(1)
        .cloned()
        .chain(under.iter().take(1).map(|_| "-D".to_owned()))
        .chain(under.iter().skip(1).cloned())
        .collect();
    let mut up = Running::start(command(place, "county", &serve, &under));
    let begun = Instant::now();
    let address = loop {
        let said = up.out();
        let line = said
            .lines()
            .find_map(|line| line.strip_prefix("listening on "));
        if let Some(address) = line.and_then(|line| line.parse().ok()) {
            break address;
        }
        if !up.is_up() || begun.elapsed() > DEADLINE_OF_A_FAULT {
            let hangs = up.is_up();
            let ended = up.kill();
            let mut told = Told::of(Ok(ended));
            told.hangs = hangs;
            // It served nobody.
            told.out.clear();
            return told;
        }
        std::thread::sleep(std::time::Duration::from_millis(2));
    };
    let station = place.device("millrace");
    county_moved(&station, address);
    let synced = within(
        command(place, "millrace", &["sync".to_owned()], &[]),
        DEADLINE_OF_A_FAULT,
    );
    let county = up.terminate_within(DEADLINE_OF_A_FAULT);
    let mut told = Told::of(synced);
    match county {
        Ok(county) => told.err += &format!("; the county: {county:?}"),
        Err(hangs) => {
            told.hangs = true;
            told.err += &hangs;
        }
    }
    told
}

fn strace(into: &Path, args: &[String]) -> Vec<String> {
    let mut strace: Vec<String> = ["strace", "-f", "-qq", "-o"].map(str::to_owned).to_vec();
    strace.push(into.display().to_string());
    strace.extend_from_slice(args);
    strace
}
