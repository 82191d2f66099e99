//! The fewest visits, against every choice of days.

use chrono::Duration;
use proptest::prelude::*;

use super::{Span, fewest};
use crate::dates::Day;

fn day(number: i64) -> Day {
    let first = Day::from_ymd_opt(2026, 3, 1).expect("a day");
    first + Duration::days(number)
}

fn spans(of: &[(i64, i64)]) -> Vec<Span> {
    let spans = of.iter().enumerate();
    spans
        .map(|(item, (from, length))| Span {
            from: day(*from),
            to: day(from + length),
            item,
        })
        .collect()
}

/// The least number of days that meets every span, by trying every set of last days: a plan of the
/// fewest can always be moved to such.
fn by_trying(spans: &[Span]) -> u32 {
    let mut ends: Vec<Day> = spans.iter().map(|span| span.to).collect();
    ends.sort_unstable();
    ends.dedup();
    let meets = |set: u32, span: &Span| {
        let mut chosen = ends
            .iter()
            .enumerate()
            .filter(|(at, _)| set & (1 << at) != 0);
        chosen.any(|(_, end)| (span.from..=span.to).contains(end))
    };
    let sets = 0_u32..(1 << ends.len());
    let met = sets.filter(|set| spans.iter().all(|span| meets(*set, span)));
    met.map(u32::count_ones).min().expect("all days meet all")
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_plan_has_fewer_visits_and_each_thing_is_done_once_within_its_days(
        of in prop::collection::vec((0_i64..60, 0_i64..15), 0..9),
    ) {
        let spans = spans(&of);
        let visits = fewest(spans.clone());
        prop_assert_eq!(u32::try_from(visits.len()).expect("few"), by_trying(&spans));
        let mut done: Vec<usize> = Vec::new();
        for (day, does) in &visits {
            for span in does {
                prop_assert!((span.from..=span.to).contains(day));
                done.push(span.item);
            }
        }
        done.sort_unstable();
        prop_assert_eq!(done, (0..spans.len()).collect::<Vec<_>>());
    }
}

#[test]
fn things_due_within_a_window_of_each_other_are_done_together_on_the_day_of_the_first() {
    // Due on days 14, 20 and 30, each up to 14 days before.
    let visits = fewest(spans(&[(0, 14), (6, 14), (16, 14)]));
    let days: Vec<(Day, usize)> = visits
        .iter()
        .map(|(day, does)| (*day, does.len()))
        .collect();
    assert_eq!(days, [(day(14), 2), (day(30), 1)]);
}
