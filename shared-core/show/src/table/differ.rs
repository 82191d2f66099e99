//! Every open disagreement on a page of its own.

use sponson_readiness::answer::CountyAnswer;

use super::lines::Lines;
use super::lists::disagreements;
use crate::context::Context;
use crate::units::print;

/// The open disagreements of an answer, at most 80 columns wide.
#[must_use]
pub fn disagreements_report(answer: &CountyAnswer, ctx: &Context) -> String {
    let mut lines = Lines::default();
    let when = ctx.local(answer.asked.as_of);
    let zone = print::offset(ctx.utc_offset_min);
    let known = match answer.disagreements.len() {
        0 => "no open disagreement is known here".to_owned(),
        1 => "1 open disagreement is known here".to_owned(),
        many => format!("{many} open disagreements are known here"),
    };
    lines.hanging("", &format!("As of {when} ({zone}), {known}."));
    if !answer.disagreements.is_empty() {
        lines.blank();
        lines.block(&disagreements(&answer.disagreements, ctx));
        lines.blank();
        lines.hanging(
            "",
            "Each is settled by what somebody records who has seen every side: sync first.",
        );
    }
    lines.into_text()
}
