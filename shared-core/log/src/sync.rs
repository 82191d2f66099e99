//! The sync core, without input or output: it is handed messages and says what to do next.

pub mod county;
pub mod station;
