//! What is said: every message of the log, the sync, the carry file, the store and the services,
//! generated from the `.proto` files beside this crate, and which version a message needs. Holds no
//! other behaviour.

#![expect(
    missing_docs,
    reason = "the .proto files carry the comments; prost copies most of them"
)]

include!(concat!(env!("OUT_DIR"), "/all.rs"));

pub mod version;

pub use sponson::*;

/// Encoded descriptors of all the files, for reflection and for making service stubs.
pub const DESCRIPTORS: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/descriptors.bin"));
