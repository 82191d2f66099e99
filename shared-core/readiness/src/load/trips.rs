//! In how many trips people come home, the crew aboard each: the fewest, each trip within heads and
//! weight.
//!
//! Packs the heaviest first, then looks for fewer trips exactly, up to a limit of tries; when that
//! is reached it says so. Same people, same trips.

use super::people::Group;
use super::rooms::ROUNDING_G;

/// Tries before the search for fewer trips ends: well under a second, and far more than the
/// people on one boat's list take.
const TRIES_MAX: u32 = 200_000;

/// People of one trip.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Trip {
    /// How many of each group, in the order of the groups.
    pub aboard: Vec<u32>,
}

/// The trips.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Packed {
    /// Trips, the fullest first.
    pub trips: Vec<Trip>,
    /// Of each group, how many cannot be brought home in any number of trips.
    pub left_behind: Vec<u32>,
    /// Nobody can do with fewer trips; else the search was cut, and fewer may do.
    pub is_fewest: bool,
}

/// One person: seats, mass, group.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct One {
    seats: i64,
    mass_g: i64,
    group: usize,
}

/// What one trip has left.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Left {
    seats: i64,
    mass_g: i64,
}

impl Left {
    const fn takes(self, one: One) -> bool {
        self.seats >= one.seats && self.mass_g >= one.mass_g
    }

    const fn less(self, one: One) -> Self {
        Self {
            seats: self.seats - one.seats,
            mass_g: self.mass_g - one.mass_g,
        }
    }
}

/// Packs people into trips of so many seats and so much mass; none for a line that the plate does
/// not have.
#[must_use]
pub fn trips(groups: &[Group], seats: Option<u32>, mass_g: Option<u64>) -> Packed {
    // Half of the range is as good as no limit, and sums stay inside it.
    let wide = |number: Option<u64>| {
        let most = i64::MAX / 2;
        number.map_or(most, |number| {
            i64::try_from(number).unwrap_or(most).min(most)
        })
    };
    let empty = Left {
        seats: wide(seats.map(u64::from)),
        mass_g: wide(mass_g) + ROUNDING_G,
    };
    let mut people = Vec::new();
    let mut left_behind = vec![0; groups.len()];
    for (group, of) in groups.iter().enumerate() {
        let one = One {
            seats: i64::from(of.seats),
            mass_g: wide(Some(of.mass_g)),
            group,
        };
        if empty.takes(one) {
            people.extend((0..of.party.count).map(|_| one));
        } else {
            left_behind[group] = of.party.count;
        }
    }
    people.sort_by_key(|one| std::cmp::Reverse((share(*one, empty), one.mass_g, one.group)));
    let (places, is_fewest) = fewest(&people, empty);
    Packed {
        trips: listed(&people, &places, groups.len()),
        left_behind,
        is_fewest,
    }
}

/// How much of a trip one takes: seats and mass each as thousandths, the greater.
fn share(one: One, empty: Left) -> i64 {
    let of = |part: i64, whole: i64| part.saturating_mul(1000) / whole.max(1);
    of(one.seats, empty.seats).max(of(one.mass_g, empty.mass_g))
}

/// The trip of each person, and whether no fewer trips do.
fn fewest(people: &[One], empty: Left) -> (Vec<usize>, bool) {
    let mut best = first_that_takes(people, empty);
    let least = at_least(people, empty);
    let mut search = Search {
        people,
        empty,
        tries: 0,
    };
    loop {
        let count = best.iter().max().map_or(0, |most| most + 1);
        if count <= least {
            return (best, true);
        }
        let mut places = Vec::with_capacity(people.len());
        match search.fits(&mut places, &mut Vec::new(), count - 1) {
            Found::Yes => best = places,
            Found::No => return (best, true),
            Found::Cut => return (best, false),
        }
    }
}

/// Everybody on the first trip that takes them.
fn first_that_takes(people: &[One], empty: Left) -> Vec<usize> {
    let mut open: Vec<Left> = Vec::new();
    let mut places = Vec::new();
    for one in people {
        let at = open.iter().position(|left| left.takes(*one));
        let at = at.unwrap_or_else(|| {
            open.push(empty);
            open.len() - 1
        });
        open[at] = open[at].less(*one);
        places.push(at);
    }
    places
}

/// Fewer trips than this cannot be: by seats, by mass, and by those of whom no two fit together.
fn at_least(people: &[One], empty: Left) -> usize {
    let sum = |of: fn(&One) -> i64| {
        people
            .iter()
            .fold(0_i64, |sum, one| sum.saturating_add(of(one)))
    };
    let trips =
        |all: i64, one: i64| all.max(0).div_euclid(one.max(1)) + i64::from(all % one.max(1) > 0);
    let by_seats = trips(sum(|one| one.seats), empty.seats);
    let by_mass = trips(sum(|one| one.mass_g), empty.mass_g);
    let alone =
        |of: fn(&One) -> i64, whole: i64| people.iter().filter(|one| of(one) * 2 > whole).count();
    let alone = alone(|one| one.seats, empty.seats).max(alone(|one| one.mass_g, empty.mass_g));
    usize::try_from(by_seats.max(by_mass))
        .unwrap_or(0)
        .max(alone)
}

enum Found {
    Yes,
    No,
    Cut,
}

struct Search<'a> {
    people: &'a [One],
    empty: Left,
    tries: u32,
}

impl Search<'_> {
    /// Whether everybody from the next one on fits into so many trips.
    fn fits(&mut self, places: &mut Vec<usize>, open: &mut Vec<Left>, most: usize) -> Found {
        let Some(one) = self.people.get(places.len()).copied() else {
            return Found::Yes;
        };
        self.tries += 1;
        if self.tries > TRIES_MAX {
            return Found::Cut;
        }
        if !self.has_room(places.len(), open, most) {
            return Found::No;
        }
        // Of people who are alike, the later is on no earlier trip: else each order is tried.
        let before = places.len().checked_sub(1);
        let from = before
            .filter(|before| self.people[*before] == one)
            .map_or(0, |before| places[before]);
        for at in from..most.min(open.len() + 1) {
            let left = open.get(at).copied().unwrap_or(self.empty);
            let seen = open
                .get(..at)
                .is_some_and(|earlier| earlier[from..].contains(&left));
            if seen || !left.takes(one) {
                continue;
            }
            let is_new = at == open.len();
            if is_new {
                open.push(left.less(one));
            } else {
                open[at] = left.less(one);
            }
            places.push(at);
            match self.fits(places, open, most) {
                Found::No => {}
                found @ (Found::Yes | Found::Cut) => return found,
            }
            places.pop();
            if is_new {
                open.pop();
            } else {
                open[at] = left;
            }
        }
        Found::No
    }

    /// Whether what is left of all trips could hold everybody who is still to be placed.
    fn has_room(&self, next: usize, open: &[Left], most: usize) -> bool {
        let new = i64::try_from(most - open.len()).unwrap_or(0);
        let sum = |of: fn(&Left) -> i64| {
            let begun = open
                .iter()
                .fold(0_i64, |sum, left| sum.saturating_add(of(left)));
            begun.saturating_add(of(&self.empty).saturating_mul(new))
        };
        let owed = |of: fn(&One) -> i64| {
            let people = self.people[next..].iter();
            people.fold(0_i64, |sum, one| sum.saturating_add(of(one)))
        };
        sum(|left| left.seats) >= owed(|one| one.seats)
            && sum(|left| left.mass_g) >= owed(|one| one.mass_g)
    }
}

/// Trips with how many of each group, the one with the most people first.
fn listed(people: &[One], places: &[usize], groups: usize) -> Vec<Trip> {
    let count = places.iter().max().map_or(0, |most| most + 1);
    let mut trips = vec![
        Trip {
            aboard: vec![0; groups]
        };
        count
    ];
    for (one, at) in people.iter().zip(places) {
        trips[*at].aboard[one.group] += 1;
    }
    trips.sort_by_key(|trip| std::cmp::Reverse(trip.aboard.iter().sum::<u32>()));
    trips
}
