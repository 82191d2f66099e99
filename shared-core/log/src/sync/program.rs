//! Which program a station runs, as it says itself. Nothing is decided by it, and nothing signed
//! holds it: people are told.

/// Greatest length of a version that is kept: a commit's whole name would be 40 digits, and 12 tell
/// it apart.
const VERSION_CHARS_MAX: usize = 32;

/// A station's program.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Program {
    /// Version of the rules by which it judges; 0 when it does not say.
    pub engine_version: u32,
    /// Its version; empty when it does not say.
    pub version: String,
}

impl Program {
    /// As a message says it. What is longer than a version is cut: it is shown, not read.
    #[must_use]
    pub fn said(engine_version: u32, version: &str) -> Self {
        Self {
            engine_version,
            version: version.chars().take(VERSION_CHARS_MAX).collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_version_is_cut_to_what_is_kept() {
        let digits = "1".repeat(VERSION_CHARS_MAX);
        assert_eq!(Program::said(3, &digits).version, digits);
        assert_eq!(Program::said(3, &format!("{digits}2")).version, digits);
        // Letters are counted, not bytes: none is cut in two.
        let letters = "é".repeat(40);
        assert_eq!(Program::said(0, &letters).version.chars().count(), 32);
    }
}
