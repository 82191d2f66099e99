//! What whoever reads an answer has to know of the replica that gives it, in words.

use sponson_log::begun::BegunReason;
use sponson_readiness::answer::ENGINE_VERSION;
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::Policy;
use sponson_replica::{Begun, Replica};
use sponson_show::clean;
use sponson_show::units::print;

use crate::clock::Clock;
use crate::county_clock::{AHEAD_DAYS, ClockDoubt, StationSaid, stations_say};
use crate::{programs, steady};

/// A station says for so long that the county came back: two weeks, in which it is heard of every
/// station that is not left. The county itself says it until every station was heard.
const SAID_AT_STATIONS_MS: i64 = 14 * 86_400_000;

/// The notes at a moment, milliseconds since 1970.
#[must_use]
pub fn of(replica: &Replica, now_unix_ms: i64) -> Vec<String> {
    let offset = utc_offset_min(replica);
    let begun = replica.begun().and_then(|begun| {
        if replica.is_county() {
            at_the_county(replica, &begun, offset)
        } else {
            let age = now_unix_ms.saturating_sub(begun.unix_ms);
            (age < SAID_AT_STATIONS_MS).then(|| at_a_station(&begun, offset))
        }
    });
    let mut notes: Vec<String> = begun.into_iter().collect();
    if replica.is_paused() {
        notes.push(
            "the county records nothing itself until the root key admits a new working key: \
             sponson-county renew-key --root-key FILE"
                .to_owned(),
        );
    }
    if replica.is_county() {
        let doubt = ClockDoubt::of(now_unix_ms, replica.newest_stored(), AHEAD_DAYS);
        notes.extend(doubt.map(ClockDoubt::words));
        notes.extend(of_stations(replica, now_unix_ms));
    }
    notes.extend(to_come(replica, Moment(now_unix_ms), offset));
    notes
}

/// The same of a replica that is served: also what was done to the clock meanwhile.
#[must_use]
pub fn served(replica: &Replica, clock: &Clock, now_unix_ms: i64) -> Vec<String> {
    let jumped = clock.jumped_ms().map(steady::words);
    let notes = of(replica, now_unix_ms);
    jumped.into_iter().chain(notes).collect()
}

/// What stations say of the county's clock, and which programs they run.
fn of_stations(replica: &Replica, now_unix_ms: i64) -> Vec<String> {
    let registered = replica.registry().stations();
    let mut said = Vec::new();
    let mut programs = Vec::new();
    for (station, clock) in replica.about().station_clocks {
        said.push(StationSaid {
            county_minus_station_ms: clock.apart_ms(),
            unix_ms: clock.received_unix_ms,
        });
        if let Some(facts) = registered.get(&station) {
            programs.push((facts.name.clone(), clock.program));
        }
    }
    programs.sort_by(|one, other| one.0.cmp(&other.0));
    let mut notes: Vec<String> = stations_say(&said, now_unix_ms).into_iter().collect();
    notes.extend(programs::said(&programs, ENGINE_VERSION));
    notes
}

/// What a county's clock left behind that ran ahead.
fn to_come(replica: &Replica, now: Moment, offset: i32) -> Vec<String> {
    let mut notes = Vec::new();
    let stored = replica.stored_to_come(now);
    if stored > 0 {
        notes.push(format!(
            "{} of the county log were stored at times that are still to come: the county's clock \
             ran ahead then, or this one is behind. No such time makes a check fresh or ends a hold",
            entries(stored)
        ));
    }
    let registered = replica.registry().stations();
    let heard: Vec<String> = replica
        .heard_to_come(now)
        .into_iter()
        .filter_map(|(station, at)| {
            let name = clean(&registered.get(&station)?.name);
            Some(format!("{name} ({})", print::local(at, offset)))
        })
        .collect();
    if !heard.is_empty() {
        notes.push(format!(
            "heard at a time that is still to come: {}. They count as not heard until they are \
             heard again",
            heard.join(", ")
        ));
    }
    notes
}

fn utc_offset_min(replica: &Replica) -> i32 {
    let policy = replica.registry().policy();
    let policy = policy.and_then(|(_, text)| Policy::parse(text).ok());
    policy.map_or(0, |policy| policy.utc_offset_min)
}

/// Said until every station was heard since.
fn at_the_county(replica: &Replica, begun: &Begun, offset: i32) -> Option<String> {
    if begun.to_hear.is_empty() && !replica.is_paused() {
        return None;
    }
    let mut said = happened(begun, offset);
    let stations = replica.registry().stations();
    for (station, given) in &begun.back {
        let name = stations
            .get(station)
            .map_or("a station", |facts| &facts.name);
        let were = if given.entries == 1 {
            "it is"
        } else {
            "they are"
        };
        said.push_str(&format!(
            "; {} held {} that the county had lost: {were} back",
            clean(name),
            entries(given.entries)
        ));
    }
    if !begun.to_hear.is_empty() {
        let names: Vec<String> = begun.to_hear.iter().map(|name| clean(name)).collect();
        said.push_str(&format!(
            "; what these hold may still be missing until they sync: {}",
            names.join(", ")
        ));
    }
    Some(said)
}

fn at_a_station(begun: &Begun, offset: i32) -> String {
    format!(
        "{}; what a station that did not sync since then holds may be missing here",
        happened(begun, offset)
    )
}

/// What happened, and when.
fn happened(begun: &Begun, offset: i32) -> String {
    let when = print::local(Moment(begun.unix_ms), offset);
    let held = begun.begun.old_tree.0;
    match begun.begun.reason {
        BegunReason::Restored => format!(
            "the county was restored on {when} from a backup of {}",
            entries(held)
        ),
        BegunReason::Shown { log, size, .. } if log == begun.begun.old_log => format!(
            "on {when} it was found that the county had been put back to an older state: it held {} \
             where it had signed for {size}",
            entries(held)
        ),
        BegunReason::Shown { .. } => format!(
            "on {when} it was found that the county had been put back to an older state: it held {} \
             of a log that it had left",
            entries(held)
        ),
        BegunReason::NotKnown => format!("the county log was begun anew on {when}"),
    }
}

/// `12 entries`, `1 entry`.
fn entries(number: u64) -> String {
    if number == 1 {
        "1 entry".to_owned()
    } else {
        format!("{number} entries")
    }
}
