//! A leak from a list of readings, in words: how fast, how sure, and when the minimum is reached.

use serde_json::Value;
use sponson_readiness::leak::{
    Crossing, Fitted, NotFitted, REFERENCE, Relief, Spread, Step, corrected_gas,
};
use sponson_readiness::moment::Moment;
use sponson_readiness::pressure::Air;
use sponson_readiness::standard::{MassUnit, PressureUnit, TemperatureUnit, Units};

use super::Reckoned;
use crate::units::print;

/// A day, milliseconds.
const DAY_MS: f64 = 86_400_000.0;

/// Pounds-force per square inch, beside the millibar of the published limits.
const PSI: Units = Units {
    pressure: PressureUnit::Psi,
    temperature: TemperatureUnit::C,
    mass: MassUnit::Kg,
};

/// What is asked of a history.
#[derive(Clone, Debug)]
pub struct LeakAsked {
    /// The history, in the order in which it happened.
    pub steps: Vec<Step>,
    /// Its day 0 as a moment, where the readings have moments.
    pub day_0: Option<Moment>,
    /// Relief valve.
    pub relief: Option<Relief>,
    /// Gauge that it should not fall below, pascal.
    pub minimum_pa: Option<f64>,
    /// The air at which that is asked.
    pub at: Air,
    /// What was not given, a sentence each.
    pub assumed: Vec<String>,
}

/// Fits the newest stretch of a history.
///
/// # Errors
/// Why nothing can be fitted, in words with the remedy.
pub fn leak(asked: LeakAsked) -> Result<Reckoned, String> {
    let fitted = Fitted::newest(&asked.steps, asked.relief).map_err(not_fitted)?;
    let minimum = asked
        .minimum_pa
        .map(|pa| at_reference(pa, asked.at))
        .transpose()?;
    let crossing = minimum.map(|minimum_pa| Minimum::of(&fitted, minimum_pa));
    let left_out = read(&asked.steps).saturating_sub(fitted.readings.len());
    Ok(Reckoned {
        what: "leak",
        given: vec![
            ("readings", read(&asked.steps).into()),
            (
                "minimum_pa",
                asked.minimum_pa.map_or(Value::Null, Value::from),
            ),
            ("at_temperature_mc", asked.at.temperature_mc.into()),
            ("at_ambient_pa", asked.at.ambient_pa.into()),
        ],
        figures: figures(&fitted, crossing.as_ref(), left_out),
        lines: lines(&asked, &fitted, crossing.as_ref(), left_out),
        assumed: asked.assumed,
        sources: vec![
            "gauges brought to 15 °C and 1013.25 hPa by the gas law; ordinary least squares of \
             their logarithm on days; interval of the crossing by Fieller's theorem"
                .to_owned(),
            "never fitted across added or let-out air, a repair, or the relief valve: stretches \
             between them share a slope, each with a height of its own"
                .to_owned(),
        ],
    })
}

fn read(steps: &[Step]) -> usize {
    let is_read = |step: &&Step| matches!(step, Step::Read(_));
    steps.iter().filter(is_read).count()
}

fn at_reference(minimum_pa: f64, at: Air) -> Result<f64, String> {
    let minimum = corrected_gas(minimum_pa, at, REFERENCE);
    if minimum > 0.0 {
        return Ok(minimum);
    }
    Err("--minimum: a part that shows this there is slack at 15 °C; give a higher one".to_owned())
}

fn not_fitted(why: NotFitted) -> String {
    match why {
        NotFitted::NoReading => "the file has no reading: give at least two",
        NotFitted::OneReading => {
            "no two readings without air added or let out, a repair, or a time at the relief \
             valve's setting between them: read the gauge again after a day or more"
        }
        NotFitted::OneMoment => "all readings are of one moment: correct the time column",
        NotFitted::Slack => "a part that is slack has nothing more to lose: leave that reading out",
    }
    .to_owned()
}

/// The line at a minimum.
struct Minimum {
    day: Option<f64>,
    from_last: Option<f64>,
    interval: Option<Crossing>,
    line_may: Option<f64>,
    reading_may: Option<f64>,
}

impl Minimum {
    fn of(fitted: &Fitted, minimum_pa: f64) -> Self {
        let y = minimum_pa.ln();
        let falls = fitted.line.slope < 0.0;
        let day = fitted.line.reaches(y).filter(|_| falls);
        let with = |read: fn(&Spread, f64) -> Option<f64>| {
            fitted.spread.as_ref().and_then(|spread| read(spread, y))
        };
        Self {
            day,
            from_last: day.map(|day| day - fitted.last.t_days),
            interval: fitted.spread.map(|spread| spread.crossing(y)),
            line_may: with(Spread::line_may_reach),
            reading_may: with(Spread::reading_may_reach),
        }
    }

    fn edges(&self) -> (Value, Option<f64>, Option<f64>) {
        match self.interval {
            None => (Value::Null, None, None),
            Some(Crossing::Bounded(low, high)) => ("bounded".into(), Some(low), Some(high)),
            Some(Crossing::Outside(low, high)) => ("outside".into(), Some(low), Some(high)),
            Some(Crossing::Anywhere) => ("anywhere".into(), None, None),
        }
    }
}

fn figures(
    fitted: &Fitted,
    minimum: Option<&Minimum>,
    left_out: usize,
) -> Vec<(&'static str, Value)> {
    let number = |value: Option<f64>| value.map_or(Value::Null, Value::from);
    let spread = fitted.spread.as_ref();
    let slope = spread.map(Spread::slope_interval);
    let share = fitted.line.share_per_day();
    let half_life = (share > 0.0).then(|| std::f64::consts::LN_2 / share);
    let (kind, low, high) = minimum.map_or((Value::Null, None, None), Minimum::edges);
    let day = |read: fn(&Minimum) -> Option<f64>| number(minimum.and_then(read));
    vec![
        ("readings_fitted", fitted.readings.len().into()),
        ("readings_left_out", left_out.into()),
        ("days_fitted", fitted.days.into()),
        ("first_days", fitted.first.t_days.into()),
        ("last_days", fitted.last.t_days.into()),
        ("slope_per_day", fitted.line.slope.into()),
        ("slope_se", number(spread.map(Spread::slope_se))),
        ("slope_low", number(slope.map(|it| it.0))),
        ("slope_high", number(slope.map(|it| it.1))),
        ("p", number(spread.and_then(Spread::slope_p))),
        ("residual_sd", number(spread.map(Spread::residual_sd))),
        ("intercept_ln_pa", fitted.line.intercept.into()),
        ("share_per_day", share.into()),
        ("half_life_days", number(half_life)),
        ("at_last_pa", fitted.at_last_pa().into()),
        ("lost_per_day_pa", fitted.lost_per_day_pa().into()),
        ("crossing_days", day(|it| it.day)),
        ("crossing_from_last_days", day(|it| it.from_last)),
        ("crossing_interval", kind),
        ("crossing_low_days", number(low)),
        ("crossing_high_days", number(high)),
        ("line_may_reach_days", day(|it| it.line_may)),
        ("reading_may_reach_days", day(|it| it.reading_may)),
    ]
}

fn lines(
    asked: &LeakAsked,
    fitted: &Fitted,
    minimum: Option<&Minimum>,
    left_out: usize,
) -> Vec<String> {
    let mut lines = vec![rate(fitted)];
    if left_out > 0 {
        lines.push(format!(
            "{} left out: before a repair, or alone between two changes of air or times at the \
             relief valve's setting",
            print::count(i64::try_from(left_out).unwrap_or(i64::MAX), "reading")
        ));
    }
    if let (Some(minimum), Some(pa)) = (minimum, asked.minimum_pa) {
        lines.extend(crossing(asked, minimum, &mbar(rounded(pa))));
    }
    lines.extend(sure(fitted));
    lines
}

fn rate(fitted: &Fitted) -> String {
    let over = format!(
        "{} readings over {} days",
        fitted.readings.len(),
        tenth(fitted.days)
    );
    if fitted.line.slope >= 0.0 {
        return format!("no leak shows: the gauge does not fall ({over})");
    }
    format!(
        "loses {} a day now, {} % of its pressure a day ({over}, brought to 15 °C)",
        mbar(rounded(fitted.lost_per_day_pa())),
        tenth(100.0 * fitted.line.share_per_day())
    )
}

fn crossing(asked: &LeakAsked, minimum: &Minimum, pa: &str) -> Vec<String> {
    let at = format!("{pa} at {}", celsius(asked.at.temperature_mc));
    let when = |day: f64| match asked.day_0 {
        Some(moment) => format!("on {}", print::local_day(on(moment, day), 0)),
        None => format!("on day {}", tenth(day)),
    };
    let first = match (minimum.day, minimum.from_last) {
        (Some(day), Some(from_last)) if from_last >= 0.0 => format!(
            "reaches {at} {}, {} days after the last reading",
            when(day),
            tenth(from_last)
        ),
        (Some(day), _) => format!("reached {at} {}, before the last reading", when(day)),
        (None, _) => format!("never reaches {at} by these readings"),
    };
    let second = match minimum.interval {
        None => "two readings give no interval: how sure that is nobody can say".to_owned(),
        Some(Crossing::Bounded(low, high)) => {
            format!("95 % interval of that: {} to {}", when(low), when(high))
        }
        Some(Crossing::Outside(_, high)) => format!(
            "the interval is open: by these readings it may leak or not; if it does, not before \
             the {}",
            when(high).replacen("on ", "time of ", 1)
        ),
        Some(Crossing::Anywhere) => {
            "the interval has no ends: these readings do not tell when".to_owned()
        }
    };
    vec![first, second]
}

fn sure(fitted: &Fitted) -> Option<String> {
    let spread = fitted.spread?;
    let (low, high) = spread.slope_interval();
    let percent = |slope: f64| tenth(-100.0 * slope);
    let p = spread.slope_p().map_or_else(String::new, |p| {
        if p < 0.001 {
            ", p below 0.001".to_owned()
        } else {
            format!(", p {p:.3}")
        }
    });
    Some(format!(
        "statistics, shown beside: loss a day between {} % and {} % (95 %{p})",
        percent(high),
        percent(low)
    ))
}

/// The moment of a day of the history, to the minute.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a cast from f64 to i64 saturates, and what lies outside the calendar is shown as its end"
)]
fn on(day_0: Moment, day: f64) -> Moment {
    day_0.plus_ms((day * DAY_MS).round() as i64)
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a cast from f64 to i64 saturates; pressures are far inside"
)]
fn rounded(pa: f64) -> i64 {
    pa.round() as i64
}

fn tenth(number: f64) -> String {
    format!("{number:.1}")
}

fn celsius(mc: i32) -> String {
    let text = tenth(f64::from(mc) / 1000.0);
    format!("{} °C", text.strip_suffix(".0").unwrap_or(&text))
}

/// A pressure in millibar to a tenth, with psi beside it.
pub(super) fn mbar(pa: i64) -> String {
    let tenths = (pa.unsigned_abs() + 5) / 10;
    let sign = if pa < 0 { "-" } else { "" };
    let psi = print::pressure(pa, PSI);
    format!("{sign}{}.{} mbar ({psi})", tenths / 10, tenths % 10)
}
