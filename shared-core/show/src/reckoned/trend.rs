//! Events that happen again and again, in words: is there a trend, how often, and when the next.

mod figures;
mod said;

use sponson_readiness::recurrent::{
    Ended, McfStep, MilHdbk, Next, PowerLaw, Rate, Reversals, Trend, Unit, Way, called, laplace,
    mean_cumulative, mil_hdbk_189, power_law, rate, reverse_arrangements,
};

use super::Reckoned;

/// What is asked of a history.
#[derive(Clone, Debug)]
pub struct TrendAsked {
    /// What was watched.
    pub units: Vec<Unit>,
    /// How watching ended.
    pub ended: Ended,
    /// Fewer events are too few for a trend.
    pub least: u32,
    /// Level at which a trend is called.
    pub trend_level: f64,
    /// Level of intervals.
    pub level: f64,
    /// What was not given, a sentence each.
    pub assumed: Vec<String>,
}

/// What was found.
struct Found {
    events: u32,
    way: Said,
    rate: Rate,
    laplace: Option<Trend>,
    mil: Option<MilHdbk>,
    reversals: Option<Reversals>,
    power: Option<PowerLaw>,
    /// Age of the oldest unit at its end.
    oldest: f64,
    next: Option<Next>,
    mcf: Vec<McfStep>,
}

/// What is said of a trend.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Said {
    TooFew,
    NotShown,
    Called(Way),
}

/// Reckons trend, rate and the next event of a history.
///
/// # Errors
/// Where nothing was watched, in words with the remedy.
pub fn trend(asked: TrendAsked) -> Result<Reckoned, String> {
    let found = Found::of(&asked).ok_or(
        "nothing was watched for any time: let watching end later than it began".to_owned(),
    )?;
    let lines = said::lines(&asked, &found);
    Ok(Reckoned {
        what: "trend",
        given: vec![
            ("units", asked.units.len().into()),
            ("termination", ended(asked.ended).into()),
            ("level", asked.level.into()),
            ("trend_level", asked.trend_level.into()),
            ("trend_least", asked.least.into()),
        ],
        figures: figures::figures(&found, &lines),
        lines,
        assumed: asked.assumed,
        sources: sources(),
    })
}

impl Found {
    fn of(asked: &TrendAsked) -> Option<Self> {
        let (units, ended) = (&asked.units, asked.ended);
        let exposure: f64 = units.iter().map(Unit::exposure).sum();
        let watched = units.iter().map(|unit| unit.watched().len()).sum::<usize>();
        let events = u32::try_from(watched).unwrap_or(u32::MAX);
        let (u, mil) = (laplace(units, ended), mil_hdbk_189(units, ended));
        let way = match (&u, &mil) {
            (Some(u), Some(mil)) if events >= asked.least => {
                called(u, mil, asked.trend_level).map_or(Said::NotShown, Said::Called)
            }
            _ => Said::TooFew,
        };
        let power = power_law(units, ended, asked.level);
        let ages: Vec<f64> = units.iter().map(|unit| unit.until).collect();
        let next = power
            .as_ref()
            .and_then(|power| power.next(&ages, asked.level));
        Some(Self {
            events,
            way,
            rate: rate(events, exposure, asked.level)?,
            laplace: u,
            mil,
            reversals: reverse_arrangements(units),
            power,
            oldest: ages.into_iter().fold(0.0, f64::max),
            next,
            mcf: mean_cumulative(units, asked.level),
        })
    }
}

const fn ended(ended: Ended) -> &'static str {
    match ended {
        Ended::AtTime => "time",
        Ended::AtEvent => "failure",
    }
}

fn sources() -> Vec<String> {
    [
        "trend tests: NIST/SEMATECH e-Handbook 8.2.3.4; several units are pooled, each against the \
         time that it was watched; a trend is called only where Laplace's test and that of \
         MIL-HDBK-189 both say so, the same way",
        "power law: MIL-HDBK-189 and e-Handbook 8.4.5.2; beta and lambda are the plain maximum \
         likelihood values; beta's interval is exact (chi-square) where all were watched alike from \
         the beginning",
        "rate: exact Poisson interval (Garwood 1936)",
        "mean cumulative function: Nelson; variance by the differences between units (Lawless and \
         Nadeau 1995); interval from the Poisson variance and what units differ beyond it",
    ]
    .map(str::to_owned)
    .into()
}

#[cfg(test)]
mod tests;
