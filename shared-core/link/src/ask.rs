//! A question as it comes over the wire, and what is needed to show its answer.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use sponson_log::event::SignedEvent;
use sponson_log::ids::EventId as LogEventId;
use sponson_log::registry::Registry;
use sponson_proto::answer::v1 as wire;
use sponson_proto::answer::v1::question::KnownBy;
use sponson_readiness::answer::CountyAnswer;
use sponson_readiness::conditions::Conditions;
use sponson_readiness::engine::Question;
use sponson_readiness::ids::{EventId, MissionId, SubjectId};
use sponson_readiness::moment::{CLOCK_TOLERANCE_MS, Moment};
use sponson_readiness::standard::Policy;
use sponson_readiness::without::Without;
use sponson_replica::{Answered, Knowing, Known, KnownError, Now, Replica};
use sponson_show::Context;
use sponson_show::clean;
use sponson_show::context::Witness;
use sponson_show::units::print;
use tonic::Code;

use crate::aboard;
use crate::callout;
use crate::catalogue::craft_numbers;
use crate::conditions;
use crate::refusal::Refusal;
use crate::together;
use crate::weather_report;
use crate::without;

/// Longest painted number or mission that is looked up.
const NAME_BYTES_MAX: usize = 64;

/// What the text beside an event belongs to that says why.
const WHY: &str = "why";

/// Numbers named in a refusal.
const NEAR_MAX: usize = 3;

/// A question that was answered, and how to show the answer.
#[derive(Debug)]
pub(crate) struct Given {
    /// The answer.
    pub(crate) answer: CountyAnswer,
    /// How to show it.
    pub(crate) ctx: Context,
    /// The beginning of the county log that was asked for; none for all that is held.
    pub(crate) known: Option<Known>,
    /// The one craft that was asked for.
    pub(crate) craft: Option<SubjectId>,
    /// How the place was taken, and what could not be used for it: a sentence each.
    pub(crate) notes: Vec<String>,
}

/// A question that was read.
pub(crate) struct Read {
    /// The question.
    pub(crate) question: Question,
    /// The beginning of the county log that was asked for; none for all that is held.
    known: Option<Known>,
    /// The one craft that was asked for.
    craft: Option<SubjectId>,
    /// How the place was taken, and what could not be used for it: a sentence each.
    notes: Vec<String>,
}

/// Reads a question; `places` is the file of launch places.
pub(crate) fn read(
    replica: &mut Replica,
    question: &wire::Question,
    now: &Now,
    places: Option<&Path>,
) -> Result<Read, Refusal> {
    let known = question.known_by.as_ref();
    let known = known
        .map(|known| known_by(replica, known, now))
        .transpose()?;
    let moment = Moment(now.unix_ms);
    let as_of = known.map_or(moment, |known| known.at);
    let craft = match question.craft.trim() {
        "" => None,
        number => Some(subject_of(replica, number)?),
    };
    let as_of = question.as_of_unix_ms.map_or(as_of, Moment);
    let mut conditions = match &question.conditions {
        Some(given) => conditions::parse(given)?,
        None => Conditions::default(),
    };
    let launch = callout::launch(question, conditions.position, places)?;
    conditions.position = launch.position();
    let mut air_mc = question.air_mc;
    let report = match question.weather_report.trim() {
        "" => None,
        text => {
            let report = weather_report::read(text, judged_at(replica, as_of, now))?;
            Some(weather_report::fill(report, &mut air_mc, &mut conditions))
        }
    };
    let without = match &question.without {
        Some(given) => without::parse(replica, given, moment)?,
        None => Without::default(),
    };
    if craft.is_some_and(|craft| without.craft.contains(&craft)) {
        return Err(Refusal::field(
            format!(
                "craft '{}' is asked for and taken away",
                clean(question.craft.trim())
            ),
            "ask for another, or without taking it away",
        ));
    }
    conditions.light = conditions::light(&conditions, may_be_judged(replica, as_of, now));
    let question = Question {
        as_of,
        now: moment,
        craft,
        mission: mission(replica, question.mission.trim())?,
        air_mc,
        water_mc: question.water_mc,
        elevation_mm: question.elevation_mm,
        crew: aboard::crew(question.crew.as_ref())?,
        people: aboard::people(&question.people)?,
        conditions,
        together: question
            .together
            .as_ref()
            .map(|asked| together::parse(asked, &replica.stations(moment)))
            .transpose()?,
        weather_report: report,
        without,
        callout: question
            .callout
            .as_ref()
            .map(|asked| callout::parse(asked, &launch, &replica.stations(moment)))
            .transpose()?,
    };
    Ok(Read {
        question,
        known,
        craft,
        notes: launch.into_notes(),
    })
}

/// Asks a replica; `places` is the file of launch places.
pub(crate) fn ask(
    replica: &mut Replica,
    question: &wire::Question,
    now: &Now,
    places: Option<&Path>,
) -> Result<Given, Refusal> {
    let Read {
        question,
        known,
        craft,
        notes,
    } = read(replica, question, now, places)?;
    let Some(known) = known else {
        let answer = replica.ask_by_clock(&question, now);
        let ctx = context(replica, replica.registry(), &answer, now.utc_offset_min);
        return Ok(Given {
            answer,
            ctx,
            known,
            craft,
            notes,
        });
    };
    let Answered { answer, registry } = replica.ask_known(&question, known);
    let ctx = context(replica, &registry, &answer, 0);
    Ok(Given {
        answer,
        ctx,
        known: Some(known),
        craft,
        notes,
    })
}

/// The moments that a question may be judged at: where the clock of the device is in doubt, others
/// than the one that is asked for.
fn may_be_judged(replica: &Replica, as_of: Moment, now: &Now) -> BTreeSet<Moment> {
    let mut moments = BTreeSet::from([as_of]);
    if as_of == Moment(now.unix_ms) {
        let worth = replica.clock_worth(now);
        moments.insert(Moment(worth.unix_ms));
        moments.extend(worth.doubt.other());
        moments.extend(replica.newest_shown().map(Moment).filter(|it| *it > as_of));
    }
    moments
}

/// The moment that is judged: where it is now, the best that is known of the time.
fn judged_at(replica: &Replica, as_of: Moment, now: &Now) -> Moment {
    if as_of != Moment(now.unix_ms) {
        return as_of;
    }
    let worth = Moment(replica.clock_worth(now).unix_ms);
    let shown = replica.newest_shown().map(Moment);
    let ahead = shown.filter(|shown| shown.since(worth) > CLOCK_TOLERANCE_MS);
    ahead.unwrap_or(worth)
}

/// The beginning of the county log that is asked for.
pub(crate) fn known_by(replica: &Replica, known_by: &KnownBy, now: &Now) -> Result<Known, Refusal> {
    let now = Moment(now.unix_ms);
    let knowing = match known_by {
        KnownBy::KnownBySize(size) => Knowing::Size(*size),
        KnownBy::KnownByUnixMs(ms) => Knowing::Time(Moment(*ms)),
    };
    replica.known(knowing, now).map_err(|error| {
        let utc = |moment| format!("{} UTC", print::local(moment, 0));
        let (what, to_do) = match error {
            KnownError::NoLog => (
                "known-by needs the county log, and nothing of it is held here".to_owned(),
                "sync first".to_owned(),
            ),
            KnownError::Nothing => (
                "known-by size is 0".to_owned(),
                "it must be at least 1".to_owned(),
            ),
            KnownError::Beyond { size, held } => (
                format!("known-by size is {size}; {held} entries of the county log are held here"),
                format!("ask for at most {held}, or sync"),
            ),
            KnownError::Before { time, first } => (
                format!(
                    "known-by time is {}; the county stored its first entry at {}",
                    utc(time),
                    utc(first)
                ),
                "ask for that time or a later one".to_owned(),
            ),
            KnownError::After { time, last } => (
                format!(
                    "known-by time is {}; what the county stored is known here until {}",
                    utc(time),
                    utc(last)
                ),
                "ask for that time or an earlier one, or sync".to_owned(),
            ),
        };
        Refusal::new(Code::OutOfRange, "KNOWN_BY_OUT_OF_RANGE", what, to_do)
    })
}

/// The mission of a name; none when nothing was given. A slip in the name would otherwise be judged
/// as a mission that no craft serves.
pub(crate) fn mission(replica: &mut Replica, name: &str) -> Result<Option<MissionId>, Refusal> {
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

pub(crate) fn short(field: &str, name: &str, to_do: &str) -> Result<(), Refusal> {
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
pub(crate) fn subject_of(replica: &mut Replica, number: &str) -> Result<SubjectId, Refusal> {
    short(
        "craft",
        number,
        "give the number as it is painted on the craft",
    )?;
    let known = craft_numbers(replica);
    if let Some((_, subject)) = known.iter().find(|(_, id)| is_named(number, *id)) {
        return Ok(*subject);
    }
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

/// Whether `#` and all digits of a craft's id name it: so is one asked for whose number another
/// carries as well.
fn is_named(name: &str, id: SubjectId) -> bool {
    name.strip_prefix('#')
        .is_some_and(|digits| digits.eq_ignore_ascii_case(&id.to_string()))
}

/// Up to three names that differ the least: at most two slips, or one begins the other.
pub(crate) fn near<'a>(number: &str, known: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
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

/// How to show an answer that was given by a registry. Where that has no policy, local time is
/// the one given.
pub(crate) fn context(
    replica: &Replica,
    registry: &Registry,
    answer: &CountyAnswer,
    utc_offset_min: i32,
) -> Context {
    let policy = registry.policy();
    let policy = policy.and_then(|(_, text)| Policy::parse(text).ok());
    let plain = Context::default();
    Context {
        units: policy.as_ref().map_or(plain.units, |policy| policy.units),
        utc_offset_min: policy.map_or(utc_offset_min, |policy| policy.utc_offset_min),
        witnesses: witnesses(replica, registry, answer),
        stations: answer
            .stations
            .iter()
            .map(|station| (station.id, station.name.clone()))
            .collect(),
    }
}

/// Who recorded the events that an answer rests on. One that cannot be read is left out: `verify`
/// names it.
fn witnesses(
    replica: &Replica,
    registry: &Registry,
    answer: &CountyAnswer,
) -> BTreeMap<EventId, Witness> {
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
            let station = registry.station_of(&header.key);
            let facts = station.and_then(|station| registry.stations().get(&station));
            let observed = header.observed.map_or(header.clock.unix_ms, |(_, to)| to);
            let witness = Witness {
                station: facts.map(|facts| facts.name.clone()).unwrap_or_default(),
                member: header.member.clone(),
                at: Moment(observed),
                why: why(&event),
            };
            Some((id, witness))
        })
        .collect()
}

/// The text beside an event that says why it was decided so; empty when there is none here.
fn why(event: &SignedEvent) -> String {
    let mut beside = (0_u32..).zip(&event.header().beside);
    let index = beside
        .find(|(_, it)| it.belongs_to == WHY)
        .map(|(at, _)| at);
    let mut contents = event.beside().iter();
    let text = contents.find(|content| Some(content.index) == index);
    text.map(|it| String::from_utf8_lossy(&it.content).into_owned())
        .unwrap_or_default()
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
