//! What is there for a station: on its shelves, in its store, in bags that are on no craft.

use std::collections::{BTreeMap, BTreeSet};

use super::Want;
use crate::dates::Day;
use crate::engine::County;
use crate::engine::spare::{Counted, Search};
use crate::ids::{LineId, SubjectId};

/// Units by the last day on which they are good; none for what carries no date.
pub(crate) type Lots = Vec<(Option<Day>, u32)>;

/// What a station has of one line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Stocked {
    pub(crate) station: SubjectId,
    pub(crate) item: LineId,
    /// Good ones today, the first to run out first.
    pub(crate) lots: Lots,
    /// Places whose count is too old.
    pub(crate) not_counted: u32,
}

/// Lines that may be wanted: of kit that is, and of all that inspections use up.
pub(super) fn lines(county: &County<'_>, wants: &[Want]) -> BTreeSet<LineId> {
    let sheets = county.standards.values();
    let inspections = sheets.flat_map(|standard| &standard.inspections);
    let used = inspections.flat_map(|line| line.uses.iter().map(|used| &used.item));
    let kit = wants.iter().map(|want| &want.item);
    kit.chain(used).cloned().collect()
}

/// What each station has of each line.
pub(super) fn gather(search: &Search<'_>, lines: &BTreeSet<LineId>) -> Vec<Stocked> {
    let mut stocked: BTreeMap<(SubjectId, &LineId), Stocked> = BTreeMap::new();
    for (record, station) in search.shelves() {
        for line in lines {
            let counted = search.lots(record, line);
            if matches!(counted, Counted::Never) {
                continue;
            }
            let known = stocked.entry((station, line)).or_insert_with(|| Stocked {
                station,
                item: line.clone(),
                lots: Lots::new(),
                not_counted: 0,
            });
            match counted {
                Counted::Lots(lots) => known.lots.extend(lots),
                Counted::TooOld => known.not_counted += 1,
                Counted::Never => {}
            }
        }
    }
    let mut stocked: Vec<Stocked> = stocked.into_values().collect();
    for one in &mut stocked {
        one.lots.sort_by_key(|(out, _)| (out.is_none(), *out));
    }
    stocked
}
