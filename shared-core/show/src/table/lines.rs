//! Lines of text wrapped to the width, with hanging indents.
//!
//! Widths are those of a terminal (a Han character takes two columns). It cleans nothing.

use unicode_width::UnicodeWidthStr as _;

use super::WIDTH;

/// Text that grows by whole lines.
#[derive(Debug, Default)]
pub(crate) struct Lines(String);

impl Lines {
    pub(crate) fn into_text(self) -> String {
        self.0
    }

    pub(crate) fn blank(&mut self) {
        self.0.push('\n');
    }

    /// Lines that are already wrapped.
    pub(super) fn block(&mut self, text: &str) {
        self.0.push_str(text);
    }

    /// Text behind a prefix; further lines begin under the text.
    pub(super) fn hanging(&mut self, prefix: &str, text: &str) {
        self.wrapped(prefix, prefix.width(), text);
    }

    /// Text behind a prefix; further lines begin `indent` columns from the left.
    pub(crate) fn wrapped(&mut self, prefix: &str, indent: usize, text: &str) {
        let indent = " ".repeat(indent.min(WIDTH / 2));
        let mut line = prefix.to_owned();
        let mut fresh = true;
        for word in text.split_whitespace() {
            let gap = if fresh { "" } else { " " };
            let longer = format!("{line}{gap}{word}");
            if longer.width() <= WIDTH {
                line = longer;
                fresh = false;
                continue;
            }
            if !fresh {
                self.push(&line);
                line.clone_from(&indent);
            }
            line = self.broken(line, &indent, word);
            fresh = false;
        }
        self.push(&line);
    }

    /// Adds a word to a fresh line, breaking it where it is longer than a line; gives back the
    /// last line.
    fn broken(&mut self, mut line: String, indent: &str, word: &str) -> String {
        for c in word.chars() {
            let mut longer = line.clone();
            longer.push(c);
            if longer.width() > WIDTH {
                self.push(&line);
                line = format!("{indent}{c}");
            } else {
                line = longer;
            }
        }
        line
    }

    fn push(&mut self, line: &str) {
        self.0.push_str(line.trim_end());
        self.0.push('\n');
    }
}

/// Fills up with blanks to a width.
pub(super) fn padded(text: &str, width: usize) -> String {
    let missing = width.saturating_sub(text.width());
    format!("{text}{}", " ".repeat(missing))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn text_hangs_under_its_beginning() {
        let mut lines = Lines::default();
        lines.hanging("  - ", &"word ".repeat(30));
        insta::assert_snapshot!(lines.into_text(), @"
        - word word word word word word word word word word word word word word word
          word word word word word word word word word word word word word word word
        ");
    }

    proptest! {
        #[test]
        fn no_line_is_too_wide(prefix in "[ -~]{0,40}", text in "\\PC{0,300}") {
            let mut lines = Lines::default();
            lines.hanging(&prefix, &text);
            for line in lines.into_text().lines() {
                prop_assert!(line.width() <= WIDTH, "{line}");
            }
        }
    }
}
