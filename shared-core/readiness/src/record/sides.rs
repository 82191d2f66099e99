//! One value as several writers state it: every side is kept until somebody who knew of it looked
//! again. Nothing here chooses between sides.

use super::{Past, Side, Sides};
use crate::event::Trust;

/// Sides kept of one value, of each trust.
///
/// A trusted writer replaces her own earlier side, so there are never more trusted sides than
/// keys that wrote apart: 64 are a county of 60 stations, all cut off from one another. Two times
/// 64 sides of about 300 bytes are 38 KiB for one value, in a record that is at worst.
pub const SIDES_KEPT: usize = 64;

impl<T> Sides<T> {
    /// Nobody has said anything yet.
    #[must_use]
    pub const fn none() -> Self {
        Self(Vec::new())
    }

    /// The sides, in fold order.
    pub fn iter(&self) -> std::slice::Iter<'_, Side<T>> {
        self.0.iter()
    }

    /// The only side; none when nobody said anything or more than one did.
    #[must_use]
    pub fn single(&self) -> Option<&Side<T>> {
        match self.0.as_slice() {
            [side] => Some(side),
            _ => None,
        }
    }

    /// Removes the sides that `gone` names, for an event that ends a value without a new one.
    pub(super) fn drop_where(&mut self, gone: impl Fn(&Side<T>) -> bool) {
        self.0.retain(|side| !gone(side));
    }
}

impl<T: PartialEq> Sides<T> {
    /// Whether two sides state different values; equal values from several writers are no dispute.
    #[must_use]
    pub fn is_disputed(&self) -> bool {
        self.0
            .split_first()
            .is_some_and(|(first, rest)| rest.iter().any(|side| side.value != first.value))
    }

    /// Adds a side. A trusted one replaces every side in its past, also unconfirmed ones: somebody
    /// went and looked. An unconfirmed one replaces nothing.
    pub fn put(&mut self, side: Side<T>, past: &Past<'_>) {
        let trust = side.origin.trust;
        if trust == Trust::Trusted {
            self.0.retain(|old| !side.origin.follows(&old.origin, past));
        }
        self.0.push(side);
        self.limit(trust == Trust::Trusted);
    }

    /// Holds the sides of one trust to [`SIDES_KEPT`].
    ///
    /// Goes first: a side whose value another one states as well, so that a disagreement never
    /// disappears; among equals the one with the greatest event id.
    fn limit(&mut self, trusted: bool) {
        let ranked: Vec<usize> = (0..self.0.len())
            .filter(|&at| (self.0[at].origin.trust == Trust::Trusted) == trusted)
            .collect();
        if ranked.len() <= SIDES_KEPT {
            return;
        }
        let repeated = |at: usize| {
            ranked
                .iter()
                .any(|&other| other != at && self.0[other].value == self.0[at].value)
        };
        let victim = ranked
            .iter()
            .copied()
            .max_by_key(|&at| (repeated(at), self.0[at].origin.event));
        if let Some(at) = victim {
            self.0.remove(at);
        }
    }
}

impl<T> Default for Sides<T> {
    fn default() -> Self {
        Self::none()
    }
}

impl<'a, T> IntoIterator for &'a Sides<T> {
    type Item = &'a Side<T>;
    type IntoIter = std::slice::Iter<'a, Side<T>>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Origin, Past, Side, Sides};
    use crate::event::{Author, Trust, Unconfirmed};
    use crate::ids::EventId;
    use crate::moment::{Interval, Moment};

    const DOUBTFUL: Trust = Trust::Unconfirmed(Unconfirmed::NoRole);

    /// Sides after a history of (event, trust), where each event says its own number and has seen
    /// all before it.
    fn check(history: &[(u8, Trust)], expected: &[u8]) {
        let mut sides = Sides::none();
        for &(event, trust) in history {
            let origin = Origin {
                event: EventId::from_bytes([event; 32]),
                author: Author {
                    key: [0; 32],
                    station: None,
                    member: String::new(),
                },
                interval: Interval {
                    early: None,
                    late: None,
                    claimed: Moment(0),
                },
                trust,
            };
            sides.put(
                Side {
                    value: event,
                    origin,
                },
                &Past::All,
            );
        }
        let values: Vec<u8> = sides.iter().map(|side| side.value).collect();
        assert_eq!(values, expected);
        assert_eq!(
            sides.single().map(|side| side.value),
            (expected.len() == 1).then(|| expected[0])
        );
    }

    #[test]
    fn only_a_trusted_side_replaces_and_it_replaces_all_that_it_saw() {
        check(&[], &[]);
        check(&[(1, Trust::Trusted), (2, Trust::Trusted)], &[2]);
        check(
            &[(1, Trust::Trusted), (2, DOUBTFUL), (3, DOUBTFUL)],
            &[1, 2, 3],
        );
        check(&[(1, DOUBTFUL), (2, DOUBTFUL), (3, Trust::Trusted)], &[3]);
    }

    #[test]
    fn what_one_event_says_twice_stands_twice() {
        check(
            &[
                (1, Trust::Trusted),
                (2, Trust::Trusted),
                (2, Trust::Trusted),
            ],
            &[2, 2],
        );
    }
}
