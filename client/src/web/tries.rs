//! Wrong codes of links: whoever tries all the time shuts the door on nobody else.
//!
//! Each address has a limit of its own. Once there are too many from everywhere, an address that has
//! tried a wrong one waits too; one that has tried none is let try, so that many who guess keep out
//! nobody who holds a link. It is the length of a code that keeps guessing hopeless, not this.

use std::collections::VecDeque;
use std::net::IpAddr;
use std::time::{Duration, Instant};

use super::limits::{
    WRONG_CODES_NOTED_MAX, WRONG_CODES_PER_ADDRESS_AND_MINUTE, WRONG_CODES_PER_MINUTE,
};

const MINUTE: Duration = Duration::from_secs(60);

/// When wrong codes were tried, and from where; the newest last.
#[derive(Debug, Default)]
pub(super) struct Tries(VecDeque<(Instant, Origin)>);

/// Where a try came from: an address of version 4, or the half of one of version 6 that a site is
/// given as a whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Origin(u64);

impl Tries {
    /// Whether somebody may try; else how long to wait.
    ///
    /// # Errors
    /// When too many were wrong.
    pub(super) fn may_try(&mut self, now: Instant, from: IpAddr) -> Result<(), Duration> {
        let origin = Origin::of(from);
        let is_over = |(tried, _): &(Instant, Origin)| now.duration_since(*tried) >= MINUTE;
        while self.0.front().is_some_and(is_over) {
            self.0.pop_front();
        }
        let from_there: Vec<Instant> = self
            .0
            .iter()
            .filter(|(_, known)| *known == origin)
            .map(|(tried, _)| *tried)
            .collect();
        let first = if from_there.len() >= WRONG_CODES_PER_ADDRESS_AND_MINUTE {
            from_there.first().copied()
        } else if self.0.len() >= WRONG_CODES_PER_MINUTE && !from_there.is_empty() {
            self.0.front().map(|(tried, _)| *tried)
        } else {
            None
        };
        match first {
            None => Ok(()),
            Some(first) => Err(MINUTE.saturating_sub(now.duration_since(first))),
        }
    }

    /// Notes a wrong code; the oldest is forgotten when there is no room.
    pub(super) fn was_wrong(&mut self, now: Instant, from: IpAddr) {
        if self.0.len() >= WRONG_CODES_NOTED_MAX {
            self.0.pop_front();
        }
        self.0.push_back((now, Origin::of(from)));
    }
}

impl Origin {
    fn of(address: IpAddr) -> Self {
        match address.to_canonical() {
            IpAddr::V4(four) => Self(u64::from(four.to_bits())),
            IpAddr::V6(six) => {
                let [a, b, c, d, e, f, g, h, ..] = six.octets();
                Self(u64::from_be_bytes([a, b, c, d, e, f, g, h]))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn from(address: &str) -> IpAddr {
        address.parse().expect("an address")
    }

    #[test]
    fn wrong_codes_close_the_door_for_a_minute_to_where_they_came_from() {
        let mut tries = Tries::default();
        let start = Instant::now();
        let (there, elsewhere) = (from("192.0.2.1"), from("192.0.2.2"));
        for _ in 0..WRONG_CODES_PER_ADDRESS_AND_MINUTE {
            assert_eq!(tries.may_try(start, there), Ok(()));
            tries.was_wrong(start, there);
        }
        let later = start + Duration::from_secs(59);
        assert_eq!(tries.may_try(later, there), Err(Duration::from_secs(1)));
        assert_eq!(tries.may_try(start, elsewhere), Ok(()));
        assert_eq!(tries.may_try(start + MINUTE, there), Ok(()));
    }

    #[test]
    fn wrong_codes_from_everywhere_close_the_door_to_whoever_tried_one() {
        let mut tries = Tries::default();
        let start = Instant::now();
        for number in 0..WRONG_CODES_PER_MINUTE {
            let [.., high, low] = number.to_be_bytes();
            tries.was_wrong(start, from(&format!("203.0.{high}.{low}")));
        }
        let guessing = from("203.0.0.7");
        assert_eq!(tries.may_try(start, guessing), Err(MINUTE));
        let holds_a_link = from("198.51.100.1");
        assert_eq!(tries.may_try(start, holds_a_link), Ok(()));
        tries.was_wrong(start, holds_a_link);
        assert_eq!(tries.may_try(start, holds_a_link), Err(MINUTE));
        assert_eq!(tries.may_try(start + MINUTE, guessing), Ok(()));
        assert!(tries.0.is_empty(), "what is over is forgotten");
    }

    #[test]
    fn what_is_noted_is_bounded() {
        let mut tries = Tries::default();
        let start = Instant::now();
        for number in 0..WRONG_CODES_NOTED_MAX + 7 {
            let [.., high, low] = number.to_be_bytes();
            tries.was_wrong(start, from(&format!("203.0.{high}.{low}")));
        }
        assert_eq!(tries.0.len(), WRONG_CODES_NOTED_MAX);
    }

    #[test]
    fn one_site_is_one_origin_however_it_is_written() {
        let of = |text| Origin::of(from(text));
        assert_eq!(of("2001:db8:1:2::3"), of("2001:db8:1:2:ffff::9"));
        assert_ne!(of("2001:db8:1:2::3"), of("2001:db8:1:3::3"));
        assert_eq!(of("::ffff:192.0.2.1"), of("192.0.2.1"));
    }
}
