//! A county whose own clock ran ahead for a while: no station is heard and no check is fresh by it,
//! and once somebody says that it is right again everything goes on.

use std::collections::BTreeMap;

use sponson_log::ids::LogId;
use sponson_log::sign::DeviceKey;
use sponson_readiness::answer::{CountyAnswer, Rule};
use sponson_readiness::moment::Moment;
use sponson_replica::{ClockOffset, Inputs, NewEvent, StoreError};

use super::{HOUR, checked, clocks, repaired};
use crate::asking::question;
use crate::county::{
    DAY, MINUTE, NORTH, Placed, SOUTH, START, craft_registered, found, join, next_run, north, now,
    south, sync, working,
};

/// Where the county's clock stood while it was wrong.
const AHEAD: i64 = START + 365 * DAY;

fn trade(id: sponson_log::ids::SubjectId) -> sponson_readiness::ids::SubjectId {
    sponson_readiness::ids::SubjectId::from_bytes(*id.as_bytes())
}

fn heard(placed: &Placed, id: sponson_log::ids::SubjectId, unix_ms: i64) -> Option<i64> {
    let stations = placed.replica.stations(Moment(unix_ms));
    stations[&trade(id)].last_heard.map(|at| at.0)
}

#[test]
fn a_station_that_was_heard_at_a_time_to_come_counts_as_not_heard() {
    let (mut county, later) = (found(), START + DAY);
    let note = |county: &mut Placed, at: i64| {
        let noted = county.replica.heard(SOUTH, at);
        noted.expect("the store is whole");
    };
    // Minutes are how clocks differ; more is a time that nobody has come to.
    note(&mut county, later + 10 * MINUTE);
    assert_eq!(heard(&county, SOUTH, later), Some(later + 10 * MINUTE));
    assert_eq!(county.replica.heard_to_come(Moment(later)), BTreeMap::new());
    note(&mut county, later + 10 * MINUTE + 1);
    assert_eq!(heard(&county, SOUTH, later), None);
    note(&mut county, AHEAD);
    let mut county = county.reopen(working());
    let to_come = BTreeMap::from([(SOUTH, Moment(AHEAD))]);
    assert_eq!(county.replica.heard_to_come(Moment(later)), to_come);
    for days in [1, 100, 364] {
        let at = START + days * DAY;
        assert_eq!(heard(&county, SOUTH, at), None, "{days}");
        let answer = county.replica.ask(&question(at));
        let south = answer.stations.iter().find(|it| it.id == trade(SOUTH));
        assert!(south.expect("registered").silent, "{days}");
    }
    // Heard again by a clock that is right: earlier than before, and believed.
    note(&mut county, later);
    let county = county.reopen(working());
    assert_eq!(heard(&county, SOUTH, later), Some(later));
    assert_eq!(county.replica.heard_to_come(Moment(later)), BTreeMap::new());
}

#[test]
fn a_station_goes_by_what_the_county_says_last_of_the_others() {
    let mut station = join(north());
    let mut county = found();
    sync(&mut station, &mut county, START + DAY);
    for at in [AHEAD, START + DAY, START + 2 * DAY] {
        let said = BTreeMap::from([(SOUTH, at)]);
        let noted = station.replica.note_heard(&said);
        noted.expect("the store is whole");
        assert_eq!(heard(&station, SOUTH, AHEAD + DAY), Some(at));
    }
    let station = station.reopen(north());
    assert_eq!(heard(&station, SOUTH, AHEAD + DAY), Some(START + 2 * DAY));
}

/// A county whose clock ran ahead while a check and a repair came, by a station whose own clock was
/// right or was put to the county's, and that is right again since somebody said so.
fn ran_ahead(claims_the_county_s: bool) -> (Placed, Placed) {
    let (mut county, mut station) = (found(), join(north()));
    station.append(craft_registered("4-1", NORTH), START);
    sync(&mut station, &mut county, START + HOUR);
    sync(&mut station, &mut county, AHEAD);
    let claimed = if claims_the_county_s {
        AHEAD + HOUR
    } else {
        START + DAY
    };
    for event in [checked(), repaired()] {
        let appended = station
            .replica
            .append(event, &clocks(1, 25 * HOUR, claimed));
        appended.expect("no event is refused for its time");
    }
    sync(&mut station, &mut county, AHEAD + 2 * HOUR);
    let ahead = county.replica.say_clock_is_right(START + 2 * DAY);
    assert_eq!(ahead.expect("the store is whole"), 2);
    sync(&mut station, &mut county, START + 2 * DAY);
    (county, station)
}

fn rules(answer: &CountyAnswer) -> Vec<Rule> {
    answer.craft[0].why.iter().map(|it| it.rule).collect()
}

#[test]
fn what_was_checked_while_the_county_s_clock_ran_ahead_is_not_fresh_for_ever() {
    let (county, station) = ran_ahead(false);
    for mut placed in [county, station] {
        let at = |placed: &mut Placed, days: i64| {
            let answer = placed.replica.ask(&question(START + days * DAY));
            assert_eq!(answer.asked.now, Moment(START + days * DAY), "{days}");
            answer
        };
        let soon = at(&mut placed, 3);
        // By the station's own clock, the only one that nothing speaks against.
        assert_eq!(soon.craft[0].checked_at, Some(Moment(START + DAY)));
        assert!(!rules(&soon).contains(&Rule::CheckStale));
        assert!(!rules(&soon).contains(&Rule::HoldRuns));
        let later = at(&mut placed, 60);
        assert_eq!(later.craft[0].checked_at, Some(Moment(START + DAY)));
        assert!(rules(&later).contains(&Rule::CheckStale));
        // What the answer lists is enough to give it again.
        let heard = later.stations.iter().map(|it| (it.id, it.last_heard));
        let inputs = Inputs {
            size: placed.replica.tree().size(),
            beyond: placed.replica.beyond(),
            heard: Some(heard.collect()),
            clock: later.asked.clock,
        };
        let again = placed
            .replica
            .ask_given(&question(START + 60 * DAY), &inputs);
        assert_eq!(again.answer, later);
    }
}

#[test]
fn what_claims_a_time_to_come_as_well_proves_nothing_and_holds_on() {
    let (mut county, _station) = ran_ahead(true);
    for days in [3, 60, 300] {
        let answer = county.replica.ask(&question(START + days * DAY));
        assert!(rules(&answer).contains(&Rule::CheckStale), "{days}");
        assert!(rules(&answer).contains(&Rule::HoldRuns), "{days}");
    }
}

#[test]
fn a_station_is_not_heard_by_what_it_signed_while_the_county_s_clock_ran_ahead() {
    let (county, _) = ran_ahead(false);
    assert_eq!(heard(&county, NORTH, START + 60 * DAY), Some(START + DAY));
    let (county, _) = ran_ahead(true);
    let at = heard(&county, NORTH, START + 60 * DAY).expect("it signed something");
    assert!(at <= START, "{at}");
}

#[test]
fn the_word_that_the_clock_is_right_lets_the_county_s_time_go_on() {
    let (mut county, mut station) = (found(), join(north()));
    sync(&mut station, &mut county, START + HOUR);
    county.append(craft_registered("4-1", NORTH), AHEAD);
    sync(&mut station, &mut county, AHEAD);
    let (right, ahead) = (START + 2 * DAY, Some(AHEAD));
    // Until somebody says so the county's time stands where its clock was.
    let id = county.append(checked(), right);
    assert_eq!(county.replica.place(&id).map(|it| it.1), ahead);
    assert_eq!(county.replica.newest_stored(), ahead);
    assert_eq!(station.replica.newest_shown(), ahead);
    let refused = station.replica.say_clock_is_right(right);
    assert!(matches!(refused, Err(StoreError::NotTheCounty)));

    let said = county.replica.say_clock_is_right(right);
    assert_eq!(said.expect("the store is whole"), 2);
    let mut county = county.reopen(working());
    let before = START + 6 * MINUTE;
    assert_eq!(county.replica.newest_stored(), Some(before));
    // Nothing new is stored: what the county signs of the same entries is enough.
    sync(&mut station, &mut county, right + HOUR);
    assert_eq!(station.replica.newest_shown(), Some(right + HOUR));
    let id = county.append(checked(), right + 2 * HOUR);
    let received = |county: &Placed, id| county.replica.place(id).map(|it| it.1);
    assert_eq!(received(&county, &id), Some(right + 2 * HOUR));
    // A clock that dies goes back no farther than the newest entry that is believed.
    let id = county.append(checked(), 0);
    assert_eq!(received(&county, &id), Some(right + 2 * HOUR));
    // The word stands in a log that follows this one.
    let shown = next_run(
        &join(south()).replica,
        &county.replica,
        1 << 20,
        right + 2 * HOUR,
    );
    let shown = shown.checkpoint.expect("all of it");
    let writer = DeviceKey::from_seed([77; 32]);
    let log = LogId::from_bytes([0xdd; 16]);
    let begun = county
        .replica
        .begin_log(log, &writer, &shown, &now(right + 3 * HOUR));
    begun.expect("the store is whole");
    let newest = Some(right + 3 * HOUR);
    assert_eq!(county.replica.newest_stored(), newest);
    let county = county.reopen(working());
    assert_eq!(county.replica.newest_stored(), newest);
}

#[test]
fn a_clock_that_is_right_after_all_says_nothing() {
    let mut county = found();
    let said = county.replica.say_clock_is_right(START + DAY);
    assert_eq!(said.expect("the store is whole"), 0);
    assert_eq!(county.replica.newest_stored(), Some(START + 6 * MINUTE));
}

/// Found by the simulation: a county whose clock is behind makes every device's look ahead, and what
/// a crew saw just now must not be refused for it.
#[test]
fn what_was_seen_just_now_is_taken_by_the_device_s_clock_or_by_the_county_s() {
    let check = |county_minus_device_ms: i64, observed_ms: i64, taken: bool| {
        let (mut county, mut station) = (found(), join(north()));
        station.append(craft_registered("4-1", NORTH), START);
        sync(&mut station, &mut county, START + HOUR);
        let device = START + 2 * DAY;
        let measured = clocks(1, HOUR, device);
        let noted = station.replica.note_sync(ClockOffset {
            county_minus_device_ms,
            round_trip_ms: 80,
            measured,
        });
        noted.expect("the store is whole");
        let seen = NewEvent {
            observed: Some((device - HOUR, device + observed_ms)),
            ..checked()
        };
        let appended = station.replica.append(seen, &measured);
        let case = (county_minus_device_ms, observed_ms);
        assert_eq!(appended.is_ok(), taken, "{case:?}: {appended:?}");
    };
    for apart in [-DAY, 0, DAY] {
        let tolerated = apart.max(0) + 2 * MINUTE;
        check(apart, 0, true);
        check(apart, tolerated, true);
        check(apart, tolerated + 1, false);
    }
}
