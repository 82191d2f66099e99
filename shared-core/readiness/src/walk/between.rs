//! Which lines of a walk the short check between runs comes by, as the sheet marks them.

use super::{Aboard, WalkLine};
use crate::ids::LineId;
use crate::standard::{BetweenRuns, FUEL};

/// Whether a line is asked in the short check. What goes with a gauge is asked where one is read, the
/// seal of a bag where something in it is counted.
pub(super) fn is_asked(between: &BetweenRuns, aboard: &Aboard, line: &WalkLine) -> bool {
    match line {
        WalkLine::Air | WalkLine::Stood | WalkLine::Gauge => !between.parts.is_empty(),
        WalkLine::Reading { part, .. } => between.parts.contains(part),
        WalkLine::Fuel { .. } => between.lines.contains(&LineId::from(FUEL)),
        WalkLine::Answer { line, .. } => between.lines.contains(line),
        WalkLine::Count { item, .. } => between.lines.contains(item),
        WalkLine::Seal { bag } => {
            let bag = aboard.bags.iter().find(|known| known.id == *bag);
            bag.is_some_and(|bag| !bag.items.is_disjoint(&between.lines))
        }
        WalkLine::Faults => true,
        WalkLine::Ambient
        | WalkLine::Stowage
        | WalkLine::Meter { .. }
        | WalkLine::Cylinder { .. }
        | WalkLine::Aboard { .. } => false,
    }
}
