//! What became of the lead's decisions: whether what they say was recorded since, and whether the same
//! came again after them.

use super::{Decided, FaultPast, History};
use crate::event::{LeadAction, PartPlace};
use crate::ids::{EventId, FaultId, PartId};
use crate::moment::Moment;

/// A decision, and what came after it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DecidedSince<'a> {
    /// The decision.
    pub decided: &'a Decided,
    /// Whether it was carried out.
    pub done: Done,
    /// Faults of what it is about, at the same part, found after it: in order of time.
    pub again: Vec<FaultId>,
}

/// Whether a decision was carried out, as far as the log tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Done {
    /// At a moment; by an event, where it is told which.
    Yes(Moment, Option<EventId>),
    /// It stood so already when it was decided.
    Before,
    /// Nothing says so.
    NotYet,
    /// No event tells of it: sent to the maker, watched.
    NotTold,
}

impl History {
    /// Every decision with what came after it, the newest first.
    #[must_use]
    pub fn decided_since(&self) -> Vec<DecidedSince<'_>> {
        let newest_first = self.decisions.iter().rev();
        newest_first
            .map(|decided| DecidedSince {
                decided,
                done: self.done(decided),
                again: self.again(decided),
            })
            .collect()
    }

    fn again(&self, decided: &Decided) -> Vec<FaultId> {
        let parts = self.parts_of(decided);
        let faults = self.faults().into_iter();
        faults
            .filter(|fault| fault.confirmed && fault.found > decided.at)
            .filter(|fault| !decided.faults.contains(&fault.id))
            .filter(|fault| parts.is_empty() || parts.contains(&fault.part))
            .filter(|fault| within(&decided.place, &fault.place))
            .filter(|fault| self.is_about(decided, fault))
            .map(|fault| fault.id)
            .collect()
    }

    /// The part that is named, else those of the faults; none for the whole thing.
    fn parts_of(&self, decided: &Decided) -> Vec<PartId> {
        if let Some(part) = &decided.part {
            return vec![part.clone()];
        }
        let faults = decided.faults.iter().filter_map(|id| self.fault(id));
        faults.map(|fault| fault.part.clone()).collect()
    }

    fn is_about(&self, decided: &Decided, fault: &FaultPast) -> bool {
        if !decided.subjects.is_empty() {
            let named = |id| decided.subjects.contains(&id);
            return fault.gear.is_some_and(named) || fault.craft.is_some_and(named);
        }
        let same = |wanted: &str, is: &str| wanted.is_empty() || is.eq_ignore_ascii_case(wanted);
        let fits =
            |model: &str, batch: &str| same(&decided.model, model) && same(&decided.batch, batch);
        let craft = fault.craft.and_then(|id| self.crafts.get(&id));
        let gear = fault.gear.and_then(|id| self.gear.get(&id));
        let named = !decided.model.is_empty() || !decided.batch.is_empty();
        let of_craft = craft.is_some_and(|it| fits(it.model.as_str(), &it.batch));
        named && (of_craft || gear.is_some_and(|it| fits(&it.model, &it.batch)))
    }

    fn done(&self, decided: &Decided) -> Done {
        match decided.action {
            LeadAction::SendToMaker | LeadAction::Watch => Done::NotTold,
            LeadAction::RepairAgain => self.repaired(decided),
            LeadAction::TakeOut => self.taken_out(decided),
            LeadAction::Condemn => self.condemned(decided),
            LeadAction::Hold => self.held(decided),
        }
    }

    fn taken_out(&self, decided: &Decided) -> Done {
        let outs = decided.subjects.iter().flat_map(|id| {
            let craft = self.crafts.get(id).map(|it| it.out.as_slice());
            let gear = self.gear.get(id).map(|it| it.out.as_slice());
            craft.or(gear).unwrap_or_default()
        });
        let mut stand = outs.filter(|out| out.back.is_none_or(|(back, _)| back > decided.at));
        let out = stand.next();
        out.map_or(Done::NotYet, |out| decided.since(out.at, Some(out.event)))
    }

    fn condemned(&self, decided: &Decided) -> Done {
        let ended = decided.subjects.iter().find_map(|id| {
            let craft = self.crafts.get(id).and_then(|it| it.ended);
            craft.or_else(|| self.gear.get(id).and_then(|it| it.ended))
        });
        ended.map_or(Done::NotYet, |at| decided.since(at, None))
    }

    fn held(&self, decided: &Decided) -> Done {
        let same = |one: &str, other: &str| one.eq_ignore_ascii_case(other);
        let mut stand = self.holds.iter().filter(|it| {
            let lifted = it.lifted.is_some_and(|(lifted, _)| lifted <= decided.at);
            let (model, batch) = (&it.hold.model, &it.hold.batch);
            same(model, &decided.model) && same(batch, &decided.batch) && !lifted
        });
        let hold = stand.next();
        hold.map_or(Done::NotYet, |it| decided.since(it.at, Some(it.event)))
    }

    /// A repair since that names one of its faults, or of the same thing and part.
    fn repaired(&self, decided: &Decided) -> Done {
        let parts = self.parts_of(decided);
        let repairs = decided.subjects.iter().flat_map(|id| {
            let craft = self.crafts.get(id).map(|it| it.repairs.as_slice());
            let gear = self.gear.get(id).map(|it| it.repairs.as_slice());
            craft.or(gear).unwrap_or_default()
        });
        let mut since = repairs.filter(|repair| {
            let names = repair.faults.iter().any(|it| decided.faults.contains(it));
            repair.at >= decided.at && (names || parts.contains(&repair.part))
        });
        since.next().map_or(Done::NotYet, |repair| {
            Done::Yes(repair.at, Some(repair.event))
        })
    }
}

impl Decided {
    fn since(&self, at: Moment, event: Option<EventId>) -> Done {
        if at >= self.at {
            Done::Yes(at, event)
        } else {
            Done::Before
        }
    }
}

/// Whether a place lies within what a decision says of it: what is not said of either holds.
fn within(decided: &PartPlace, found: &PartPlace) -> bool {
    let side = decided.side.is_none() || found.side.is_none() || decided.side == found.side;
    let face = decided.face.is_none() || found.face.is_none() || decided.face == found.face;
    side && face
}
