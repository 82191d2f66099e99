//! Trust: whether an event may relieve anything.
//!
//! A function of the registry and the chains alone, the same on every replica that holds both.

#[cfg(test)]
mod tests;

use sponson_proto::event::v1::{Kind, Role};

use crate::begun::LogBegun;
use crate::chains::{Chain, Chains};
use crate::event::SignedEvent;
use crate::ids::{EventId, Key};
use crate::registry::{KeyEnd, Registry};

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
    /// The event comes after the last good one of an ended key, or on another branch than that.
    AfterEnd,
    /// The chain parts in two at or before this event.
    Parted,
}

/// Judges one event, which the chains hold.
#[must_use]
pub fn trust(registry: &Registry, chains: &Chains, event: &SignedEvent) -> Trust {
    judge(registry, chains, event).map_or_else(Trust::Unconfirmed, |()| Trust::Trusted)
}

/// Where an event stands, and of which kind it is: all that its trust depends on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stands {
    /// Key of its chain.
    pub key: Key,
    /// Its seq there.
    pub seq: u64,
    /// Its id.
    pub id: EventId,
    /// Its kind.
    pub kind: i32,
}

/// Judges an event of this county by where it stands.
#[must_use]
pub fn trust_at(registry: &Registry, chains: &Chains, stands: &Stands) -> Trust {
    judge_at(registry, chains, stands).map_or_else(Trust::Unconfirmed, |()| Trust::Trusted)
}

impl Stands {
    /// Where a signed event stands.
    #[must_use]
    pub fn of(event: &SignedEvent) -> Self {
        let header = event.header();
        Self {
            key: header.key,
            seq: header.seq,
            id: event.id(),
            kind: header.kind,
        }
    }
}

fn judge(registry: &Registry, chains: &Chains, event: &SignedEvent) -> Result<(), Unconfirmed> {
    let header = event.header();
    if header.county != registry.county() {
        return Err(Unconfirmed::NotAdmitted);
    }
    if header.kind == Kind::LogBegun as i32 && begins_a_log(registry, event) {
        return Ok(());
    }
    judge_at(registry, chains, &Stands::of(event))
}

fn judge_at(registry: &Registry, chains: &Chains, stands: &Stands) -> Result<(), Unconfirmed> {
    let kind = Kind::try_from(stands.kind).ok();
    if registry.is_root(&stands.key) {
        return match kind {
            Some(Kind::KeyAdmitted | Kind::KeyEnded) => Ok(()),
            Some(_) | None => Err(Unconfirmed::NoRole),
        };
    }
    let key = &stands.key;
    let admitted = registry.key(key).ok_or(Unconfirmed::NotAdmitted)?;
    let place = (stands.seq, stands.id);
    within_good_part(admitted.ended.as_ref(), chains, key, place)?;
    let roles = registry.roles_at(key, stands.seq).unwrap_or(&[]);
    if entitled(kind, roles) {
        Ok(())
    } else {
        Err(Unconfirmed::NoRole)
    }
}

/// Whether a working key vouches for the beginning of a log, whose own key is used this once.
fn begins_a_log(registry: &Registry, event: &SignedEvent) -> bool {
    LogBegun::read(event).is_ok_and(|begun| {
        let word = begun.check_word(event, |key| registry.is_working_key(key));
        begun.vouched_by.is_some() && word.is_ok()
    })
}

/// Whether an event of a key stands in the good part of its chain.
///
/// The end of a key names its last good event, and by its hash the one branch that leads there: so
/// an end also settles a chain that parted. Without an end nothing counts from the parting on.
pub(crate) fn within_good_part(
    end: Option<&KeyEnd>,
    chains: &Chains,
    key: &Key,
    (seq, id): (u64, EventId),
) -> Result<(), Unconfirmed> {
    let chain = chains.get(key);
    let Some(end) = end else {
        let parted = chain.and_then(Chain::parted_at);
        return match parted {
            Some(parted) if seq >= parted => Err(Unconfirmed::Parted),
            Some(_) | None => Ok(()),
        };
    };
    let Some(last_good) = end.last_good.filter(|_| seq <= end.last_good_seq) else {
        return Err(Unconfirmed::AfterEnd);
    };
    // The branch is known only once the last good event is held. Until then one that did not part
    // is taken for the good one, unless another event stands where the last good one belongs.
    let Some(chain) = chain.filter(|chain| chain.at(end.last_good_seq).is_some()) else {
        return match chain.and_then(Chain::parted_at) {
            Some(parted) if seq >= parted => Err(Unconfirmed::Parted),
            Some(_) | None => Ok(()),
        };
    };
    if chain.on_branch(seq, &id, end.last_good_seq, &last_good) {
        Ok(())
    } else {
        Err(Unconfirmed::AfterEnd)
    }
}

/// Whether an event of a key stands in the good part of its chain: before any parting, and not
/// after the last good event of a key that was ended. One of a key that nobody admitted stands
/// until its chain parts.
#[must_use]
pub fn stands(registry: &Registry, chains: &Chains, key: &Key, place: (u64, EventId)) -> bool {
    let end = registry.key(key).and_then(|admitted| admitted.ended);
    within_good_part(end.as_ref(), chains, key, place).is_ok()
}

fn entitled(kind: Option<Kind>, roles: &[Role]) -> bool {
    match kind {
        Some(kind) if is_registry(kind) => roles.contains(&Role::County),
        Some(kind) => roles.iter().any(|role| roles_for(kind).contains(role)),
        // What this version does not know cannot be judged by kind: whoever may sign anything.
        None => roles.iter().any(|role| ANYBODY.contains(role)),
    }
}

/// Whether a kind belongs to the registry.
#[must_use]
pub(crate) const fn is_registry(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::KeyAdmitted
            | Kind::KeyEnded
            | Kind::StationRegistered
            | Kind::RoleGiven
            | Kind::Policy
            | Kind::BoatStandard
            | Kind::LogBegun
    )
}

/// Every role that signs something that counts: all but the reader.
const ANYBODY: &[Role] = &[
    Role::Crew,
    Role::Maintenance,
    Role::Coordinator,
    Role::Lead,
    Role::County,
];
/// What crews do and see; maintenance and the lead too, and the coordinator for what is called in.
const CREW: &[Role] = &[Role::Crew, Role::Maintenance, Role::Coordinator, Role::Lead];
/// What puts a craft right.
const MAINTENANCE: &[Role] = &[Role::Maintenance, Role::Lead];
/// What sends craft out.
const COORDINATOR: &[Role] = &[Role::Coordinator, Role::Lead];
/// What only the one person decides who answers for all craft.
const LEAD: &[Role] = &[Role::Lead];

/// Roles that may sign a kind; empty for a kind that only the registry's writers sign.
///
/// | who | kinds |
/// |---|---|
/// | crew and up | checks, air, use, faults, out of service, notes, attachments, counts, placing, fitting and taking off (a motor is swapped at night by whoever is there), crews available, corrections (what a correction may change is for the record to say) |
/// | maintenance, lead | repairs with their holds, sign-offs, inspections, returned to service (why it was out is not seen here, and it may have been mechanical), gear, bags and shelves registered, numbers changed |
/// | coordinator, lead | assigned, released |
/// | lead | craft registered, condemned, held county-wide and lifted, same as, waivers, member levels, dismissed, redacted (what is gone is gone, and a device that was taken must not wipe its own notes), decisions |
#[must_use]
pub const fn roles_for(kind: Kind) -> &'static [Role] {
    match kind {
        Kind::Unspecified
        | Kind::KeyAdmitted
        | Kind::KeyEnded
        | Kind::StationRegistered
        | Kind::RoleGiven
        | Kind::Policy
        | Kind::BoatStandard
        | Kind::LogBegun => &[],
        Kind::Check
        | Kind::AirChanged
        | Kind::Use
        | Kind::Fault
        | Kind::OutOfService
        | Kind::Note
        | Kind::Attachment
        | Kind::StockCounted
        | Kind::Placed
        | Kind::Fitted
        | Kind::TakenOff
        | Kind::CrewsAvailable
        | Kind::Correction => CREW,
        Kind::Repair
        | Kind::SignOff
        | Kind::InspectionDone
        | Kind::GearRegistered
        | Kind::BagRegistered
        | Kind::ShelfRegistered
        | Kind::NumberChanged
        | Kind::Returned => MAINTENANCE,
        Kind::Assigned | Kind::Released => COORDINATOR,
        Kind::CraftRegistered
        | Kind::Condemned
        | Kind::HeldCountyWide
        | Kind::HoldLifted
        | Kind::SameAs
        | Kind::WaiverGranted
        | Kind::WaiverWithdrawn
        | Kind::MemberLevel
        | Kind::Dismissed
        | Kind::Redacted
        | Kind::LeadDecision => LEAD,
    }
}

/// Whether any of these roles may sign events of a kind, given by its number.
///
/// A correction needs this for the kind of its original as well: whoever knows that kind asks.
#[must_use]
pub fn may_sign(kind: i32, roles: &[Role]) -> bool {
    entitled(Kind::try_from(kind).ok(), roles)
}

/// Whether any of these roles may sign faults off.
#[must_use]
pub fn may_sign_off(roles: &[Role]) -> bool {
    roles
        .iter()
        .any(|role| roles_for(Kind::SignOff).contains(role))
}
