//! What keeps failing: hand-made counties for each rule, laws, and simulated counties.

#[path = "keeps_failing/county.rs"]
mod county;

#[path = "keeps_failing/again.rs"]
mod again;
#[path = "keeps_failing/groups.rs"]
mod groups;
#[path = "keeps_failing/laws.rs"]
mod laws;
#[path = "keeps_failing/places.rs"]
mod places;
#[path = "keeps_failing/proposals.rs"]
mod proposals;
#[path = "keeps_failing/simulated.rs"]
mod simulated;
#[path = "keeps_failing/trends.rs"]
mod trends;
