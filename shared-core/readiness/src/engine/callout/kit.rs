//! Kit that is short for the mission, and which spare kit can meet it at the launch.
//!
//! Each candidate is taken alone: one spare unit may stand in the list of several. A giver keeps
//! what it needs for any mission. The nearest comes first; what stands at the craft's own station
//! goes along with it.

use std::collections::{BTreeMap, BTreeSet};

use super::Given;
use crate::answer::{Action, Brings, Candidate, CraftAnswer, KitAtRamp, Way};
use crate::engine::craft::Answered;
use crate::engine::index::Index;
use crate::engine::kit::fills;
use crate::engine::spare::Search;
use crate::ids::LineId;
use crate::kit_moves::{KitAsked, Stock};

/// A line that a candidate lacks, and the lines that make it good.
struct Lack {
    /// Position of the candidate.
    at: usize,
    line: LineId,
    units: u32,
    by: Vec<LineId>,
}

/// Fills in what can meet each candidate.
pub(super) fn meet(
    given: &Given<'_>,
    index: &Index<'_>,
    candidates: &mut [(Candidate, &Answered)],
) {
    let kit = KitAsked::default();
    let none = BTreeSet::new();
    let search = Search::new(given.county, index, given.question, (&none, &kit));
    let lacks: Vec<Lack> = candidates
        .iter()
        .enumerate()
        .flat_map(|(at, (_, one))| lacks(given, &search, (at, &one.answer)))
        .collect();
    let lines: BTreeSet<LineId> = lacks.iter().flat_map(|lack| lack.by.clone()).collect();
    if lacks.is_empty() {
        return;
    }
    let stocks = Search::new(given.county, index, given.question, (&lines, &kit)).stocks();
    for lack in lacks {
        if let Some((candidate, one)) = candidates.get_mut(lack.at) {
            let at_ramp = at_ramp(given, candidate, &one.answer, (lack, &stocks));
            candidate.at_ramp.push(at_ramp);
        }
    }
}

/// What findings say has to be brought; of one line the most.
fn lacks(given: &Given<'_>, search: &Search<'_>, (at, craft): (usize, &CraftAnswer)) -> Vec<Lack> {
    let mut wanted: BTreeMap<&LineId, u32> = BTreeMap::new();
    for one in craft.why.iter().flat_map(|finding| &finding.to_do) {
        if let Action::Bring(line, units) = &one.action {
            let most = wanted.entry(line).or_default();
            *most = units.max(most).to_owned();
        }
    }
    if wanted.is_empty() {
        return Vec::new();
    }
    let record = given.county.records.get(&craft.id);
    let mission = given.asked.mission.as_ref();
    let facts = record.and_then(|record| search.facts(record, mission));
    let lack = |(line, units): (&LineId, u32)| Lack {
        at,
        line: line.clone(),
        units,
        by: facts
            .as_ref()
            .map(|facts| fills(facts, line))
            .unwrap_or_default(),
    };
    wanted.into_iter().map(lack).collect()
}

fn at_ramp(
    given: &Given<'_>,
    candidate: &Candidate,
    craft: &CraftAnswer,
    (lack, stocks): (Lack, &[Stock]),
) -> KitAtRamp {
    let own = candidate.station;
    let can_meet =
        |stock: &&Stock| stock.id != craft.id && stock.spare > 0 && lack.by.contains(&stock.line);
    let mut meets: Vec<(&Stock, Way)> = stocks
        .iter()
        .filter(can_meet)
        .map(|stock| (stock, given.way_from(stock.station)))
        .filter(|(stock, way)| *way != Way::Closed || own == Some(stock.station))
        .collect();
    meets.sort_by_key(|(stock, way)| (own != Some(stock.station), near(*way), *stock));
    let mut still_short = lack.units;
    let mut from = Vec::new();
    for (stock, way) in meets {
        if still_short == 0 {
            break;
        }
        let units = stock.spare.min(still_short);
        still_short -= units;
        from.push(Brings {
            from: stock.id,
            holder: stock.holder,
            number: stock.number.clone(),
            station: stock.station,
            units,
            way,
        });
    }
    KitAtRamp {
        label: label(given, craft, &lack.line),
        item: lack.line,
        short: lack.units,
        from,
        still_short,
    }
}

/// By time, then by distance, then what is not known.
const fn near(way: Way) -> (u8, u32) {
    match way {
        Way::Table { minutes } | Way::Said { minutes } => (0, minutes),
        Way::Straight { metres } => (1, metres),
        Way::NotKnown => (2, 0),
        Way::Closed => (3, 0),
    }
}

fn label(given: &Given<'_>, craft: &CraftAnswer, line: &LineId) -> String {
    let standard = super::time::standard(given, craft);
    let mut items = standard.into_iter().flat_map(|standard| &standard.items);
    let item = items.find(|item| item.id == *line);
    item.map_or_else(|| line.to_string(), |item| item.label.clone())
}
