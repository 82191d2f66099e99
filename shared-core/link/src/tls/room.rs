//! Room for what others may take up: so much in all, and so much for each of them.
//!
//! Says nothing about what somebody may do with a place.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::{Arc, Mutex, PoisonError};

use tokio::sync::Notify;

use crate::limits::AtATime;

/// Places, counted in all and for each holder, so that no one holder takes those of the others.
#[derive(Clone, Debug)]
pub(crate) struct Room<K: Ord> {
    most: AtATime,
    taken: Arc<Mutex<BTreeMap<K, usize>>>,
    freed: Arc<Notify>,
}

/// A place that somebody holds; free again when dropped.
#[derive(Debug)]
pub(crate) struct Place<K: Ord> {
    room: Room<K>,
    holder: K,
}

impl<K: Ord + Clone> Room<K> {
    /// Room for so many in all, and for so many of each holder.
    pub(crate) fn of(most: AtATime) -> Self {
        Self {
            most,
            taken: Arc::default(),
            freed: Arc::default(),
        }
    }

    /// A place, if there is one.
    pub(crate) fn take(&self, holder: K) -> Option<Place<K>> {
        let mut taken = self.taken.lock().unwrap_or_else(PoisonError::into_inner);
        let in_all: usize = taken.values().sum();
        let of_holder = taken.get(&holder).copied().unwrap_or(0);
        if in_all >= self.most.in_all || of_holder >= self.most.of_each {
            return None;
        }
        taken.insert(holder.clone(), of_holder + 1);
        Some(Place {
            room: self.clone(),
            holder,
        })
    }

    /// A place, as soon as there is one.
    pub(crate) async fn wait(&self, holder: K) -> Place<K> {
        loop {
            // Begun before the look, so that a place that is given back in between is noticed.
            let freed = self.freed.notified();
            if let Some(place) = self.take(holder.clone()) {
                return place;
            }
            freed.await;
        }
    }
}

impl<K: Ord> Drop for Place<K> {
    fn drop(&mut self) {
        let mut taken = self
            .room
            .taken
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        match taken.get_mut(&self.holder) {
            Some(count) if *count > 1 => *count -= 1,
            Some(_) | None => drop(taken.remove(&self.holder)),
        }
        drop(taken);
        self.room.freed.notify_waiters();
    }
}

/// Where a caller comes from: an address of version 4, or the half of one of version 6 that a site
/// is given as a whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Origin([u8; 8]);

impl Origin {
    pub(crate) fn of(address: IpAddr) -> Self {
        let mut bytes = [0; 8];
        match address.to_canonical() {
            IpAddr::V4(four) => bytes[..4].copy_from_slice(&four.octets()),
            IpAddr::V6(six) => bytes.copy_from_slice(&six.octets()[..8]),
        }
        Self(bytes)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn room<K: Ord + Clone>(in_all: usize, of_each: usize) -> Room<K> {
        Room::of(AtATime { in_all, of_each })
    }

    #[test]
    fn room_is_counted_in_all_and_for_each() {
        let room = room(3, 2);
        let held = [1, 1, 2].map(|holder| room.take(holder).expect("room"));
        assert!(room.take(3).is_none(), "three in all");
        drop(held);
        assert!(room.taken.lock().expect("no panic").is_empty(), "no rest");
        room.take(1).expect("free again");
    }

    #[test]
    fn one_holder_does_not_take_the_places_of_another() {
        let room = room(3, 2);
        let _held = [1, 1].map(|holder| room.take(holder).expect("room"));
        assert!(room.take(1).is_none());
        assert!(room.take(2).is_some());
    }

    #[tokio::test]
    async fn whoever_waits_goes_on_when_a_place_is_free() {
        let room = room(1, 1);
        let held = room.take(1).expect("room");
        let mut waiting = tokio_test::task::spawn(room.wait(2));
        tokio_test::assert_pending!(waiting.poll());
        drop(held);
        assert!(waiting.is_woken());
        let place = tokio_test::assert_ready!(waiting.poll());
        assert!(room.take(3).is_none());
        drop(place);
    }
}
