use sponson_readiness::recurrent::{Ended, Unit};

use super::{TrendAsked, trend};
use crate::reckoned::{Reckoned, figure};

fn reckoned(events: &[f64], until: f64) -> Reckoned {
    let unit = Unit {
        from: 0.0,
        until,
        events: events.to_vec(),
    };
    let asked = TrendAsked {
        units: vec![unit],
        ended: Ended::AtTime,
        least: 6,
        trend_level: 0.05,
        level: 0.95,
        assumed: Vec::new(),
    };
    trend(asked).expect("a history")
}

fn check_said(events: &[f64], until: f64, begins: &str, word: &str) {
    let reckoned = reckoned(events, until);
    assert!(
        reckoned.lines[0].starts_with(begins),
        "{}",
        reckoned.lines[0]
    );
    let trend = reckoned.figures.iter().find(|(name, _)| *name == "trend");
    assert_eq!(trend.map(|(_, value)| value.as_str()), Some(Some(word)));
}

/// Ten events of NIST/SEMATECH e-Handbook 8.2.2.3: one test says better at 5 %, the other does not.
#[test]
fn a_trend_is_called_only_where_both_tests_say_so() {
    let nist = [
        5.0, 40.0, 43.0, 175.0, 389.0, 712.0, 747.0, 795.0, 1299.0, 1478.0,
    ];
    check_said(&nist, 1500.0, "no trend is shown", "not_shown");
    let late = [500.0, 800.0, 900.0, 950.0, 970.0, 980.0, 990.0];
    check_said(
        &late,
        1000.0,
        "getting worse: the 7 events come faster",
        "worse",
    );
    let early: Vec<f64> = late.iter().rev().map(|at| 1001.0 - at).collect();
    check_said(
        &early,
        1000.0,
        "getting better: the 7 events come slower",
        "better",
    );
}

#[test]
fn few_events_are_said_to_be_few() {
    check_said(
        &[900.0, 950.0, 970.0, 990.0],
        1000.0,
        "4 events: too few",
        "too_few",
    );
    check_said(&[], 1000.0, "no event", "too_few");
}

/// Nothing is told of what there is not, and every field is there all the same.
#[test]
fn no_event_leaves_its_figures_empty() {
    let none = reckoned(&[], 10.0);
    assert_eq!(figure(&none, "laplace_u"), None);
    assert_eq!(figure(&none, "power_law_beta"), None);
    assert_eq!(figure(&none, "rate"), Some(0.0));
    // Garwood's upper limit of no event is 3.688879.
    let upper = figure(&none, "rate_upper").expect("a limit");
    assert!((upper - 0.368_887_9).abs() < 1e-6, "{upper}");
    let names = |reckoned: &Reckoned| -> Vec<&str> {
        reckoned.figures.iter().map(|(name, _)| *name).collect()
    };
    assert_eq!(names(&none), names(&reckoned(&[1.0, 2.0, 3.0], 10.0)));
}
