//! Against every set tried one by one.

use proptest::prelude::*;

use super::*;

type Room = BTreeMap<u8, u32>;

/// Every set, the largest and of those the one with the earliest things.
fn by_trying_all(room: &Room, wants: &[Room]) -> Vec<usize> {
    let sets = (0_u32..1 << wants.len()).map(|bits| {
        let members = (0..wants.len()).filter(|index| bits & (1 << index) != 0);
        members.collect::<Vec<usize>>()
    });
    let fits = |set: &Vec<usize>| {
        room.iter().all(|(pool, most)| {
            let needs = set.iter().filter_map(|index| wants[*index].get(pool));
            needs.sum::<u32>() <= *most
        })
    };
    let mut best: Vec<usize> = Vec::new();
    for set in sets.filter(fits) {
        if set.len() > best.len() || set.len() == best.len() && set < best {
            best = set;
        }
    }
    best
}

fn wants() -> impl Strategy<Value = Vec<Room>> {
    let one = prop::collection::btree_map(0_u8..6, 0_u32..4, 0..4);
    prop::collection::vec(one, 0..10)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn the_largest_set_and_of_those_the_earliest(
        room in prop::collection::btree_map(0_u8..6, 0_u32..6, 0..6),
        wants in wants(),
    ) {
        let chosen = choose(&room, &wants, 1_000_000);
        prop_assert!(chosen.exact);
        prop_assert_eq!(chosen.picked, by_trying_all(&room, &wants));
    }

    /// A search that is cut short says so, or has found the same; what it gives fits.
    #[test]
    fn a_search_that_is_cut_short_says_so(
        room in prop::collection::btree_map(0_u8..6, 0_u32..6, 0..6),
        wants in wants(),
        steps in 1_u32..20,
    ) {
        let chosen = choose(&room, &wants, steps);
        let best = by_trying_all(&room, &wants);
        prop_assert!(chosen.picked.len() <= best.len());
        if chosen.exact {
            prop_assert_eq!(&chosen.picked, &best);
        }
        for (pool, most) in &room {
            let needs = chosen.picked.iter().filter_map(|index| wants[*index].get(pool));
            prop_assert!(needs.sum::<u32>() <= *most);
        }
    }
}

#[test]
fn what_has_no_end_keeps_nobody_back() {
    let wants = vec![Room::from([(1, 9)]), Room::from([(1, 9)])];
    assert_eq!(choose(&Room::new(), &wants, 100).picked, [0, 1]);
}

/// Two of three persons leave room for two craft, four and two do not: the first alone does not
/// keep two others back.
#[test]
fn one_that_takes_much_makes_way_for_two() {
    let wants = [4, 2, 2].map(|persons| Room::from([(1, persons)]));
    let chosen = choose(&Room::from([(1, 5)]), &wants, 100);
    assert_eq!(chosen.picked, [1, 2]);
}
