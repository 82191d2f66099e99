//! A plan as it is asked for: from the message to the county as it stands, the ways between its
//! stations, and the plan.

use std::collections::{BTreeMap, BTreeSet};

use sponson_proto::answer::v1 as answer;
use sponson_proto::service::v1::PlanKitMovesRequest;
use sponson_readiness::engine::{Question, Station};
use sponson_readiness::ids::{MissionId, SubjectId};
use sponson_readiness::kit_moves::{Keeps, KitAsked, KitMoves};
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::Policy;
use sponson_replica::{Now, Replica};
use sponson_show::Context;

use super::solve::{NODES_MAX, solve};
use crate::ask::mission;
use crate::distance::line;
use crate::refusal::Refusal;
use crate::without;

/// Missions that can be chosen: more than any boat standard has.
const MISSIONS_MAX: usize = 64;

/// A plan, and how to show it.
#[derive(Clone, Debug)]
pub struct Planned {
    /// The plan.
    pub moves: KitMoves,
    /// How to show it.
    pub ctx: Context,
}

/// Plans a day of kit moves. Nothing is recorded.
///
/// # Errors
/// When a mission is not known, or what is asked has no meaning for a plan.
pub fn plan(
    replica: &mut Replica,
    request: &PlanKitMovesRequest,
    now: &Now,
) -> Result<Planned, Refusal> {
    let asked = KitAsked {
        missions: missions(replica, &request.missions)?,
        keeps: match request.keep_chosen_only {
            true => Keeps::ChosenMissions,
            false => Keeps::EveryMission,
        },
    };
    let given = request.question.clone().unwrap_or_default();
    let question = question(replica, &given, now)?;
    let metres = metres(&replica.stations(question.now));
    let (as_of, known_by, county) = replica.kit_county(&question, &asked, metres);
    let solved = solve(&county.problem, NODES_MAX);
    Ok(Planned {
        moves: KitMoves {
            as_of,
            known_by,
            county,
            solved,
        },
        ctx: context(replica, now),
    })
}

fn missions(replica: &mut Replica, names: &[String]) -> Result<BTreeSet<MissionId>, Refusal> {
    if names.len() > MISSIONS_MAX {
        return Err(Refusal::field(
            format!(
                "missions has {}; at most {MISSIONS_MAX} are allowed",
                names.len()
            ),
            "name each once",
        ));
    }
    let mut missions = BTreeSet::new();
    for name in names {
        missions.extend(mission(replica, name.trim())?);
    }
    Ok(missions)
}

fn question(
    replica: &mut Replica,
    given: &answer::Question,
    now: &Now,
) -> Result<Question, Refusal> {
    let used = answer::Question {
        as_of_unix_ms: given.as_of_unix_ms,
        air_mc: given.air_mc,
        water_mc: given.water_mc,
        elevation_mm: given.elevation_mm,
        without: given.without.clone(),
        ..answer::Question::default()
    };
    if used != *given {
        return Err(Refusal::field(
            "question says more than moment, air, water, elevation and what is taken away"
                .to_owned(),
            "leave out the rest: a plan by day is made for these alone",
        ));
    }
    let now = Moment(replica.clock_worth(now).unix_ms);
    let without = given.without.as_ref();
    let without = without.map(|given| without::parse(replica, given, now));
    Ok(Question {
        without: without.transpose()?.unwrap_or_default(),
        air_mc: given.air_mc,
        water_mc: given.water_mc,
        elevation_mm: given.elevation_mm,
        ..Question::general(given.as_of_unix_ms.map_or(now, Moment), now)
    })
}

/// Whole metres between each two stations of which it is known where they are.
fn metres(stations: &BTreeMap<SubjectId, Station>) -> BTreeMap<(SubjectId, SubjectId), u32> {
    let placed: Vec<_> = stations
        .iter()
        .filter_map(|(id, station)| Some((*id, station.position?)))
        .collect();
    let mut metres = BTreeMap::new();
    for (at, (from, here)) in placed.iter().enumerate() {
        for (to, there) in placed.iter().skip(at + 1) {
            metres.insert((*from, *to), whole(line(*here, *there).distance_m));
        }
    }
    metres
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "no two places on Earth are further apart than 20 004 km"
)]
fn whole(metres: f64) -> u32 {
    metres.round() as u32
}

fn context(replica: &Replica, now: &Now) -> Context {
    let registry = replica.registry();
    let policy = registry.policy();
    let policy = policy.and_then(|(_, text)| Policy::parse(text).ok());
    let plain = Context::default();
    let stations = replica.stations(Moment(now.unix_ms)).into_iter();
    Context {
        units: policy.as_ref().map_or(plain.units, |policy| policy.units),
        utc_offset_min: policy.map_or(now.utc_offset_min, |policy| policy.utc_offset_min),
        stations: stations.map(|(id, station)| (id, station.name)).collect(),
        ..plain
    }
}
