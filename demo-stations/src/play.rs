//! Plays a scenario: a real county service with TLS, real stations with keys and stores of their
//! own, commands typed as people type them.

mod devices;
mod happen;
mod typed;

use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use sponson_client::CommandError;
use sponson_client::settings::SettingsError;
use sponson_server::pages::PagesError;

use crate::scenario::{self, BadLine, Command, Line, Shown};
use crate::sim_clock::SimClock;
use crate::world::World;

use devices::{CountyRunning, StationRunning};

pub use typed::Typed;

/// Seed of every key, id and salt of the demo county.
const SEED: u64 = 20_260_202;

/// The demo county lies six hours behind UTC.
const UTC_OFFSET_MIN: i32 = -360;

/// When the first scenario may begin: 2026-02-01, 00:00 local time.
const BEGIN_MS: i64 = 1_769_925_600_000;

/// What every typed command takes.
const TYPING_MS: i64 = 20_000;

/// A scenario: its name and its text.
pub type Scenario<'a> = (&'a str, &'a str);

/// The scenarios of the demo county, in order.
pub const SCENARIOS: &[Scenario<'static>] = &[
    ("01-founding", include_str!("../scenarios/01-founding.txt")),
    (
        "02-winter-weeks",
        include_str!("../scenarios/02-winter-weeks.txt"),
    ),
    (
        "03-high-water",
        include_str!("../scenarios/03-high-water.txt"),
    ),
    (
        "04-at-the-pond",
        include_str!("../scenarios/04-at-the-pond.txt"),
    ),
    (
        "05-on-a-car-roof",
        include_str!("../scenarios/05-on-a-car-roof.txt"),
    ),
    (
        "06-at-the-station",
        include_str!("../scenarios/06-at-the-station.txt"),
    ),
    (
        "07-a-summer-on",
        include_str!("../scenarios/07-a-summer-on.txt"),
    ),
];

/// Why the play stopped.
#[derive(Debug, thiserror::Error)]
pub enum PlayError {
    /// A scenario line is of no form.
    #[error("scenario {scenario}: {source}")]
    BadLine {
        /// Which scenario.
        scenario: String,
        /// The line.
        source: BadLine,
    },
    /// Something at a line did not go as the scenario says.
    #[error("scenario {scenario}, line {line}: {why}")]
    AtLine {
        /// Which scenario.
        scenario: String,
        /// Line, from 1.
        line: usize,
        /// Why.
        why: String,
    },
    /// The output could not be written.
    #[error("output: {0}")]
    Output(#[from] io::Error),
}

/// Why one line did not go as the scenario says.
#[derive(Debug, thiserror::Error)]
pub(crate) enum LineError {
    /// A word of the line cannot be.
    #[error("{0}")]
    Word(String),
    /// A command ended otherwise than expected.
    #[error("'{words}' at {who} ended with {found}, not {expected}:\n{text}")]
    Exit {
        who: String,
        words: String,
        found: u8,
        expected: u8,
        text: String,
    },
    /// A file could not be read or written.
    #[error("{0}")]
    File(#[from] io::Error),
    /// A device could not be set up.
    #[error("{0}")]
    Device(String),
}

impl From<SettingsError> for LineError {
    fn from(error: SettingsError) -> Self {
        Self::Device(error.to_string())
    }
}

impl From<CommandError> for LineError {
    fn from(error: CommandError) -> Self {
        Self::Device(error.to_string())
    }
}

/// The county while it is played.
pub struct Player {
    folder: PathBuf,
    clock: SimClock,
    world: World,
    county: Option<CountyRunning>,
    stations: BTreeMap<String, StationRunning>,
    out: Box<dyn Write + Send>,
    rules_shown: BTreeSet<String>,
}

impl Player {
    /// A county that does not exist yet, in an empty folder.
    #[must_use]
    pub fn new(folder: &Path, out: Box<dyn Write + Send>) -> Self {
        Self {
            folder: folder.to_owned(),
            clock: SimClock::at(BEGIN_MS, UTC_OFFSET_MIN),
            world: World::default(),
            county: None,
            stations: BTreeMap::new(),
            out,
            rules_shown: BTreeSet::new(),
        }
    }

    /// Plays scenarios one after another.
    ///
    /// # Errors
    /// When anything goes otherwise than a scenario says.
    pub async fn play(&mut self, scenarios: &[Scenario<'_>]) -> Result<(), PlayError> {
        for (name, text) in scenarios {
            let lines = scenario::parse(text).map_err(|source| PlayError::BadLine {
                scenario: (*name).to_owned(),
                source,
            })?;
            for (line, happens) in lines {
                self.line(happens)
                    .await
                    .map_err(|error| PlayError::AtLine {
                        scenario: (*name).to_owned(),
                        line,
                        why: error.to_string(),
                    })?;
            }
        }
        Ok(())
    }

    async fn line(&mut self, line: Line) -> Result<(), LineError> {
        match line {
            Line::Say(text) => writeln!(self.out, "{text}")?,
            Line::Happens(words) => self.happens(&words).await?,
            Line::Command(command) => {
                let typed = self.typed(&command.who, &command.words).await?;
                typed.expect(command.exit)?;
                if command.shown == Shown::Yes {
                    self.show(&typed)?;
                    self.note_rules(&command).await?;
                }
            }
        }
        Ok(())
    }

    fn show(&mut self, typed: &Typed) -> io::Result<()> {
        let program = if typed.who == "county" {
            "sponson-county"
        } else {
            "sponson"
        };
        writeln!(self.out, "{}$ {program} {}", typed.who, typed.shown_words())?;
        writeln!(self.out, "{}", typed.text().trim_end())?;
        if typed.exit != 0 {
            writeln!(self.out, "(exit code {})", typed.exit)?;
        }
        writeln!(self.out)
    }

    /// Rules whose findings were shown in the reports of single craft, by their stable words.
    #[must_use]
    pub const fn rules_shown(&self) -> &BTreeSet<String> {
        &self.rules_shown
    }

    /// Notes which rules the report that was just shown names: the same question at the same
    /// moment, answered for programs.
    async fn note_rules(&mut self, command: &Command) -> Result<(), LineError> {
        let Command {
            who, words, exit, ..
        } = command;
        let of_one_craft = words.first().is_some_and(|word| word == "ready")
            && words.get(1).is_some_and(|word| !word.starts_with('-'));
        if !of_one_craft || *exit > 1 {
            return Ok(());
        }
        let mut words: Vec<String> = words
            .iter()
            .filter(|word| *word != "--why")
            .cloned()
            .collect();
        words.push("--json".to_owned());
        let (folder, clock, entropy) = self.device(who)?;
        let typed = self.typed_as(who, &folder, (clock, entropy), &words).await;
        let report: serde_json::Value = serde_json::from_str(&typed.out)
            .map_err(|error| LineError::Word(format!("the report as JSON: {error}")))?;
        let craft = report["craft"].as_array().into_iter().flatten();
        let why = craft.flat_map(|craft| craft["why"].as_array().into_iter().flatten());
        let rules = why.filter_map(|finding| finding["rule"].as_str());
        self.rules_shown.extend(rules.map(str::to_owned));
        Ok(())
    }

    /// Where the county listens, once it is founded.
    #[must_use]
    pub fn county_address(&self) -> Option<std::net::SocketAddr> {
        self.county.as_ref().map(CountyRunning::address)
    }

    /// Folder of the county, and of each station by name.
    #[must_use]
    pub fn folders(&self) -> (PathBuf, BTreeMap<String, PathBuf>) {
        let stations = self.stations.keys();
        (
            self.folder.join("county"),
            stations
                .map(|name| (name.clone(), self.folder.join(name)))
                .collect(),
        )
    }

    /// Serves the pages of the county; says where they are.
    ///
    /// # Errors
    /// When no address can be listened at.
    pub async fn serve_pages(&mut self) -> Result<Vec<String>, PagesError> {
        match &mut self.county {
            Some(county) => county.serve_pages().await,
            None => Ok(Vec::new()),
        }
    }

    /// Says how to ask the running county and its stations more; `pages` is where its pages are.
    ///
    /// # Errors
    /// When the output cannot be written.
    pub fn say_how_to_ask(&mut self, folder: &Path, pages: &[String]) -> io::Result<()> {
        let folder = folder.display();
        writeln!(
            self.out,
            "The county is running; ctrl-c ends it. In another terminal, for example:\n\n\
             cargo run --release -q -p sponson-server -- --folder {folder}/county answer --mission search\n\
             cargo run --release -q -p sponson-client -- --folder {folder}/millrace ready 12\n\
             cargo run --release -q -p sponson-client -- --folder {folder}/millrace due\n\
             cargo run --release -q -p sponson-client -- --folder {folder}/millrace log 12\n\n\
             {}\n\
             To assign from there, a link that lets member M7 in:\n\n\
             cargo run --release -q -p sponson-server -- --folder {folder}/county let-in M7 --role coordinator\n",
            pages.join("\n")
        )
    }

    /// Stops every service; the folders stay.
    pub async fn stop(self) {
        for station in self.stations.into_values() {
            station.stop().await;
        }
        if let Some(county) = self.county {
            county.stop().await;
        }
    }
}
