//! A county of our own invention that plays itself: scenario text in, a real county service and
//! real stations over real sockets, and the county answer out.
//!
//! The clock and all randomness are simulated, so the same scenario gives the same bytes. Nothing
//! here can be reached from a shipped binary.

pub mod entropy;
pub mod play;
pub mod radio;
pub mod rounds;
pub mod scenario;
pub mod sim_clock;
pub mod world;
