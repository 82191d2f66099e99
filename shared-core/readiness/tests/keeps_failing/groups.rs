//! Groupings, exposures, and what is said of a group.

use sponson_readiness::event::{GearKind, Severity};
use sponson_readiness::ids::ModelId;
use sponson_readiness::keeps_failing::{Against, Asked, GroupKey, Grouping, Kind, Per, Said};

use crate::county::{ask, by_grouping, county, day, id, words};

/// Faults of a craft on these days.
fn faults(craft: u8, days: &[u32]) -> String {
    let line = |day: &u32| format!("{day} fault f{craft}-{day} {craft} floor tear major\n");
    days.iter().map(line).collect()
}

const THREE: &str = "0 craft 1 raft b1 pvc\n0 craft 2 raft b2 csm\n0 craft 3 skiff b3 csm\n";

/// The first group of a grouping: what is said.
fn check(text: &str, expected: Said) {
    let said = by_grouping(&county(1_000.0, text), Grouping::Craft);
    assert_eq!(said.groups[0].said, expected, "{text}");
}

#[test]
fn the_usual_is_the_rate_of_the_rest() {
    // 4 in 1000 days against 2 in 2000: four times. Exact conditional test, 4 of 6 at 1/3:
    // P(X >= 4) = 73/729; none on the other side is as unlikely: P(0) = 64/729 > P(4) = 60/729.
    let text = format!(
        "{THREE}{}{}",
        faults(1, &[10, 200, 400, 800]),
        faults(2, &[50, 500])
    );
    let said = by_grouping(&county(1_000.0, &text), Grouping::Craft);
    let group = &said.groups[0];
    assert_eq!(group.key, GroupKey::Craft(id(1)));
    let times = group.times.expect("there is a rest");
    assert_eq!(times.milli, Some(4_000));
    assert_eq!(times.p_ppm, 100_137);
    // Benjamini and Hochberg over 73/729, 1 and (of the third craft) 137/729: the last times 3/2.
    assert_eq!(times.p_adjusted_ppm, 281_893);
    let expected = Said::MoreThanUsual {
        times_milli: Some(4_000),
        faults: 4,
        could_be_chance: true,
    };
    assert_eq!(group.said, expected);
    // 4 / 1000 d x 365.25 d, with Garwood's interval of 4: 1.0899 to 10.2416.
    assert_eq!(group.rate.micro, 1_461_000);
    assert_eq!(group.rate.low_micro, 398_073);
    assert_eq!(group.rate.high_micro, 3_740_740);
    assert_eq!(group.rate.exposure, 1_000 * 86_400);
    assert_eq!(
        group.usual.map(|usual| (usual.faults, usual.micro)),
        Some((2, 365_250))
    );
    assert_eq!(
        said.all.map(|all| (all.faults, all.exposure)),
        Some((6, 3_000 * 86_400))
    );
    assert_eq!(
        (said.looked.groups, said.looked.compared, said.looked.apart),
        (3, 3, 0)
    );
    assert_eq!(said.against, Against::Others);
}

#[test]
fn small_numbers_are_said_to_be_small_and_chance_to_be_chance() {
    let few = Said::TooFew {
        faults: 2,
        least: 3,
    };
    check(&format!("{THREE}{}", faults(1, &[10, 20])), few);
    // Twelve against none in twice the time is no chance.
    let many: Vec<u32> = (1..=12).map(|n| n * 70).collect();
    let apart = Said::MoreThanUsual {
        times_milli: None,
        faults: 12,
        could_be_chance: false,
    };
    check(&format!("{THREE}{}", faults(1, &many)), apart);
    let even = [100, 300, 500, 700];
    let text = format!(
        "{THREE}{}{}{}",
        faults(1, &even),
        faults(2, &even),
        faults(3, &even)
    );
    check(&text, Said::AsUsual { faults: 4 });
    check(
        "0 craft 1 raft - -\n5 fault a 1 floor tear major",
        Said::NothingToCompare { faults: 1 },
    );
}

#[test]
fn what_clearly_fails_less_is_said_even_of_few() {
    let many: Vec<u32> = (1..=12).map(|n| n * 70).collect();
    let text = format!("{THREE}{}{}", faults(1, &many), faults(2, &many));
    let said = by_grouping(&county(1_000.0, &text), Grouping::Craft);
    let third = said
        .groups
        .iter()
        .find(|group| group.key == GroupKey::Craft(id(3)));
    let expected = Said::LessThanUsual {
        times_milli: 0,
        faults: 0,
        could_be_chance: false,
    };
    assert_eq!(third.map(|group| group.said), Some(expected));
}

/// Groups of a grouping with their counts, in order of key.
fn check_groups(grouping: Grouping, expected: &[(GroupKey, u32)]) {
    let text = "0 craft 1 raft b1 pvc\n0 craft 2 raft b2 csm\n0 craft 3 skiff b2 csm
        0 gear 50 outboard m1\n0 gear 51 outboard m2
        0 at 1 90\n0 at 2 90\n0 at 3 91\n500 at 1 91\n0 fitted 50 1
        10 fault a 1 floor tear major\n600 fault b 1 floor leak major\n20 fault c 2 keel tear minor
        30 fault d 3 floor tear disabling\n40 fault e 50/1 motor stiff major";
    let history = county(1_000.0, text);
    let mut found: Vec<(GroupKey, u32)> = by_grouping(&history, grouping)
        .groups
        .into_iter()
        .map(|group| (group.key, group.rate.faults))
        .collect();
    found.sort();
    assert_eq!(found, expected);
}

#[test]
fn each_grouping_puts_together_what_belongs_together() {
    let motor = Kind::Gear(GearKind::Motor);
    let batch = |kind, model: &str, batch: &str| GroupKey::Batch {
        kind,
        model: model.to_owned(),
        batch: batch.to_owned(),
    };
    let model = |kind, model: &str| GroupKey::Model {
        kind,
        model: model.to_owned(),
    };
    let class = |model: &str, class: &str| GroupKey::Class {
        model: ModelId::from(model),
        class: class.to_owned(),
    };
    let craft = |n| GroupKey::Craft(id(n));
    check_groups(
        Grouping::Craft,
        &[(craft(1), 2), (craft(2), 1), (craft(3), 1)],
    );
    let fabric = |word: &str| GroupKey::Fabric(word.to_owned());
    check_groups(Grouping::Fabric, &[(fabric("csm"), 2), (fabric("pvc"), 2)]);
    // A batch is one of a model: makers number as they like.
    let batches = [
        (batch(Kind::Craft, "raft", "b1"), 2),
        (batch(Kind::Craft, "raft", "b2"), 1),
        (batch(Kind::Craft, "skiff", "b2"), 1),
        (batch(motor, "outboard", "m1"), 1),
    ];
    check_groups(Grouping::Batch, &batches);
    let models = [
        (model(Kind::Craft, "raft"), 3),
        (model(Kind::Craft, "skiff"), 1),
        (model(motor, "outboard"), 1),
    ];
    check_groups(Grouping::Model, &models);
    // One craft moved on day 500, and failed at either station.
    let station = |n| GroupKey::Station(id(n));
    check_groups(Grouping::Station, &[(station(90), 2), (station(91), 2)]);
    check_groups(Grouping::Gear, &[(GroupKey::Gear(id(50)), 1)]);
    let classes = [
        (class("raft", "leak"), 1),
        (class("raft", "tear"), 2),
        (class("skiff", "tear"), 1),
    ];
    check_groups(Grouping::Class, &classes);
}

#[test]
fn the_same_seam_on_several_craft_of_a_model_is_one_group_and_one_of_each_craft() {
    let text = "0 craft 1 raft - -\n0 craft 2 raft - -\n0 craft 3 skiff - -
        10 fault a 1 tube-1 seam major port 1200\n20 fault b 2 tube-1 seam major port 1300
        30 fault c 3 tube-1 seam major port 1200";
    let history = county(1_000.0, text);
    let of = |grouping| {
        let groups = by_grouping(&history, grouping).groups;
        let mut faults: Vec<Vec<String>> =
            groups.iter().map(|group| words(&group.faults)).collect();
        faults.sort();
        faults
    };
    assert_eq!(of(Grouping::Place), [vec!["a", "b"], vec!["c"]]);
    assert_eq!(of(Grouping::CraftPlace), [vec!["a"], vec!["b"], vec!["c"]]);
}

/// Exposure and faults of craft 1, of a history that is asked about on day 1000.
fn check_exposure(per: Per, from: Option<f64>, text: &str, expected: Option<(u64, u32)>) {
    let text = format!("0 craft 2 raft - -\n{text}");
    let asked = Asked {
        per,
        from: from.map(day),
        ..Asked::all(Grouping::Craft)
    };
    let said = ask(&county(1_000.0, &text), &asked);
    let group = said
        .groups
        .iter()
        .find(|group| group.key == GroupKey::Craft(id(1)));
    let found = group.map(|group| (group.rate.exposure, group.rate.faults));
    assert_eq!(found, expected, "{text}");
}

#[test]
fn a_craft_is_watched_from_its_registration_or_the_asked_day_to_its_end() {
    const D: u64 = 86_400;
    let faults = "100 fault a 1 floor tear major\n700 fault b 1 floor tear major";
    let of = |craft: &str| format!("{craft}\n{faults}");
    let days = |from, text: &str, expected| check_exposure(Per::Days, from, text, expected);
    days(None, &of("0 craft 1 raft - -"), Some((1_000 * D, 2)));
    days(None, &of("50 craft 1 raft - -"), Some((950 * D, 2)));
    days(
        None,
        &of("50 craft 1 raft - -\n600 ended 1"),
        Some((550 * D, 1)),
    );
    days(Some(400.0), &of("50 craft 1 raft - -"), Some((600 * D, 1)));
    days(Some(800.0), &of("50 craft 1 raft - -"), None);
}

#[test]
fn engine_hours_come_from_meters_and_uses_are_counted() {
    const H: u64 = 3_600;
    let text = "0 craft 1 raft - -\n5 fault z 1 floor tear major\n10 meter 1 100
        100 fault a 1 floor tear major\n200 meter 1 150\n300 fault b 1 floor tear major";
    let engine = |text: &str, expected| check_exposure(Per::EngineHours, None, text, expected);
    // What was found before the first and after the last reading has no exposure to stand against.
    engine(text, Some((50 * H, 1)));
    engine(&format!("{text}\n400 meter 1 170"), Some((70 * H, 2)));
    // A meter that was changed counts anew; one that ran faster than the clock is not believed.
    engine(
        &format!("{text}\n400 meter 1 0\n500 meter 1 30"),
        Some((80 * H, 2)),
    );
    engine(
        &format!("{text}\n201 meter 1 900\n400 meter 1 160"),
        Some((50 * H, 2)),
    );
    engine("0 craft 1 raft - -\n5 fault z 1 floor tear major", None);
    let uses = "0 craft 1 raft - -\n1 fault z 1 floor tear major\n10 use 1\n20 use 1
        21 fault a 1 floor tear major\n30 use 1";
    check_exposure(Per::Uses, None, uses, Some((3, 1)));
}

#[test]
fn what_is_not_counted_is_told() {
    let text = "0 craft 1 raft - -\n0 craft 2 raft - -
        ?5 fault u 1 floor tear major\n10 fault a 1 floor tear major\n11 fault b 1 floor tear major
        12 fault c 1 floor tear minor\n20 over a,b\n30 ended 2\n40 fault d 2 keel tear major";
    let mut asked = Asked::all(Grouping::Craft);
    asked.severities.insert(Severity::Major);
    let said = ask(&county(1_000.0, text), &asked);
    // `a` and `b`: one place, one sign-off, one defect.
    assert_eq!(said.counted.faults, 1);
    assert_eq!(said.counted.unconfirmed, 1);
    assert_eq!(said.counted.not_asked, 1);
    assert_eq!(said.counted.not_watched, 1);
    let once: Vec<String> = said
        .counted
        .once
        .iter()
        .flat_map(|one| words(&[one.counted, one.left_out]))
        .collect();
    assert_eq!(once, ["a", "b"]);
    // Signed off each by itself, they are two.
    let apart = text.replace("20 over a,b", "20 over a\n21 over b");
    assert_eq!(ask(&county(1_000.0, &apart), &asked).counted.faults, 2);
}
