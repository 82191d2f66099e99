//! Call-outs: who can get to a place, when, with what. Each test is one fact about one candidate;
//! laws stand in `callout/laws.rs`.

#[path = "callout/county.rs"]
mod county;
#[path = "callout/crew.rs"]
mod crew;
#[path = "callout/home.rs"]
mod home;
#[path = "callout/issue.rs"]
mod issue;
#[path = "callout/kit.rs"]
mod kit;
#[path = "callout/laws.rs"]
mod laws;
#[path = "callout/order.rs"]
mod order;
#[path = "callout/sharing.rs"]
mod sharing;
#[path = "callout/time.rs"]
mod time;
