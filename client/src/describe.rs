//! An event in plain words, for whoever reads the log. It judges nothing.

mod fields;
mod words;

pub use fields::fields;
pub use words::{describe, kind_words};
