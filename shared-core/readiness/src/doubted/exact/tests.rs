//! Against published values.

use super::*;

fn near(found: f64, wanted: f64) {
    assert!((found - wanted).abs() < 5e-5, "{found}, not {wanted}");
}

/// 15 of 148 and 81 of 263: R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872, table I, method
/// 5, from memory; 0 of 20 and 1 of 29 too. Binomial tails summed term by term agree.
#[test]
fn a_share_has_its_exact_interval() {
    for (count, of, least, most) in [
        (81, 263, 0.2527, 0.3676),
        (15, 148, 0.0578, 0.1617),
        (0, 20, 0.0, 0.1684),
        (1, 29, 0.0009, 0.1776),
    ] {
        let share = Share::of(count, of);
        assert!((share.between.0 - least).abs() < 6e-5, "{share:?}");
        assert!((share.between.1 - most).abs() < 6e-5, "{share:?}");
    }
    assert_eq!(Share::of(5, 5).between.1.to_bits(), 1.0_f64.to_bits());
    assert_eq!(Share::of(0, 0).between, (0.0, 1.0));
}

/// R. A. Fisher, The Design of Experiments: the lady who tasted tea, 3 of 4 right has 17/70, 4 of 4
/// has 1/70.
#[test]
fn two_shares_are_compared_as_fisher_did() {
    near(
        more_often(Share::of(3, 4), Share::of(1, 4)).expect("p"),
        17.0 / 70.0,
    );
    near(
        more_often(Share::of(4, 4), Share::of(0, 4)).expect("p"),
        1.0 / 70.0,
    );
    near(
        more_often(Share::of(0, 4), Share::of(4, 4)).expect("p"),
        1.0,
    );
    assert_eq!(more_often(Share::of(1, 4), Share::of(0, 0)), None);
}

#[test]
fn a_middle_value_needs_six_for_its_interval() {
    assert_eq!(median(&[]), None);
    assert_eq!(median(&[3.0, 1.0, 2.0]), Some(2.0));
    assert_eq!(median(&[4.0, 1.0, 2.0, 3.0]), Some(2.5));
    let values: Vec<f64> = (1..=5).map(f64::from).collect();
    assert_eq!(
        median_between(&values),
        None,
        "5: 2 in 32 are more than 5 %"
    );
    let values: Vec<f64> = (1..=6).map(f64::from).collect();
    assert_eq!(median_between(&values), Some((1.0, 6.0)));
    // Conover's table A3: of 10 values the second and the ninth, 97.9 %.
    let values: Vec<f64> = (1..=10).map(f64::from).collect();
    assert_eq!(median_between(&values), Some((2.0, 9.0)));
}

#[test]
fn signs_are_counted_beyond_what_a_gauge_may_be_off() {
    near(beyond(&[15.0; 6], 5.0).expect("p"), 2.0 / 64.0);
    near(beyond(&[-15.0; 6], 5.0).expect("p"), 2.0 / 64.0);
    near(beyond(&[4.0; 20], 5.0).expect("p"), 1.0);
    // 8 of 9: (9 + 1) / 512 on one side.
    let mostly = [9.0, 9.0, 9.0, 9.0, 9.0, 9.0, 9.0, 9.0, 1.0];
    near(beyond(&mostly, 5.0).expect("p"), 20.0 / 512.0);
    assert_eq!(beyond(&[], 5.0), None);
}
