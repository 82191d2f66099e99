//! Nothing is called a trend that is not.

use sponson_readiness::keeps_failing::{Grouping, TrendSaid};

use crate::county::{by_grouping, county};

/// Faults of one craft on these days of 1000.
fn check(days: &[u32], expected: TrendSaid) {
    let mut text = "0 craft 1 raft - -\n0 craft 2 raft - -\n".to_owned();
    for (index, day) in days.iter().enumerate() {
        text += &format!("{day} fault f{index} 1 floor tear major\n");
    }
    let said = by_grouping(&county(1_000.0, &text), Grouping::Craft);
    let group = &said.groups[0];
    assert_eq!(group.trend.said, expected, "{days:?} {:?}", group.trend);
    let is_told = !matches!(expected, TrendSaid::TooFew { .. });
    assert_eq!(group.power.is_some(), is_told);
    assert_eq!(group.trend.laplace.is_some(), is_told);
}

#[test]
fn getting_worse_is_said_only_with_enough_faults_and_one_voice() {
    check(&[500, 700, 800, 860, 910, 940, 970, 990], TrendSaid::Worse);
    check(&[10, 30, 60, 100, 150, 220, 300, 500], TrendSaid::Better);
    check(
        &[120, 250, 370, 500, 620, 750, 870, 990],
        TrendSaid::NotShown,
    );
    let few = TrendSaid::TooFew {
        faults: 5,
        least: 6,
    };
    check(&[900, 920, 940, 960, 980], few);
}

#[test]
fn one_test_alone_is_no_trend() {
    // Laplace's says worse; that of MIL-HDBK-189 is held back by the fault on the first day.
    let days = [1, 640, 700, 750, 800, 850, 900, 950];
    let mut text = "0 craft 1 raft - -\n".to_owned();
    for (index, day) in days.iter().enumerate() {
        text += &format!("{day} fault f{index} 1 floor tear major\n");
    }
    let said = by_grouping(&county(1_000.0, &text), Grouping::Craft);
    let trend = said.groups[0].trend;
    let p = |test: Option<sponson_readiness::keeps_failing::TestSaid>| {
        test.map_or(0, |test| test.p_worse_ppm)
    };
    assert!(p(trend.laplace) <= 50_000, "{trend:?}");
    assert!(p(trend.mil_hdbk) > 50_000, "{trend:?}");
    assert_eq!(trend.said, TrendSaid::NotShown);
}

#[test]
fn of_many_looked_at_one_that_looks_like_a_trend_is_none() {
    // By itself Laplace's p is 0.035 and that of MIL-HDBK-189 0.024.
    let doubtful = [330, 500, 580, 660, 740, 820, 890, 960];
    check(&doubtful, TrendSaid::Worse);
    let mut text = String::new();
    for craft in 1..=10 {
        text += &format!("0 craft {craft} raft - -\n");
        let even = [120, 250, 370, 500, 620, 750, 870, 990];
        let days = if craft == 1 { doubtful } else { even };
        for day in days {
            text += &format!("{day} fault f{craft}-{day} {craft} floor tear major\n");
        }
    }
    let said = by_grouping(&county(1_000.0, &text), Grouping::Craft);
    let is_trend = |said| matches!(said, TrendSaid::Worse | TrendSaid::Better);
    assert!(!said.groups.iter().any(|group| is_trend(group.trend.said)));
}
