//! What of the dark falls into a job.

use super::{Dark, Light};
use crate::moment::Moment;

/// Dark from 20 to 30 and from 44 to 54, known from 0 to 60.
fn light() -> Light {
    let dark = [(20, 30), (44, 54)];
    Light {
        from: Moment(0),
        to: Moment(60),
        dark: dark.map(|(from, to)| (Moment(from), Moment(to))).to_vec(),
    }
}

#[test]
fn what_of_the_dark_falls_into_a_job() {
    let partly = |from, to| Dark::Partly {
        from: Moment(from),
        to: Moment(to),
    };
    let cases = [
        ((2, 8), Dark::No),
        ((10, 19), Dark::No),
        ((10, 20), Dark::No),
        ((10, 25), partly(20, 25)),
        ((10, 40), partly(20, 30)),
        ((25, 40), partly(25, 30)),
        ((20, 30), Dark::Yes),
        ((22, 22), Dark::Yes),
        ((30, 30), Dark::No),
        ((30, 43), Dark::No),
        ((30, 60), partly(44, 54)),
        ((-1, 5), Dark::NotKnown),
        ((50, 61), Dark::NotKnown),
        ((9, 8), Dark::NotKnown),
    ];
    for ((from, to), wanted) in cases {
        let found = light().during(Moment(from), Moment(to));
        assert_eq!(found, wanted, "from {from} to {to}");
    }
}

#[test]
fn the_night_of_a_moment_is_the_one_it_lies_in_or_the_next() {
    let night = |at| {
        let (sunset, sunrise) = light().night_at(Moment(at));
        (sunset.map(|it| it.0), sunrise.map(|it| it.0))
    };
    assert_eq!(night(5), (Some(20), Some(30)));
    assert_eq!(night(29), (Some(20), Some(30)));
    assert_eq!(night(30), (Some(44), Some(54)));
    assert_eq!(night(54), (None, None));
    let polar = Light {
        dark: vec![(Moment(0), Moment(60))],
        ..light()
    };
    assert_eq!(polar.night_at(Moment(5)), (None, None));
    assert_eq!(polar.during(Moment(5), Moment(9)), Dark::Yes);
}
