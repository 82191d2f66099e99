//! What stands at each place of a history once corrections are taken in.
//!
//! A correction restates its original at the original's place. Who may sign faults off may put
//! another statement in place of the original; anybody else may only put one beside it, so that
//! the worse of the two counts.

use std::collections::{BTreeMap, BTreeSet};

use super::Origin;
use super::order::History;
use crate::event::{Event, FaultFound, Payload, SubjectSeen, Trust};
use crate::ids::{EventId, FaultId, SubjectId};

/// Whether a statement may remove or grant anything.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Power {
    /// It may.
    Relieves,
    /// It may only add.
    OnlyAdds,
}

/// One payload as it stands, under the id by which others name it.
pub(super) struct Statement<'a> {
    pub(super) origin: Origin,
    pub(super) power: Power,
    pub(super) subjects: &'a [SubjectSeen],
    pub(super) payload: &'a Payload,
}

impl<'a> Statement<'a> {
    /// What an event says that nothing corrects.
    pub(super) fn of(event: &'a Event) -> Self {
        Self {
            origin: Origin {
                event: event.id,
                author: event.author.clone(),
                interval: event.interval,
                trust: event.trust,
            },
            power: match event.trust {
                Trust::Trusted => Power::Relieves,
                Trust::Unconfirmed(_) => Power::OnlyAdds,
            },
            subjects: &event.subjects,
            payload: &event.payload,
        }
    }

    /// What a correction says in the original's stead: of the same thing at the same time, in the
    /// words of another author.
    fn restated(
        original: &'a Event,
        correction: &'a Event,
        payload: &'a Payload,
        known_as: EventId,
        power: Power,
    ) -> Self {
        Self {
            origin: Origin {
                event: known_as,
                author: correction.author.clone(),
                interval: original.interval,
                trust: correction.trust,
            },
            power,
            subjects: &original.subjects,
            payload,
        }
    }
}

/// The statements at every place, corrections taken in; none at the place of a correction.
pub(super) fn statements<'a>(history: &mut History<'a>) -> Vec<Vec<Statement<'a>>> {
    let mut corrections = corrections_by_original(history);
    (0..history.events.len())
        .map(|place| {
            let event = history.events[place];
            match (&event.payload, corrections.remove(&place)) {
                (Payload::Correction { .. }, _) => Vec::new(),
                (_, None) => vec![Statement::of(event)],
                (_, Some(of_event)) => corrected(history, place, &of_event),
            }
        })
        .collect()
}

/// Places of the corrections that can stand, by the place of their original.
fn corrections_by_original(history: &History<'_>) -> BTreeMap<usize, Vec<usize>> {
    let mut by_original: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (place, event) in history.events.iter().enumerate() {
        if let Payload::Correction { original, restated } = &event.payload
            && let Some(of) = history.place(original)
            && keeps_kind(&history.events[of].payload, restated.as_deref())
        {
            by_original.entry(of).or_default().push(place);
        }
    }
    by_original
}

/// A correction keeps the kind of its original, and is never of a correction.
fn keeps_kind(original: &Payload, restated: Option<&Payload>) -> bool {
    match (original, restated) {
        (Payload::Correction { .. }, _) => false,
        (_, None) => true,
        (Payload::Remark(before), Some(Payload::Remark(after))) => before == after,
        (before, Some(after)) => std::mem::discriminant(before) == std::mem::discriminant(after),
    }
}

/// What stands at the place of an original that was corrected.
fn corrected<'a>(
    history: &mut History<'a>,
    place: usize,
    corrections: &[usize],
) -> Vec<Statement<'a>> {
    let original = history.events[place];
    let standing: Vec<&'a Event> = corrections
        .iter()
        .filter(|&&old| {
            // Only who may replace the original may also replace an earlier correction.
            !corrections
                .iter()
                .any(|&new| replaces(history.events[new], original) && history.saw(new, old))
        })
        .map(|&at| history.events[at])
        .collect();
    let (instead, beside): (Vec<&Event>, Vec<&Event>) = standing
        .into_iter()
        .partition(|correction| replaces(correction, original));
    if let [only] = instead.as_slice()
        && let (Some(stated), Some(at)) = (restatement(only), history.place(&only.id))
    {
        for ordinal in made_another(&original.payload, stated) {
            let event = original.id;
            history.restates(FaultId { event, ordinal }, at);
        }
    }
    for correction in instead.iter().chain(&beside) {
        history.count_at(correction.id, place);
    }
    let mut stands = match instead.as_slice() {
        [] => vec![unless_doubted(original, &beside)],
        [only] => restatement(only)
            .map(|it| Statement::restated(original, only, it, original.id, Power::Relieves))
            .into_iter()
            .collect(),
        // They did not know of each other: each stands under its own id, and none relieves.
        several => added(original, several),
    };
    stands.extend(added(original, &beside));
    stands
}

/// Positions of what can be ended, faults and answers 'no' and the statement itself, that a
/// restatement makes another thing. One that it leaves as it was stays ended.
fn made_another(original: &Payload, restated: &Payload) -> Vec<u32> {
    let mut changed = Vec::new();
    let (was, is) = (faults_of(original), faults_of(restated));
    for (ordinal, fault) in (0_u32..).zip(is) {
        let before = usize::try_from(ordinal).ok().and_then(|at| was.get(at));
        if before != Some(fault) {
            changed.push(ordinal);
        }
    }
    if let (Payload::Check(was), Payload::Check(is)) = (original, restated) {
        for (position, answer) in (0_u32..).zip(&is.answers) {
            let before = usize::try_from(position)
                .ok()
                .and_then(|at| was.answers.get(at));
            if before != Some(answer) {
                changed.push(FaultId::FIRST_ANSWER.saturating_add(position));
            }
        }
    }
    let declared = matches!(
        original,
        Payload::OutOfService(_) | Payload::Assigned { .. }
    );
    if declared && original != restated {
        changed.push(0);
    }
    changed
}

fn faults_of(payload: &Payload) -> &[FaultFound] {
    if let Payload::Fault(faults) = payload {
        faults
    } else if let Payload::Check(check) = payload {
        &check.faults
    } else {
        &[]
    }
}

/// Whether a correction may stand in place of its original. It keeps the subjects: else it would
/// count in one record and not in another.
fn replaces(correction: &Event, original: &Event) -> bool {
    correction.trust == Trust::Trusted
        && correction.may_sign_off
        && subjects_of(correction) == subjects_of(original)
}

fn subjects_of(event: &Event) -> BTreeSet<SubjectId> {
    event.subjects.iter().map(|seen| seen.id).collect()
}

/// The original beside corrections that could not replace it.
///
/// When all that it did was to relieve, and a trusted writer says that it was wrong, the worse is
/// that it did not happen.
fn unless_doubted<'a>(original: &'a Event, beside: &[&Event]) -> Statement<'a> {
    let doubted = beside
        .iter()
        .any(|correction| correction.trust == Trust::Trusted);
    let statement = Statement::of(original);
    if doubted && only_relieves(&original.payload) {
        Statement {
            power: Power::OnlyAdds,
            ..statement
        }
    } else {
        statement
    }
}

/// Kinds that add nothing to a record apart from an end or a permission.
fn only_relieves(payload: &Payload) -> bool {
    matches!(
        payload,
        Payload::SignOff { .. }
            | Payload::Returned { .. }
            | Payload::Released { .. }
            | Payload::HoldLifted { .. }
            | Payload::WaiverGranted { .. }
            | Payload::TakenOff { .. }
            | Payload::SameAs { .. }
    )
}

/// Corrections as statements of their own that only add.
fn added<'a>(original: &'a Event, corrections: &[&'a Event]) -> Vec<Statement<'a>> {
    corrections
        .iter()
        .filter_map(|correction| {
            let payload = restatement(correction)?;
            let known_as = correction.id;
            Some(Statement::restated(
                original,
                correction,
                payload,
                known_as,
                Power::OnlyAdds,
            ))
        })
        .collect()
}

/// The payload that a correction states; none for a withdrawal.
fn restatement(correction: &Event) -> Option<&Payload> {
    if let Payload::Correction { restated, .. } = &correction.payload {
        restated.as_deref()
    } else {
        None
    }
}
