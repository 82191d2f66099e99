//! Clocks that were set between two entries of one start of a device: neither claim is believed,
//! although each lies within what is known.

use sponson_readiness::answer::{AskerClock, Rule};
use sponson_readiness::moment::Moment;
use sponson_replica::Knowing;

use super::{HOUR, checked, clocks, repaired};
use crate::asking::question;
use crate::county::{DAY, NORTH, Placed, START, craft_registered, end, found, join, north, sync};

/// A station that synced at START and then went without the county for 20 days.
fn alone() -> (Placed, Placed) {
    let (mut county, mut station) = (found(), join(north()));
    let registered = station
        .replica
        .append(craft_registered("4-1", NORTH), &clocks(9, HOUR, START));
    registered.expect("the event is right");
    sync(&mut station, &mut county, START);
    (county, station)
}

fn checked_at(county: &mut Placed, unix_ms: i64) -> Option<i64> {
    let answer = county.replica.ask(&question(unix_ms));
    answer.craft[0].checked_at.map(|at| at.0)
}

fn hold_runs(county: &mut Placed, unix_ms: i64) -> bool {
    let answer = county.replica.ask(&question(unix_ms));
    answer.craft[0]
        .why
        .iter()
        .any(|it| it.rule == Rule::HoldRuns)
}

#[test]
fn a_clock_that_was_set_between_two_entries_makes_neither_look_fresh() {
    let (first, late) = (START + DAY, START + 20 * DAY);
    let cases = [
        ("right all the time", 0, 0, 1, first + HOUR),
        ("ahead, then set back", 10 * DAY, 0, 1, START),
        ("right, then set ahead", 0, 10 * DAY, 1, START),
        (
            "drifting by some minutes",
            0,
            HOUR / 10,
            1,
            first + HOUR + HOUR / 10,
        ),
        ("ahead, then started again", 10 * DAY, 0, 2, first + HOUR),
        ("dead, then set right", -START, 0, 1, first + HOUR),
    ];
    for (name, fast, then_fast, boot, expected) in cases {
        let (mut county, mut station) = alone();
        for (boot, fast, at) in [(1, fast, first), (boot, then_fast, first + HOUR)] {
            let now = clocks(boot, at - START, at + fast);
            let appended = station.replica.append(checked(), &now);
            appended.expect("the event is right");
        }
        sync(&mut station, &mut county, late);
        let early = START + 6 * 60_000;
        let expected = expected.max(early);
        assert_eq!(checked_at(&mut county, late), Some(expected), "{name}");
        assert_eq!(county.record_bytes(), station.record_bytes(), "{name}");
        let mut county = county.reopen(crate::county::working());
        assert_eq!(
            checked_at(&mut county, late),
            Some(expected),
            "{name}, reopened"
        );
    }
}

#[test]
fn a_hold_runs_from_the_late_end_when_the_clock_was_set_afterwards() {
    let (mut county, mut station) = alone();
    let done = START + DAY;
    // Thirty hours behind, so that by its own word the hold of a day is over before it began.
    let behind = clocks(1, DAY, done - 20 * HOUR);
    let appended = station.replica.append(repaired(), &behind);
    appended.expect("the event is right");
    sync(&mut station, &mut county, done + 6 * HOUR);
    assert!(
        !hold_runs(&mut county, done + 7 * HOUR),
        "nothing shows it yet"
    );
    let before = county.replica.tree().size();
    let right = clocks(1, DAY + 6 * HOUR, done + 6 * HOUR);
    let appended = station.replica.append(checked(), &right);
    appended.expect("the event is right");
    sync(&mut station, &mut county, done + 7 * HOUR);
    assert!(hold_runs(&mut county, done + 8 * HOUR));
    assert!(hold_runs(&mut county, done + 29 * HOUR));
    assert!(
        !hold_runs(&mut county, done + 30 * HOUR),
        "a day after it was stored"
    );
    // What was known then is answered as it was known then.
    let now = Moment(done + 8 * HOUR);
    let known = county.replica.known(Knowing::Size(before), now);
    let known = known.expect("so much is held");
    let asked = question(done + 7 * HOUR);
    let answered = county.replica.ask_known(&asked, known).answer;
    let rules = answered.craft[0].why.iter().map(|it| it.rule);
    assert!(!rules.into_iter().any(|rule| rule == Rule::HoldRuns));
}

#[test]
fn what_comes_after_the_end_of_a_key_casts_no_doubt_on_what_came_before() {
    let (mut county, mut station) = alone();
    let first = START + DAY;
    let good = station.replica.append(checked(), &clocks(1, DAY, first));
    let good = good.expect("the event is right");
    let thief = clocks(1, DAY + HOUR, first + 10 * DAY);
    let appended = station.replica.append(checked(), &thief);
    appended.expect("the event is right");
    let late = START + 20 * DAY;
    sync(&mut station, &mut county, late);
    assert_eq!(checked_at(&mut county, late), Some(START + 6 * 60_000));
    county.append(end(&north(), Some((good.seq, good.id))), late);
    assert_eq!(checked_at(&mut county, late), Some(first));
}

#[test]
fn an_asker_who_set_the_clock_since_the_start_is_judged_by_both() {
    let (_county, mut station) = alone();
    let appended = station
        .replica
        .append(repaired(), &clocks(1, DAY, START + DAY));
    appended.expect("the event is right");
    let ahead = clocks(1, DAY + HOUR, START + 3 * DAY);
    let worth = station.replica.clock_worth(&ahead);
    let AskerClock::Changed { by_ms, other } = worth.doubt else {
        panic!("{worth:?}");
    };
    assert_eq!((by_ms, other), (47 * HOUR, Moment(START + DAY + HOUR)));
    let answer = station
        .replica
        .ask_by_clock(&question(ahead.unix_ms), &ahead);
    assert!(
        answer.craft[0]
            .why
            .iter()
            .any(|it| it.rule == Rule::HoldRuns)
    );
    assert_eq!(answer.asked.clock, worth.doubt);
}
