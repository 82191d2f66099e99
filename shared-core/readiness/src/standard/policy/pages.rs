//! The county's settings for the pages of its stations, from the `[pages]` table of its policy.
//!
//! A policy that was signed before there was this one stands for its default: a station's pages are
//! for its own machine alone. No source: it is the lead who answers for who can reach them.

use serde::Deserialize;

/// Settings for pages.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct PagesPolicy {
    /// Whether a station may serve its pages beyond its own machine.
    pub station_network: StationNetwork,
}

/// Whether a station may serve its pages beyond its own machine.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum StationNetwork {
    /// To whoever is signed in, encrypted.
    Yes,
    /// Not at all.
    #[default]
    No,
}
