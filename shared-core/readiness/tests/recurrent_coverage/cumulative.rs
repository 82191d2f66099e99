//! The mean cumulative function, at the end of watching.

use sponson_readiness::recurrent::{Unit, mean_cumulative};

use super::random::Random;
use super::{Held, Row};

const HISTORIES: u32 = 1_000;

/// Units, rate, shape by which they differ, whether they are watched for unequal times.
struct Made {
    units: u32,
    rate: f64,
    shape: Option<u32>,
    unequal: bool,
    how: Held,
}

pub(crate) fn rows() -> Vec<Row> {
    let made = |units, rate, shape, unequal, how| Made {
        units,
        rate,
        shape,
        unequal,
        how,
    };
    // Units that do not differ: Garwood and Fay and Feuer, which are careful. Few that differ: the
    // interval has to be guessed from few.
    let rows = [
        made(1, 5.0, None, false, Held::Careful),
        made(3, 2.0, None, false, Held::Careful),
        made(10, 1.0, None, false, Held::Careful),
        made(30, 1.0, None, true, Held::Careful),
        made(5, 2.0, Some(2), false, Held::Calibrated),
        made(10, 2.0, Some(2), false, Held::Calibrated),
        made(20, 1.0, Some(2), true, Held::Calibrated),
        made(40, 1.0, Some(1), false, Held::Calibrated),
    ];
    rows.iter().map(row).collect()
}

/// The age at which the function is asked: every unit is watched to it at least half-way.
const ASKED: f64 = 2.0;

fn row(made: &Made) -> Row {
    let mut random = Random::new(4);
    let (mut held, mut seen) = (0, 0);
    for _ in 0..HISTORIES {
        let units: Vec<Unit> = (0..made.units).map(|_| unit(made, &mut random)).collect();
        let steps = mean_cumulative(&units, 0.95);
        let by_then = steps.iter().rfind(|step| step.t <= ASKED);
        let truth = made.rate * ASKED;
        // Without an event by then there is no step, and no interval to hold anything.
        let Some(step) = by_then else {
            continue;
        };
        seen += 1;
        held += u32::from(step.lower <= truth && truth <= step.upper);
    }
    let differ = made.shape.map_or_else(
        || "do not differ".to_owned(),
        |shape| format!("differ by shape {shape}"),
    );
    let unequal = if made.unequal { ", unequal times" } else { "" };
    Row {
        what: format!(
            "mean cumulative function, {} units that {differ}{unequal}",
            made.units
        ),
        histories: seen,
        held,
        how: made.how,
    }
}

fn unit(made: &Made, random: &mut Random) -> Unit {
    let until = if made.unequal {
        ASKED * (0.5 + random.share())
    } else {
        ASKED
    };
    let own = made.rate * made.shape.map_or(1.0, |shape| random.frailty(shape));
    let mut events = Vec::new();
    let mut at = random.exponential() / own;
    while at < until {
        events.push(at);
        at += random.exponential() / own;
    }
    Unit {
        from: 0.0,
        until,
        events,
    }
}
