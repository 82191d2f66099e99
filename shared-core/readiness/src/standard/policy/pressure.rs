//! The county's settings for pressures, from the `[pressure]` table of its policy.
//!
//! A policy that was signed before a setting existed stands for its default. Each default is said
//! here with its source, or that it has none.

use serde::Deserialize;

use crate::standard::StandardError;
use crate::standard::quantity::Spot;

/// Settings for pressures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PressurePolicy {
    /// How far a gauge may read off, pascal either way. Default 5 mbar: common practice, no source.
    pub gauge_accuracy_pa: u32,
    /// How far the weather may move the air pressure between a reading and the launch where either
    /// was not measured, pascal either way. Default 5 mbar: common practice, no source.
    pub ambient_swing_pa: u32,
    /// Humidity of the air inside at the reading, percent of saturation. Default 100: the bound.
    pub fill_humidity_percent: u32,
    /// What the fabric reaches in the sun, milli-degree Celsius. Default 50 °C: the maker's own
    /// example, Futura Commando manual p. 8/20 and Pro 750 p. 15.
    pub sun_mc: i32,
    /// What the sun counts for. Default shown: most craft stand in a bay.
    pub sun: Sun,
    /// The bay that a craft comes home to, where its own was not measured, milli-degree Celsius.
    /// Default 20 °C: common practice, no source.
    pub bay_mc: i32,
    /// Temperature at which a part in its range is full, milli-degree Celsius: what is below its
    /// range only because it is colder than this is soft by cold. Default 20 °C: common practice,
    /// no source.
    pub full_mc: i32,
    /// At and below this a relief valve may be frozen shut, milli-degree Celsius. Default 0 °C:
    /// common practice, no source.
    pub relief_ices_mc: i32,
}

/// What the sun on a part counts for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sun {
    /// What it would do is shown beside the prediction.
    #[default]
    Shown,
    /// Every part is taken to have been, and to come to be, in the sun.
    Judged,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawPressure {
    gauge_accuracy: String,
    ambient_swing: String,
    fill_humidity_percent: u32,
    sun_fabric: String,
    sun: Sun,
    bay: String,
    full_at: String,
    relief_ices_at: String,
}

impl Default for RawPressure {
    fn default() -> Self {
        Self {
            gauge_accuracy: "5 mbar".to_owned(),
            ambient_swing: "5 mbar".to_owned(),
            fill_humidity_percent: 100,
            sun_fabric: "50 °C".to_owned(),
            sun: Sun::Shown,
            bay: "20 °C".to_owned(),
            full_at: "20 °C".to_owned(),
            relief_ices_at: "0 °C".to_owned(),
        }
    }
}

impl RawPressure {
    pub(super) fn checked(&self) -> Result<PressurePolicy, StandardError> {
        let at = |field| Spot {
            place: "policy [pressure]",
            field,
        };
        if self.fill_humidity_percent > 100 {
            let value = self.fill_humidity_percent.to_string();
            let spot = at("fill_humidity_percent");
            return Err(spot.refuse(&value, "give from 0 (dry air) to 100 (saturated)"));
        }
        Ok(PressurePolicy {
            gauge_accuracy_pa: small(at("gauge_accuracy"), &self.gauge_accuracy)?,
            ambient_swing_pa: small(at("ambient_swing"), &self.ambient_swing)?,
            fill_humidity_percent: self.fill_humidity_percent,
            sun_mc: at("sun_fabric").temperature_mc(&self.sun_fabric)?,
            sun: self.sun,
            bay_mc: at("bay").temperature_mc(&self.bay)?,
            full_mc: at("full_at").temperature_mc(&self.full_at)?,
            relief_ices_mc: at("relief_ices_at").temperature_mc(&self.relief_ices_at)?,
        })
    }
}

/// 100 mbar either way is a third of what a tube holds: nothing that far off measures anything.
fn small(spot: Spot<'_>, text: &str) -> Result<u32, StandardError> {
    let pa = spot.pressure_pa(text)?;
    match u32::try_from(pa) {
        Ok(pa) if pa <= 10_000 => Ok(pa),
        Ok(_) | Err(_) => Err(spot.refuse(text, "give from 0 to 100 mbar such as \"5 mbar\"")),
    }
}
