//! What each finding of a county answer rests on: the events, who recorded them, and the source of
//! the requirement. Leaves out what changes nothing.

use sponson_readiness::answer::{CountyAnswer, CraftAnswer, Effect, Finding};
use sponson_readiness::moment::Moment;

use super::craft::evidence;
use super::lines::Lines;
use crate::clean::clean;
use crate::context::Context;
use crate::sentence::finding_text;

/// The evidence of every finding that limits a craft or keeps it back, at most 80 columns wide.
#[must_use]
pub fn evidence_report(answer: &CountyAnswer, ctx: &Context) -> String {
    let mut lines = Lines::default();
    lines.hanging("", "WHAT EACH FINDING RESTS ON");
    let mut none = true;
    for craft in &answer.craft {
        for finding in craft.why.iter().filter(|one| one.effect != Effect::Note) {
            none = false;
            one(&mut lines, craft, finding, answer.asked.as_of, ctx);
        }
    }
    if none {
        lines.hanging("  ", "nothing was found against any craft");
    }
    lines.into_text()
}

fn one(lines: &mut Lines, craft: &CraftAnswer, finding: &Finding, as_of: Moment, ctx: &Context) {
    let number = format!("  {:<4}", clean(&craft.number));
    lines.wrapped(
        &number,
        6,
        &format!(" {}", finding_text(finding, as_of, ctx)),
    );
    let shown = if finding.evidence.is_empty() {
        "nothing was recorded".to_owned()
    } else {
        evidence(finding, ctx)
    };
    lines.hanging("        shown by: ", &shown);
    let source = clean(&finding.source);
    lines.hanging(
        "        required by: ",
        &format!("{} ({})", source, finding.basis.id()),
    );
}
