//! Load: what a boat's plate leaves for people, in how many trips they come home, and whose life
//! jacket is short.
//!
//! Counts and weighs; what a craft, its kit and a question are is gathered elsewhere. No formula of
//! a plate stands here: see `plate`.

mod by_hand;
mod counted;
mod jackets;
mod people;
mod rooms;
mod trips;

pub use by_hand::{ByHand, Found, by_hand};
pub use counted::{Counted, Thing, WeighedBy, full_load_of_motor};
pub use jackets::{Bound, Fit, Jacket, Need, Short, Wearer, short_of};
pub use people::{
    CREW_MAX, CrewAsked, Group, PEOPLE_MASS_MAX_G, PEOPLE_MAX, Party, Size, Sizes, groups,
};
pub(crate) use rooms::ROUNDING_G;
pub use rooms::{PlateCounts, Room, Weighed, counts_of, mass_left_g, rooms, seats_of, tightest};
pub use trips::{Packed, Trip, trips};
