//! Words of the round.

use sponson_readiness::ids::{LineId, PartId};
use sponson_readiness::standard::Standard;
use sponson_readiness::walk::StopLabel;

use super::RoundKind;
use crate::clean::clean;
use crate::units::print;

pub(super) const fn kind(kind: RoundKind) -> &'static str {
    match kind {
        RoundKind::Full => "full check",
        RoundKind::Short => "check between runs",
        RoundKind::Part => "check of some lines",
        RoundKind::FittingOut => "fitting out",
    }
}

/// What a stop is called.
#[must_use]
pub fn stop_words(label: &StopLabel) -> String {
    match label {
        StopLabel::Sheet(words) => clean(words),
        StopLabel::Arriving => "On arriving".to_owned(),
        StopLabel::Round => "Round the craft".to_owned(),
        StopLabel::Motor => "Motor and fuel".to_owned(),
        StopLabel::Trailer => "Trailer".to_owned(),
        StopLabel::Kit => "Kit on the craft".to_owned(),
        StopLabel::Bag(number) => format!("Kit bag {}", clean(number)),
        StopLabel::Rest => "What is left to look at".to_owned(),
        StopLabel::Faults => "Faults found".to_owned(),
    }
}

/// `21 of 52 lines`.
pub(super) fn of(done: usize, of: usize) -> String {
    let all = print::count(i64::try_from(of).unwrap_or(i64::MAX), "line");
    format!("{done} of {all}")
}

pub(super) fn part(standard: &Standard, id: &PartId) -> String {
    let mut parts = standard.parts.iter();
    let known = parts.find(|part| part.id == *id);
    known.map_or_else(|| clean(id.as_str()), |part| clean(&part.label))
}

pub(super) fn item(standard: &Standard, id: &LineId) -> String {
    let mut items = standard.items.iter();
    let known = items.find(|item| item.id == *id);
    known.map_or_else(|| clean(id.as_str()), |item| clean(&item.label))
}

pub(super) fn question(standard: &Standard, id: &LineId) -> String {
    let mut questions = standard.questions.iter();
    let known = questions.find(|question| question.id == *id);
    known.map_or_else(|| clean(id.as_str()), |question| clean(&question.label))
}
