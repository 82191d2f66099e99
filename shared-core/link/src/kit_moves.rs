//! Kit moves: the plan of a day, found by an integer program and checked in whole numbers.
//!
//! Most craft, then fewest units, then the least way, then the first in order of ids, one after
//! another with what was found before held. Groups of craft that share no spare kit are solved apart,
//! which changes nothing: each of these is a sum over the groups. The same problem has the same plan
//! each time: no clock has a part in it, and how far is searched is counted in nodes.

mod case;
mod flow;
mod model;
mod plan;
mod solve;
#[cfg(test)]
mod tests;
mod work;

pub use plan::{Planned, plan};
pub use solve::{NODES_MAX, solve};
