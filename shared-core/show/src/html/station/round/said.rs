//! What stands beneath a line: why it was not kept, what was reckoned of it, what is asked back, and
//! who entered it.

use maud::{Markup, html};

use super::{AskedLine, Refused, Round, moment, names};
use crate::clean::clean;

/// Everything that is said of a line. It stands there when there is nothing to say too: the script
/// fills it.
pub(super) fn said(round: &Round<'_>, line: &str) -> Markup {
    html! {
        div.said id=(names::id("y", line)) {
            @for (field, refused) in refused(round, line) { (not_kept(round, field, refused)) }
            @for text in figures(round, line) { p.figure { (clean(text)) } }
            @for asked in asked(round, line) { (asked_back(round, asked)) }
            @if let Some(who) = who(round, line) { p.by { (who) } }
        }
    }
}

fn asked_back(round: &Round<'_>, asked: &AskedLine) -> Markup {
    html! {
        div.asked {
            p { strong { "Asked back: " } (clean(&asked.text)) }
            @if let Some(affirm) = asked.affirm.as_ref().filter(|_| round.token.is_some()) {
                button.key name=(affirm) value="yes" { "That is right" }
            }
        }
    }
}

/// Why a field was not kept; where it may stand all the same, a button sends it once more.
fn not_kept(round: &Round<'_>, field: &str, refused: &Refused) -> Markup {
    html! {
        div.fault {
            p { "Not kept. " (clean(&refused.why)) }
            @if let Some(stand_by) = refused.stand_by.as_ref().filter(|_| round.token.is_some()) {
                button.key name=(stand_by) value="yes" data-with=(field) { "That is right" }
            }
        }
    }
}

fn refused<'a>(round: &Round<'a>, line: &str) -> Vec<(&'a str, &'a Refused)> {
    let of = |field: &str| names::line_of_field(field) == line;
    let all = round.refused.iter().filter(|(field, _)| of(field));
    all.map(|(field, refused)| (field.as_str(), refused))
        .collect()
}

pub(super) fn figures<'a>(round: &Round<'a>, line: &str) -> &'a [String] {
    round.figures.get(line).map_or(&[], Vec::as_slice)
}

fn asked<'a>(round: &Round<'a>, line: &str) -> Vec<&'a AskedLine> {
    let of = |one: &&AskedLine| names::line_of_field(&one.field) == line;
    round.asked.iter().filter(of).collect()
}

/// Who entered the line last and when; what another member had there before is told with it.
pub(super) fn who(round: &Round<'_>, line: &str) -> Option<String> {
    let of = |field: &str| names::line_of_field(field) == line;
    let fields = round.fields.iter().filter(|(field, _)| of(field));
    let (_, last) = fields.max_by_key(|(_, entry)| entry.at)?;
    let who = if last.who == round.member {
        "you".to_owned()
    } else {
        format!("member {}", clean(&last.who))
    };
    let before = last
        .before
        .as_ref()
        .map_or_else(String::new, |(text, who)| {
            format!("; member {} had {}", clean(who), clean(text))
        });
    Some(format!("Kept: {who}, {}{before}", moment(round, last.at)))
}
