//! Sheets and settings that come with the program: a county adopts, edits and signs them.

/// Names and texts of the built-in boat standards.
#[must_use]
pub fn built_in() -> [(&'static str, &'static str); 4] {
    [
        (
            "inflatable-14",
            include_str!("../../standards/inflatable-14.toml"),
        ),
        (
            "rigid-inflatable-17",
            include_str!("../../standards/rigid-inflatable-17.toml"),
        ),
        (
            "flat-bottom-16",
            include_str!("../../standards/flat-bottom-16.toml"),
        ),
        ("raft-13", include_str!("../../standards/raft-13.toml")),
    ]
}

/// Text of the built-in policy.
pub(super) const POLICY: &str = include_str!("../../standards/policy.toml");
