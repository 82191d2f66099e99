//! How replicas meet: TLS connections, admission, both ends of a sync over gRPC, the county's
//! service for questions, and the local service that every command goes through.
//!
//! A shell: what is true, what is kept and what is said next are decided in the crates below. The
//! clocks and the random bytes of a device are handed in.

mod aboard;
pub mod ahead;
pub mod answer;
mod ask;
mod callout;
mod catalogue;
pub mod clock;
pub mod code;
mod conditions;
pub mod county;
pub mod county_clock;
pub mod craft_record;
pub mod daylight;
pub mod distance;
pub mod founding;
pub mod gauges;
pub mod given;
pub mod guard;
pub mod history;
pub mod identity;
pub mod keeps_failing;
pub mod kit_moves;
pub mod limits;
pub mod local;
pub mod places;
pub mod programs;
pub mod refusal;
pub mod restoring;
pub mod shared;
pub mod statement;
pub mod station;
mod steady;
pub mod stubs;
pub mod taken_file;
pub mod tls;
mod together;
#[cfg(test)]
mod trial;
pub mod weather_report;
mod without;

pub use clock::{Clock, Entropy};
pub use code::Code;
pub use county::CountyServer;
pub use identity::Identity;
pub use local::Local;
pub use shared::Shared;
