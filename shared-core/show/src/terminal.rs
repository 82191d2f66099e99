//! The one door to the terminal: results to stdout, talk to stderr, and what a program's end says.
//!
//! It holds no handle of its own: whoever runs a command gives it where to write. It uses no
//! colour, so nothing that a terminal would obey goes through it, but for the ends of lines: words of
//! people, names of files and what a library says of a file all come here. Whoever puts words of
//! people into a line cleans them first all the same, so that they stay on it.

use std::io::{self, BufRead, Write};

use crate::clean::clean_lines;

/// How a command ended, for the script that called it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Exit {
    /// Done, and nothing to say.
    Fine,
    /// Asked to judge, and the judgement is: not ready, or overdue.
    Judged,
    /// The command was used wrongly.
    WrongUse,
    /// Data was refused.
    Refused,
    /// The store failed or cannot be opened.
    Store,
    /// The other side could not be reached.
    Network,
}

impl Exit {
    /// The number that the program ends with.
    #[must_use]
    pub const fn code(self) -> u8 {
        match self {
            Self::Fine => 0,
            Self::Judged => 1,
            Self::WrongUse => 2,
            Self::Refused => 3,
            Self::Store => 4,
            Self::Network => 5,
        }
    }
}

impl From<Exit> for std::process::ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit.code())
    }
}

/// Whether a person sits at the terminal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Attended {
    /// Somebody can be asked, and sees progress.
    Yes,
    /// A script reads the output.
    No,
}

/// Where a command reads and writes.
pub struct Terminal<'a> {
    out: &'a mut (dyn Write + Send),
    err: &'a mut (dyn Write + Send),
    input: &'a mut (dyn BufRead + Send),
    attended: Attended,
}

impl std::fmt::Debug for Terminal<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Terminal")
            .field("attended", &self.attended)
            .finish_non_exhaustive()
    }
}

impl<'a> Terminal<'a> {
    /// Opens the door.
    #[must_use]
    pub fn new(
        out: &'a mut (dyn Write + Send),
        err: &'a mut (dyn Write + Send),
        input: &'a mut (dyn BufRead + Send),
        attended: Attended,
    ) -> Self {
        Self {
            out,
            err,
            input,
            attended,
        }
    }

    /// Whether a person sits there.
    #[must_use]
    pub const fn attended(&self) -> Attended {
        self.attended
    }

    /// Writes a result, ended by one line end.
    ///
    /// # Errors
    /// When stdout cannot be written, for example because its reader has gone.
    pub fn result(&mut self, text: &str) -> io::Result<()> {
        whole_lines(self.out, text)
    }

    /// Writes something beside the result, ended by one line end.
    ///
    /// # Errors
    /// When stderr cannot be written.
    pub fn talk(&mut self, text: &str) -> io::Result<()> {
        whole_lines(self.err, text)
    }

    /// Reads all that is given on stdin, up to `bytes_max` bytes.
    ///
    /// # Errors
    /// When it cannot be read, is no UTF-8, or is longer.
    pub fn read_all(&mut self, bytes_max: u64) -> io::Result<String> {
        use std::io::Read as _;
        let mut bytes = Vec::new();
        let mut limited = (&mut *self.input).take(bytes_max.saturating_add(1));
        limited.read_to_end(&mut bytes)?;
        let refused = |words: String| io::Error::new(io::ErrorKind::InvalidData, words);
        // Length first: a cut can lie within a letter.
        if !u64::try_from(bytes.len()).is_ok_and(|length| length <= bytes_max) {
            let words = format!("standard input is longer than {bytes_max} bytes");
            return Err(refused(words));
        }
        String::from_utf8(bytes).map_err(|_| refused("it is not text in UTF-8".to_owned()))
    }
}

fn whole_lines(to: &mut (dyn Write + Send), text: &str) -> io::Result<()> {
    let text = text.trim_end_matches('\n');
    // A list for a spreadsheet ends its lines by RFC 4180, the last one too.
    let (text, end) = match text.strip_suffix('\r') {
        Some(text) => (text, "\r\n"),
        None => (text, "\n"),
    };
    to.write_all(clean_lines(text).as_bytes())?;
    to.write_all(end.as_bytes())?;
    to.flush()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_and_talk_go_their_own_ways() {
        let (mut out, mut err, mut input) = (Vec::new(), Vec::new(), io::empty());
        let mut terminal = Terminal::new(&mut out, &mut err, &mut input, Attended::No);
        terminal.result("ready\n\n").expect("a vector takes all");
        terminal.talk("synced").expect("a vector takes all");
        assert_eq!(
            (out.as_slice(), err.as_slice()),
            (b"ready\n".as_slice(), b"synced\n".as_slice())
        );
    }

    #[test]
    fn nothing_that_a_terminal_obeys_goes_through() {
        let (mut out, mut err, mut input) = (Vec::new(), Vec::new(), io::empty());
        let mut terminal = Terminal::new(&mut out, &mut err, &mut input, Attended::No);
        terminal
            .result("a,b\r\n=\u{1b}]52;c;aGk=\u{7}\r\n")
            .expect("taken");
        terminal
            .talk("\u{9b}2J.toml\n  cannot be read")
            .expect("taken");
        let said = [out, err].map(|bytes| String::from_utf8(bytes).expect("UTF-8"));
        assert_eq!(said[0], "a,b\r\n=\\u{1b}]52;c;aGk=\\u{7}\r\n");
        assert_eq!(said[1], "\\u{9b}2J.toml\n  cannot be read\n");
    }

    #[test]
    fn standard_input_has_a_limit() {
        for (given, limit, fits) in [("abc", 3, true), ("abcd", 3, false)] {
            let (mut out, mut err) = (Vec::new(), Vec::new());
            let mut input = io::Cursor::new(given);
            let mut terminal = Terminal::new(&mut out, &mut err, &mut input, Attended::No);
            assert_eq!(terminal.read_all(limit).is_ok(), fits, "{given} in {limit}");
        }
    }

    #[test]
    fn ends_have_the_numbers_that_scripts_know() {
        let all = [
            Exit::Fine,
            Exit::Judged,
            Exit::WrongUse,
            Exit::Refused,
            Exit::Store,
            Exit::Network,
        ];
        assert_eq!(all.map(Exit::code), [0, 1, 2, 3, 4, 5]);
    }
}
