//! What has to be true of a county that came back from an older state, each a function named after
//! its fact.

use sponson_log::ids::EventId;
use sponson_log::tree::{Edge, leaf_hash};
use sponson_proto::sync::v1::county_entry::What;
use sponson_replica::Replica;

use crate::acts::short;
use crate::clock::HOUR;
use crate::invariants::Held;
use crate::world::World;

/// The county stands by what it signed: whatever checkpoint a device keeps, the county holds what
/// it says, or left that log and says in the first leaf of its own where it left it.
pub(crate) fn what_was_signed_is_held(world: &World) -> Held {
    let county = world.county.replica.as_ref().expect("it has power");
    for (at, device) in world.devices.iter().enumerate() {
        // One that the county does not let in shows it nothing: a carry file begins no log.
        if world.stays_in_an_old_log(at) {
            continue;
        }
        let replica = device.machine.replica.as_ref().expect("it has power");
        let shown = replica.newest_checkpoint();
        if let Some(shown) = shown.filter(|shown| !county.holds_what_it_signed(shown)) {
            return Err(format!(
                "what_was_signed_is_held: the county does not hold the {} entries of log {} that \
                 it signed for {}",
                shown.size, shown.log, device.machine.name
            ));
        }
    }
    Ok(())
}

/// The chain of a working key parts only by what was recorded before anybody noticed that the
/// county was put back: from then on that key signs nothing.
pub(crate) fn a_working_chain_parts_only_before_it_is_noticed(world: &World) -> Held {
    let county = world.county.replica.as_ref().expect("it has power");
    let working = county.registry().keys().iter();
    for (key, _) in working.filter(|(_, admitted)| admitted.station.is_none()) {
        let chain = county.chains().get(key);
        let parted = chain.and_then(|chain| chain.at(chain.parted_at()?));
        // What was under way when the power went may stand in the log: nobody was told that it does.
        let acknowledged = &world.county.acknowledged;
        let blind = |id: &EventId| world.blindly.contains(id) || !acknowledged.contains(id);
        let blindly = |ids: &&[EventId]| ids.iter().any(blind);
        if let Some(ids) = parted.filter(|ids| !blindly(ids)) {
            return Err(format!(
                "a_working_chain_parts_only_before_it_is_noticed: key {key} signed {ids:?}"
            ));
        }
    }
    Ok(())
}

/// A log that follows another one lists its entries in their order and with their times, so that
/// what was known by a size of the log before can be said again.
pub(crate) fn a_log_goes_on_from_the_one_before(county: &Replica) -> Held {
    let Some(begun) = county.begun() else {
        return Ok(());
    };
    let (old_size, old_root) = begun.begun.old_tree;
    let entries = county.entries(1, usize::MAX, &|_| true).into_iter();
    let mut edge = Edge::default();
    for entry in entries.take(usize::try_from(old_size).unwrap_or(usize::MAX)) {
        let Some(What::HeldEventId(id)) = entry.what else {
            return Err("the county lists an event where an id was asked for".to_owned());
        };
        let id = EventId::parse("held_event_id", &id).map_err(|error| error.to_string())?;
        edge.append(leaf_hash(&id, entry.received_unix_ms));
    }
    if (edge.size(), edge.root()) == (old_size, old_root) {
        return Ok(());
    }
    Err(format!(
        "a_log_goes_on_from_the_one_before: entries 1 to {old_size} of log {} are not those of log {}",
        begun.begun.log, begun.begun.old_log
    ))
}

/// No event is listed as stored before it was made, by a county whose clock was always right: a
/// received time of the past would let a claimed time of the past count.
pub(crate) fn nothing_is_stored_before_it_was_made(world: &World) -> Held {
    if !world.county.clock.always_right {
        return Ok(());
    }
    let county = world.county.replica.as_ref().expect("it has power");
    for device in &world.devices {
        for (id, made) in &device.recorded {
            let stored = county.place(id).map(|(_, stored)| stored);
            if let Some(stored) = stored.filter(|stored| stored < made) {
                return Err(format!(
                    "nothing_is_stored_before_it_was_made: {} of {} is listed as stored {} h before",
                    short(Some(*id)),
                    device.machine.name,
                    (made - stored) / HOUR
                ));
            }
        }
    }
    Ok(())
}
