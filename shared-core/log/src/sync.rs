//! The sync core, without input or output: it is handed messages and says what to do next.
//!
//! One round is one request and one reply: events go up, entries of the county log come down. What
//! comes down is proved against the county's signed checkpoint chunk by chunk, so that a cut sync
//! leaves nothing that has to be taken back.

pub mod chunk;
pub mod county;
pub mod program;
pub mod shown;
pub mod station;
#[cfg(test)]
mod tests;
