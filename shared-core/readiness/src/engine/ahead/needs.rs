//! What a craft will lack as its kit runs out, by the same count that says what it lacks today.
//!
//! The count is asked again for the day after each date aboard, with what was wanted before supposed
//! to be brought. How old a count is does not grow meanwhile: what is aboard is taken to stay there.

use std::collections::{BTreeMap, BTreeSet};

use super::Looked;
use crate::ahead::NeedFor;
use crate::dates::Day;
use crate::engine::facts::Facts;
use crate::engine::kit::{self, Stores};
use crate::ids::{LineId, SubjectId};

/// Units that a craft will want on a day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Want {
    pub(crate) station: Option<SubjectId>,
    pub(crate) craft: SubjectId,
    pub(crate) number: String,
    /// The last day on which they are not yet missed; today for what lacks already.
    pub(crate) day: Day,
    pub(crate) item: LineId,
    pub(crate) label: String,
    pub(crate) count: u32,
    pub(crate) for_what: NeedFor,
}

/// Units by line.
type Units = BTreeMap<LineId, (String, u32)>;

/// Everything that a craft will want, for whichever of its missions wants most.
pub(super) fn of_craft(looked: &Looked<'_>, facts: &Facts<'_>) -> Vec<Want> {
    let span = looked.span;
    let outs = kit::dated_lots(facts).into_iter().map(|lot| lot.out);
    let within = outs.filter(|out| (span.today..=span.until).contains(out));
    let days: BTreeSet<Day> = within.collect();
    let mut wants = Vec::new();
    let mut brought = BTreeMap::new();
    let mut beyond_help = Units::new();
    let now = [(span.today, span.today, NeedFor::ShortNow)];
    let later = days
        .into_iter()
        .filter_map(|out| Some((out, out.succ_opt()?, NeedFor::RunsOut)));
    for (day, judged, for_what) in now.into_iter().chain(later) {
        let lacks = lacks(looked, facts, judged, &brought);
        let new: Vec<(LineId, String, u32)> = lacks
            .into_iter()
            .filter_map(|(line, (label, units))| {
                let known = beyond_help.get(&line).map_or(0, |(_, units)| *units);
                Some((line, label, units.checked_sub(known)?)).filter(|(.., units)| *units > 0)
            })
            .collect();
        if new.is_empty() {
            continue;
        }
        for (line, _, units) in &new {
            let units_brought = brought.entry(line.clone()).or_insert(0_u32);
            *units_brought = units_brought.saturating_add(*units);
        }
        // What bringing it does not help is not wanted.
        let before = std::mem::replace(
            &mut beyond_help,
            self::lacks(looked, facts, judged, &brought),
        );
        for (item, label, units) in new {
            let left = |of: &Units| of.get(&item).map_or(0, |(_, units)| *units);
            let helped = units.saturating_sub(left(&beyond_help).saturating_sub(left(&before)));
            if helped > 0 {
                wants.push(Want {
                    station: looked.station,
                    craft: looked.record.subject,
                    number: looked.number.clone(),
                    day,
                    item,
                    label,
                    count: helped,
                    for_what: for_what.clone(),
                });
            }
        }
    }
    wants
}

/// What lacks on a day, with some things brought.
fn lacks(
    looked: &Looked<'_>,
    facts: &Facts<'_>,
    day: Day,
    brought: &BTreeMap<LineId, u32>,
) -> Units {
    let mut most = Units::new();
    for mission in looked.missions_of(facts.standard) {
        let Some(mut facts) = looked.facts(mission) else {
            continue;
        };
        facts.day = day;
        facts.brought.clone_from(brought);
        let stores = Stores::new(&facts);
        for missing in stores.to_bring(&facts) {
            let lacks = missing.need.saturating_sub(missing.have);
            let known = most.entry(missing.item).or_insert((missing.label, 0));
            known.1 = known.1.max(lacks);
        }
    }
    most
}
