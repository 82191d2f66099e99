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

/// Whether a terminal would obey the character, or a reader not see it.
pub(crate) fn obeyed(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{ad}' | '\u{61c}' | '\u{200b}' | '\u{200e}' | '\u{200f}'
            | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}'
            | '\u{fff9}'..='\u{fffb}')
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
        ] {
            assert_eq!(clean(raw), shown);
        }
    }

    proptest! {
        #[test]
        fn nothing_obeyed_remains(text in any::<String>()) {
            prop_assert!(!clean(&text).chars().any(obeyed));
        }
    }
}
