//! Leaks: a part's gauge brought to one temperature and ambient, cut where air came or went for
//! another reason, and a line through what is left.
//!
//! The line is ordinary least squares through the logarithm of the corrected gauge, since air
//! leaves in proportion to the pressure that drives it. Slope and crossing are + - * / and `libm`:
//! they may decide. Intervals and p are statistics (`spread`): they are shown beside and decide
//! nothing. Which limit a leak is held against stands in a sheet or the policy, never here.

mod chambers;
mod corrected;
mod fitted;
mod hold;
mod line;
mod spread;
mod stretch;

pub use chambers::{Between, baffle, never_moves};
pub use corrected::{REFERENCE, corrected_gas, corrected_linear};
pub use fitted::{Fitted, NotFitted};
pub use hold::{
    HoldEnd, HoldFault, HoldLimit, HoldRule, HoldTest, HoldTold, HoldVerdict, JudgedBy,
};
pub use line::{Line, after, lost_per_day};
pub use spread::{Crossing, Prediction, Spread};
pub use stretch::{Cut, Known, Relief, Step, stretches};
