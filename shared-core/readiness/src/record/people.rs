//! What is recorded of people: the crews that a station can raise, and the levels that members hold.
//!
//! Members are numbers here; the list that resolves them is not in the log.

use super::effect::Effect;
use super::{Sides, keep};
use crate::event::{Crews, MemberLevel, SubjectKind, Trust};

impl Effect<'_, '_, '_> {
    /// Whoever says anew what a station can raise ends what was said before from that moment on, as
    /// far as that was seen: what is said beyond it is then no longer known.
    pub(super) fn crews_raised(&mut self, crews: &Crews) {
        if self.record.kind != SubjectKind::Station || !self.is_first() {
            return;
        }
        let side = self.side(crews.clone());
        if side.origin.trust == Trust::Trusted {
            for old in &mut self.record.crews {
                if side.origin.follows(&old.origin, &self.past) {
                    old.value.until = old.value.until.min(side.value.from);
                }
            }
            self.record
                .crews
                .retain(|old| old.value.from < old.value.until);
        }
        keep::last(&mut self.record.crews, keep::CREWS, side);
    }

    /// The same level stated again takes the place of what was stated before.
    pub(super) fn level_held(&mut self, level: &MemberLevel) {
        if self.record.kind != SubjectKind::Member || !self.is_first() {
            return;
        }
        let side = self.side(level.clone());
        let levels = &self.record.levels;
        let alike = |sides: &&Sides<MemberLevel>| {
            let mut sides = sides.iter();
            sides.any(|held| held.origin.trust == side.origin.trust)
        };
        let full = levels.values().filter(alike).count() >= keep::LEVELS;
        if full && !levels.contains_key(&level.level) {
            return;
        }
        let sides = self.record.levels.entry(level.level.clone()).or_default();
        sides.put(side, &self.past);
    }
}
