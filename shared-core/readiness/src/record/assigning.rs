//! Assigning and releasing: what stands, and what was stated apart from it.
//!
//! | an assignment stands, and apart from it | noted |
//! |---|---|
//! | somebody assigned the craft to another incident | both, each beside the other |
//! | somebody assigned it to the same incident | nothing: they say the same; each stands until released |
//! | somebody declared it out of service | the declaration |
//! | somebody released it from the same incident | the release |
//!
//! A craft goes to one incident at a time: whoever assigns it having seen an earlier assignment takes
//! it from there. Nothing else but a release that names it ends an assignment. Only trusted
//! statements end or are noted; the craft stays assigned whatever is noted.

use std::collections::{BTreeMap, BTreeSet};

use super::corrected::Power;
use super::effect::Effect;
use super::{Assignment, Origin, Side, keep};
use crate::event::Trust;
use crate::ids::EventId;

/// What writers of an assignment that stands, and others, did not know of each other.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SentApart {
    /// Assignments to other incidents. Both ways.
    pub elsewhere: BTreeSet<EventId>,
    /// Statements of being out of service.
    pub out: BTreeSet<EventId>,
    /// Releases from the same incident.
    pub released: Vec<Origin>,
}

impl SentApart {
    fn is_empty(&self) -> bool {
        self.elsewhere.is_empty() && self.out.is_empty() && self.released.is_empty()
    }
}

impl Assignment {
    /// Whether two name one incident, however it was typed.
    fn is_of(&self, incident: &str) -> bool {
        let words = |text: &str| -> Vec<String> {
            let words = text.split_whitespace();
            words.map(str::to_lowercase).collect()
        };
        words(&self.incident) == words(incident)
    }
}

impl Effect<'_, '_, '_> {
    /// The craft is sent to an incident, away from those of which the sender knew.
    pub(super) fn assigned(&mut self, assignment: Assignment) {
        let id = self.id();
        let known: Vec<EventId> = self
            .record
            .assigned
            .iter()
            .filter(|(_, side)| side.origin.trust == Trust::Trusted)
            .map(|(event, _)| *event)
            .collect();
        self.ended(&known, |record, event| {
            record.assigned.remove(event);
        });
        if self.statement.power == Power::Relieves {
            let apart = self.sent_apart(&assignment);
            for other in &apart.elsewhere {
                let of_other = self.record.apart.sent.entry(*other).or_default();
                keep::first(&mut of_other.elsewhere, id);
            }
            self.record.apart.sent.insert(id, apart);
            let incident = self.side(assignment.incident.clone());
            let sent_to = &mut self.record.apart.sent_to;
            keep::last(sent_to, keep::ASSIGNMENTS, incident);
        }
        let side = self.side(assignment);
        self.record.assigned.insert(id, side);
        self.forget_sent();
    }

    /// What stands beside an assignment that is about to be taken in.
    fn sent_apart(&self, assignment: &Assignment) -> SentApart {
        let apart =
            |origin: &Origin| origin.trust == Trust::Trusted && !self.past.saw(&origin.event);
        let others = self.record.assigned.iter();
        let elsewhere = others.filter(|(_, side)| !side.value.is_of(&assignment.incident));
        let out = self.record.out.iter();
        let releases = self.record.apart.releases.iter();
        let same = releases.filter(|side| assignment.is_of(&side.value));
        SentApart {
            elsewhere: unseen(elsewhere, apart),
            out: unseen(out, apart),
            released: same
                .map(|side| &side.origin)
                .filter(|origin| apart(origin))
                .cloned()
                .collect(),
        }
    }

    /// The craft is free of the assignment that is named.
    pub(super) fn released(&mut self, assignment: EventId) {
        let standing = self.record.assigned.get(&assignment);
        let sent_to = self.record.apart.sent_to.iter();
        let mut earlier = sent_to.filter(|side| side.origin.event == assignment);
        let incident = standing
            .map(|side| side.value.incident.clone())
            .or_else(|| earlier.next_back().map(|side| side.value.clone()));
        self.ended(&[assignment], |record, event| {
            record.assigned.remove(event);
        });
        if let Some(incident) = incident.filter(|_| self.statement.power == Power::Relieves) {
            let origin = self.statement.origin.clone();
            for id in self.unseen_sent(|side| side.value.is_of(&incident)) {
                let sent = self.record.apart.sent.entry(id).or_default();
                keep::last(&mut sent.released, keep::RELEASES, origin.clone());
            }
            let side = self.side(incident);
            keep::last(&mut self.record.apart.releases, keep::RELEASES, side);
        }
        self.forget_sent();
    }

    /// The craft is declared out of service, by somebody who may not know where it was sent.
    pub(super) fn out_beside_sent(&mut self) {
        if self.statement.power == Power::OnlyAdds {
            return;
        }
        let own = self.id();
        let past = &self.past;
        for (id, sent) in &mut self.record.apart.sent {
            if past.saw(id) {
                // Whoever declares it again, having seen both, has settled what was apart before.
                sent.out.retain(|out| !past.saw(out));
            }
        }
        for id in self.unseen_sent(|_| true) {
            let sent = self.record.apart.sent.entry(id).or_default();
            keep::first(&mut sent.out, own);
        }
        self.forget_sent();
    }

    /// Assignments that stand and that the statement had not seen.
    fn unseen_sent(&self, which: impl Fn(&Side<Assignment>) -> bool) -> Vec<EventId> {
        let standing = self.record.assigned.iter();
        standing
            .filter(|(_, side)| side.origin.trust == Trust::Trusted && which(side))
            .filter(|(id, _)| !self.past.saw(id))
            .map(|(id, _)| *id)
            .collect()
    }

    /// Lets go of what was noted of assignments and declarations that stand no longer.
    pub(super) fn forget_sent(&mut self) {
        let (assigned, out) = (&self.record.assigned, &self.record.out);
        let sent: &mut BTreeMap<EventId, SentApart> = &mut self.record.apart.sent;
        sent.retain(|id, apart| {
            apart.elsewhere.retain(|other| assigned.contains_key(other));
            apart.out.retain(|event| out.contains_key(event));
            assigned.contains_key(id) && !apart.is_empty()
        });
    }
}

fn unseen<'s, T: 's>(
    sides: impl Iterator<Item = (&'s EventId, &'s Side<T>)>,
    apart: impl Fn(&Origin) -> bool,
) -> BTreeSet<EventId> {
    let sides = sides.filter(|(_, side)| apart(&side.origin));
    sides.map(|(id, _)| *id).take(keep::ANY).collect()
}
