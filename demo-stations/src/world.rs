//! What is really so in the demo county: air in each chamber, bays, kit aboard, engine hours.
//!
//! Crews read gauges and count kit; this is what they find. A chamber is a closed rigid part: its
//! gauge follows the temperature by the gas law, less what leaks.

use std::collections::BTreeMap;

use sponson_readiness::event::DateMark;
use sponson_readiness::standard::{PressureRule, Standard};

/// Standard atmosphere at sea level, pascal. The demo county lies there.
const AMBIENT_PA: f64 = 101_325.0;

/// 15 °C, kelvin: chambers are kept at this temperature in the table of truth.
const REFERENCE_K: f64 = 288.15;

const DAY_MS: f64 = 86_400_000.0;

/// The county as it is.
#[derive(Clone, Debug, Default)]
pub struct World {
    /// Craft by painted number.
    pub craft: BTreeMap<String, Craft>,
    /// Air in the boat bay of each station, degrees Celsius.
    pub bays: BTreeMap<String, f64>,
    /// The numbered gauge that a station's crews read by now.
    pub gauges: BTreeMap<String, Gauge>,
}

/// A numbered gauge.
#[derive(Clone, Debug)]
pub struct Gauge {
    /// Painted number.
    pub number: String,
    /// What it shows above what is so, pascal.
    pub over_pa: f64,
}

/// A craft as it is.
#[derive(Clone, Debug)]
pub struct Craft {
    /// The station that checks it.
    pub station: String,
    /// Its sheet.
    pub standard: Standard,
    /// Chambers by part.
    pub chambers: BTreeMap<String, Chamber>,
    /// Items whose count is not what the sheet asks.
    pub counts: BTreeMap<String, u32>,
    /// Dates on items, as they are written down: "3 x 2028-05".
    pub dates: BTreeMap<String, String>,
    /// Answers other than yes.
    pub answers: BTreeMap<String, String>,
    /// Painted number of its motor.
    pub motor: String,
    /// Engine meter, seconds.
    pub engine_s: u64,
    /// Items that are in a numbered bag, with its number.
    pub bagged: BTreeMap<String, String>,
}

/// Air in a chamber.
#[derive(Clone, Copy, Debug)]
pub struct Chamber {
    /// What a gauge would show at 15 °C, pascal, at `at_ms`.
    pub gauge_15c_pa: f64,
    /// What it loses a day, pascal at 15 °C.
    pub leak_pa_day: f64,
    /// Moment of that gauge value, milliseconds since 1970.
    pub at_ms: i64,
    /// What its gauge shows whatever is inside, pascal, once it sticks.
    pub stuck_pa: Option<f64>,
}

impl Chamber {
    /// What a gauge shows now at a temperature, pascal.
    #[must_use]
    pub fn gauge_pa(&self, now_ms: i64, celsius: f64) -> f64 {
        if let Some(stuck_pa) = self.stuck_pa {
            return stuck_pa;
        }
        let cold = self.gauge_15c_pa - self.leak_pa_day * self.days_since(now_ms);
        ((cold + AMBIENT_PA) * (celsius + 273.15) / REFERENCE_K - AMBIENT_PA).max(0.0)
    }

    /// Fills it to a gauge value at a temperature.
    pub fn fill(&mut self, gauge_pa: f64, now_ms: i64, celsius: f64) {
        self.gauge_15c_pa = (gauge_pa + AMBIENT_PA) * REFERENCE_K / (celsius + 273.15) - AMBIENT_PA;
        self.at_ms = now_ms;
    }

    /// Lets it lose so much a day from now on.
    pub fn leak(&mut self, pa_day: f64, now_ms: i64) {
        self.gauge_15c_pa -= self.leak_pa_day * self.days_since(now_ms);
        self.leak_pa_day = pa_day;
        self.at_ms = now_ms;
    }

    #[expect(
        clippy::cast_precision_loss,
        reason = "a few weeks in milliseconds are far below 2^52"
    )]
    fn days_since(&self, now_ms: i64) -> f64 {
        (now_ms - self.at_ms) as f64 / DAY_MS
    }
}

impl Craft {
    /// A craft in order: every chamber as its sheet wants it at 15 °C, all dates far off.
    #[must_use]
    pub fn in_order(standard: Standard, station: &str, motor: &str, now_ms: i64) -> Self {
        let chambers = standard
            .parts
            .iter()
            .filter_map(|part| {
                let rule = part.pressure.as_ref()?;
                Some((
                    part.id.as_str().to_owned(),
                    Chamber {
                        gauge_15c_pa: pascal(rule.nominal_pa),
                        leak_pa_day: 0.0,
                        at_ms: now_ms,
                        stuck_pa: None,
                    },
                ))
            })
            .collect();
        Self {
            station: station.to_owned(),
            standard,
            chambers,
            counts: BTreeMap::new(),
            dates: BTreeMap::new(),
            answers: BTreeMap::new(),
            motor: motor.to_owned(),
            engine_s: 0,
            bagged: BTreeMap::new(),
        }
    }

    /// The rule of a chamber.
    #[must_use]
    pub fn rule(&self, part: &str) -> Option<&PressureRule> {
        self.standard
            .parts
            .iter()
            .find(|known| known.id.as_str() == part)
            .and_then(|known| known.pressure.as_ref())
    }
}

/// A whole number of pascal for the gas law.
#[must_use]
#[expect(
    clippy::cast_precision_loss,
    reason = "pressures are far below 2^52 pascal"
)]
pub const fn pascal(gauge_pa: i64) -> f64 {
    gauge_pa as f64
}

/// Dates of an item for which the scenario says nothing: all of them two years off.
#[must_use]
pub fn far_date(count: u32, marked: DateMark) -> String {
    let month = marked.month.unwrap_or(12);
    format!("{count} x {}-{month:02}", marked.year)
}
