//! The scenario text: one line, one thing that happens.
//!
//! ```text
//! # a comment, not shown
//! = A line that is shown as it stands.
//! @time 2026-02-02 07:00          moves the clock (local time)
//! @founded NAME                   founds the county and starts its service
//! @station Millrace at=44.1,-93.2 call=Mill   admits it, joins it, starts its service; position and
//!                                 radio call may be left out
//! @older Otter-Bend out-of-service   its device does not know this kind of event
//! @craft-in-order FILE            what is really so: every craft of the list is as its sheet asks
//! @fit-motors                     each station fits the motors to its craft
//! @papers 11 M-101 2025-10-06     all inspections as last done then, entered late
//! @bay Millrace 6C                temperature of a station's boat bay from now on
//! @gauge Millrace G1 14           its crews read by this gauge from now on, which shows 14 mbar more
//! @leak 31 tube-3 5               mbar a day from now on; 0 ends it
//! @stuck 86 keel 222              its gauge shows this many mbar, whatever is inside
//! @really 12 count child-life-jacket 0
//! @really 51 dates flare-red-hand "3 x 2026-02"
//! @really 42 answer trailer no
//! @bag 42 B7 child-life-jacket    these items are in this bag
//! @rounds 2026-02-02 08:00 full but 12    every station goes round its craft; then it syncs
//! @check 11 M-101 full --at Millrace      one craft
//! @engine-runs Millrace M-103     the weekly engine run of every craft of a station
//! @run 11 M-101 2h 0.4h --at Millrace     on the water: time out and engine time
//! @cut Sedge-Ford                 the station loses coverage; @restore ends it
//! @sync Millrace Sedge-Ford       in this order; @sync all
//! @damage FILE COPY               copies a file and changes one byte in its middle
//! @same-answer Millrace Sedge-Ford 12     both say the same of the craft, to the byte
//! Millrace: ready 11              a command of `sponson`, shown with its output
//! Millrace- fault 11 ...          the same, not shown
//! county: answer                  a command of `sponson-county`
//! !3 Millrace: carry in x.carry   the same, expected to end with exit code 3
//! ```

/// One line of a scenario.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Line {
    /// Shown as it stands.
    Say(String),
    /// Something that happens in the county.
    Happens(Vec<String>),
    /// A command.
    Command(Command),
}

/// A command that somebody types.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Command {
    /// `county`, or a station.
    pub who: String,
    /// The words typed.
    pub words: Vec<String>,
    /// Whether it is shown.
    pub shown: Shown,
    /// Exit code that is expected.
    pub exit: u8,
}

/// Whether a command and its output are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shown {
    /// With its output.
    Yes,
    /// Only when it ends otherwise than expected.
    No,
}

/// Why a scenario line cannot be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("line {number} '{line}' cannot be read: {why}")]
pub struct BadLine {
    /// From 1.
    pub number: usize,
    /// As written.
    pub line: String,
    /// Why.
    pub why: &'static str,
}

/// Reads a scenario; every line with its number from 1.
///
/// # Errors
/// When a line is of none of the forms above.
pub fn parse(text: &str) -> Result<Vec<(usize, Line)>, BadLine> {
    text.lines()
        .enumerate()
        .filter(|(_, line)| !line.trim().is_empty() && !line.starts_with('#'))
        .map(|(index, line)| {
            let number = index + 1;
            parse_line(line)
                .map(|parsed| (number, parsed))
                .map_err(|why| BadLine {
                    number,
                    line: line.to_owned(),
                    why,
                })
        })
        .collect()
}

fn parse_line(line: &str) -> Result<Line, &'static str> {
    if let Some(text) = line.strip_prefix('=') {
        return Ok(Line::Say(text.strip_prefix(' ').unwrap_or(text).to_owned()));
    }
    if let Some(rest) = line.strip_prefix('@') {
        return words(rest).map(Line::Happens);
    }
    let (exit, rest) = match line.strip_prefix('!') {
        Some(rest) => {
            let (code, rest) = rest.split_once(' ').ok_or("an exit code, then a command")?;
            (code.parse().map_err(|_| "the exit code is a number")?, rest)
        }
        None => (0, line),
    };
    let end = rest
        .find([':', ' '])
        .ok_or("'WHO: command' or 'WHO- command'")?;
    let (who, shown) = match (&rest[..end], rest.as_bytes()[end]) {
        (who, b':') => (who, Shown::Yes),
        (who, _) => (
            who.strip_suffix('-')
                .ok_or("'WHO: command' or 'WHO- command'")?,
            Shown::No,
        ),
    };
    Ok(Line::Command(Command {
        who: who.to_owned(),
        words: words(&rest[end + 1..])?,
        shown,
        exit,
    }))
}

fn words(text: &str) -> Result<Vec<String>, &'static str> {
    shlex::split(text)
        .filter(|words| !words.is_empty())
        .ok_or("quotes that do not close, or nothing at all")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_is_read() {
        let read = parse(
            "# no\n= Hello.\n@bay Millrace 6C\n\nMillrace: ready 11\n!3 Sedge-Ford- carry in 'a b'\n",
        )
        .expect("all lines are right");
        let command = |who: &str, words: &[&str], shown, exit| {
            Line::Command(Command {
                who: who.to_owned(),
                words: words.iter().map(|&word| word.to_owned()).collect(),
                shown,
                exit,
            })
        };
        assert_eq!(
            read,
            [
                (2, Line::Say("Hello.".to_owned())),
                (
                    3,
                    Line::Happens(vec!["bay".into(), "Millrace".into(), "6C".into()])
                ),
                (5, command("Millrace", &["ready", "11"], Shown::Yes, 0)),
                (
                    6,
                    command("Sedge-Ford", &["carry", "in", "a b"], Shown::No, 3)
                ),
            ]
        );
    }

    #[test]
    fn a_line_of_no_form_is_named() {
        let error = parse("@bay x 1C\nnothing\n").expect_err("the second line is no form");
        assert_eq!((error.number, error.line.as_str()), (2, "nothing"));
    }
}
