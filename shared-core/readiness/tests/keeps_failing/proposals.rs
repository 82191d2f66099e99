//! What to do: each rule at its limit and just below it.

use sponson_readiness::event::{LeadAction, Severity};
use sponson_readiness::keeps_failing::{About, Grouping, Proposal, Setting};

use crate::county::{by_grouping, county, id, words};

/// A floor that came apart on these days, each time repaired ten days later and signed off, but for
/// the last.
fn torn(severity: &str, days: &[u32]) -> String {
    let mut text = "0 craft 1 raft - -\n0 craft 2 raft - -\n".to_owned();
    for (index, day) in days.iter().enumerate() {
        text += &format!("{day} fault f{index} 1 floor tear {severity}\n");
        if index + 1 < days.len() {
            let (done, over) = (day + 10, day + 11);
            text += &format!("{done} repair f{index} patch\n{over} over f{index}\n");
        }
    }
    text
}

fn proposals(text: &str) -> Vec<Proposal> {
    by_grouping(&county(2_000.0, text), Grouping::Craft).proposals
}

/// The first proposal: action, setting, measured, limit; and the other actions whose rule is met.
fn check(text: &str, expected: Option<(LeadAction, Setting, u64, u64)>, also: &[LeadAction]) {
    let proposals = proposals(text);
    let first = proposals.first();
    let found = first.map(|one| {
        (
            one.action,
            one.rule.setting,
            one.rule.measured,
            one.rule.limit,
        )
    });
    assert_eq!(found, expected, "{text}");
    let others: Vec<LeadAction> = first
        .into_iter()
        .flat_map(|one| one.also.iter().map(|met| met.action))
        .collect();
    assert_eq!(others, also, "{text}");
}

use LeadAction::{Condemn, Hold, RepairAgain, SendToMaker, TakeOut};

#[test]
fn repairs_at_one_place_that_did_not_hold_ask_for_more_each_time() {
    check(&torn("major", &[1_900]), None, &[]);
    let again = (RepairAgain, Setting::RepairAgainAfter, 1, 1);
    check(&torn("major", &[1_700, 1_900]), Some(again), &[]);
    let maker = (SendToMaker, Setting::MakerAfter, 2, 2);
    check(
        &torn("major", &[1_500, 1_700, 1_900]),
        Some(maker),
        &[RepairAgain],
    );
    let out = (TakeOut, Setting::TakeOutAfter, 2, 2);
    check(
        &torn("restrictive", &[1_500, 1_700, 1_900]),
        Some(out),
        &[SendToMaker, RepairAgain],
    );
    // The first of two failures lies more than a year back.
    check(
        &torn("restrictive", &[1_400, 1_600, 1_900]),
        Some(maker),
        &[RepairAgain],
    );
    let condemn = (Condemn, Setting::CondemnAfter, 4, 4);
    let five = [1_300, 1_400, 1_500, 1_600, 1_990];
    check(
        &torn("major", &five),
        Some(condemn),
        &[SendToMaker, RepairAgain],
    );
    // Out of the two years that the rule looks back.
    check(
        &torn("major", &[900, 1_100, 1_900]),
        Some((RepairAgain, Setting::RepairAgainAfter, 2, 1)),
        &[],
    );
}

#[test]
fn what_is_over_is_not_repaired_again_and_what_has_ended_not_at_all() {
    let over = format!(
        "{}1950 repair f1 patch\n1951 over f1\n",
        torn("major", &[1_700, 1_900])
    );
    check(&over, None, &[]);
    let over = format!(
        "{}1950 repair f2 patch\n1951 over f2\n",
        torn("major", &[1_500, 1_700, 1_900])
    );
    check(&over, Some((SendToMaker, Setting::MakerAfter, 2, 2)), &[]);
    check(
        &format!("{}1960 ended 1\n", torn("major", &[1_700, 1_900])),
        None,
        &[],
    );
}

/// Six craft of a bad batch with so many faults each, ten of another model with one between them.
fn batch(each: &[usize]) -> String {
    let mut text = String::new();
    for n in 1..=16 {
        let (model, batch) = if n <= 6 {
            ("raft", "b1")
        } else {
            ("raft", "b2")
        };
        text += &format!("0 craft {n} {model} {batch} -\n");
    }
    for (index, faults) in each.iter().enumerate() {
        let craft = index + 1;
        for fault in 0..*faults {
            let day = 100 + 150 * fault + 7 * craft;
            // Each at a part of its own: no place comes again.
            text += &format!("{day} fault f{craft}-{fault} {craft} p{craft}-{fault} tear major\n");
        }
    }
    text + "500 fault z 12 keel tear minor\n"
}

#[test]
fn a_batch_apart_from_the_rest_is_to_be_held_with_enough_faults_on_enough_craft() {
    let held = |faults| Some((Hold, Setting::HoldFaults, faults, 5));
    check(&batch(&[3, 3, 2, 2, 2, 2]), held(14), &[LeadAction::Watch]);
    check(&batch(&[3, 3, 3]), held(9), &[LeadAction::Watch]);
    // Nine on two craft are no batch.
    let two = proposals(&batch(&[5, 4]));
    assert!(two.iter().all(|one| one.action != Hold), "{two:?}");
    let about = &proposals(&batch(&[3, 3, 3]))[0].about;
    assert!(matches!(about, About::Batch { batch, .. } if batch == "b1"));
    // Held already: said, and last.
    let text = format!("{}{}1200 held raft b1\n", batch(&[3, 3, 3]), torn_again());
    let proposals = proposals(&text);
    assert_eq!(
        proposals.last().map(|one| (one.action, one.held.is_some())),
        Some((Hold, true))
    );
}

fn torn_again() -> String {
    "1800 fault t1 8 floor tear minor\n1810 repair t1 patch\n1900 fault t2 8 floor tear minor\n"
        .to_owned()
}

#[test]
fn open_and_bad_comes_first_decided_and_quiet_comes_last() {
    let craft = |n: u8, severity: &str, from: u32| {
        let (done, again) = (from + 10, from + 100);
        format!(
            "1400 craft {n} raft - -\n{from} fault a{n} {n} floor tear {severity}\n{done} repair a{n} patch
             {again} fault b{n} {n} floor tear {severity}\n"
        )
    };
    let text = [
        craft(1, "minor", 1_700),
        craft(2, "disabling", 1_600),
        craft(3, "major", 1_500),
    ];
    let on =
        |text: &str| -> Vec<About> { proposals(text).into_iter().map(|one| one.about).collect() };
    let order = |text: &str| -> Vec<u8> {
        let number = |about: &About| {
            let About::Place { on, .. } = about else {
                panic!("{about:?}");
            };
            on.as_bytes()[0]
        };
        on(text).iter().map(number).collect()
    };
    let text = text.concat();
    assert_eq!(order(&text), [2, 3, 1]);
    let decided = format!("{text}1950 decided send-to-maker b2\n");
    assert_eq!(order(&decided), [3, 1, 2]);
    let failed_since = format!("{decided}1960 fault c2 2 floor tear disabling\n");
    assert_eq!(order(&failed_since), [2, 3, 1]);
    let first = &proposals(&failed_since)[0];
    assert_eq!(words(&first.since), ["c2"]);
    assert_eq!(words(&first.evidence), ["a2", "b2", "c2"]);
    assert_eq!(first.worst, Severity::Disabling);
    let decided = first.decided.as_ref().map(|decided| decided.action);
    assert_eq!(decided, Some(SendToMaker));
    assert!(matches!(&first.about, About::Place { on, .. } if *on == id(2)));
}

#[test]
fn what_fails_apart_from_the_rest_is_watched_once() {
    // Twelve faults at one place of one craft, never repaired; nothing on nine others.
    let mut text = String::new();
    for n in 1..=10 {
        text += &format!("0 craft {n} raft - -\n");
    }
    for k in 1..=12 {
        let day = 100 * k;
        text += &format!("{day} fault f{k} 1 floor tear major\n");
    }
    let ended = format!("{text}1500 ended 1\n");
    assert_eq!(proposals(&ended), []);
    let proposals = proposals(&text);
    assert_eq!(proposals.len(), 1, "{proposals:?}");
    assert_eq!(proposals[0].action, LeadAction::Watch);
    assert_eq!(proposals[0].rule.setting, Setting::Apart);
    assert!(matches!(proposals[0].about, About::Place { .. }));
    assert_eq!(proposals[0].evidence.len(), 12);
}
