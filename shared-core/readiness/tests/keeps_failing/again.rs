//! A place that failed again is joined to the repair that did not hold.

use sponson_readiness::keeps_failing::{GroupKey, Grouping, Said};

use crate::county::{by_grouping, county, event, word};

const START: &str = "0 craft 1 raft - -\n10 fault a 1 tube-1 leak major port 1200\n";

/// Expected: each fault found again with its repair, the days since, and `over` where it had been
/// signed off.
fn check(text: &str, expected: &[(&str, &str, u64, bool)]) {
    let history = county(1_000.0, &format!("{START}{text}"));
    let said = by_grouping(&history, Grouping::CraftPlace);
    let mut found: Vec<(String, _, u64, bool)> = said
        .groups
        .iter()
        .flat_map(|group| &group.again)
        .map(|one| {
            (
                word(&one.fault),
                one.repair,
                one.after_s / 86_400,
                one.signed_off,
            )
        })
        .collect();
    found.sort();
    let expected: Vec<(String, _, u64, bool)> = expected
        .iter()
        .map(|(fault, repair, days, over)| ((*fault).to_owned(), event(repair), *days, *over))
        .collect();
    assert_eq!(found, expected, "{text}");
}

#[test]
fn a_fault_is_joined_to_the_latest_repair_at_its_place() {
    let again = "120 fault b 1 tube-1 tear major port 1300\n";
    let first = "20 repair a patch\n";
    check(again, &[]);
    check(
        &format!("{first}{again}"),
        &[("b", "repair-0-a", 100, false)],
    );
    let over = format!("{first}30 over a\n{again}");
    check(&over, &[("b", "repair-0-a", 100, true)]);
    // Signed off only afterwards.
    let late = format!("{first}{again}130 over a\n");
    check(&late, &[("b", "repair-0-a", 100, false)]);
    let twice = format!("{first}40 repair a sewn\n{again}");
    check(&twice, &[("b", "repair-1-a", 80, false)]);
    let elsewhere = format!("{first}120 fault b 1 tube-1 leak major starboard 1200\n");
    check(&elsewhere, &[]);
    let other_craft = "0 craft 2 raft - -\n120 fault b 2 tube-1 leak major port 1200\n";
    check(&format!("{first}{other_craft}"), &[]);
    let before = format!("{first}15 fault b 1 tube-1 leak major port 1200\n");
    check(&before, &[]);
    let third = format!("{first}{again}130 repair b sewn\n300 fault c 1 tube-1 leak major port\n");
    let joined = [
        ("b", "repair-0-a", 100, false),
        ("c", "repair-1-b", 170, false),
    ];
    check(&third, &joined);
}

/// What each method did: repairs, how many failed again, repair-days.
fn check_held(text: &str, expected: &[(&str, u32, u32, u64)]) {
    let history = county(1_000.0, &format!("{START}{text}"));
    let said = by_grouping(&history, Grouping::Method);
    let mut found: Vec<(&str, u32, u32, u64)> = said
        .groups
        .iter()
        .map(|group| {
            let GroupKey::Method(method) = &group.key else {
                panic!("{:?}", group.key);
            };
            let rate = group.rate;
            (
                method.as_str(),
                group.units,
                rate.faults,
                rate.exposure / 86_400,
            )
        })
        .collect();
    found.sort_unstable();
    assert_eq!(found, expected, "{text}");
}

#[test]
fn a_repair_is_watched_until_it_failed_or_was_done_anew() {
    let first = "20 repair a patch\n";
    // One that held is in no list of what failed, and is the rest of the other.
    check_held(first, &[]);
    let again = format!("{first}120 fault b 1 tube-1 leak major port 1200\n");
    check_held(&again, &[("patch", 1, 1, 100)]);
    let sewn = format!("{again}200 repair b sewn\n");
    check_held(&sewn, &[("patch", 1, 1, 100)]);
    let both = format!("{sewn}700 fault c 1 tube-1 leak major port 1200\n");
    check_held(&both, &[("patch", 1, 1, 100), ("sewn", 1, 1, 500)]);
    // Two faults before the next repair: it failed once.
    let two = format!("{again}130 fault c 1 tube-1 leak major port 1200\n");
    check_held(&two, &[("patch", 1, 1, 100)]);
    // Done anew without a fault: not failed, and watched no longer.
    let anew = format!("{first}50 repair a patch\n150 fault b 1 tube-1 leak major port 1200\n");
    check_held(&anew, &[("patch", 2, 1, 130)]);
    let ended = format!(
        "{again}0 craft 2 raft - -\n10 fault x 2 floor tear major\n20 repair x patch\n120 ended 2\n"
    );
    check_held(&ended, &[("patch", 2, 1, 200)]);
}

#[test]
fn glue_that_does_not_hold_is_seen_beside_other_glue() {
    let mut text = String::new();
    for n in 2..8 {
        let glue = if n < 5 { "old" } else { "new" };
        text += &format!("0 craft {n} raft - -\n10 fault f{n} {n} floor tear major\n");
        text += &format!("20 repair f{n} patch {glue}\n");
    }
    for n in 2..5 {
        text += &format!("60 fault g{n} {n} floor tear major\n");
    }
    let history = county(1_000.0, &format!("{START}{text}"));
    let said = by_grouping(&history, Grouping::GlueBatch);
    assert_eq!(said.groups[0].key, GroupKey::GlueBatch("old".to_owned()));
    let expected = Said::MoreThanUsual {
        times_milli: None,
        faults: 3,
        could_be_chance: false,
    };
    assert_eq!(said.groups[0].said, expected);
    assert_eq!(said.groups[0].again.len(), 3);
}
