//! Checks under way in words.

use std::collections::BTreeSet;

use sponson_proto::service::v1::{CheckUnderWay, UnderWayKind, UnderWayStage};
use sponson_show::clean;
use sponson_show::table::WIDTH;
use sponson_show::units::print;

/// What a check is to become.
#[must_use]
pub const fn kind_word(kind: UnderWayKind) -> &'static str {
    match kind {
        UnderWayKind::Unspecified => "check",
        UnderWayKind::Full => "full check",
        UnderWayKind::Short => "short check",
        UnderWayKind::Part => "check of some lines",
        UnderWayKind::FittingOut => "fitting out",
    }
}

/// A check in one line, at a moment.
#[must_use]
pub fn in_a_line(check: &CheckUnderWay, now_unix_ms: i64) -> String {
    let ago = |at: i64| print::ago(now_unix_ms.saturating_sub(at).max(0));
    let by = |member: &str| match member {
        "" => String::new(),
        member => format!(" by {}", clean(member)),
    };
    let paper = if check.from_paper { " from paper" } else { "" };
    let what = format!(
        "{}  {}: {}{paper}",
        clean(&check.id),
        clean(&check.craft_number),
        kind_word(check.kind()),
    );
    let began = format!("begun {}{}", ago(check.begun_unix_ms), by(&check.begun_by));
    let ended = |word: &str| format!("{word} {}{}", ago(check.ended_unix_ms), by(&check.ended_by));
    let stands = match check.stage() {
        UnderWayStage::Recording => {
            format!("{}: record it once more", ended("recording was cut short"))
        }
        UnderWayStage::Recorded => ended("recorded"),
        UnderWayStage::Dropped => ended("dropped"),
        UnderWayStage::Open | UnderWayStage::Unspecified => {
            let members: BTreeSet<String> = check
                .fields
                .iter()
                .map(|field| clean(&field.member))
                .collect();
            let members: Vec<String> = members.into_iter().filter(|one| !one.is_empty()).collect();
            let fields = i64::try_from(check.fields.len()).unwrap_or(i64::MAX);
            let by = if members.is_empty() {
                String::new()
            } else {
                format!(" by {}", members.join(", "))
            };
            let last = ago(check.changed_unix_ms);
            format!("{}{by}, the last {last}", print::count(fields, "entry"))
        }
    };
    format!("{what}, {began}; {stands}")
}

/// A title and a list, wrapped to the terminal's width.
#[must_use]
pub fn wrapped(title: &str, lines: &[String]) -> String {
    let mut text = format!("{title}\n ");
    let mut width = 1;
    for (position, line) in lines.iter().enumerate() {
        let comma = if position + 1 < lines.len() { "," } else { "" };
        let length = line.chars().count() + comma.len() + 1;
        if width + length > WIDTH {
            text.push_str("\n ");
            width = 1;
        }
        text.push_str(&format!(" {line}{comma}"));
        width += length;
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use sponson_proto::service::v1::FieldEntered;

    #[test]
    fn a_list_fits_the_terminal() {
        let lines: Vec<String> = (1..40).map(|number| format!("tube-{number}")).collect();
        let text = wrapped("not in this full check (39):", &lines);
        assert!(
            text.lines().all(|line| line.chars().count() <= WIDTH),
            "{text}"
        );
        assert!(text.ends_with(" tube-39"), "{text}");
    }

    #[test]
    fn a_check_in_a_line_says_who_and_when() {
        let field = |member: &str| FieldEntered {
            member: member.to_owned(),
            ..FieldEntered::default()
        };
        let check = CheckUnderWay {
            id: "0a1b2c3d".to_owned(),
            craft_number: "Boat 3".to_owned(),
            kind: UnderWayKind::Full as i32,
            begun_by: "M-104".to_owned(),
            changed_unix_ms: 15 * 60_000,
            stage: UnderWayStage::Open as i32,
            fields: vec![field("M-104"), field("M-099"), field("M-104")],
            ..CheckUnderWay::default()
        };
        insta::assert_snapshot!(in_a_line(&check, 20 * 60_000), @"0a1b2c3d  Boat 3: full check, begun 20 min ago by M-104; 3 entries by M-099, M-104, the last 5 min ago");
        let dropped = CheckUnderWay {
            stage: UnderWayStage::Dropped as i32,
            ended_by: "M-099".to_owned(),
            ended_unix_ms: 19 * 60_000,
            ..check
        };
        insta::assert_snapshot!(in_a_line(&dropped, 20 * 60_000), @"0a1b2c3d  Boat 3: full check, begun 20 min ago by M-104; dropped 1 min ago by M-099");
    }
}
