//! What a device's clock is worth: by what syncs showed of it, by the count since its start, and by
//! the newest time that the county has shown.

mod ran_ahead;
mod set;

use sponson_readiness::answer::{AskerClock, Readiness, Rule};
use sponson_readiness::moment::Moment;
use sponson_replica::{ClockOffset, Inputs, NewEvent, Now};

use crate::asking::question;
use crate::county::{
    DAY, MINUTE, NORTH, Placed, START, craft_registered, event, found, join, north, sync,
};
use sponson_proto::event::v1::{self as wire, Kind};

const HOUR: i64 = 60 * MINUTE;

/// When the county stored the last entry of its founding: later than the sync here says.
const NEWEST: i64 = START + 6 * MINUTE;

/// The device's clocks: started so, so long since the start, showing so.
fn clocks(boot: u8, since_ms: i64, unix_ms: i64) -> Now {
    Now {
        unix_ms,
        utc_offset_min: 0,
        boot_id: [boot; 16],
        monotonic_ms: since_ms.unsigned_abs(),
    }
}

/// A station that synced at START with a clock that was off by so much, an hour after its start 1.
fn measured(county_minus_device_ms: i64) -> (Placed, Placed) {
    let (mut county, mut station) = (found(), join(north()));
    station.append(craft_registered("4-1", NORTH), START);
    sync(&mut station, &mut county, START);
    let offset = ClockOffset {
        county_minus_device_ms,
        round_trip_ms: 80,
        measured: clocks(1, HOUR, START - county_minus_device_ms),
    };
    let noted = station.replica.note_sync(offset);
    noted.expect("the store is whole");
    (county, station)
}

/// Found by the simulation, with a county whose battery went flat while it served.
#[test]
fn a_county_clock_before_what_it_has_shown_says_nothing_against_a_device() {
    let (_, mut station) = measured(0);
    let check = |station: &mut Placed, county_unix_ms: i64, doubt: AskerClock, unix_ms: i64| {
        let device = START + DAY;
        let offset = ClockOffset {
            county_minus_device_ms: county_unix_ms - device,
            round_trip_ms: 80,
            measured: clocks(2, HOUR, device),
        };
        let noted = station.replica.note_sync(offset);
        noted.expect("the store is whole");
        let worth = station.replica.clock_worth(&clocks(2, HOUR, device));
        assert_eq!((worth.doubt, worth.unix_ms), (doubt, unix_ms));
    };
    let right = START + DAY;
    check(&mut station, HOUR, AskerClock::NotDoubted, right);
    check(&mut station, START - HOUR, AskerClock::NotDoubted, right);
    let county_minus_device_ms = 2 * HOUR - DAY;
    let off = AskerClock::Off {
        county_minus_device_ms,
    };
    check(&mut station, START + 2 * HOUR, off, START + 2 * HOUR);
}

#[test]
fn what_is_known_against_a_clock() {
    let day = START + DAY;
    let off = |county_minus_device_ms| AskerClock::Off {
        county_minus_device_ms,
    };
    let was = |county_minus_device_ms, other| AskerClock::WasOff {
        county_minus_device_ms,
        other: Moment(other),
    };
    let behind = |behind_ms| AskerClock::BeforeCounty { behind_ms };
    let none = AskerClock::NotDoubted;
    let cases = [
        ("right", 0, clocks(1, HOUR + DAY, day), none, day),
        (
            "behind, and still",
            3 * HOUR,
            clocks(1, HOUR + DAY, day - 3 * HOUR),
            off(3 * HOUR),
            day,
        ),
        (
            "behind, and set since",
            3 * HOUR,
            clocks(1, HOUR + DAY, day),
            none,
            day,
        ),
        (
            "right, and set ahead since",
            0,
            clocks(1, HOUR + DAY, day + 365 * DAY),
            off(-365 * DAY),
            day,
        ),
        (
            "right, and dead since",
            0,
            clocks(1, HOUR + DAY, 0),
            off(day),
            day,
        ),
        (
            "started again, and was right",
            0,
            clocks(2, HOUR, day),
            none,
            day,
        ),
        (
            "started again, and was ahead",
            -25 * HOUR,
            clocks(2, HOUR, day),
            was(-25 * HOUR, NEWEST),
            day,
        ),
        (
            "started again, and dead",
            0,
            clocks(2, HOUR, 0),
            behind(NEWEST),
            NEWEST,
        ),
        (
            "the same start, but counted back",
            0,
            clocks(1, MINUTE, day),
            none,
            day,
        ),
    ];
    for (name, offset, now, doubt, unix_ms) in cases {
        let (_county, station) = measured(offset);
        let worth = station.replica.clock_worth(&now);
        assert_eq!((worth.doubt, worth.unix_ms), (doubt, unix_ms), "{name}");
        let station = station.reopen(north());
        assert_eq!(station.replica.clock_worth(&now), worth, "{name}, reopened");
    }
    let county = found();
    let worth = county.replica.clock_worth(&clocks(2, 0, 0));
    assert_eq!(worth.doubt, none, "nobody is nearer to the county's time");
}

fn checked() -> NewEvent {
    let full = wire::Check {
        extent: wire::CheckExtent::Full as i32,
        ..wire::Check::default()
    };
    event(Kind::Check, &full)
}

fn repaired() -> NewEvent {
    let payload = wire::Repair {
        part: "tube-1".to_owned(),
        method: "patch".to_owned(),
        holds: vec![wire::Hold {
            r#type: wire::HoldType::Launch as i32,
            duration_s: 86_400,
        }],
        ..wire::Repair::default()
    };
    event(Kind::Repair, &payload)
}

fn holds(station: &mut Placed, now: &Now) -> bool {
    let asked = question(now.unix_ms);
    let answer = station.replica.ask_by_clock(&asked, now);
    let craft = answer.craft.first().expect("the craft is known");
    craft.why.iter().any(|it| it.rule == Rule::HoldRuns)
}

#[test]
fn no_clock_of_the_asker_ends_a_hold_that_runs() {
    for (name, offset, now) in [
        ("right", 0, clocks(1, 3 * HOUR, START + 2 * HOUR)),
        ("set ahead", 0, clocks(1, 3 * HOUR, START + 27 * HOUR)),
        (
            "was ahead",
            -25 * HOUR,
            clocks(1, 3 * HOUR, START + 27 * HOUR),
        ),
        (
            "was ahead, started again",
            -25 * HOUR,
            clocks(2, HOUR, START + 27 * HOUR),
        ),
        ("dead", 0, clocks(2, HOUR, 0)),
    ] {
        let (mut county, mut station) = measured(offset);
        // One hour later; what the clock showed then is as far off as it was measured.
        let then = clocks(1, 2 * HOUR, START + HOUR - offset);
        let appended = station.replica.append(repaired(), &then);
        appended.expect("the event is right");
        assert!(holds(&mut station, &now), "{name}, not stored yet");
        sync(&mut station, &mut county, START + 2 * HOUR);
        assert!(holds(&mut station, &now), "{name}, stored");
        let over = clocks(1, 27 * HOUR, START + 26 * HOUR + 1);
        assert!(!holds(&mut station, &over), "{name}, and over at last");
    }
}

#[test]
fn a_clock_that_a_sync_showed_to_be_wrong_is_not_claimed() {
    let (mut county, mut station) = measured(-25 * HOUR);
    let ahead = clocks(1, 2 * HOUR, START + 26 * HOUR);
    let checked = station.replica.append(checked(), &ahead);
    let checked = checked.expect("the event is right").id;
    let held = station.replica.event(&checked).expect("its row is whole");
    let clock = held.expect("just appended").header().clock;
    assert_eq!(
        (clock.unix_ms, clock.monotonic_ms),
        (START + HOUR, 7_200_000)
    );
    // Stored so late that what the clock said would lie within what is known.
    sync(&mut station, &mut county, START + 30 * HOUR);
    let answer = county.replica.ask(&question(START + 30 * HOUR));
    assert_eq!(answer.craft[0].checked_at, Some(Moment(START + HOUR)));
}

#[test]
fn the_worse_of_two_possible_times_counts_for_each_craft() {
    let (_county, mut station) = measured(-40 * DAY);
    let now = clocks(1, HOUR, START + 40 * DAY);
    let checked = station.replica.append(checked(), &now);
    checked.expect("the event is right");
    let asked = |station: &mut Placed, now: &Now| {
        let answer = station.replica.ask_by_clock(&question(now.unix_ms), now);
        let rules: Vec<Rule> = answer.craft[0].why.iter().map(|it| it.rule).collect();
        (rules.contains(&Rule::CheckStale), answer.craft[0].readiness)
    };
    let (stale, _) = asked(&mut station, &now);
    assert!(!stale);
    // Started again: the clock may have been set right, or be 40 days ahead as before.
    let again = clocks(2, HOUR, START + 80 * DAY);
    let (stale, readiness) = asked(&mut station, &again);
    assert!(stale && readiness >= Readiness::Unproven);
    // What the answer lists is enough to give it again.
    let answer = station
        .replica
        .ask_by_clock(&question(again.unix_ms), &again);
    let heard = answer.stations.iter().map(|it| (it.id, it.last_heard));
    let inputs = Inputs {
        size: station.replica.tree().size(),
        beyond: station.replica.beyond(),
        heard: Some(heard.collect()),
        clock: answer.asked.clock,
    };
    let given = station.replica.ask_given(&question(again.unix_ms), &inputs);
    assert_eq!(given.answer, answer);
}
