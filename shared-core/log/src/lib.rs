//! What was signed: events and their ids, chains, the registry and trust, the county log's tree,
//! checkpoints and proofs, the carry file, and the sync core.
//!
//! Pure: bytes and messages in, values and messages out. No input or output, no clock, no
//! randomness. Nothing here knows what an event means for a craft.

pub mod begun;
pub mod carry;
pub mod chains;
pub mod checkpoint;
pub mod craft_record;
pub mod event;
pub mod event_proof;
pub mod ids;
pub mod registry;
pub mod sealed;
pub mod sign;
pub mod sync;
pub mod tree;
pub mod trust;
