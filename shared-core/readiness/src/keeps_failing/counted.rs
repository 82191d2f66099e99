//! Which faults are counted: those that somebody vouches for, each once.

use crate::ids::{EventId, FaultId};

/// One defect that was recorded twice.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CountedOnce {
    /// The fault found first, which is counted.
    pub counted: FaultId,
    /// The one that is not.
    pub left_out: FaultId,
    /// The sign-off that closed both.
    pub sign_off: EventId,
}

/// Which faults were counted.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Counted {
    /// Faults that the figures rest on.
    pub faults: u32,
    /// Nobody vouches for them: left out.
    pub unconfirmed: u32,
    /// Found at one place and closed by one sign-off: counted once.
    pub once: Vec<CountedOnce>,
    /// Not of the asked severities or classes.
    pub not_asked: u32,
    /// Outside of what was watched: before the asked day, after the end of the craft, or where no
    /// meter was read and no use recorded to say how much.
    pub not_watched: u32,
    /// Craft and gear without any exposure of the asked sort.
    pub units_not_watched: u32,
}
