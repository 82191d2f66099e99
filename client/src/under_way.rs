//! A boat check that is entered field by field: names of the fields, what they say together, and
//! what is recorded of it at the end.
//!
//! The same fields stand in the forms of the pages, in the file of a check under way and behind the
//! questions at the terminal. Whoever keeps them is the local service.

pub mod asking;
pub mod fields;
pub mod finish;
pub mod form;
mod line;
pub mod typed;
pub mod words;
