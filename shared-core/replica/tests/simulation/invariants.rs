//! What has to be true, each a function named after its fact.

use std::collections::{BTreeMap, BTreeSet};

use sponson_log::checkpoint::Checkpoint;
use sponson_log::ids::{EventId, SubjectId};
use sponson_log::trust::Trust;
use sponson_proto::store::v1::ChunkSource;
use sponson_readiness::answer::{CountyAnswer, Readiness};
use sponson_readiness::engine::Question;
use sponson_readiness::moment::{CLOCK_TOLERANCE_MS, Moment};
use sponson_replica::{Founding, Inputs, LogLine, Replica, SimulatedDisk};

use crate::clock::DAY;
use crate::device::{Device, Sort};
use crate::facts::Facts;
use crate::machine::{key, lines};
use crate::said;
use crate::tally::Tally;
use crate::world::World;

/// Held, or in words why not.
pub(crate) type Held = Result<(), String>;

/// The question that everybody asks.
pub(crate) fn question(unix_ms: i64) -> Question {
    Question {
        air_mc: Some(15_000),
        water_mc: Some(12_000),
        ..Question::general(Moment(unix_ms), Moment(unix_ms))
    }
}

fn held(fact: bool, otherwise: impl FnOnce() -> String) -> Held {
    if fact { Ok(()) } else { Err(otherwise()) }
}

/// What a machine said that it keeps is there, whatever happened to its power since.
pub(crate) fn nothing_acknowledged_is_lost(
    name: &str,
    replica: &Replica,
    acknowledged: &BTreeSet<EventId>,
) -> Held {
    let lost = acknowledged.iter().find(|id| !replica.holds(id));
    held(lost.is_none(), || {
        format!("nothing_acknowledged_is_lost: {name} lost {lost:?}")
    })
}

/// Every checkpoint of its log that was given is of the log as it is held.
pub(crate) fn every_checkpoint_given_stays_true(
    name: &str,
    replica: &Replica,
    given: &[Checkpoint],
) -> Held {
    let tree = replica.tree();
    let given = given.iter().filter(|it| Some(it.log) == replica.log_id());
    let mut reached = given.clone().filter(|it| it.size <= tree.size());
    let other = reached.find(|it| tree.root_at(it.size) != Some(it.root));
    let forgotten = replica.is_county() && given.clone().any(|it| it.size > tree.size());
    held(other.is_none() && !forgotten, || {
        format!(
            "every_checkpoint_given_stays_true: {name} holds {} entries and contradicts {other:?}",
            tree.size()
        )
    })
}

/// No replica holds an event twice, lists it twice, or holds what nobody signed.
pub(crate) fn no_event_twice(name: &str, replica: &Replica, forged: &BTreeSet<EventId>) -> Held {
    let lines = lines(replica);
    let ids: BTreeSet<EventId> = lines.iter().map(|line| line.event.id()).collect();
    let places: BTreeSet<u64> = ids
        .iter()
        .filter_map(|id| replica.place(id))
        .map(|place| place.0)
        .collect();
    held(ids.len() == lines.len(), || {
        format!("no_event_twice: {name} holds one twice")
    })?;
    held(places.len() as u64 == replica.tree().size(), || {
        format!("no_event_twice: {name} lists one twice")
    })?;
    let kept = forged.intersection(&ids).next();
    held(kept.is_none(), || {
        format!("no_event_twice: {name} keeps forged {kept:?}")
    })
}

/// Rows, ids, signatures, chains, references and the root are what they were.
pub(crate) fn everything_verifies(name: &str, replica: &Replica) -> Held {
    let wrong = replica.verify(&mut |_, _| ()).wrong;
    // That a chain parts is no fault of the store.
    let wrong = wrong.iter().find(|line| !line.contains("parts in two"));
    held(wrong.is_none(), || {
        format!("everything_verifies: {name} does not: {wrong:?}")
    })
}

/// What an asker is told to have heard of a station, it holds: so a craft that is unfit by what
/// its station knows is never shown as fit beside a time of hearing that is later than the reason.
pub(crate) fn unfit_is_never_hidden_by_a_delay(world: &World, asker: Option<usize>) -> Held {
    let machine = match asker {
        Some(device) => &world.devices[device].machine,
        None => &world.county,
    };
    let Some(replica) = &machine.replica else {
        return Ok(());
    };
    let stations = replica.stations(Moment(machine.now(world.now).unix_ms));
    // When a station was heard is what the county's clock said. One that is far ahead is seen through
    // by whoever asks by a clock that is right; one that is ahead by so little that the time comes to
    // where it stood is not.
    let clock = &world.county.clock;
    let seen_through = machine.clock.always_right && !clock.was_ahead_by_days;
    if !clock.always_right && !seen_through {
        return Ok(());
    }
    for device in &world.devices {
        let station = stations
            .iter()
            .find(|(id, _)| id.as_bytes() == device.station.as_bytes());
        let heard = station.and_then(|(_, station)| station.last_heard);
        let Some(Moment(heard)) = heard.filter(|_| can_tell(world, device)) else {
            continue;
        };
        let by_then = device.recorded.iter();
        let missing = by_then
            .filter(|(_, at)| at + CLOCK_TOLERANCE_MS < heard)
            .find(|(id, _)| !replica.holds(id));
        held(missing.is_none(), || {
            format!(
                "unfit_is_never_hidden_by_a_delay: {} says it heard {} at {heard}, and lacks {missing:?}",
                machine.name, device.machine.name
            )
        })?;
    }
    Ok(())
}

/// Whether the time of a device's events tells what its station knew by then: it stands alone
/// there, nobody else writes with its key, and its clock was right.
fn can_tell(world: &World, device: &Device) -> bool {
    let at_station = world.devices.iter();
    let alone = at_station.filter(|it| it.station == device.station).count() == 1;
    alone && device.sort == Sort::Honest && device.is_only_one && device.machine.clock.always_right
}

/// Once all met: every fact that makes a craft unfit, found by counting the events of the county
/// log without the code that is tried here, makes it unfit in the answer.
pub(crate) fn unfit_is_never_hidden_by_a_merge(
    lines: &[LogLine],
    answer: &CountyAnswer,
    tally: &mut Tally,
) -> Held {
    let facts = Facts::of(lines);
    for line in lines {
        let counts = facts.counts(&line.event);
        held(counts == (line.trust == Trust::Trusted), || {
            let (id, trust) = (line.event.id(), line.trust);
            format!("unfit_is_never_hidden: {id} is {trust:?}, but counted out it is not so")
        })?;
        if !counts {
            tally.count("events untrusted at the end");
        }
    }
    for craft in &answer.craft {
        let id = SubjectId::from_bytes(*craft.id.as_bytes());
        let (worst, why) = facts.at_best(&id, tally);
        held(craft.readiness >= worst, || {
            format!(
                "unfit_is_never_hidden: craft {} is {:?}, at best {worst:?}: {why}",
                craft.number, craft.readiness
            )
        })?;
        tally.count(match craft.readiness {
            Readiness::Ready => "answers ready",
            Readiness::ReadyWithLimits => "answers with limits",
            Readiness::Unproven => "answers unproven",
            Readiness::NotReady => "answers not ready",
        });
    }
    Ok(())
}

/// What two replicas that hold the same county log have in common: everything.
#[derive(Debug, PartialEq)]
pub(crate) struct Same {
    pub(crate) records: Vec<Vec<u8>>,
    pub(crate) answers: Vec<CountyAnswer>,
    trusts: BTreeMap<EventId, Trust>,
}

impl Same {
    /// What a replica says when all stations were heard just now.
    /// Also as it stands at a moment that some of the log is still to come at, when a clock of the
    /// county was wrong.
    pub(crate) fn of(
        replica: &mut Replica,
        (unix_ms, true_ms): (i64, i64),
    ) -> Result<Self, String> {
        for number in 1..=4 {
            let heard = replica.heard(said::station(number), unix_ms);
            heard.map_err(|error| error.to_string())?;
        }
        let mut earlier = question(unix_ms);
        earlier.as_of = Moment(unix_ms - 2 * DAY);
        let inputs = Inputs {
            size: replica.tree().size(),
            ..Inputs::default()
        };
        let now = replica.ask_given(&question(true_ms), &inputs).answer;
        let records = replica.records().values();
        Ok(Self {
            records: records.map(|record| record.canonical()).collect(),
            answers: vec![replica.ask(&question(unix_ms)), replica.ask(&earlier), now],
            trusts: lines(replica)
                .iter()
                .map(|line| (line.event.id(), line.trust))
                .collect(),
        })
    }
}

impl Same {
    /// Whether another holds the same events, and takes them for as good.
    pub(crate) fn same_events(&self, name: &str, everywhere: &Self) -> Held {
        held(self.trusts == everywhere.trusts, || {
            let both = self
                .trusts
                .iter()
                .filter(|it| everywhere.trusts.get(it.0) != Some(it.1));
            let other: Vec<_> = both.collect();
            format!("same_events: {name} has other trust or events: {other:?}")
        })
    }
}

/// Whoever holds the same county log holds the same records and gives the same answer.
pub(crate) fn same_answer_everywhere(
    name: &str,
    here: &Same,
    replica: &Replica,
    (everywhere, county): (&Same, &Replica),
) -> Held {
    let broken = |what: &str| Err(format!("same_answer_everywhere: {name} has other {what}"));
    if here.trusts != everywhere.trusts {
        let other: Vec<_> = here
            .trusts
            .iter()
            .filter(|(id, trust)| everywhere.trusts.get(*id) != Some(*trust))
            .collect();
        return broken(&format!("trust or events: {other:?}"));
    }
    if replica.registry() != county.registry() {
        return broken("registry");
    }
    if replica.chains() != county.chains() {
        return broken("chains");
    }
    if replica.tree().edge().root() != county.tree().edge().root() {
        return broken("root");
    }
    if here.records != everywhere.records {
        return broken("records");
    }
    if here.answers != everywhere.answers {
        return broken("answers");
    }
    Ok(())
}

/// Without the newest statements that are not trusted no craft is worse off: they only added. Where
/// leaving them out changes what is trusted of the rest (a chain parts by one of them), a craft
/// that is unfit without them is at least not fit with them.
pub(crate) fn untrusted_never_relieves(
    lines: &[LogLine],
    with: &CountyAnswer,
    unix_ms: i64,
    tally: &mut Tally,
) -> Held {
    let without = without_untrusted(lines);
    if without.len() == lines.len() {
        return Ok(());
    }
    tally.count("untrusted tail left out again");
    let mut replica = county_of(&without)?;
    // Where its clock ran ahead and is right again, that is known of this one as of the other.
    let said = replica.say_clock_is_right(unix_ms);
    said.map_err(|error| error.to_string())?;
    let kept = crate::machine::lines(&replica);
    let same_trust = kept
        .iter()
        .zip(&without)
        .all(|(kept, line)| kept.trust == line.trust);
    for number in 1..=4 {
        let heard = replica.heard(said::station(number), unix_ms);
        heard.map_err(|error| error.to_string())?;
    }
    let without = replica.ask(&question(unix_ms));
    for craft in &with.craft {
        let before = without.craft.iter().find(|it| it.id == craft.id);
        let Some(before) = before.map(|it| it.readiness) else {
            continue;
        };
        let relieved = if same_trust {
            craft.readiness < before
        } else {
            is_fit(craft.readiness) && !is_fit(before)
        };
        held(!relieved, || {
            format!(
                "untrusted_never_relieves: craft {} is {:?} with what nobody trusts, {before:?} without",
                craft.number, craft.readiness
            )
        })?;
    }
    Ok(())
}

const fn is_fit(readiness: Readiness) -> bool {
    matches!(readiness, Readiness::Ready | Readiness::ReadyWithLimits)
}

/// The lines without what is not trusted and nothing trusted refers to.
fn without_untrusted(lines: &[LogLine]) -> Vec<&LogLine> {
    let mut needed: BTreeSet<EventId> = BTreeSet::new();
    let mut left = Vec::new();
    for line in lines.iter().rev() {
        let event = &line.event;
        if line.trust == Trust::Trusted || needed.contains(&event.id()) {
            needed.extend(event.header_references());
            needed.extend(event.payload_references());
            left.push(line);
        }
    }
    left.reverse();
    left
}

/// A county that kept these at the times at which the real one did.
fn county_of(lines: &[&LogLine]) -> Result<Replica, String> {
    let founding = Founding::County {
        county: said::county_id(),
        root: said::root_key(),
        log: sponson_log::ids::LogId::from_bytes([0xbb; 16]),
    };
    let replica =
        Replica::create_simulated(&SimulatedDisk::default(), &founding, key(said::WORKING));
    let mut replica = replica.map_err(|error| error.to_string())?;
    for line in lines {
        let received = line.received_unix_ms.unwrap_or_default();
        let times = BTreeMap::from([(line.event.id(), received)]);
        let events = vec![line.event.clone()];
        let kept = replica.keep_stored(events, &times, ChunkSource::Own, received);
        let kept = kept.map_err(|error| error.to_string())?;
        held(kept.refused.is_empty(), || format!("{:?}", kept.refused))?;
    }
    Ok(replica)
}
