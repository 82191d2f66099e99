//! Which programs the stations of a county run, and what it means where one is older or newer than
//! the county's. Decides nothing: what a station recorded counts by whatever program it did so.

use sponson_log::sync::program::Program;
use sponson_show::clean;

/// What is said of stations whose rules are not the county's, in words; nothing of those that say
/// none: their programs are older than the field that says it.
#[must_use]
pub fn said(stations: &[(String, Program)], engine: u32) -> Vec<String> {
    let rules_of = |wanted: fn(u32, u32) -> bool| -> Vec<String> {
        let said = stations.iter().filter(|(_, it)| it.engine_version > 0);
        let said = said.filter(|(_, it)| wanted(it.engine_version, engine));
        said.map(|(name, it)| format!("{} ({})", clean(name), words(it)))
            .collect()
    };
    let older = rules_of(|theirs, ours| theirs < ours);
    let newer = rules_of(|theirs, ours| theirs > ours);
    let mut said = Vec::new();
    if !older.is_empty() {
        said.push(format!(
            "older programs than the county's, which judges by rules version {engine}, run at {}: \
             what is answered there can differ from what is answered here, and what they do not \
             know yet shows there as unproven; what they record counts. Put the county's version \
             on those devices",
            older.join(", ")
        ));
    }
    if !newer.is_empty() {
        said.push(format!(
            "newer programs than the county's, which judges by rules version {engine}, run at {}: \
             what is answered here can differ from what is answered there. Put their version on \
             the county's machine",
            newer.join(", ")
        ));
    }
    said
}

/// `version 0.1.0, rules version 3`; empty when it says nothing.
#[must_use]
pub fn words(program: &Program) -> String {
    match (program.version.trim(), program.engine_version) {
        ("", 0) => String::new(),
        ("", rules) => format!("rules version {rules}"),
        (version, rules) => format!("version {}, rules version {rules}", clean(version)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn station(name: &str, engine: u32, version: &str) -> (String, Program) {
        (name.to_owned(), Program::said(engine, version))
    }

    #[test]
    fn other_rules_than_the_county_s_are_said_with_what_they_mean() {
        let same = [station("North", 3, "0.1.0"), station("South", 0, "")];
        assert_eq!(said(&same, 3), Vec::<String>::new());
        let apart = [
            station("North", 2, "0.0.9"),
            station("South\u{1b}[2J", 1, "0.0.1\u{7}"),
            station("Weir", 3, "0.1.0"),
            station("Quay", 4, ""),
        ];
        let lines = said(&apart, 3);
        insta::assert_snapshot!(lines.join("\n"), @r"
        older programs than the county's, which judges by rules version 3, run at North (version 0.0.9, rules version 2), South\u{1b}[2J (version 0.0.1\u{7}, rules version 1): what is answered there can differ from what is answered here, and what they do not know yet shows there as unproven; what they record counts. Put the county's version on those devices
        newer programs than the county's, which judges by rules version 3, run at Quay (rules version 4): what is answered here can differ from what is answered there. Put their version on the county's machine
        ");
    }
}
