use super::{Ended, Unit, Way, called, false_discovery, laplace, mil_hdbk_189, power_law};

fn unit(from: f64, until: f64, events: &[f64]) -> Unit {
    Unit {
        from,
        until,
        events: events.to_vec(),
    }
}

#[track_caller]
fn near(found: f64, wanted: f64) {
    let off = (found - wanted).abs();
    assert!(off <= 1e-12 * wanted.abs(), "{found}, not {wanted}");
}

/// Worked by hand by Benjamini and Hochberg's rule: p times how many by rank, held from above.
#[test]
fn p_values_are_adjusted_for_how_many_were_looked_at() {
    let adjusted = false_discovery(&[0.01, 0.04, f64::NAN, 0.03, 0.005]);
    near(adjusted[0], 0.02);
    near(adjusted[1], 0.04);
    assert!(adjusted[2].is_nan());
    near(adjusted[3], 0.04);
    near(adjusted[4], 0.02);
}

/// A unit that enters late is set against its own window alone.
#[test]
fn late_entry_is_a_later_beginning_and_nothing_else() {
    let new = [unit(0.0, 50.0, &[20.0, 30.0, 45.0])];
    let late = [unit(100.0, 150.0, &[120.0, 130.0, 145.0])];
    let (one, other) = (laplace(&new, Ended::AtTime), laplace(&late, Ended::AtTime));
    near(
        one.expect("events").statistic,
        other.expect("events").statistic,
    );
    let (one, other) = (
        mil_hdbk_189(&new, Ended::AtTime),
        mil_hdbk_189(&late, Ended::AtTime),
    );
    near(one.expect("events").chi2, other.expect("events").chi2);
    // What happened before it was watched is not counted.
    let before = [unit(100.0, 150.0, &[99.0, 100.0, 120.0, 130.0, 145.0])];
    assert_eq!(mil_hdbk_189(&before, Ended::AtTime), other);
}

/// Twice the same history: twice the chi-square, and Laplace's sum over a spread of root two.
#[test]
fn units_are_pooled_by_their_sums() {
    let one = unit(0.0, 50.0, &[20.0, 30.0, 45.0]);
    let both = [one.clone(), one.clone()];
    let one = [one];
    let (u, twice) = (laplace(&one, Ended::AtTime), laplace(&both, Ended::AtTime));
    let root = 2.0_f64.sqrt();
    near(
        twice.expect("events").statistic,
        u.expect("events").statistic * root,
    );
    let mil = |units: &[Unit]| mil_hdbk_189(units, Ended::AtTime).expect("events");
    near(mil(&both).chi2, 2.0 * mil(&one).chi2);
    assert_eq!(mil(&both).df, 12);
    let beta = |units: &[Unit]| power_law(units, Ended::AtTime, 0.95).expect("fitted").beta;
    near(beta(&both), beta(&one));
}

/// One test alone calls nothing.
#[test]
fn a_trend_needs_both_tests() {
    let early = [unit(
        0.0,
        1500.0,
        &[5.0, 40.0, 43.0, 175.0, 389.0, 712.0, 747.0, 795.0, 1299.0],
    )];
    let (u, mil) = (
        laplace(&early, Ended::AtTime),
        mil_hdbk_189(&early, Ended::AtTime),
    );
    let (u, mil) = (u.expect("events"), mil.expect("events"));
    assert!(mil.p_improving < 0.025 && u.p_better > 0.025);
    assert_eq!(called(&u, &mil, 0.05), None);
    assert_eq!(called(&u, &mil, 0.2), Some(Way::Better));
}
