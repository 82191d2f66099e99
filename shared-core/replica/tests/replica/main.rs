//! Replicas as a whole: a county of our own invention, its stations, and what can happen to them.

mod appending;
mod asking;
mod carrying;
mod county;
mod durable;
mod following;
mod golden;
mod keeping;
mod refusing;
mod verifying;
