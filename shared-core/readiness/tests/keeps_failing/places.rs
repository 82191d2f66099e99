//! Which spots count as one place.

use std::collections::BTreeMap;

use sponson_readiness::keeps_failing::{Asked, GroupKey, Grouping, keeps_failing};

use crate::county::{county, policy, words};

/// Faults a, b, c ... on tube-1 of two craft of one model, each at a spot; expected: the places, each
/// with its faults.
fn check(changed: &[(&str, &str)], spots: &[&str], expected: &[&str]) {
    let mut text = "0 craft 1 raft - -\n0 craft 2 raft - -\n".to_owned();
    for (index, spot) in spots.iter().enumerate() {
        let name = ["a", "b", "c", "d"][index];
        let (class, spot) = spot.split_once(' ').unwrap_or((spot, ""));
        let day = 10 * (index + 1);
        let craft = index % 2 + 1;
        text += &format!("{day} fault {name} {craft} tube-1 {class} major {spot}\n");
    }
    let history = county(100.0, &text);
    let asked = Asked::all(Grouping::Place);
    let said = keeps_failing(&history, &BTreeMap::new(), &policy(changed), &asked);
    let mut places: Vec<String> = said
        .groups
        .iter()
        .inspect(|group| assert!(matches!(group.key, GroupKey::Place { .. })))
        .map(|group| words(&group.faults).join(""))
        .collect();
    places.sort();
    assert_eq!(places, expected, "{spots:?}");
}

#[test]
fn near_spots_of_one_side_and_face_are_one_place() {
    check(&[], &["leak port 1200 top", "leak port 1500 top"], &["ab"]);
    // 304.8 mm are a foot: one millimetre more than 1504 is another place.
    check(&[], &["leak port 1200", "leak port 1504"], &["ab"]);
    check(&[], &["leak port 1200", "leak port 1506"], &["a", "b"]);
    check(&[], &["leak port 1200", "leak starboard 1200"], &["a", "b"]);
    check(
        &[],
        &["leak port 1200 top", "leak port 1200 bottom"],
        &["a", "b"],
    );
    // Each near to the next, whatever the order in which they were found.
    check(
        &[],
        &["leak port 1000", "leak port 1600", "leak port 1300"],
        &["abc"],
    );
    let nearer = (
        "same_place_within = \"1 ft\"",
        "same_place_within = \"10 mm\"",
    );
    check(
        &[nearer],
        &["leak port 1200", "leak port 1211"],
        &["a", "b"],
    );
}

#[test]
fn what_was_not_said_fits_where_only_one_place_agrees() {
    check(&[], &["leak port 1200", "leak"], &["ab"]);
    check(&[], &["leak port 1200", "leak port"], &["ab"]);
    check(&[], &["leak port 1200", "leak starboard"], &["a", "b"]);
    check(
        &[],
        &["leak port 1200", "leak", "leak port 2400"],
        &["a", "b", "c"],
    );
    check(
        &[],
        &["leak port 1200", "leak 1300", "leak starboard 2400"],
        &["ab", "c"],
    );
    check(&[], &["leak", "leak"], &["ab"]);
}

#[test]
fn classes_are_told_apart_only_where_the_policy_says_so() {
    let spots = ["leak port 1200", "tear port 1200"];
    check(&[], &spots, &["ab"]);
    let same = ("same_class = \"any\"", "same_class = \"same\"");
    check(&[same], &spots, &["a", "b"]);
}
