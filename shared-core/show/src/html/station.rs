//! The station's pages as HTML.

pub mod entry;
pub mod place;
pub mod work;
