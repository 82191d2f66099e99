//! A call-out: who can get to a place, when, with what.
//!
//! Every craft that was judged is a candidate; its readiness is taken as it stands. The ways are
//! given in: the engine knows no roads and measures no distance. A worse fact never moves a
//! candidate that can go earlier. Whoever is in charge decides who goes.

mod crew;
mod home;
mod kit;
mod settings;
mod sharing;
mod time;

use std::collections::BTreeSet;

use super::craft::{Answered, Work, stands_against};
use super::index::Index;
use super::{County, Question};
use crate::answer::order_of;
use crate::answer::{
    Asked, Call, Callout, CalloutAsked, Candidate, CraftAnswer, Effect, Finding, Hindrance,
    LaunchBy, Limit, Reach, Readiness, SaidAt, Second, Status, ToDo, Trips, Way,
};
use crate::ids::SubjectId;

/// What a call-out is a function of, beside the judged craft.
pub(super) struct Given<'a> {
    pub(super) county: &'a County<'a>,
    pub(super) question: &'a Question,
    pub(super) asked: &'a Asked,
    pub(super) callout: &'a CalloutAsked,
}

impl Given<'_> {
    fn way_from(&self, station: SubjectId) -> Way {
        let ways = &self.callout.ways;
        ways.get(&station).copied().unwrap_or(Way::NotKnown)
    }

    fn wants_safety_boat(&self) -> bool {
        let missions = &self.county.policy.callout.safety_boat;
        let mission = self.asked.mission.as_ref();
        mission.is_some_and(|mission| missions.contains(mission))
    }
}

/// Answers a call-out about craft that were judged.
pub(super) fn answer(given: &Given<'_>, index: &Index<'_>, answered: &[Answered]) -> Callout {
    let mut candidates: Vec<(Candidate, &Answered)> = answered
        .iter()
        .map(|one| (candidate(given, &one.answer), one))
        .collect();
    candidates.sort_by(|(one, _), (other, _)| one.order().cmp(&other.order()));
    kit::meet(given, index, &mut candidates);
    let pools = sharing::Pools::new(given, &candidates);
    let cover = pools.cover();
    let bring_home = home::together(given, &pools, &candidates);
    let mut candidates: Vec<Candidate> = candidates.into_iter().map(|(it, _)| it).collect();
    pools.tell(given, &mut candidates);
    Callout {
        settings: settings::used(given, &candidates),
        candidates,
        bring_home,
        safety_boat: given.wants_safety_boat(),
        cover,
    }
}

fn candidate(given: &Given<'_>, craft: &CraftAnswer) -> Candidate {
    let work = work(craft);
    let launch = time::launch_by(given, craft);
    let crew = crew::to_go(given, craft);
    let stations = craft.stations.iter().map(|station| SaidAt {
        station: *station,
        way: given.way_from(*station),
        time: time::from(given, craft, (*station, launch, crew.known), &work),
    });
    let mut stations: Vec<SaidAt> = stations.collect();
    // Of disputed stations the worse: it may have to come from there.
    stations.sort_by_key(|at| std::cmp::Reverse((order_of(at.way, &at.time), at.station)));
    let worst = stations.first().copied();
    let way = worst.map_or(Way::NotKnown, |at| at.way);
    let hindrances = hindrances(craft, way, launch, crew.known.doubt());
    let mut disputed = if stations.len() > 1 {
        stations
    } else {
        Vec::new()
    };
    disputed.sort_by_key(|at| at.station);
    Candidate {
        craft: craft.id,
        number: craft.number.clone(),
        station: worst.map(|at| at.station),
        reach: reach(craft.readiness, way, &hindrances),
        way,
        time: worst.map(|at| at.time).unwrap_or_default(),
        launch,
        crew,
        seats: seats(craft),
        trips: trips(craft),
        disputed,
        shared: Vec::new(),
        second: Second::NotAsked,
        at_ramp: Vec::new(),
        cover_left: None,
        hindrances,
        to_do: work.to_do.into_iter().cloned().collect::<Vec<ToDo>>(),
        whom_to_call: whom_to_call(given, craft),
    }
}

/// What stands against going, and what has to be done to a part before it is used.
fn work(craft: &CraftAnswer) -> Work<'_> {
    let comes_first = |finding: &&Finding| {
        let by_limit = match &finding.effect {
            Effect::Limit(Limit::TopUp(_) | Limit::LetOut(_)) => true,
            Effect::Limit(
                Limit::LetOutAtHome(_)
                | Limit::NoPower
                | Limit::DaylightOnly
                | Limit::NotFor(_)
                | Limit::OnlyFor(..)
                | Limit::CrewOnly
                | Limit::Rig(_)
                | Limit::DoSoon(_)
                | Limit::Trips(_)
                | Limit::Jackets
                | Limit::Crew(_)
                | Limit::Operator(_),
            )
            | Effect::Note
            | Effect::Unproven
            | Effect::NotReady => false,
        };
        by_limit || stands_against(finding)
    };
    Work::of(craft.why.iter().filter(comes_first))
}

fn reach(readiness: Readiness, way: Way, hindrances: &[Hindrance]) -> Reach {
    if !hindrances.is_empty() {
        return Reach::CannotGo;
    }
    match (readiness, way) {
        (Readiness::NotReady, _) | (_, Way::Closed) => Reach::CannotGo,
        (Readiness::Unproven, _) => Reach::NotChecked,
        (_, Way::Table { .. } | Way::Said { .. }) => Reach::ByTime,
        (_, Way::Straight { .. }) => Reach::ByLine,
        (_, Way::NotKnown) => Reach::WayNotKnown,
    }
}

fn hindrances(craft: &CraftAnswer, way: Way, launch: LaunchBy, doubt: u8) -> Vec<Hindrance> {
    let declared = match &craft.status {
        Status::Available => None,
        Status::Assigned { incident } => Some(Hindrance::Assigned {
            incident: incident.clone(),
        }),
        Status::OutOfService { .. } | Status::Condemned => Some(Hindrance::Declared),
    };
    let found = [
        (way == Way::Closed).then_some(Hindrance::WayClosed),
        (launch == LaunchBy::NoRamp).then_some(Hindrance::NoRamp),
        (doubt == 2).then_some(Hindrance::CrewShort),
        declared,
        craft.stations.is_empty().then_some(Hindrance::NoStation),
    ];
    found.into_iter().flatten().collect()
}

/// Nobody beyond the crew where that is a limit.
fn seats(craft: &CraftAnswer) -> Option<u32> {
    let load = craft.load.as_ref()?;
    if craft.limits.contains(&Limit::CrewOnly) {
        return Some(0);
    }
    Some(load.seats)
}

fn trips(craft: &CraftAnswer) -> Option<Trips> {
    let homeward = craft.load.as_ref()?.homeward.as_ref()?;
    let packed = &homeward.packed;
    if craft.limits.contains(&Limit::CrewOnly) {
        let everybody = homeward.groups.iter().map(|group| group.party.count);
        return Some(Trips {
            trips: 0,
            left_behind: everybody.fold(0, u32::saturating_add),
            is_fewest: true,
        });
    }
    Some(Trips {
        trips: u32::try_from(packed.trips.len()).unwrap_or(u32::MAX),
        left_behind: packed
            .left_behind
            .iter()
            .copied()
            .fold(0, u32::saturating_add),
        is_fewest: packed.is_fewest,
    })
}

fn whom_to_call(given: &Given<'_>, craft: &CraftAnswer) -> Vec<Call> {
    let stations: BTreeSet<SubjectId> = craft.stations.iter().copied().collect();
    let known = stations.into_iter().filter_map(|id| {
        let station = given.county.stations.get(&id)?;
        Some(Call {
            station: id,
            name: station.name.clone(),
            call: station.call.clone(),
        })
    });
    known.collect()
}
