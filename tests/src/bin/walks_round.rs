//! A crew that is asked for a check of a craft line by line at a station, as a real process for tests
//! of failing calls: `walks_round --folder FOLDER CRAFT`. What is typed stands here; on standard error
//! it says what it is asked, and what was typed once the next line is asked, which is when it is kept.
//!
//! The program asks at a terminal alone; nothing else of it is another here.

use std::io::{Write as _, empty, stderr, stdout};
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::{Context as _, Result, ensure};
use sponson_client::session::Session;
use sponson_client::settings::{SETTINGS_FILE, Settings};
use sponson_client::under_way::asking::{Beginning, Prompt, ask_round};
use sponson_client::{CommandError, Surroundings};
use sponson_link::local::{Opening, connect};
use sponson_proto::service::v1::UnderWayKind;
use sponson_show::terminal::{Attended, Exit, Terminal};

/// What is typed at the lines that hold these words; Enter alone at all others.
const TYPED: [(&str, &str); 7] = [
    ("Air that", "15 C"),
    ("For how long", "3 h"),
    ("How it is kept", "inflated"),
    ("Gauge at tube 1", "3.4 left 3.6 by foot pump"),
    ("Gauge at tube 2", "3.5 psi"),
    ("How many: life jackets", "8 bad 1"),
    ("Record this check", "yes"),
];

/// More than a check has lines: who is still asked then is asked for ever.
const ASKED_MAX: usize = 400;

#[tokio::main]
async fn main() -> Result<ExitCode> {
    let args: Vec<_> = std::env::args_os().skip(1).collect();
    let [flag, folder, craft] = &args[..] else {
        anyhow::bail!("give --folder FOLDER CRAFT");
    };
    ensure!(flag == "--folder", "give --folder FOLDER CRAFT");
    let craft = craft.to_str().context("the craft's number is no text")?;
    let mut surroundings = Surroundings::of_this_process();
    let walked = walk(PathBuf::from(folder), craft, &surroundings).await;
    Ok(walked
        .unwrap_or_else(|error| surroundings.failed(&error))
        .into())
}

async fn walk(
    folder: PathBuf,
    craft: &str,
    surroundings: &Surroundings,
) -> Result<Exit, CommandError> {
    let settings = Settings::read(&folder.join(SETTINGS_FILE))?;
    let opening = Opening {
        folder,
        side: settings.station_side()?,
        clock: surroundings.clock.clone(),
        entropy: surroundings.entropy.clone(),
        version: "test".to_owned(),
        places: None,
    };
    let local = connect(opening).await?;
    let (mut out, mut err, mut input) = (stdout(), stderr(), empty());
    let terminal = Terminal::new(&mut out, &mut err, &mut input, Attended::Yes);
    let now = surroundings.clock.now().unix_ms;
    let mut session = Session::new(local.client(), terminal, "M-104".to_owned(), now);
    let beginning = Beginning {
        craft: craft.to_owned(),
        kind: UnderWayKind::Full,
        from_paper: false,
    };
    let mut crew = Crew::default();
    let mut ask = |asked: &Prompt<'_>| crew.answer(asked);
    let ended = ask_round(&beginning, &mut session, &mut ask).await;
    drop(session);
    local.close().await;
    ended
}

/// What was asked and typed last.
#[derive(Default)]
struct Crew {
    asked: usize,
    last: Option<(String, &'static str)>,
}

impl Crew {
    fn answer(&mut self, asked: &Prompt<'_>) -> Result<String, CommandError> {
        self.asked += 1;
        let Prompt { prompt, typed, .. } = asked;
        let kept = self.last.take().filter(|(at, _)| at != prompt);
        let kept = kept.map_or_else(String::new, |(at, typed)| format!("kept {at} = {typed}\n"));
        // One write: what reads it never sees a half of it.
        stderr().write_all(format!("{kept}asked {prompt} = {typed}\n").as_bytes())?;
        if self.asked > ASKED_MAX {
            return Err(CommandError::BrokenOff);
        }
        let types = TYPED.iter().find(|(at, _)| prompt.contains(at));
        self.last = types.map(|(_, types)| ((*prompt).to_owned(), *types));
        Ok(types.map_or(*typed, |(_, types)| types).to_owned())
    }
}
