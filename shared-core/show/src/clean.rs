//! Text that came from people, made safe to show on a terminal.
//!
//! It does not shorten and does not translate.

use std::fmt::Write as _;

/// Replaces what a terminal would obey, or what would hide or reorder text, by visible escapes.
///
/// Line ends and tabs become blanks; other control characters, bidirectional controls and
/// invisible characters become `\u{1b}` and the like. Joiners that scripts need stay.
#[must_use]
pub fn clean(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if matches!(c, '\n' | '\r' | '\t' | '\u{2028}' | '\u{2029}' | '\u{85}') {
            out.push(' ');
        } else if obeyed(c) {
            // Writing to a String cannot fail.
            let _ = write!(out, "{}", c.escape_unicode());
        } else {
            out.push(c);
        }
    }
    out
}

/// The same for a text of several lines: the ends of its lines stay.
pub(crate) fn clean_lines(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for line in text.split_inclusive('\n') {
        let (line, end) = match line.strip_suffix("\r\n") {
            Some(line) => (line, "\r\n"),
            None => line
                .strip_suffix('\n')
                .map_or((line, ""), |line| (line, "\n")),
        };
        out.push_str(&clean(line));
        out.push_str(end);
    }
    out
}

/// Whether a terminal would obey the character, or a reader not see it.
///
/// Beside control characters, line ends of Unicode and marks of direction (`Bidi_Control`, UAX 9):
/// what `Default_Ignorable_Code_Point` (UAX 44) has, without the joiners that scripts need, and
/// without variation selectors, which choose how the letter before them is drawn.
pub(crate) fn obeyed(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}'
            | '\u{180e}' | '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{3164}' | '\u{feff}' | '\u{ffa0}'
            | '\u{fff0}'..='\u{fffb}' | '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}'
            | '\u{e0000}'..='\u{e00ff}' | '\u{e01f0}'..='\u{e0fff}')
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn escape_codes_become_visible() {
        for (raw, shown) in [
            ("Boat 3", "Boat 3"),
            ("\u{1b}[31mred", "\\u{1b}[31mred"),
            ("\u{9b}2J", "\\u{9b}2J"),
            ("a\r\nb\tc", "a  b c"),
            ("\u{202e}evil", "\\u{202e}evil"),
            ("Zoë 船", "Zoë 船"),
            ("\u{3164}7\u{e0041}", "\\u{3164}7\\u{e0041}"),
            ("👨\u{200d}👩 ☎\u{fe0f}", "👨\u{200d}👩 ☎\u{fe0f}"),
        ] {
            assert_eq!(clean(raw), shown);
        }
    }

    #[test]
    fn ends_of_lines_stay_where_a_text_has_lines() {
        for (raw, shown) in [
            ("a\nb\r\nc", "a\nb\r\nc"),
            ("a\rb\n", "a b\n"),
            ("\u{1b}[2J\n\n", "\\u{1b}[2J\n\n"),
            ("", ""),
        ] {
            assert_eq!(clean_lines(raw), shown);
        }
    }

    proptest! {
        #[test]
        fn nothing_obeyed_remains(text in any::<String>()) {
            prop_assert!(!clean(&text).chars().any(obeyed));
        }
    }
}
