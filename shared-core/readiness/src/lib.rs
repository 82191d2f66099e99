//! What is true about rescue craft: events of the trade, the record of one subject, boat
//! standards, and the engine that answers which craft can go and why.
//!
//! Pure: no input or output, no clock, no randomness, ordered maps only. `now` is an argument.
//! Text for people is made elsewhere (the show crate); this crate says facts.

pub mod ahead;
pub mod air;
pub mod answer;
pub mod asked_back;
pub mod chambers;
pub mod conditions;
pub mod dates;
pub mod doubted;
pub mod engine;
pub mod event;
pub mod history;
pub mod holds_done;
pub mod ids;
pub mod keeps_failing;
pub mod kit_moves;
pub mod leak;
pub mod load;
pub mod moment;
pub mod plate;
pub mod pressure;
pub mod read_back;
pub mod record;
pub mod recurrent;
pub mod standard;
pub mod walk;
pub mod weather_report;
pub mod without;
