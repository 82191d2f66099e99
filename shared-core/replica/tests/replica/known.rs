//! Answers from what was known: by a size of the county log or by a time, the same everywhere and
//! for ever.

use sponson_readiness::answer::{CountyAnswer, Readiness};
use sponson_readiness::engine::Question;
use sponson_readiness::moment::Moment;
use sponson_replica::{Inputs, Knowing, Known, KnownError};

use crate::asking::{checked, question};
use crate::county::{
    DAY, MINUTE, Placed, START, fault, join, north, out_of_service, reading, south, sync, working,
};

fn known(placed: &Placed, knowing: Knowing) -> Result<Known, KnownError> {
    placed.replica.known(knowing, Moment(START + 30 * DAY))
}

/// What is said, by what was known by a size, of the moment at which so much was known.
pub(crate) fn said(placed: &mut Placed, size: u64) -> CountyAnswer {
    let known = known(placed, Knowing::Size(size)).expect("so much is held");
    let asked = Question {
        as_of: known.at,
        ..question(START + 40 * DAY)
    };
    placed.replica.ask_known(&asked, known).answer
}

#[test]
fn county_and_stations_say_what_was_known_for_ever() {
    let (mut county, mut first) = checked();
    let mut second = join(south());
    // What the second recorded before its first sync stands elsewhere in its own store.
    second.append(reading(11_000), START + DAY);
    sync(&mut second, &mut county, START + DAY + 5 * MINUTE);
    let size = county.replica.tree().size();
    let then = said(&mut county, size);
    assert_eq!(then.known_by.size, size);
    assert_eq!(then.known_by.beyond, 0);
    assert_eq!(then.asked.now, Moment(START + DAY + 5 * MINUTE));
    sync(&mut first, &mut county, START + DAY + 6 * MINUTE);

    // Much happens, and much of it is known to one of them only.
    first.append(out_of_service(), START + 2 * DAY);
    sync(&mut first, &mut county, START + 2 * DAY);
    second.append(fault("leak"), START + 3 * DAY);
    county.append(crate::county::end(&south(), None), START + 4 * DAY);
    let mut first = first.reopen(north());
    let mut county = county.reopen(working());
    let now = said(&mut county, size + 2);
    assert_eq!(now.craft[0].readiness, Readiness::NotReady);
    for placed in [&mut county, &mut first, &mut second] {
        assert_eq!(said(placed, size), then);
    }
}

#[test]
fn a_time_means_what_the_county_had_stored_by_then() {
    let (county, station) = checked();
    let stored = |index| county.replica.tree().size() - index;
    let at = |knowing| known(&county, knowing);
    let newest = START + DAY + 2 * MINUTE;
    let by = |ms| at(Knowing::Time(Moment(ms)));
    let of = |size, ms| {
        Ok(Known {
            size,
            at: Moment(ms),
        })
    };
    assert_eq!(by(newest), of(stored(0), newest));
    assert_eq!(by(newest + 5), of(stored(0), newest + 5));
    assert_eq!(by(START + 2 * MINUTE + 1), of(3, START + 2 * MINUTE + 1));
    assert_eq!(at(Knowing::Size(3)), of(3, START + 2 * MINUTE));
    // A station does not know what the county stored after it was last heard.
    let (time, last) = (Moment(newest + 1), Moment(newest));
    let here = known(&station, Knowing::Time(time));
    assert_eq!(here, Err(KnownError::After { time, last }));
}

#[test]
fn what_is_not_held_or_was_not_yet_is_refused() {
    let (county, _) = checked();
    let held = county.replica.tree().size();
    let size = held + 1;
    let refused = |knowing| known(&county, knowing).expect_err("it cannot be");
    assert_eq!(
        refused(Knowing::Size(size)),
        KnownError::Beyond { size, held }
    );
    assert_eq!(refused(Knowing::Size(0)), KnownError::Nothing);
    let (time, first) = (Moment(START - 1), Moment(START));
    assert_eq!(
        refused(Knowing::Time(time)),
        KnownError::Before { time, first }
    );
    let alone = join(north());
    assert_eq!(known(&alone, Knowing::Size(1)), Err(KnownError::NoLog));
    insta::assert_snapshot!(KnownError::Beyond { size, held }, @"size is 23; 22 entries of the county log are held here: sync, or ask for less");
}

#[test]
fn an_answer_is_a_function_of_its_inputs() {
    let (mut county, mut station) = checked();
    station.append(fault("leak"), START + 2 * DAY);
    let asked = question(START + 3 * DAY);
    let answer = station.replica.ask(&asked);
    let inputs = Inputs {
        size: station.replica.tree().size(),
        beyond: station.replica.beyond(),
        heard: Some(
            answer
                .stations
                .iter()
                .map(|it| (it.id, it.last_heard))
                .collect(),
        ),
        ..Inputs::default()
    };
    assert_eq!(inputs.beyond.len(), 1);
    // Later, when the county has stored the one that waited, and more came in.
    sync(&mut station, &mut county, START + 4 * DAY);
    station.append(out_of_service(), START + 4 * DAY);
    for placed in [&mut station, &mut county] {
        assert_eq!(placed.replica.ask_given(&asked, &inputs).answer, answer);
    }
}
