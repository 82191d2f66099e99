//! Which craft together bring everybody home at once, when no candidate alone does.
//!
//! The fewest that were found, of those the earliest. The largest go first and the heaviest people
//! on the first that takes them, and nobody is packed beyond a plate. That no fewer do is said only
//! where all sets of fewer craft have too few seats or carry too little.

use super::Given;
use super::sharing::Pools;
use crate::answer::{BringHome, Candidate, CraftAnswer, Limit, LoadLimit};
use crate::engine::craft::Answered;
use crate::load::{Group, ROUNDING_G};

/// More craft than go to one party: beyond it people come home in trips.
const CRAFT_MAX: usize = 24;

/// What one craft can bring home.
struct Room<'a> {
    /// Position among the goers.
    goer: usize,
    seats: i64,
    mass_g: i64,
    groups: &'a [Group],
}

pub(super) fn together(
    given: &Given<'_>,
    pools: &Pools,
    candidates: &[(Candidate, &Answered)],
) -> Option<BringHome> {
    if given.asked.people.iter().all(|party| party.count == 0) {
        return None;
    }
    let goers: Vec<(&Candidate, &CraftAnswer)> = pools
        .goers()
        .filter_map(|at| candidates.get(at))
        .map(|(candidate, one)| (candidate, &one.answer))
        .collect();
    if goers.iter().any(|(it, _)| does_alone(it)) {
        return None;
    }
    let rooms: Vec<Room<'_>> = goers
        .iter()
        .zip(0..)
        .filter_map(|((_, craft), goer)| room(craft, goer))
        .collect();
    let picked = fewest(pools, &rooms);
    let least = at_least(&rooms);
    let goes = picked.iter().filter_map(|goer| goers.get(*goer));
    let totals = goes.clone().map(|(it, _)| it.time.total);
    Some(BringHome {
        total: totals
            .collect::<Option<Vec<u32>>>()
            .and_then(|totals| totals.into_iter().max()),
        craft: goes.map(|(it, _)| it.craft).collect(),
        is_fewest: least.map_or(picked.is_empty(), |least| picked.len() == least),
    })
}

fn does_alone(candidate: &Candidate) -> bool {
    let in_one = |it: super::Trips| it.trips == 1 && it.left_behind == 0;
    candidate.trips.is_some_and(in_one)
}

/// None where nobody is taken aboard.
fn room(craft: &CraftAnswer, goer: usize) -> Option<Room<'_>> {
    let load = craft.load.as_ref()?;
    if craft.limits.contains(&Limit::CrewOnly) {
        return None;
    }
    let heads = load.lines.iter();
    let heads = heads.filter(|room| room.binds == LoadLimit::Persons);
    // A line that the plate does not have binds nobody.
    let most = i64::MAX / 1024;
    Some(Room {
        goer,
        seats: heads
            .map(|room| room.left())
            .min()
            .unwrap_or(most)
            .min(most),
        mass_g: load
            .mass_left_g
            .map_or(most, |left| left.saturating_add(ROUNDING_G))
            .min(most),
        groups: &load.homeward.as_ref()?.groups,
    })
}

/// Of the fewest that the largest first come to, the earliest: positions among the goers, in order.
fn fewest(pools: &Pools, rooms: &[Room<'_>]) -> Vec<usize> {
    let Some(all) = largest_first(pools, rooms) else {
        return Vec::new();
    };
    let earlier = (all.len()..rooms.len())
        .filter_map(|count| largest_first(pools, rooms.get(..count)?))
        .find(|picked| picked.len() <= all.len());
    earlier.unwrap_or(all)
}

/// Takes the largest that can go beside those before, until everybody is aboard.
fn largest_first(pools: &Pools, rooms: &[Room<'_>]) -> Option<Vec<usize>> {
    let mut by_size: Vec<&Room<'_>> = rooms.iter().collect();
    by_size.sort_by_key(|room| std::cmp::Reverse((room.seats, room.mass_g)));
    let mut picked: Vec<&Room<'_>> = Vec::new();
    let mut goers: Vec<usize> = Vec::new();
    for room in by_size {
        goers.push(room.goer);
        if !pools.fit(&goers) {
            goers.pop();
            continue;
        }
        picked.push(room);
        if all_aboard(&picked) {
            goers.sort_unstable();
            return Some(goers);
        }
        if picked.len() == CRAFT_MAX {
            break;
        }
    }
    None
}

/// Whether everybody has a place, the heaviest first, each on the first craft that takes them.
fn all_aboard(picked: &[&Room<'_>]) -> bool {
    let Some(first) = picked.first() else {
        return false;
    };
    let mut order: Vec<usize> = (0..first.groups.len()).collect();
    let size = |group: &usize| first.groups.get(*group).map(|it| (it.seats, it.mass_g));
    order.sort_by_key(|group| std::cmp::Reverse(size(group)));
    let mut left: Vec<(i64, i64)> = picked.iter().map(|it| (it.seats, it.mass_g)).collect();
    order.into_iter().all(|group| {
        let count = first.groups.get(group).map_or(0, |it| it.party.count);
        (0..count).all(|_| one_aboard(picked, &mut left, group))
    })
}

fn one_aboard(picked: &[&Room<'_>], left: &mut [(i64, i64)], group: usize) -> bool {
    for (room, (seats, mass_g)) in picked.iter().zip(left) {
        let Some(one) = room.groups.get(group) else {
            continue;
        };
        let takes = (i64::from(one.seats), grams(one));
        if takes.0 <= *seats && takes.1 <= *mass_g {
            *seats -= takes.0;
            *mass_g -= takes.1;
            return true;
        }
    }
    false
}

fn grams(group: &Group) -> i64 {
    i64::try_from(group.mass_g).unwrap_or(i64::MAX)
}

/// Fewer craft than this cannot do, by seats or by weight; none when all together cannot.
fn at_least(rooms: &[Room<'_>]) -> Option<usize> {
    let groups = rooms.first()?.groups;
    let people = |group: usize| groups.get(group).map_or(0, |it| i64::from(it.party.count));
    let seats = |group: usize| {
        let each = rooms.iter().filter_map(|room| room.groups.get(group));
        each.map(|it| i64::from(it.seats)).min().unwrap_or(1)
    };
    let all = 0..groups.len();
    let all_seats: i64 = all
        .map(|group| people(group).saturating_mul(seats(group)))
        .sum();
    let masses = groups
        .iter()
        .map(|it| grams(it).saturating_mul(i64::from(it.party.count)));
    let all_g = masses.fold(0_i64, i64::saturating_add);
    let heads = (0..groups.len()).map(people).sum();
    let lightest = groups.iter().map(grams).min().unwrap_or(1).max(1);
    let by_heads = rooms
        .iter()
        .map(|it| it.seats.min(it.mass_g.div_euclid(lightest)));
    let by_heads = count_to(by_heads, heads)?;
    let by_seats = count_to(rooms.iter().map(|it| it.seats), all_seats)?;
    let by_mass = count_to(rooms.iter().map(|it| it.mass_g), all_g)?;
    Some(by_heads.max(by_seats).max(by_mass))
}

/// How many of the largest come to a sum; none when all do not.
fn count_to(sizes: impl Iterator<Item = i64>, sum: i64) -> Option<usize> {
    let mut sizes: Vec<i64> = sizes.map(|size| size.max(0)).collect();
    sizes.sort_unstable_by_key(|size| std::cmp::Reverse(*size));
    let mut reached = 0_i64;
    sizes.into_iter().zip(1..).find_map(|(size, count)| {
        reached = reached.saturating_add(size);
        (reached >= sum).then_some(count)
    })
}
