//! Trust: whether an event may relieve anything.
//!
//! A function of the registry and the chains alone, the same on every replica that holds both.

use sponson_proto::event::v1::{Kind, Role};

use crate::chains::Chains;
use crate::event::SignedEvent;
use crate::registry::Registry;

/// Whether an event may remove, supersede or grant anything.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Trust {
    /// Its key is admitted, has the role, is within its good part and before any parting.
    Trusted,
    /// It may only add.
    Unconfirmed(Unconfirmed),
}

/// Why not.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Unconfirmed {
    /// The key is not admitted.
    NotAdmitted,
    /// The key does not have a role for this kind.
    NoRole,
    /// The event comes after the last good one of an ended key.
    AfterEnd,
    /// The chain parts in two at or before this event.
    Parted,
}

/// Judges one event.
#[must_use]
pub fn trust(_registry: &Registry, _chains: &Chains, _event: &SignedEvent) -> Trust {
    todo!()
}

/// Roles that may sign a kind; empty for a kind that only the registry's writers sign.
#[must_use]
pub fn roles_for(_kind: Kind) -> &'static [Role] {
    todo!()
}

/// Whether any of these roles may sign faults off.
#[must_use]
pub fn may_sign_off(_roles: &[Role]) -> bool {
    todo!()
}
