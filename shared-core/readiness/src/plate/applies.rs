//! Which boats the formulas apply to: 33 CFR 183.3, 183.21, 183.31, 183.51.

use super::exact::Um;

/// What a hull is, as far as the regulation asks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hull {
    /// One hull that is neither an inflatable nor a sailboat, canoe or kayak.
    Monohull,
    /// Tubes hold it up, with or without a rigid bottom.
    Inflatable,
    /// Pontoon boat, catamaran, trimaran.
    Multihull,
    /// Sailboat.
    Sailboat,
    /// Canoe.
    Canoe,
    /// Kayak.
    Kayak,
}

/// What drives it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Propulsion {
    /// One or more outboards.
    Outboard,
    /// Outboard of 2 horsepower or less.
    OutboardTo2Hp,
    /// Paddles or oars.
    Manual,
}

/// Why the formulas do not apply.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum NotApplied {
    /// Not a monohull, or one of the sorts that are left out.
    Hull(Hull),
    /// 20 ft or longer.
    TooLong,
    /// Not designed for an outboard: the power formula has nothing to say.
    NoOutboard,
}

/// From this length on nothing applies: less than 20 ft.
const LENGTH_END: Um = Um::from_ft(20);

/// Whether subparts B and C (plate, safe loading) apply.
///
/// # Errors
///
/// [`NotApplied`] says why not (33 CFR 183.21, 183.31).
pub fn applies(hull: Hull, length: Um) -> Result<(), NotApplied> {
    match hull {
        Hull::Monohull if length < LENGTH_END => Ok(()),
        Hull::Monohull => Err(NotApplied::TooLong),
        Hull::Inflatable | Hull::Multihull | Hull::Sailboat | Hull::Canoe | Hull::Kayak => {
            Err(NotApplied::Hull(hull))
        }
    }
}

/// Whether subpart D (safe powering) applies: the same boats, if designed for outboards.
///
/// # Errors
///
/// [`NotApplied`] says why not (33 CFR 183.51).
pub fn applies_to_power(hull: Hull, length: Um, propulsion: Propulsion) -> Result<(), NotApplied> {
    applies(hull, length)?;
    match propulsion {
        Propulsion::Outboard | Propulsion::OutboardTo2Hp => Ok(()),
        Propulsion::Manual => Err(NotApplied::NoOutboard),
    }
}
