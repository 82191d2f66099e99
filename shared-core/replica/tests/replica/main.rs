//! Replicas as a whole: a county of our own invention, its stations, and what can happen to them.

mod agreeing;
mod appending;
mod asking;
mod attacks;
mod carrying;
mod clocks;
mod county;
mod durable;
mod exchanging;
mod following;
mod golden;
mod golden_answers;
mod hostile;
mod keeping;
mod known;
mod looking_back;
mod picturing;
mod proving;
mod redacting;
mod refusing;
mod trying;
mod twins;
mod untrusted;
mod upkeep;
mod verifying;
