//! What is taken from a shelf for what, and that less there never means less to order.

use chrono::Duration;
use proptest::prelude::*;

use super::{Demand, NeedFor, ShelfNeed, Times, Wanted, of_one};
use crate::dates::Day;

fn day(number: i64) -> Day {
    let first = Day::from_ymd_opt(2026, 3, 1).expect("a day");
    first + Duration::days(number)
}

fn times() -> Times {
    Times {
        today: day(0),
        until: day(366),
        lead_days: 42,
    }
}

/// Kit that runs out on a day, so many units.
fn runs_out((on, count): (i64, u32)) -> Demand {
    Demand {
        wanted: Wanted {
            day: day(on),
            count,
            short: 0,
            for_what: NeedFor::RunsOut,
            craft: None,
            number: String::new(),
        },
        good_past: day(on),
        stays: true,
    }
}

fn need(wants: &[(i64, u32)], there: &[(Option<i64>, u32)]) -> ShelfNeed {
    let lots = there.iter().map(|(out, units)| (out.map(day), *units));
    of_one(
        wants.iter().copied().map(runs_out).collect(),
        lots.collect(),
        times(),
    )
}

/// Day, how many, of these short.
fn told(need: &ShelfNeed) -> Vec<(i64, u32, u32)> {
    let on = |wanted: &Wanted| wanted.day.signed_duration_since(day(0)).num_days();
    let wanted = need.wanted.iter();
    wanted
        .map(|wanted| (on(wanted), wanted.count, wanted.short))
        .collect()
}

#[test]
fn what_runs_out_before_it_is_wanted_counts_nothing() {
    let need = need(
        &[(100, 3)],
        &[(Some(100), 2), (Some(99), 1), (Some(400), 1)],
    );
    assert_eq!(told(&need), [(100, 3, 2)]);
    assert_eq!((need.there, need.runs_out_unused, need.short), (4, 3, 2));
    assert_eq!(need.by, Some(day(100)));
    assert_eq!(need.order_by, Some(day(58)));
}

#[test]
fn what_runs_out_first_is_taken_first_and_is_wanted_again_when_it_runs_out() {
    let need = need(&[(100, 1), (200, 1)], &[(Some(150), 1), (Some(500), 1)]);
    // The first takes the one that runs out on day 150, which takes the other.
    assert_eq!(told(&need), [(100, 1, 0), (150, 1, 0), (200, 1, 1)]);
    assert_eq!(need.order_by, Some(day(158)));
}

#[test]
fn what_is_wanted_within_the_lead_time_is_ordered_today() {
    let need = need(&[(10, 1)], &[]);
    assert_eq!((need.by, need.order_by), (Some(day(10)), Some(day(0))));
    let enough = self::need(&[(10, 1)], &[(None, 5)]);
    assert_eq!((enough.short, enough.by, enough.order_by), (0, None, None));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn less_there_never_means_less_to_order(
        wants in prop::collection::vec((0_i64..366, 1_u32..4), 0..6),
        there in prop::collection::vec((prop::option::of(0_i64..500), 1_u32..3), 1..6),
        gone in 0_usize..6,
    ) {
        let with = need(&wants, &there);
        let mut fewer = there.clone();
        let at = gone % fewer.len();
        fewer[at].1 -= 1;
        let without = need(&wants, &fewer);
        prop_assert!(without.short >= with.short, "{with:?} {without:?}");
        // And never sooner enough: what is ordered is wanted no later.
        if let Some(by) = with.by {
            prop_assert!(without.by.is_some_and(|earlier| earlier <= by));
        }
    }

    #[test]
    fn what_is_not_short_is_there(
        wants in prop::collection::vec((0_i64..366, 1_u32..4), 0..6),
        there in prop::collection::vec((prop::option::of(0_i64..500), 1_u32..3), 0..6),
    ) {
        let need = need(&wants, &there);
        let met: u32 = need.wanted.iter().map(|wanted| wanted.count - wanted.short).sum();
        prop_assert!(met <= need.there);
        prop_assert!(met + need.runs_out_unused <= need.there);
        let first: u32 = wants.iter().map(|(_, units)| *units).sum();
        let of_these: u32 = need.wanted.iter().filter(|it| it.for_what == NeedFor::RunsOut)
            .map(|it| it.count).sum();
        prop_assert_eq!(first, of_these);
    }
}
