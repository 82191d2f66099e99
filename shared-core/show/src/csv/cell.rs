//! Cells and lines: what a spreadsheet would take for a formula is guarded, numbers stay numbers.

use sponson_readiness::moment::Moment;

use crate::clean::clean;
use crate::units::print;

/// One cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Cell {
    /// Words of people or of this program.
    Text(String),
    /// A number that was reckoned.
    Number(String),
    /// Not known, or does not apply.
    Empty,
}

impl Cell {
    /// What stands in the file.
    fn written(self) -> String {
        match self {
            Self::Text(text) => guarded(&clean(&text)),
            Self::Number(number) => number,
            Self::Empty => String::new(),
        }
    }
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

macro_rules! from_number {
    ($($name:ty),+) => {$(
        impl From<$name> for Cell {
            fn from(number: $name) -> Self {
                Self::Number(number.to_string())
            }
        }
    )+};
}

from_number!(u32, u64, i64, usize);

impl<T: Into<Cell>> From<Option<T>> for Cell {
    fn from(value: Option<T>) -> Self {
        value.map_or(Self::Empty, Into::into)
    }
}

/// `yes` or `no`.
pub(super) fn yes_no(is_so: bool) -> Cell {
    if is_so { "yes" } else { "no" }.into()
}

/// A moment; empty when it is not known.
pub(super) fn moment(at: Moment) -> Cell {
    print::is_known(at).then(|| print::rfc3339(at)).into()
}

/// Several values in one cell.
pub(super) fn list(all: impl IntoIterator<Item = String>) -> Cell {
    let all: Vec<String> = all.into_iter().collect();
    all.join("; ").into()
}

/// Puts an apostrophe before text that a spreadsheet would run (OWASP, CSV Injection: it begins with
/// `=`, `+`, `-`, `@`, a tab, a carriage return, or the wide forms of those signs), and before text
/// that begins with an apostrophe, so that taking one off gives every text back. A plain number
/// stays one. Where semicolons part cells, which a spreadsheet's country decides, what stands behind
/// one is a text of its own; quotes do not hold it together there.
fn guarded(text: &str) -> String {
    let pieces: Vec<String> = text.split(';').map(guarded_piece).collect();
    pieces.join(";")
}

fn guarded_piece(text: &str) -> String {
    let runs = |c: char| {
        matches!(
            c,
            '=' | '+' | '-' | '@' | '\t' | '\r' | '\n' | '＝' | '＋' | '－' | '＠' | '\''
        )
    };
    let shown = text.trim_start_matches(|c: char| c.is_whitespace() || c == '"');
    if shown.starts_with(runs) && !is_plain_number(text.trim()) {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}

/// Digits, with at most a minus sign before and one point within.
fn is_plain_number(text: &str) -> bool {
    let digits = text.strip_prefix('-').unwrap_or(text);
    let (whole, part) = digits.split_once('.').unwrap_or((digits, "0"));
    let all_digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    all_digits(whole) && all_digits(part)
}

/// A table that is being written.
pub(super) struct Table {
    writer: ::csv::Writer<Vec<u8>>,
    first: Vec<String>,
}

impl Table {
    /// Begins with the header; `first` stands in every line before the other cells.
    pub(super) fn new<const N: usize>(
        columns: &[&'static str],
        first: [(&'static str, Cell); N],
    ) -> Self {
        let writer = ::csv::WriterBuilder::new()
            .terminator(::csv::Terminator::CRLF)
            .from_writer(Vec::new());
        let (names, first): (Vec<_>, Vec<_>) = first.into_iter().unzip();
        let mut table = Self {
            writer,
            first: first.into_iter().map(Cell::written).collect(),
        };
        table.write(names.iter().chain(columns).map(|name| (*name).to_owned()));
        table
    }

    /// Adds a line.
    pub(super) fn line<const N: usize>(&mut self, cells: [Cell; N]) {
        let first = self.first.clone();
        self.write(first.into_iter().chain(cells.map(Cell::written)));
    }

    fn write(&mut self, cells: impl Iterator<Item = String>) {
        // Writing to memory cannot fail, and a line of another length shows in every test.
        let _ = self.writer.write_record(cells);
    }

    /// The whole file.
    pub(super) fn into_text(self) -> String {
        let bytes = self.writer.into_inner().unwrap_or_default();
        String::from_utf8(bytes).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_spreadsheet_runs_nothing_and_loses_no_number() {
        for (text, written) in [
            ("Boat 3", "Boat 3"),
            ("=1+1", "'=1+1"),
            ("+1 555 0100", "'+1 555 0100"),
            ("-2+3", "'-2+3"),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("\t=1", "' =1"),
            ("\r=1", "' =1"),
            ("＝1+1", "'＝1+1"),
            ("'=1", "''=1"),
            ("Boat 3; =1+1", "Boat 3;' =1+1"),
            ("x;\"=1", "x;'\"=1"),
            ("a; b;c", "a; b;c"),
            ("-5", "-5"),
            ("-5.25", "-5.25"),
            ("-5.", "'-5."),
            ("-", "'-"),
            ("", ""),
        ] {
            assert_eq!(Cell::from(text).written(), written, "{text:?}");
        }
        assert_eq!(Cell::from(-40_i64).written(), "-40");
    }

    proptest! {
        #[test]
        fn taking_the_guard_off_gives_the_text_back(text in "\\PC*") {
            let written = guarded(&text);
            let off = |piece: &str| piece.strip_prefix('\'').unwrap_or(piece).to_owned();
            let back: Vec<String> = written.split(';').map(off).collect();
            prop_assert_eq!(back.join(";"), text);
            for piece in written.split(';') {
                let runs = piece.trim_start().starts_with(['=', '+', '-', '@', '＝', '＋', '－', '＠']);
                prop_assert!(!runs || is_plain_number(piece.trim()));
            }
        }
    }
}
