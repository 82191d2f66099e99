//! What the short check between runs comes by: pressure, fuel, jackets, lights, damage.

use super::{Aboard, WalkLine};
use crate::standard::Standard;

/// Lines that stand for lights and for damage where a sheet marks nothing: the ids of the built-in
/// sheets, which never change their meaning.
const LIGHTS_AND_HULL: [&str; 2] = ["nav-lights", "hull"];

/// Whether a line is asked in the short check.
pub(super) fn is_asked(standard: &Standard, _aboard: &Aboard, line: &WalkLine) -> bool {
    match line {
        WalkLine::Air
        | WalkLine::Stood
        | WalkLine::Gauge
        | WalkLine::Reading { .. }
        | WalkLine::Fuel { .. }
        | WalkLine::Faults => true,
        WalkLine::Answer { line, .. } => LIGHTS_AND_HULL.contains(&line.as_str()),
        WalkLine::Count { item, .. } => {
            let item = standard.items.iter().find(|known| known.id == *item);
            item.is_some_and(|item| item.wearer.is_some())
        }
        WalkLine::Ambient
        | WalkLine::Stowage
        | WalkLine::Seal { .. }
        | WalkLine::Meter { .. }
        | WalkLine::Cylinder { .. }
        | WalkLine::Aboard { .. } => false,
    }
}
