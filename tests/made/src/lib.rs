//! What tests of several crates make, so that each says it once: numbers from a seed, and an invented
//! county with its keys and what people of it say.
//!
//! Holds no assertion about the product beyond "this is right, so it is taken". No crate depends on it
//! but for its tests.

mod seeded;

#[cfg(feature = "county")]
pub mod county;
#[cfg(feature = "county")]
pub mod meeting;
#[cfg(feature = "county")]
pub mod said;
#[cfg(feature = "county")]
pub mod signed;

pub use seeded::Seeded;
