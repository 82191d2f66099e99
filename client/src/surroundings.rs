//! What a command is given by whoever runs it: clocks, random bytes, the terminal.

mod threads;

use std::io::{self, BufRead, IsTerminal as _, Write};

use sponson_link::{Clock, Entropy};
use sponson_show::terminal::{Attended, Exit, Terminal};

use crate::error::CommandError;

pub use threads::runtime;

/// What a command is given.
pub struct Surroundings {
    /// The device's clocks.
    pub clock: Clock,
    /// Random bytes.
    pub entropy: Entropy,
    /// Results.
    pub out: Box<dyn Write + Send>,
    /// Talk.
    pub err: Box<dyn Write + Send>,
    /// Standard input.
    pub input: Box<dyn BufRead + Send>,
    /// A person sits at the terminal and can be asked.
    pub interactive: bool,
}

impl std::fmt::Debug for Surroundings {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Surroundings")
            .field("interactive", &self.interactive)
            .finish_non_exhaustive()
    }
}

impl Surroundings {
    /// Those of this process.
    #[must_use]
    pub fn of_this_process() -> Self {
        let interactive = io::stdin().is_terminal() && io::stderr().is_terminal();
        Self {
            clock: Clock::system(),
            entropy: Entropy::system(),
            out: Box::new(io::stdout()),
            err: Box::new(io::stderr()),
            input: Box::new(io::BufReader::new(io::stdin())),
            interactive,
        }
    }

    /// The door to the terminal.
    pub fn terminal(&mut self) -> Terminal<'_> {
        let attended = if self.interactive {
            Attended::Yes
        } else {
            Attended::No
        };
        Terminal::new(
            self.out.as_mut(),
            self.err.as_mut(),
            self.input.as_mut(),
            attended,
        )
    }

    /// Says why a command failed, and how its program ends.
    pub fn failed(&mut self, error: &CommandError) -> Exit {
        let exit = error.exit();
        // When stderr is gone too there is nobody left to tell; the number says it.
        let _ = self.terminal().talk(&error.to_string());
        exit
    }

    /// Shows help or version as a result; says what was wrong with arguments otherwise.
    pub fn not_parsed(&mut self, error: &clap::Error) -> Exit {
        let text = error.render().to_string();
        let mut terminal = self.terminal();
        let (written, exit) = if error.use_stderr() {
            (terminal.talk(&text), Exit::WrongUse)
        } else {
            (terminal.result(&text), Exit::Fine)
        };
        match written {
            Ok(()) => exit,
            Err(error) => CommandError::Terminal(error).exit(),
        }
    }
}
