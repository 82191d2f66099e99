//! How much a record keeps of what only grows, and what goes first.
//!
//! Trusted and unconfirmed statements are counted apart everywhere, so that no flood of the one
//! can push out the other. Not limited: what only a named end can remove (open faults, answers
//! 'no' of writers apart, statements of being out of service, assignments). Trusted writers bound
//! those by what they leave undone, unconfirmed ones by [`UNCONFIRMED`].

use std::collections::BTreeSet;

use super::{Origin, Side};
use crate::event::Trust;
use crate::ids::EventId;

/// Unconfirmed events taken in. One is enough to send somebody to look; 256 are a tablet's half
/// year of daily checks after its key ended. What comes later in the order is counted only.
pub const UNCONFIRMED: usize = 256;

/// Entries taken in of one list of an unconfirmed event: no sheet has as many lines, and together
/// with [`UNCONFIRMED`] nobody makes a record larger than some 20 MB. What is left out would say no
/// more than the event itself: go and look.
pub const UNCONFIRMED_ENTRIES: usize = 256;

/// Changes of air kept for a part: 64 weekly top-ups without one reading are over a year.
pub const AIR: usize = 64;

/// Statements kept that air was taken from a cylinder: one is enough to have it read again.
pub const DRAWN: usize = 16;

/// Looks kept that found a bag opened: one is enough to have all in it counted.
pub const SEALS: usize = 16;

/// Holds kept: 64 at two a repair are 32 repairs, and a cure takes days.
pub const HOLDS: usize = 64;

/// Repairs kept of one fault.
pub const REPAIRS: usize = 16;

/// Statements of being condemned: one decides, 16 show who says so.
pub const CONDEMNED: usize = 16;

/// Waivers kept: 64 of about 200 bytes. Losing one only makes the craft worse.
pub const WAIVERS: usize = 64;

/// Statements of crews kept for a station: 64 are a month of two shifts a day, and what was said for
/// a time that is over decides nothing.
pub const CREWS: usize = 64;

/// Levels kept of one member: no published list has as many. Losing one only makes it worse.
pub const LEVELS: usize = 64;

/// Uses of one item kept apart; those beyond are added to the newest that had seen them.
pub const USED_UP: usize = 64;

/// Answers 'no' to one line kept: one is enough to hold the line open, 16 show for how long.
pub const NOES: usize = 16;

/// Ids kept in a set of which any member has the full effect.
pub const ANY: usize = 64;

/// Sign-offs kept for what comes in later without having seen them: 64 are years of one craft's.
pub const SIGN_OFFS: usize = 64;

/// Returns to service kept for the same.
pub const RETURNS: usize = 64;

/// Assignments of which the incident is kept, for releases that name one that stands no longer: a
/// craft goes to as many incidents in months.
pub const ASSIGNMENTS: usize = 16;

/// Releases kept for assignments that come in later without having seen them.
pub const RELEASES: usize = 16;

/// Moves of kit kept for one item: each is over with the next count that saw it.
pub const MOVED_OFF: usize = 16;

/// Something that a record keeps with its origin.
pub(super) trait Kept {
    /// Where it comes from.
    fn origin(&self) -> &Origin;
}

impl Kept for Origin {
    fn origin(&self) -> &Origin {
        self
    }
}

impl<T> Kept for Side<T> {
    fn origin(&self) -> &Origin {
        &self.origin
    }
}

/// Adds to a list of which the last ones count.
pub(super) fn last<T: Kept>(list: &mut Vec<T>, limit: usize, newest: T) {
    let trusted = is_trusted(&newest);
    list.push(newest);
    let alike = |kept: &T| is_trusted(kept) == trusted;
    if list.iter().filter(|kept| alike(kept)).count() > limit
        && let Some(oldest) = list.iter().position(alike)
    {
        list.remove(oldest);
    }
}

/// Adds to a list of which any one has the full effect.
pub(super) fn some<T: Kept>(list: &mut Vec<T>, limit: usize, newest: T) {
    let trusted = is_trusted(&newest);
    if list
        .iter()
        .filter(|kept| is_trusted(*kept) == trusted)
        .count()
        < limit
    {
        list.push(newest);
    }
}

/// Adds to a set of which any member has the full effect.
pub(super) fn first(set: &mut BTreeSet<EventId>, id: EventId) {
    if set.len() < ANY {
        set.insert(id);
    }
}

fn is_trusted<T: Kept>(kept: &T) -> bool {
    kept.origin().trust == Trust::Trusted
}
