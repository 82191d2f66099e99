//! What the end-to-end tests share: real processes, and a county with stations in real folders.
//!
//! Holds no assertion about the product beyond "this command went well"; those stand in the tests.

pub mod browser;
pub mod county;
pub mod faults;
pub mod many;
pub mod poor_network;
pub mod power;
pub mod process;
pub mod relay;
pub mod soak;
