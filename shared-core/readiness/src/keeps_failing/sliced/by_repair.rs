//! Groups of repairs: by method, and by batch of glue.

use std::collections::BTreeSet;

use super::super::again::Life;
use super::super::group::GroupKey;
use super::super::watched::Span;
use super::{Draft, Seen, is_asked};

impl<'a> Seen<'a> {
    /// Repairs, each until its place failed again, against other repairs.
    pub(super) fn by_repair(&self, key: impl Fn(&Life<'a>) -> GroupKey) -> Vec<Draft<'a>> {
        let span = |life: &Life<'a>| {
            let unit = self.units.iter().find(|unit| unit.id == life.on)?;
            let failed = life.failed.first().copied();
            let failed = failed.filter(|placed| is_asked(self.asked, placed));
            let end = life.failed.first().map(|placed| placed.fault.found);
            let until = end.or(life.next).unwrap_or(unit.until);
            let span = unit.life(life.repair.at, until, failed)?;
            Some((key(life), span))
        };
        let spans: Vec<(GroupKey, Span<'a>)> = self.lives.iter().filter_map(span).collect();
        let is_said = |key: &&GroupKey| match key {
            GroupKey::Method(said) | GroupKey::GlueBatch(said) => !said.is_empty(),
            GroupKey::Craft(_)
            | GroupKey::Place { .. }
            | GroupKey::CraftPlace { .. }
            | GroupKey::Class { .. }
            | GroupKey::Fabric(_)
            | GroupKey::Batch { .. }
            | GroupKey::Station(_)
            | GroupKey::Model { .. }
            | GroupKey::Gear(_) => true,
        };
        let keys: BTreeSet<&GroupKey> = spans.iter().map(|(key, _)| key).filter(is_said).collect();
        let draft = |key: &&GroupKey| {
            let chosen = |is_own: bool| {
                let all = spans.iter().filter(|(of, _)| (of == *key) == is_own);
                all.map(|(_, span)| span.clone()).collect()
            };
            Draft {
                key: (*key).clone(),
                alike: 0,
                own: chosen(true),
                rest: chosen(false),
            }
        };
        keys.iter().map(draft).collect()
    }
}
