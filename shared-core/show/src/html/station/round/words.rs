//! Words of the round.

use sponson_readiness::ids::{LineId, PartId, SubjectId};
use sponson_readiness::standard::Standard;
use sponson_readiness::walk::WalkLine;

use super::{Round, RoundKind, names};
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

/// `21 of 52 lines`.
pub(super) fn of(done: usize, of: usize) -> String {
    let all = print::count(i64::try_from(of).unwrap_or(i64::MAX), "line");
    format!("{done} of {all}")
}

/// A line that is looked at, in words.
pub(super) fn line(round: &Round<'_>, line: &WalkLine) -> String {
    let of = |id| clean(&names::number(round, id));
    let own = |id: Option<SubjectId>| id.map_or_else(|| "the craft".to_owned(), of);
    match line {
        WalkLine::Air => "air that the craft stands in".to_owned(),
        WalkLine::Stood => "how long it has stood there".to_owned(),
        WalkLine::Gauge => "which gauge".to_owned(),
        WalkLine::Ambient => "pressure of the air".to_owned(),
        WalkLine::Stowage => "how it is kept".to_owned(),
        WalkLine::Reading { part: id, .. } => part(round.standard, id),
        WalkLine::Answer { line, .. } => question(round.standard, line),
        WalkLine::Seal { bag } => format!("seal of bag {}", of(*bag)),
        WalkLine::Count { item: id, bag, .. } => {
            let bag = bag.map_or_else(String::new, |bag| format!(", in bag {}", of(bag)));
            format!("{}{bag}", item(round.standard, id))
        }
        WalkLine::Fuel { tank } => format!("fuel in {}", own(*tank)),
        WalkLine::Meter { motor } => format!("engine meter of {}", own(*motor)),
        WalkLine::Cylinder { gear } => format!("gauge of {}", of(*gear)),
        WalkLine::Aboard { gear, .. } => format!("{} is aboard", of(*gear)),
        WalkLine::Faults => "faults".to_owned(),
    }
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
