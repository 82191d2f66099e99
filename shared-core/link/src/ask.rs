//! A question as it comes over the wire, and what is needed to show its answer.

use std::collections::{BTreeMap, BTreeSet};

use sponson_log::ids::EventId as LogEventId;
use sponson_proto::answer::v1 as wire;
use sponson_readiness::answer::CountyAnswer;
use sponson_readiness::engine::Question;
use sponson_readiness::ids::{EventId, MissionId, SubjectId};
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::Policy;
use sponson_replica::{Now, Replica};
use sponson_show::Context;
use sponson_show::context::Witness;
use tonic::Code;

use crate::catalogue::craft_numbers;
use crate::refusal::Refusal;

/// Longest painted number or mission that is looked up.
const NAME_BYTES_MAX: usize = 64;

/// Numbers named in a refusal.
const NEAR_MAX: usize = 3;

/// Asks a replica.
pub(crate) fn ask(
    replica: &mut Replica,
    question: wire::Question,
    now: &Now,
) -> Result<(CountyAnswer, Context), Refusal> {
    let question = read(replica, question, now)?;
    let answer = replica.ask(&question);
    let context = context(replica, &answer, now);
    Ok((answer, context))
}

fn read(replica: &mut Replica, question: wire::Question, now: &Now) -> Result<Question, Refusal> {
    let craft = match question.craft.trim() {
        "" => None,
        number => Some(subject_of(replica, number)?),
    };
    let now = Moment(now.unix_ms);
    Ok(Question {
        as_of: question.as_of_unix_ms.map_or(now, Moment),
        now,
        craft,
        mission: mission(replica, question.mission.trim())?,
        air_mc: question.air_mc,
        water_mc: question.water_mc,
        elevation_mm: question.elevation_mm,
    })
}

/// The mission of a name; none when nothing was given. A slip in the name would otherwise be judged
/// as a mission that no craft serves.
fn mission(replica: &mut Replica, name: &str) -> Result<Option<MissionId>, Refusal> {
    if name.is_empty() {
        return Ok(None);
    }
    short("mission", name, "give one of a boat standard")?;
    let known = replica.missions();
    let mut ids = known.iter();
    if let Some(same) = ids.find(|id| id.as_str().eq_ignore_ascii_case(name)) {
        return Ok(Some(same.clone()));
    }
    if known.is_empty() {
        return Ok(Some(name.into()));
    }
    let ids = || known.iter().map(|id| id.as_str());
    let to_do = match near(name, ids()).as_slice() {
        [] => format!(
            "the boat standards here have {}",
            ids().collect::<Vec<_>>().join(", ")
        ),
        near => format!("did you mean {}?", near.join(" or ")),
    };
    Err(Refusal::new(
        Code::NotFound,
        "MISSION_NOT_KNOWN",
        format!("no boat standard here has a mission '{name}'"),
        to_do,
    ))
}

fn short(field: &str, name: &str, to_do: &str) -> Result<(), Refusal> {
    if name.len() <= NAME_BYTES_MAX {
        return Ok(());
    }
    let length = name.len();
    Err(Refusal::field(
        format!("{field} has {length} bytes; at most {NAME_BYTES_MAX} are allowed"),
        to_do,
    ))
}

/// The craft that carries a painted number.
fn subject_of(replica: &mut Replica, number: &str) -> Result<SubjectId, Refusal> {
    short(
        "craft",
        number,
        "give the number as it is painted on the craft",
    )?;
    let known = craft_numbers(replica);
    let exact = known.iter().find(|(painted, _)| painted == number);
    let same = exact.or_else(|| {
        known
            .iter()
            .find(|(painted, _)| painted.eq_ignore_ascii_case(number))
    });
    if let Some((_, subject)) = same {
        return Ok(*subject);
    }
    let near = near(number, known.iter().map(|(painted, _)| painted.as_str()));
    let to_do = match near.as_slice() {
        [] => "sync first, or list the craft that are known".to_owned(),
        near => format!("did you mean {}?", near.join(" or ")),
    };
    Err(Refusal::new(
        Code::NotFound,
        "CRAFT_NOT_KNOWN",
        format!("no craft with the number '{number}' is known here"),
        to_do,
    ))
}

/// Up to three numbers that differ the least: at most two slips, or one begins the other.
fn near<'a>(number: &str, known: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    let wanted = number.to_lowercase();
    let mut found: Vec<(usize, &str)> = known
        .filter_map(|painted| {
            let lower = painted.to_lowercase();
            let begins = lower.starts_with(&wanted) || wanted.starts_with(&lower);
            let slips = slips(&wanted, &lower);
            (slips <= 2 || begins).then_some((slips, painted))
        })
        .collect();
    found.sort_unstable();
    found.dedup();
    found
        .into_iter()
        .take(NEAR_MAX)
        .map(|(_, painted)| painted)
        .collect()
}

/// Characters to change, add or leave out (Levenshtein).
fn slips(one: &str, other: &str) -> usize {
    let other: Vec<char> = other.chars().take(NAME_BYTES_MAX).collect();
    let mut row: Vec<usize> = (0..=other.len()).collect();
    for (index, a) in one.chars().enumerate() {
        let mut diagonal = std::mem::replace(&mut row[0], index + 1);
        for (place, b) in other.iter().enumerate() {
            let changed = diagonal + usize::from(a != *b);
            diagonal = row[place + 1];
            row[place + 1] = changed.min(row[place] + 1).min(diagonal + 1);
        }
    }
    row.last().copied().unwrap_or(0)
}

fn context(replica: &Replica, answer: &CountyAnswer, now: &Now) -> Context {
    let policy = replica
        .registry()
        .policy()
        .and_then(|(_, text)| Policy::parse(text).ok());
    let plain = Context::default();
    Context {
        units: policy.as_ref().map_or(plain.units, |policy| policy.units),
        utc_offset_min: policy.map_or(now.utc_offset_min, |policy| policy.utc_offset_min),
        witnesses: witnesses(replica, answer),
        stations: answer
            .stations
            .iter()
            .map(|station| (station.id, station.name.clone()))
            .collect(),
    }
}

/// Who recorded the events that an answer rests on. One that cannot be read is left out: `verify`
/// names it.
fn witnesses(replica: &Replica, answer: &CountyAnswer) -> BTreeMap<EventId, Witness> {
    let rests_on: BTreeSet<EventId> = answer
        .craft
        .iter()
        .flat_map(|craft| craft.why.iter())
        .flat_map(|finding| finding.evidence.iter().copied())
        .collect();
    rests_on
        .into_iter()
        .filter_map(|id| {
            let known = replica.event(&LogEventId::from_bytes(*id.as_bytes()));
            let event = known.ok().flatten()?;
            let header = event.header();
            let station = replica.registry().station_of(&header.key);
            let facts = station.and_then(|station| replica.registry().stations().get(&station));
            let observed = header.observed.map_or(header.clock.unix_ms, |(_, to)| to);
            let witness = Witness {
                station: facts.map(|facts| facts.name.clone()).unwrap_or_default(),
                member: header.member.clone(),
                at: Moment(observed),
            };
            Some((id, witness))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_are_counted() {
        let cases = [
            ("", "", 0),
            ("21", "21", 0),
            ("21", "22", 1),
            ("boat 21", "boat21", 1),
            ("21", "12", 2),
            ("abc", "", 3),
        ];
        for (one, other, wanted) in cases {
            assert_eq!(slips(one, other), wanted, "{one} {other}");
            assert_eq!(slips(other, one), wanted, "{other} {one}");
        }
    }

    #[test]
    fn near_numbers_are_named_the_nearest_first() {
        let known = ["Marsh 21", "Marsh 22", "Ridge 7", "Marsh 21A"];
        let found = near("marsh 21b", known.into_iter());
        assert_eq!(found, ["Marsh 21", "Marsh 21A", "Marsh 22"]);
        assert!(near("quay 400", known.into_iter()).is_empty());
    }
}
