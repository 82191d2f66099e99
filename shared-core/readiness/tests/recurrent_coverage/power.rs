//! Beta of the power law, and the time to the next event.

use sponson_readiness::recurrent::{Ended, Unit, power_law};

use super::random::Random;
use super::{Held, Row};

const HISTORIES: u32 = 1_500;

/// A power law and how it is watched.
#[derive(Clone, Copy)]
struct Made {
    beta: f64,
    /// Events expected of all units together; of a unit that ends with an event, their number.
    events: f64,
    watched: Watched,
}

#[derive(Clone, Copy)]
enum Watched {
    /// One unit to a time.
    One,
    /// One unit to an event.
    ToAnEvent,
    /// Six units for unequal times, two of which enter late.
    Six,
}

pub(crate) fn rows() -> Vec<Row> {
    let made = |beta, events, watched| Made {
        beta,
        events,
        watched,
    };
    let histories = [
        made(1.0, 6.0, Watched::One),
        made(0.6, 12.0, Watched::One),
        made(2.0, 30.0, Watched::One),
        made(1.5, 6.0, Watched::ToAnEvent),
        made(1.0, 12.0, Watched::Six),
        made(1.8, 20.0, Watched::Six),
    ];
    histories.into_iter().flat_map(both).collect()
}

fn both(made: Made) -> [Row; 2] {
    let mut random = Random::new(5);
    let (mut beta_held, mut next_held, mut seen) = (0, 0, 0);
    for _ in 0..HISTORIES {
        let (units, lambda) = history(made, &mut random);
        let ended = match made.watched {
            Watched::ToAnEvent => Ended::AtEvent,
            Watched::One | Watched::Six => Ended::AtTime,
        };
        // Nothing is fitted to fewer than two events, and so nothing is held.
        let Some(fitted) = power_law(&units, ended, 0.95) else {
            continue;
        };
        seen += 1;
        let beta = fitted.beta_lower..=fitted.beta_upper;
        beta_held += u32::from(beta.contains(&made.beta));
        let ages: Vec<f64> = units.iter().map(|unit| unit.until).collect();
        let next = fitted.next(&ages, 0.95).expect("a time to the next");
        let grows = |ahead: f64| {
            let each = ages
                .iter()
                .map(|age| libm::pow(age + ahead, made.beta) - libm::pow(*age, made.beta));
            lambda * each.sum::<f64>()
        };
        let truth = random.exponential();
        let upper = next.upper.map_or(f64::INFINITY, grows);
        next_held += u32::from(grows(next.lower) <= truth && truth <= upper);
    }
    let watched = match made.watched {
        Watched::One => "one unit",
        Watched::ToAnEvent => "one unit to an event",
        Watched::Six => "six units",
    };
    let row = |what: &str, held: u32| Row {
        what: format!(
            "{what}, beta {}, {} events, {watched}",
            made.beta, made.events
        ),
        histories: seen,
        held,
        how: Held::Calibrated,
    };
    [row("beta", beta_held), row("time to the next", next_held)]
}

/// Units with their events, and lambda.
fn history(made: Made, random: &mut Random) -> (Vec<Unit>, f64) {
    let grown = |at: f64| libm::pow(at, made.beta);
    let windows: &[(f64, f64)] = match made.watched {
        Watched::One => &[(0.0, 10.0)],
        Watched::ToAnEvent => return (vec![to_an_event(made, random)], 1.0),
        Watched::Six => &[
            (0.0, 4.0),
            (0.0, 6.0),
            (0.0, 8.0),
            (0.0, 10.0),
            (2.0, 9.0),
            (5.0, 10.0),
        ],
    };
    let all: f64 = windows
        .iter()
        .map(|(from, until)| grown(*until) - grown(*from))
        .sum();
    let lambda = made.events / all;
    let units = windows.iter().map(|(from, until)| {
        let mut events = Vec::new();
        let mut at = grown(*from) + random.exponential() / lambda;
        while at < grown(*until) {
            events.push(libm::pow(at, 1.0 / made.beta));
            at += random.exponential() / lambda;
        }
        Unit {
            from: *from,
            until: *until,
            events,
        }
    });
    (units.collect(), lambda)
}

fn to_an_event(made: Made, random: &mut Random) -> Unit {
    let mut events = Vec::new();
    let mut at = 0.0;
    while f64::from(u32::try_from(events.len()).expect("few")) < made.events {
        at += random.exponential();
        events.push(libm::pow(at, 1.0 / made.beta));
    }
    Unit {
        from: 0.0,
        until: *events.last().expect("an event"),
        events,
    }
}
