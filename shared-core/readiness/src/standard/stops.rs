//! The stops of a sheet: where one stands on the walk round a craft, and what is looked at there.

use crate::ids::{LineId, PartId, StopId};

/// One stop, as the sheet names it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetStop {
    /// Id, unique among the stops of the sheet.
    pub id: StopId,
    /// In words: 'At the bow'.
    pub label: String,
    /// Parts looked at here, in order: their gauge, and what is fitted as them.
    pub parts: Vec<PartId>,
    /// Questions and items of kit looked at here, in order.
    pub lines: Vec<LineId>,
    /// What is looked at here beside the lines of the sheet.
    pub also: Vec<Also>,
}

/// What is looked at beside the lines of a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Also {
    /// The air that the craft stands in and for how long, which gauge, the ambient pressure.
    Air,
    /// How the craft is kept.
    Stowage,
    /// Engine meters.
    Meter,
    /// Fuel, and numbered tanks and lines.
    Fuel,
    /// Items of kit on the craft that no stop names.
    Kit,
    /// Numbered gear that no part stands for; cylinders with their gauge.
    Gear,
    /// Kit bags, each a stop of its own after this one.
    Bags,
    /// Faults that were found.
    Faults,
}

impl Also {
    /// Every one, in the order in which they stand at a stop.
    pub const ALL: [Self; 8] = [
        Self::Air,
        Self::Stowage,
        Self::Meter,
        Self::Fuel,
        Self::Kit,
        Self::Gear,
        Self::Bags,
        Self::Faults,
    ];

    /// The word for it in a sheet.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Air => "air",
            Self::Stowage => "stowage",
            Self::Meter => "meter",
            Self::Fuel => "fuel",
            Self::Kit => "kit",
            Self::Gear => "gear",
            Self::Bags => "bags",
            Self::Faults => "faults",
        }
    }
}

/// Stops that a walk makes of itself: a sheet's own have other ids.
pub const RESERVED_STOPS: [&str; 3] = ["arriving", "rest", "faults"];

/// How the ids of the stops of kit bags begin.
pub const BAG_STOP: &str = "bag-";
