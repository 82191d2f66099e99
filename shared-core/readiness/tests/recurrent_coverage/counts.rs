//! Rates, ratios of rates, and rates drawn towards what is usual.

use sponson_readiness::recurrent::{compare, poisson_interval, shrink};
use statrs::distribution::{Discrete as _, Poisson};

use super::random::Random;
use super::{Held, Row};

const HISTORIES: u32 = 4_000;
const COUNTS_MAX: u32 = 120;

pub(crate) fn rows() -> Vec<Row> {
    let rates = [0.5, 2.0, 5.0, 20.0].map(rate);
    let ratios = [(4.0, 4.0, 1.0), (10.0, 30.0, 2.0), (25.0, 25.0, 0.5)].map(ratio);
    rates.into_iter().chain(ratios).collect()
}

fn holds((lower, upper): (f64, f64), truth: f64) -> bool {
    lower <= truth && truth <= upper
}

fn chance(mean: f64, count: u32) -> f64 {
    Poisson::new(mean).expect("a mean").pmf(u64::from(count))
}

/// A rate whose count has that mean (Garwood).
fn rate(mean: f64) -> Row {
    let intervals: Vec<(f64, f64)> = (0..=COUNTS_MAX)
        .map(|count| poisson_interval(count, 0.95))
        .collect();
    let exact = (0..).zip(&intervals);
    let exact = exact.filter(|(_, interval)| holds(**interval, mean));
    let exact: f64 = exact.map(|(count, _)| chance(mean, count)).sum();
    let mut random = Random::new(1);
    let mut held = 0;
    for _ in 0..HISTORIES {
        let count = usize::try_from(random.poisson(mean)).expect("few");
        held += u32::from(holds(intervals[count], mean));
    }
    Row {
        what: format!("rate, {mean} events expected"),
        histories: HISTORIES,
        held,
        how: Held::Exact(100.0 * exact),
    }
}

/// The ratio of two rates (Clopper and Pearson), with both means and the exposure of the second by
/// the first.
fn ratio((mean1, mean2, exposure2): (f64, f64, f64)) -> Row {
    let truth = mean1 / (mean2 / exposure2);
    let interval = |count1: u32, count2: u32| {
        let found = compare((count1, 1.0), (count2, exposure2), 0.95).expect("watched");
        // Without any event the interval is everything.
        found
            .ratio
            .map_or((0.0, f64::INFINITY), |_| (found.lower, found.upper))
    };
    let mut exact = 0.0;
    for count1 in 0..60 {
        for count2 in 0..80 {
            if holds(interval(count1, count2), truth) {
                exact += chance(mean1, count1) * chance(mean2, count2);
            }
        }
    }
    let mut random = Random::new(2);
    let mut held = 0;
    for _ in 0..HISTORIES {
        let (count1, count2) = (random.poisson(mean1), random.poisson(mean2));
        held += u32::from(holds(interval(count1, count2), truth));
    }
    Row {
        what: format!("ratio of two rates, {mean1} and {mean2} events expected"),
        histories: HISTORIES,
        held,
        how: Held::Exact(100.0 * exact),
    }
}

pub(crate) fn shrunk_rows() -> Vec<Row> {
    vec![
        shrunk(40, Some(2), 60),
        shrunk(40, Some(1), 60),
        shrunk(12, Some(2), 200),
        shrunk(40, None, 60),
    ]
}

/// Rates of units drawn towards the usual: each unit's own rate, over all units of all counties.
/// Units differ by a gamma distribution of that shape, or not at all.
fn shrunk(units: u32, shape: Option<u32>, counties: u32) -> Row {
    let mut random = Random::new(3);
    let (mut held, mut seen) = (0, 0);
    for _ in 0..counties {
        let usual = 0.8;
        let mut rates = Vec::new();
        let mut counted = Vec::new();
        for _ in 0..units {
            let own = usual * shape.map_or(1.0, |shape| random.frailty(shape));
            let exposure = 0.5 + 5.5 * random.share();
            counted.push((random.poisson(own * exposure), exposure));
            rates.push(own);
        }
        let Some(found) = shrink(&counted, 0.95) else {
            continue;
        };
        for (unit, own) in found.units.iter().zip(rates) {
            seen += 1;
            held += u32::from(holds((unit.lower, unit.upper), own));
        }
    }
    let (differ, how) = match shape {
        None => ("do not differ".to_owned(), Held::Careful),
        Some(shape) => (format!("differ by shape {shape}"), Held::Calibrated),
    };
    Row {
        what: format!("rate drawn to the usual, {units} units that {differ}"),
        histories: seen,
        held,
        how,
    }
}
