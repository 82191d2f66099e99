//! What holds of every refusal: it says something, within bounds, and obeys no terminal.

/// Longest refusal, bytes: 20 lines of a record that are wrong, each with two values.
const REFUSAL_BYTES_MAX: usize = 16 * 1024;

/// Holds the words of a refusal against what people and terminals can take.
///
/// # Panics
/// When it says nothing, too much, or something that a terminal obeys (CWE-150).
pub(crate) fn refused(text: &str) {
    assert!(!text.trim().is_empty(), "a refusal says nothing");
    assert!(
        text.len() <= REFUSAL_BYTES_MAX,
        "a refusal has {} bytes: {}...",
        text.len(),
        text.chars().take(200).collect::<String>()
    );
    shown(text);
}

/// Holds text that goes to a terminal against what a terminal obeys.
///
/// # Panics
/// When a control or a character that hides or reorders text is left in it.
pub(crate) fn shown(text: &str) {
    for line in text.split('\n') {
        let clean = sponson_show::clean(line);
        assert!(clean == line, "a terminal obeys {line:?}");
    }
}

/// The text that bytes are, when they are UTF-8.
pub(crate) fn text(data: &[u8]) -> Option<&str> {
    std::str::from_utf8(data).ok()
}

/// The first byte, and the rest.
pub(crate) fn choice(data: &[u8]) -> (usize, &[u8]) {
    match data.split_first() {
        Some((first, rest)) => (usize::from(*first), rest),
        None => (0, data),
    }
}
