//! A command as somebody typed it, and what it said.

use std::ffi::OsString;
use std::io::{self, Cursor, Write};
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

use sponson_client::Surroundings;
use sponson_link::{Clock, Entropy};

use super::{LineError, Player, TYPING_MS};

/// A command that was typed, and how it ended.
#[derive(Clone, Debug)]
pub struct Typed {
    /// `county`, or a station.
    pub who: String,
    /// What it wrote, results and talk apart.
    pub out: String,
    /// Talk.
    pub err: String,
    /// Exit code.
    pub exit: u8,
    words: Vec<String>,
}

impl Typed {
    /// Checks how it ended.
    pub(super) fn expect(&self, exit: u8) -> Result<(), LineError> {
        if self.exit == exit {
            return Ok(());
        }
        Err(LineError::Exit {
            who: self.who.clone(),
            words: self.shown_words(),
            found: self.exit,
            expected: exit,
            text: self.text(),
        })
    }

    /// The words as typed, quoted where a shell needs it.
    #[must_use]
    pub fn shown_words(&self) -> String {
        shlex::try_join(self.words.iter().map(String::as_str)).unwrap_or_default()
    }

    /// Results, then talk.
    #[must_use]
    pub fn text(&self) -> String {
        format!("{}{}", self.out, self.err)
    }
}

impl Player {
    /// Types a command at the county or at a station.
    pub(super) async fn typed(&mut self, who: &str, words: &[String]) -> Result<Typed, LineError> {
        self.clock.pass(TYPING_MS);
        let (folder, clock, entropy) = self.device(who)?;
        Ok(self.typed_as(who, &folder, (clock, entropy), words).await)
    }

    /// Types a command at a device that may not be running yet.
    pub(super) async fn typed_as(
        &self,
        who: &str,
        folder: &Path,
        (clock, entropy): (Clock, Entropy),
        words: &[String],
    ) -> Typed {
        let (out, err) = (Captured::default(), Captured::default());
        let mut surroundings = Surroundings {
            clock,
            entropy,
            out: Box::new(out.clone()),
            err: Box::new(err.clone()),
            input: Box::new(Cursor::new(Vec::new())),
            interactive: false,
        };
        let program = if who == "county" {
            "sponson-county"
        } else {
            "sponson"
        };
        let mut args: Vec<OsString> = vec![program.into(), "--folder".into(), folder.into()];
        args.extend(words.iter().map(|word| OsString::from(self.placed(word))));
        let exit = if who == "county" {
            sponson_server::run_async(args, &mut surroundings).await
        } else {
            sponson_client::run_async(args, &mut surroundings).await
        };
        Typed {
            who: who.replace('-', " "),
            out: self.without_paths(&out.text()),
            err: self.without_paths(&err.text()),
            exit: exit.code(),
            words: words
                .iter()
                .map(|word| word.replace("{work}/", "").replace("{county}/", ""))
                .collect(),
        }
    }

    /// A word with the folders of this run in it.
    fn placed(&self, word: &str) -> String {
        let county = concat!(env!("CARGO_MANIFEST_DIR"), "/county");
        word.replace("{work}", &self.folder.display().to_string())
            .replace("{county}", county)
    }

    /// Output without the folders of this run, so that it is the same everywhere.
    fn without_paths(&self, text: &str) -> String {
        let county = concat!(env!("CARGO_MANIFEST_DIR"), "/county/");
        text.replace(&format!("{}/", self.folder.display()), "")
            .replace(county, "")
    }
}

/// A place to write that can be read afterwards.
#[derive(Clone, Debug, Default)]
struct Captured(Arc<Mutex<Vec<u8>>>);

impl Captured {
    fn text(&self) -> String {
        let bytes = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        String::from_utf8_lossy(&bytes).into_owned()
    }
}

impl Write for Captured {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let mut held = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        held.extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}
