//! Scenes made by hand.

use super::*;

#[test]
fn nothing_is_moved_for_a_craft_of_which_one_line_stays_short() {
    let problem = problem(
        vec![taker(1, 20, &[("pump", 1, &[]), ("throw-bag", 2, &[])])],
        vec![stock(9, 20, "throw-bag", 5), stock(9, 20, "paddle", 5)],
        &[],
    );
    let solved = solve(&problem, 100);
    assert_eq!(
        told(&problem, &solved),
        "0 craft, 0 units, 0 unknown, 0 m\nYes"
    );
}

/// Two craft that lack one each come before one that lacks two.
#[test]
fn most_craft_come_before_fewest_units_and_those_before_the_way() {
    let problem = problem(
        vec![
            taker(1, 20, &[("throw-bag", 2, &[])]),
            taker(2, 21, &[("throw-bag", 1, &[])]),
            taker(3, 22, &[("throw-bag", 1, &[])]),
        ],
        vec![stock(9, 20, "throw-bag", 2)],
        &[(20, 21, 40_000), (20, 22, 50_000)],
    );
    let solved = solve(&problem, 100);
    insta::assert_snapshot!(told(&problem, &solved), @"
    1 throw-bag Shelf 9 -> Boat 2
    1 throw-bag Shelf 9 -> Boat 3
    2 craft, 2 units, 0 unknown, 90000 m
    Yes
    ");
}

#[test]
fn of_craft_that_lack_the_same_the_nearer_goes_and_of_two_as_near_the_first() {
    for (ways, wanted) in [
        ([5_000, 4_000], "1 pump Shelf 9 -> Boat 2"),
        ([4_000, 4_000], "1 pump Shelf 9 -> Boat 1"),
    ] {
        let problem = problem(
            vec![
                taker(1, 20, &[("pump", 1, &[])]),
                taker(2, 21, &[("pump", 1, &[])]),
            ],
            vec![stock(9, 22, "pump", 1)],
            &[(20, 22, ways[0]), (22, 21, ways[1])],
        );
        let solved = solve(&problem, 100);
        assert_eq!(told(&problem, &solved).lines().next(), Some(wanted));
        assert_eq!(solved.proven, Proven::Yes);
    }
}

/// A giver that is near stays for whoever has no other: 8 km in all, and not 3 + 50.
#[test]
fn the_way_of_the_whole_plan_counts() {
    let problem = problem(
        vec![
            taker(1, 20, &[("pump", 1, &[])]),
            taker(2, 21, &[("pump", 1, &[])]),
        ],
        vec![stock(8, 22, "pump", 1), stock(9, 23, "pump", 1)],
        &[
            (20, 22, 3_000),
            (20, 23, 4_000),
            (21, 22, 4_000),
            (21, 23, 50_000),
        ],
    );
    let solved = solve(&problem, 100);
    insta::assert_snapshot!(told(&problem, &solved), @"
    1 pump Shelf 9 -> Boat 1
    1 pump Shelf 8 -> Boat 2
    2 craft, 2 units, 0 unknown, 8000 m
    Yes
    ");
}

/// A way that is not known comes after every one that is.
#[test]
fn a_way_that_is_not_known_comes_last() {
    let far = problem(
        vec![taker(1, 20, &[("pump", 1, &[])])],
        vec![stock(8, 21, "pump", 1), stock(9, 22, "pump", 1)],
        &[(20, 22, 900_000)],
    );
    let solved = solve(&far, 100);
    insta::assert_snapshot!(told(&far, &solved), @"
    1 pump Shelf 9 -> Boat 1
    1 craft, 1 units, 0 unknown, 900000 m
    Yes
    ");
    let unknown = problem(
        vec![taker(1, 20, &[("pump", 1, &[])])],
        vec![stock(8, 21, "pump", 1)],
        &[],
    );
    let solved = solve(&unknown, 100);
    insta::assert_snapshot!(told(&unknown, &solved), @"
    1 pump Shelf 8 -> Boat 1
    1 craft, 1 units, 1 unknown, 0 m
    Yes
    ");
}

/// The first giver gives what it has, also where another could give all at the same way.
#[test]
fn of_givers_as_near_the_first_gives_most() {
    let problem = problem(
        vec![
            taker(1, 20, &[("throw-bag", 3, &[])]),
            taker(2, 20, &[("throw-bag", 1, &[])]),
        ],
        vec![
            stock(7, 21, "throw-bag", 2),
            stock(8, 21, "throw-bag", 3),
            stock(9, 21, "throw-bag", 3),
        ],
        &[(20, 21, 7)],
    );
    let solved = solve(&problem, 100);
    insta::assert_snapshot!(told(&problem, &solved), @"
    2 throw-bag Shelf 7 -> Boat 1
    1 throw-bag Shelf 8 -> Boat 1
    1 throw-bag Shelf 8 -> Boat 2
    2 craft, 4 units, 0 unknown, 28 m
    Yes
    ");
}

/// The last unit of one line stands in for two others: which of them gets it decides for both craft.
#[test]
fn what_stands_in_is_shared_out() {
    let problem = problem(
        vec![
            taker(1, 20, &[("paddle", 1, &["oar"])]),
            taker(2, 20, &[("oar", 1, &[])]),
        ],
        vec![stock(8, 20, "oar", 1), stock(9, 20, "paddle", 1)],
        &[],
    );
    let solved = solve(&problem, 100);
    insta::assert_snapshot!(told(&problem, &solved), @"
    1 paddle Shelf 9 -> Boat 1
    1 oar Shelf 8 -> Boat 2
    2 craft, 2 units, 0 unknown, 0 m
    Yes
    ");
}

/// What each of these says is checked before a plan is shown.
#[test]
fn a_plan_that_does_not_hold_is_refused() {
    let problem = problem(
        vec![
            taker(1, 20, &[("pump", 2, &[])]),
            taker(9, 20, &[("pump", 1, &[])]),
        ],
        vec![
            stock(8, 20, "pump", 2),
            stock(9, 20, "pump", 2),
            stock(9, 20, "paddle", 2),
        ],
        &[],
    );
    let one = |taker, want, stock, units| Move {
        taker,
        want,
        stock,
        units,
    };
    let refused = |ready: &[usize], moves: &[Move]| {
        let plan = Plan {
            ready: ready.iter().copied().collect(),
            moves: moves.to_vec(),
        };
        problem.worth(&plan).expect_err("it does not hold")
    };
    let cases = [
        (
            refused(&[0], &[one(0, 0, 7, 2)]),
            PlanError::Unknown { at: 0 },
        ),
        (refused(&[7], &[]), PlanError::Unknown { at: 7 }),
        (
            refused(&[0], &[one(0, 0, 0, 0)]),
            PlanError::Nothing { at: 0 },
        ),
        (
            refused(&[0], &[one(0, 0, 1, 2)]),
            PlanError::DoesNotFit { at: 0 },
        ),
        (
            refused(&[1], &[one(1, 0, 2, 1)]),
            PlanError::DoesNotFit { at: 0 },
        ),
        (
            refused(&[0], &[one(0, 0, 0, 1), one(0, 0, 0, 1)]),
            PlanError::Order { at: 1 },
        ),
        (
            refused(&[0, 1], &[one(0, 0, 0, 2), one(1, 0, 0, 1)]),
            PlanError::TooMany {
                stock: 0,
                given: 3,
                spare: 2,
            },
        ),
        (
            refused(&[0], &[one(0, 0, 0, 1)]),
            PlanError::Filled {
                taker: 0,
                want: 0,
                given: 1,
                lacks: 2,
            },
        ),
        (
            refused(&[], &[one(0, 0, 0, 2)]),
            PlanError::Filled {
                taker: 0,
                want: 0,
                given: 2,
                lacks: 0,
            },
        ),
    ];
    for (found, wanted) in cases {
        assert_eq!(found, wanted);
    }
}
