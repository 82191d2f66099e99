//! What candidates share: who stays when one goes, what cover is left, who can stand by.
//!
//! As which craft can go together (see `engine::together`): crews, persons, trailers, vehicles and
//! numbered gear count once; what is not known has no end.

use std::collections::{BTreeMap, BTreeSet};

use super::Given;
use crate::answer::{
    Candidate, CoverLeft, Second, Shared, SharedWith, StationCover, TogetherAsked,
};
use crate::engine::craft::Answered;
use crate::engine::together::room;
use crate::ids::SubjectId;

/// A craft that can go, by its position among the candidates, and what it wants of each pool.
struct Goer {
    at: usize,
    craft: SubjectId,
    station: Option<SubjectId>,
    wants: Vec<(usize, u32)>,
}

/// Everything with an end that candidates which can go want, and who wants it.
pub(super) struct Pools {
    goers: Vec<Goer>,
    pools: Vec<(Shared, u32)>,
    /// Positions among the goers.
    wanted_by: Vec<Vec<usize>>,
}

impl Pools {
    pub(super) fn new(given: &Given<'_>, candidates: &[(Candidate, &Answered)]) -> Self {
        let can_go = candidates.iter().enumerate();
        let can_go: Vec<(usize, &Candidate, &Answered)> = can_go
            .filter(|(_, (candidate, _))| candidate.reach.can_go())
            .map(|(at, (candidate, answered))| (at, candidate, *answered))
            .collect();
        let wants: Vec<BTreeMap<Shared, u32>> = can_go
            .iter()
            .map(|(_, _, it)| it.takes.as_ref().map(|it| it.wants()).unwrap_or_default())
            .collect();
        let stations: BTreeSet<SubjectId> =
            can_go.iter().filter_map(|(_, it, _)| it.station).collect();
        let none = TogetherAsked::default();
        let together = given.asked.together.as_ref().unwrap_or(&none);
        let room = room(given.county, given.question, together, &stations, &wants);
        let pools: Vec<(Shared, u32)> = room.into_iter().collect();
        let place: BTreeMap<&Shared, usize> = pools.iter().map(|(what, _)| what).zip(0..).collect();
        let mut wanted_by = vec![Vec::new(); pools.len()];
        let mut goers = Vec::new();
        for ((at, candidate, _), wants) in can_go.iter().zip(&wants) {
            let wants = wants.iter();
            let wants: Vec<(usize, u32)> = wants
                .filter_map(|(what, need)| Some((*place.get(what)?, *need)))
                .collect();
            for (pool, _) in &wants {
                wanted_by[*pool].push(goers.len());
            }
            goers.push(Goer {
                at: *at,
                craft: candidate.craft,
                station: candidate.station,
                wants,
            });
        }
        Self {
            goers,
            pools,
            wanted_by,
        }
    }

    /// Positions of the goers among the candidates, in order.
    pub(super) fn goers(&self) -> impl Iterator<Item = usize> + '_ {
        self.goers.iter().map(|goer| goer.at)
    }

    /// Whether goers (by their own positions) can go at once.
    pub(super) fn fit(&self, goers: &[usize]) -> bool {
        let mut taken: BTreeMap<usize, u32> = BTreeMap::new();
        let goers = goers.iter().filter_map(|goer| self.goers.get(*goer));
        for (pool, need) in goers.flat_map(|goer| &goer.wants) {
            let sum = taken.entry(*pool).or_default();
            *sum = sum.saturating_add(*need);
            if self.pools.get(*pool).is_some_and(|(_, room)| *sum > *room) {
                return false;
            }
        }
        true
    }

    /// How many of each station can go, each alone.
    pub(super) fn cover(&self) -> Vec<StationCover> {
        cover_of(&self.by_station())
    }

    fn by_station(&self) -> BTreeMap<SubjectId, u32> {
        let mut by_station: BTreeMap<SubjectId, u32> = BTreeMap::new();
        for station in self.goers.iter().filter_map(|goer| goer.station) {
            *by_station.entry(station).or_default() += 1;
        }
        by_station
    }

    /// Fills in what depends on others: what is shared, cover left, the safety boat.
    pub(super) fn tell(&self, given: &Given<'_>, candidates: &mut [Candidate]) {
        let by_station = self.by_station();
        let wants_second = given.wants_safety_boat();
        for index in 0..self.goers.len() {
            let Some(at) = self.goers.get(index).map(|goer| goer.at) else {
                continue;
            };
            let second = match wants_second {
                true => self.second(index, candidates),
                false => Second::NotAsked,
            };
            if let Some(candidate) = candidates.get_mut(at) {
                candidate.shared = self.shared(index);
                candidate.cover_left = Some(self.left(index, &by_station));
                candidate.second = second;
            }
        }
    }

    /// What there is not enough of for all that want it.
    fn shared(&self, index: usize) -> Vec<SharedWith> {
        let wants = self.goers.get(index).into_iter();
        wants
            .flat_map(|goer| &goer.wants)
            .filter_map(|(pool, _)| {
                let (what, there) = self.pools.get(*pool)?;
                let by = self.wanted_by.get(*pool)?;
                let all = by.iter().map(|other| self.need(*other, *pool));
                let all = all.fold(0_u32, u32::saturating_add);
                let with = by.iter().filter(|other| **other != index);
                let with: Vec<SubjectId> = with
                    .filter_map(|other| Some(self.goers.get(*other)?.craft))
                    .collect();
                let is_short = all > *there && !with.is_empty();
                is_short.then(|| SharedWith {
                    what: what.clone(),
                    there: *there,
                    with,
                })
            })
            .collect()
    }

    fn need(&self, index: usize, pool: usize) -> u32 {
        let wants = self.goers.get(index).into_iter();
        let mut wants = wants.flat_map(|goer| &goer.wants);
        wants
            .find(|(other, _)| *other == pool)
            .map_or(0, |(_, need)| *need)
    }

    /// What can still go, each alone, once one went.
    fn left(&self, index: usize, by_station: &BTreeMap<SubjectId, u32>) -> CoverLeft {
        let mut gone = BTreeSet::from([index]);
        let wants = self.goers.get(index).into_iter();
        for (pool, need) in wants.flat_map(|goer| &goer.wants) {
            let room = self.pools.get(*pool).map_or(0, |(_, room)| *room);
            let left = room.saturating_sub(*need);
            let by = self.wanted_by.get(*pool).into_iter().flatten();
            gone.extend(by.copied().filter(|other| self.need(*other, *pool) > left));
        }
        let mut less: BTreeMap<SubjectId, u32> = BTreeMap::new();
        for goer in gone.iter().filter_map(|other| self.goers.get(*other)) {
            if let Some(station) = goer.station {
                let before = by_station.get(&station).copied().unwrap_or(0);
                let left = less.entry(station).or_insert(before);
                *left = left.saturating_sub(1);
            }
        }
        let without = less.iter().filter(|(_, left)| **left == 0);
        CoverLeft {
            craft: u32::try_from(self.goers.len() - gone.len()).unwrap_or(u32::MAX),
            without: without.map(|(station, _)| *station).collect(),
            less: cover_of(&less),
        }
    }

    /// The earliest other that can go together with one.
    fn second(&self, index: usize, candidates: &[Candidate]) -> Second {
        let mut others = 0..self.goers.len();
        let found = others.find(|other| *other != index && self.fit(&[index, *other]));
        let of = |index: usize| candidates.get(self.goers.get(index)?.at);
        let Some((first, second)) = found.and_then(|other| of(index).zip(of(other))) else {
            return Second::None;
        };
        let both = first.time.total.zip(second.time.total);
        Second::Boat {
            craft: second.craft,
            number: second.number.clone(),
            both_total: both.map(|(one, other)| one.max(other)),
        }
    }
}

fn cover_of(by_station: &BTreeMap<SubjectId, u32>) -> Vec<StationCover> {
    let cover = by_station.iter().map(|(station, craft)| StationCover {
        station: *station,
        craft: *craft,
    });
    cover.collect()
}
