//! `reckon cylinder`: what a cylinder holds, and what its gauge shows at another temperature.

use clap::Args;
use sponson_show::reckoned::{self, CylinderAsked, Reckoned};
use sponson_show::units;

use super::air::{not_negative, some_volume};
use super::free_air_policy;
use crate::error::CommandError;

/// What a cylinder holds, and what its gauge shows at another temperature.
#[derive(Args, Debug)]
pub(super) struct CylinderArgs {
    /// Water volume, for example 6.8L.
    #[arg(long, value_name = "VOLUME")]
    water_volume: String,
    /// Its gauge, for example 4500psi.
    #[arg(long, value_name = "PRESSURE")]
    gauge: String,
    /// Its temperature, for example 21C.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    temperature: String,
    /// Another temperature, for example 0C.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    to: Option<String>,
    /// Temperature at which litres of free air are told. 15C when not given.
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    reference_temperature: Option<String>,
    /// Its service pressure, for example 4500psi: whether it is charged enough, and its test.
    #[arg(long, value_name = "PRESSURE")]
    service_pressure: Option<String>,
}

impl CylinderArgs {
    /// # Errors
    /// When a value cannot be.
    pub(super) fn reckon(&self) -> Result<Reckoned, CommandError> {
        let temperature = |field: &'static str, text: &Option<String>| {
            let text = text.as_deref();
            text.map(|text| units::temperature(field, text, None))
                .transpose()
        };
        let service = self.service_pressure.as_deref();
        let service = service.map(|text| not_negative("--service-pressure", text));
        let asked = CylinderAsked {
            water_volume_ml: some_volume("--water-volume", &self.water_volume)?,
            gauge_pa: not_negative("--gauge", &self.gauge)?,
            temperature_mc: units::temperature("--temperature", &self.temperature, None)?,
            to_mc: temperature("--to", &self.to)?,
            reference_mc: temperature("--reference-temperature", &self.reference_temperature)?,
            service_pa: service.transpose()?,
        };
        Ok(reckoned::cylinder(&asked, &free_air_policy()?))
    }
}
