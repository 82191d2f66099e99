//! Which sides of a value count for a craft, and which only against it.
//!
//! Every check judges the trusted sides first. An untrusted side is judged apart and can only add
//! a finding, which makes a craft at most unproven unless it counted before its chain parted: so
//! adding one never makes a craft readier.

use crate::event::{Trust, Unconfirmed};
use crate::ids::EventId;
use crate::record::{Origin, Side, Sides};

/// Whether an origin may count for the craft.
pub(super) fn is_trusted(origin: &Origin) -> bool {
    match origin.trust {
        Trust::Trusted => true,
        Trust::Unconfirmed(_) => false,
    }
}

/// Whether an origin counts against the craft in full. What a device recorded that was copied or
/// restored since counted when it came: whoever holds the copy must not soften it to 'go and look'
/// by parting the chain before it. The lead does, by ending the key.
pub(super) fn counts_against(origin: &Origin) -> bool {
    match origin.trust {
        Trust::Trusted | Trust::Unconfirmed(Unconfirmed::Forked) => true,
        Trust::Unconfirmed(
            Unconfirmed::NotAdmitted | Unconfirmed::NoRole | Unconfirmed::AfterEnd,
        ) => false,
    }
}

/// The sides that count.
pub(super) fn trusted<T>(sides: &Sides<T>) -> impl Iterator<Item = &Side<T>> {
    sides.0.iter().filter(|side| is_trusted(&side.origin))
}

/// The sides that only count against the craft.
pub(super) fn untrusted<T>(sides: &Sides<T>) -> impl Iterator<Item = &Side<T>> {
    sides.0.iter().filter(|side| !is_trusted(&side.origin))
}

/// The value shown: the first trusted side, else the first.
pub(super) fn shown<T>(sides: &Sides<T>) -> Option<&Side<T>> {
    trusted(sides).next().or_else(|| sides.0.first())
}

/// The events behind all sides.
pub(super) fn events<T>(sides: &Sides<T>) -> Vec<EventId> {
    sides.0.iter().map(|side| side.origin.event).collect()
}
