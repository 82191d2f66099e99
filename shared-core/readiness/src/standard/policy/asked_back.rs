//! From where on an entry is asked back: the `[asked_back]` table of the county's policy. What is
//! asked back is judged like everything else; whoever looked stands by it or corrects it.
//!
//! A policy that was signed before a setting existed stands for its default. All defaults are common
//! practice, no source.

use serde::Deserialize;

use crate::standard::StandardError;
use crate::standard::quantity::Spot;

/// Limits of what is not asked about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AskedBackPolicy {
    /// How far a gauge may be from what the last reading would show at the same temperature, percent
    /// of the part's wanted gauge. Default 25.
    pub gauge_change_percent: u32,
    /// How many more of an item there may be than were last counted, and than are wanted. Default 4.
    pub count_margin: u32,
    /// Months beyond which no printed date lies where a sheet gives the item no life. Default 240.
    pub date_months: u32,
    /// Seconds that a meter may have run beyond those of the clock. Default an hour.
    pub meter_slack_s: u32,
    /// Most that a tank holds where the sheet does not say, millilitres. Default 30 gal.
    pub tank_ml: u32,
    /// How far a cylinder's gauge may be above its service pressure, percent of it. Default 10, as
    /// one that is warm shows.
    pub cylinder_over_percent: u32,
    /// Coldest air that is not asked about, milli-degree Celsius. Default -30 °C.
    pub air_least_mc: i32,
    /// Warmest, milli-degree Celsius. Default 50 °C.
    pub air_most_mc: i32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawAskedBack {
    gauge_change_percent: u32,
    count_margin: u32,
    date: String,
    meter_slack: String,
    tank: String,
    cylinder_over_percent: u32,
    air_least: String,
    air_most: String,
}

impl Default for RawAskedBack {
    fn default() -> Self {
        Self {
            gauge_change_percent: 25,
            count_margin: 4,
            date: "240 months".to_owned(),
            meter_slack: "1 h".to_owned(),
            tank: "30 gal".to_owned(),
            cylinder_over_percent: 10,
            air_least: "-30 °C".to_owned(),
            air_most: "50 °C".to_owned(),
        }
    }
}

/// Greatest share and greatest margin: beyond them nothing would be asked.
const MOST: u32 = 1_000;

impl RawAskedBack {
    /// Reads the settings.
    ///
    /// # Errors
    ///
    /// [`StandardError`] names the field, the value and what is allowed.
    pub(super) fn checked(&self) -> Result<AskedBackPolicy, StandardError> {
        let at = |field| Spot {
            place: "policy, asked_back",
            field,
        };
        let numbers = [
            ("gauge_change_percent", self.gauge_change_percent),
            ("count_margin", self.count_margin),
            ("cylinder_over_percent", self.cylinder_over_percent),
        ];
        for (field, number) in numbers {
            if number > MOST {
                return Err(at(field).refuse(&number.to_string(), "give at most 1000"));
            }
        }
        let air_least_mc = at("air_least").temperature_mc(&self.air_least)?;
        let air_most_mc = at("air_most").temperature_mc(&self.air_most)?;
        if air_least_mc >= air_most_mc {
            return Err(at("air_least").refuse(&self.air_least, "must be below air_most"));
        }
        Ok(AskedBackPolicy {
            gauge_change_percent: self.gauge_change_percent,
            count_margin: self.count_margin,
            date_months: at("date").months(&self.date)?,
            meter_slack_s: at("meter_slack").time_s(&self.meter_slack)?,
            tank_ml: at("tank").volume_ml(&self.tank)?,
            cylinder_over_percent: self.cylinder_over_percent,
            air_least_mc,
            air_most_mc,
        })
    }
}
