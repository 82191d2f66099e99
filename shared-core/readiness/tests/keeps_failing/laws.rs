//! Laws that hold for every county.

use proptest::prelude::*;
use sponson_readiness::history::History;
use sponson_readiness::keeps_failing::{Asked, Grouping, KeepsFailing};

use crate::county::{ask, county};

/// A fault: craft, part, day, class.
type Found = (u8, u8, u16, bool);

fn text(found: &[Found], vouched: bool, from: usize) -> String {
    let mut text = String::new();
    for (index, (craft, part, day, is_leak)) in found.iter().enumerate() {
        let class = if *is_leak { "leak" } else { "tear" };
        let mark = if vouched { "" } else { "?" };
        let name = format!("f{}", from + index);
        text +=
            &format!("{mark}{day}.5 fault {name} {craft} tube-{part} {class} major port 1200\n");
        if *is_leak && vouched {
            text += &format!("{}.5 repair {name} patch\n", day + 20);
        }
    }
    text
}

fn of(found: &[Found]) -> String {
    let craft = |n: u8| {
        let (model, batch) = if n <= 3 {
            ("raft", "b1")
        } else {
            ("skiff", "b2")
        };
        format!("{} craft {n} {model} {batch} pvc\n", n)
    };
    (1..=6).map(craft).collect::<String>() + &text(found, true, 0)
}

fn faults() -> impl Strategy<Value = Vec<Found>> {
    prop::collection::vec((1_u8..=6, 1_u8..=3, 10_u16..900, any::<bool>()), 1..24)
}

fn said(history: &History, grouping: Grouping) -> KeepsFailing {
    ask(history, &Asked::all(grouping))
}

const GROUPINGS: [Grouping; 6] = [
    Grouping::Craft,
    Grouping::Place,
    Grouping::CraftPlace,
    Grouping::Class,
    Grouping::Batch,
    Grouping::Model,
];

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 16, ..ProptestConfig::default() })]

    #[test]
    fn one_more_fault_never_makes_the_ratio_of_its_group_smaller(
        found in faults(),
        day in 10_u16..900,
        which in any::<prop::sample::Index>(),
    ) {
        // The same again, on another day: it belongs to every group of the one before it.
        let (craft, part, _, is_leak) = *which.get(&found);
        let mut more = found.clone();
        more.push((craft, part, day, is_leak));
        let (before, after) = (county(1_000.0, &of(&found)), county(1_000.0, &of(&more)));
        let added = crate::county::fault(&format!("f{}", found.len()));
        for grouping in GROUPINGS {
            let (before, after) = (said(&before, grouping), said(&after, grouping));
            let with = after.groups.iter().find(|group| group.faults.contains(&added));
            let with = with.expect("it is counted");
            let without = before.groups.iter().find(|group| group.key == with.key);
            let without = without.expect("it was there");
            let ratio = |group: &sponson_readiness::keeps_failing::Group| {
                group.times.map(|times| times.milli.unwrap_or(u64::MAX))
            };
            prop_assert!(ratio(with) >= ratio(without));
            prop_assert_eq!(with.rate.faults, without.rate.faults + 1);
        }
    }

    #[test]
    fn what_nobody_vouches_for_changes_no_figure_and_no_proposal(
        found in faults(),
        unvouched in faults(),
    ) {
        let plain = county(1_000.0, &of(&found));
        let with = of(&found) + &text(&unvouched, false, found.len());
        let with = county(1_000.0, &with);
        for grouping in Grouping::ALL {
            let (one, mut other) = (said(&plain, grouping), said(&with, grouping));
            prop_assert_eq!(other.counted.unconfirmed as usize, unvouched.len());
            other.counted.unconfirmed = 0;
            prop_assert_eq!(one, other);
        }
    }

    #[test]
    fn the_order_in_which_faults_stand_does_not_matter(found in faults()) {
        let plain = county(1_000.0, &of(&found));
        let mut turned = plain.clone();
        for craft in turned.crafts.values_mut() {
            craft.faults.reverse();
            craft.repairs.reverse();
        }
        for grouping in Grouping::ALL {
            prop_assert_eq!(said(&plain, grouping), said(&turned, grouping));
        }
    }
}
