//! The full boat check, and the ends of waivers.

use super::Looked;
use crate::ahead::{By, CountedFrom, DueItem, Often, On, Planned, Standing, What, WhyNoVisit};
use crate::answer::Basis;
use crate::dates::{self, Day};
use crate::engine::facts::Facts;
use crate::engine::freshness::CheckState;
use crate::engine::sides::is_trusted;
use crate::ids::FaultId;
use crate::moment::Moment;
use crate::record::{Side, Waiver};
use crate::standard::Every;

/// The full check: how often, and when it is next.
pub(super) fn full_check(looked: &Looked<'_>, facts: &Facts<'_>) -> Often {
    let rule = &facts.standard.check;
    let span = looked.span;
    let every = Every::Days(rule.every_days);
    let done = facts.freshness.full_at.filter(|at| *at > Moment(i64::MIN));
    let next = done.map(|at| dates::due(dates::day(at, facts.county.policy.utc_offset_min), every));
    let next = next.unwrap_or(span.today).max(span.today);
    let days = span.until.signed_duration_since(next).num_days();
    let times = match u32::try_from(days) {
        Ok(days) => 1 + days / rule.every_days.max(1),
        Err(_) => 0,
    };
    Often {
        craft: looked.record.subject,
        number: looked.number.clone(),
        station: looked.station,
        inspection: None,
        label: String::new(),
        every,
        next,
        owed: match facts.freshness.state {
            CheckState::Fresh => false,
            CheckState::Never | CheckState::Owed | CheckState::Stale => true,
        },
        times,
        minutes: Some(rule.minutes),
    }
}

/// Waivers of faults that are still open and end within the time asked.
pub(super) fn waivers(looked: &Looked<'_>, facts: &Facts<'_>) -> Vec<DueItem> {
    let waivers = looked.record.waivers.values();
    let waivers = waivers.filter(|side| is_trusted(&side.origin));
    let running = waivers.filter(|side| side.value.until > looked.question.as_of);
    let ends = running.filter_map(|side| {
        let faults: Vec<&FaultId> = side.value.faults.iter().collect();
        let open: Vec<String> = faults
            .into_iter()
            .filter_map(|id| open(facts, id))
            .collect();
        let end = dates::day(side.value.until, looked.county.policy.utc_offset_min);
        let is_asked = !open.is_empty() && end <= looked.span.until;
        is_asked.then(|| waiver(looked, side, end, open.join("; ")))
    });
    ends.collect()
}

/// What is wrong where, in the standard's words, while it is open.
fn open(facts: &Facts<'_>, id: &FaultId) -> Option<String> {
    let fault = facts.record.faults.get(id)?;
    let repairer_may = facts.county.policy.faults.repairer_signs_off;
    if fault.is_signed_off(repairer_may) {
        return None;
    }
    let mut parts = facts.standard.parts.iter();
    let part = parts.find(|part| part.id == fault.fault.part);
    let label = part.map_or_else(|| fault.fault.part.to_string(), |part| part.label.clone());
    Some(label)
}

fn waiver(looked: &Looked<'_>, side: &Side<Waiver>, end: Day, label: String) -> DueItem {
    DueItem {
        what: What::WaiverEnds(side.origin.event),
        craft: Some(looked.record.subject),
        on: On::Craft(looked.record.subject),
        number: looked.number.clone(),
        station: looked.station,
        label,
        due: end.max(looked.span.today),
        between: None,
        by: By::Calendar,
        standing: Standing::InTime,
        grace_days: 0,
        counted_from: CountedFrom::Marked,
        round: 1,
        engine: None,
        used_hard: false,
        minutes: None,
        uses: Vec::new(),
        basis: Basis::Agency,
        source: "the waiver's own end".to_owned(),
        evidence: vec![side.origin.event],
        planned: Planned::Not(WhyNoVisit::ToBeDecided),
    }
}
