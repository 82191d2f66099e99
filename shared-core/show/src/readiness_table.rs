//! The readiness table in words, as Markdown: `readiness-table.md` is what this writes.
//!
//! What a rule does stands in the readiness crate; here it is only said.

use std::fmt::Write as _;

use sponson_readiness::answer::{Basis, Rule};
use sponson_readiness::engine::table::{DecidedBy, Makes, Unconfirmed, line};

mod when;

use when::when;

const HEAD: &str = "\
# The readiness table

How findings add up, and what each rule can find. Written from the table in
`readiness/src/engine/table.rs`; a test holds both to each other, and another reaches every effect of
every rule (`readiness/tests/engine_rules/reached.rs`). Local procedure, the maker's manual and the
person in charge decide.

| worst effect among the findings | readiness |
|---|---|
| none, or notes alone | ready |
| a limit | ready with limits |
| go and look | not checked (unproven) |
| not ready | not ready |

A line of a boat standard says what its shortfall does:

| word in a boat standard | effect |
|---|---|
| `note` | a note |
| `limit` | limit: go, and see to it soon |
| `no-power` | limit: the motor is not to be used |
| `daylight-only` | limit: by daylight and in clear weather only; not ready when the asked job runs into the dark or into restricted visibility |
| `crew-only` | limit: nobody beyond the crew |
| `not-for-mission` | not ready for an asked mission of the line; a limit when none was asked |
| `unproven` | go and look |
| `not-ready` | not ready |

What only unconfirmed entries show never counts for more than 'go and look'; where the table says
*looks*, they alone are enough for that. The source is that of the engine's own rule; a line of a
boat standard brings its own.

| rule | when | effects | decided by | unconfirmed | source |
|---|---|---|---|---|---|
";

/// The table as Markdown.
#[must_use]
pub fn markdown() -> String {
    let mut text = HEAD.to_owned();
    for rule in Rule::ALL {
        let line = line(*rule);
        let effects: Vec<&str> = line.effects.iter().map(|makes| effect(*makes)).collect();
        // Writing to a String cannot fail.
        let _ = writeln!(
            text,
            "| `{}` | {} | {} | {} | {} | {} ({}) |",
            rule.id(),
            when(*rule),
            effects.join(", "),
            decided_by(line.decided_by),
            unconfirmed(line.unconfirmed),
            line.source,
            basis(line.basis),
        );
    }
    text
}

const fn effect(makes: Makes) -> &'static str {
    match makes {
        Makes::Note => "note",
        Makes::Limit => "limit",
        Makes::Unproven => "go and look",
        Makes::NotReady => "not ready",
    }
}

fn decided_by(decided_by: DecidedBy) -> String {
    match decided_by {
        DecidedBy::Engine => "what was found".to_owned(),
        DecidedBy::Sheet(field) => format!("boat standard, `{field}`"),
        DecidedBy::Policy(field) => format!("county's settings, `{field}`"),
    }
}

const fn unconfirmed(unconfirmed: Unconfirmed) -> &'static str {
    match unconfirmed {
        Unconfirmed::GoAndLook => "looks",
        Unconfirmed::NoPart => "no part",
    }
}

const fn basis(basis: Basis) -> &'static str {
    match basis {
        Basis::Law => "law",
        Basis::Maker => "maker",
        Basis::Agency => "agency",
        Basis::Trade => "trade",
    }
}

#[cfg(test)]
mod tests {
    use super::markdown;

    const FILE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/readiness-table.md");

    /// `SPONSON_WRITE_TABLE=1 cargo test -p sponson-show readiness_table` writes it anew.
    #[test]
    fn the_page_is_the_table_in_the_code() {
        let written = markdown();
        if std::env::var_os("SPONSON_WRITE_TABLE").is_some() {
            std::fs::write(FILE, &written).expect("the page can be written");
        }
        let page = std::fs::read_to_string(FILE).expect("the page is there");
        for (number, (page, written)) in page.lines().zip(written.lines()).enumerate() {
            assert_eq!(page, written, "line {}", number + 1);
        }
        assert_eq!(page.lines().count(), written.lines().count());
    }
}
