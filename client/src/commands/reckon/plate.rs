//! `reckon plate`: what the formulas of 33 CFR 183 say of a boat.

use clap::{Args, ValueEnum};
use sponson_readiness::plate::{
    Bottom, Hull, Lb, Propulsion, Steering, Um, WeightAsked, hp_of_watts,
};
use sponson_show::reckoned::{self, PlateAsked, Reckoned};
use sponson_show::units;

use crate::error::CommandError;

/// What the formulas of 33 CFR 183 say of a boat: power, weight, persons; and whether they apply.
///
/// A cross-check of a plate, for monohulls under 20 ft that are no inflatables. The maker's plate is
/// the limit.
#[derive(Args, Debug)]
pub(super) struct PlateArgs {
    /// Length, for example 16ft.
    #[arg(long, value_name = "LENGTH")]
    length: String,
    /// Greatest width of the transom, handles and fittings left out; of a boat without a full
    /// transom, the broadest beam in the aftermost quarter. For the power.
    #[arg(long, value_name = "LENGTH")]
    transom: Option<String>,
    /// Height of the transom.
    #[arg(long, value_name = "LENGTH")]
    transom_height: Option<String>,
    /// Steered from a helm, not by the tiller.
    #[arg(long)]
    remote_steering: bool,
    /// Flat bottom with hard chines.
    #[arg(long)]
    flat_bottom: bool,
    /// Sort of hull; a monohull when not given.
    #[arg(long, value_enum)]
    hull: Option<HullWord>,
    /// Paddled or rowed: not made for a motor.
    #[arg(long, conflicts_with = "power")]
    manual: bool,
    /// Greatest displacement. With --boat-weight, for weight and persons.
    #[arg(long, value_name = "WEIGHT", requires = "boat_weight")]
    displacement: Option<String>,
    /// Weight of the boat with its fixed gear.
    #[arg(long, value_name = "WEIGHT", requires = "displacement")]
    boat_weight: Option<String>,
    /// Power of the motor, for example 25hp: its weight comes off before persons.
    #[arg(long, value_name = "POWER")]
    power: Option<String>,
    /// Weight along one side in the stability test of 33 CFR 183.41.
    #[arg(long, value_name = "WEIGHT")]
    stability: Option<String>,
    /// Weight of persons, to be told in persons.
    #[arg(long, value_name = "WEIGHT", conflicts_with = "displacement")]
    persons_weight: Option<String>,
}

/// Sorts of hull.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum HullWord {
    /// One hull.
    Monohull,
    /// Tubes hold it up, with or without a rigid bottom.
    Inflatable,
    /// Pontoon boat, catamaran, trimaran.
    Multihull,
    /// Sailboat.
    Sailboat,
    /// Canoe.
    Canoe,
    /// Kayak.
    Kayak,
}

/// Motors of so many tenths of a horsepower or less go with boats that are paddled.
const SMALL_TENTHS: u32 = 20;

impl PlateArgs {
    /// # Errors
    /// When a value cannot be.
    pub(super) fn reckon(&self) -> Result<Reckoned, CommandError> {
        let length = |field: &'static str, text: &Option<String>| {
            let text = text.as_deref();
            text.map(|text| units::fine_length(field, text).map(Um))
                .transpose()
        };
        let weight = |field: &'static str, text: &Option<String>| {
            let text = text.as_deref();
            let grams = text.map(|text| units::mass(field, text, None)).transpose();
            grams.map(|grams| grams.map(Lb::from_g))
        };
        let power = self.power.as_deref();
        let power = power
            .map(|text| units::power("--power", text))
            .transpose()?;
        let motor_tenths = power.map(hp_of_watts);
        let displacement = weight("--displacement", &self.displacement)?;
        let boat = weight("--boat-weight", &self.boat_weight)?;
        let loaded = displacement.zip(boat);
        if let Some((displacement, boat)) = loaded
            && boat >= displacement
        {
            return Err(CommandError::Argument {
                field: "--boat-weight",
                value: format!("{} lb", boat.floor()),
                limit: format!(
                    "the boat alone cannot weigh as much as it displaces at most, {} lb",
                    displacement.floor()
                ),
            });
        }
        Ok(reckoned::plate(&PlateAsked {
            hull: self.hull.map(HullWord::hull),
            propulsion: self.propulsion(motor_tenths),
            length: Um(units::fine_length("--length", &self.length)?),
            transom_width: length("--transom", &self.transom)?,
            transom_height: length("--transom-height", &self.transom_height)?,
            steering: if self.remote_steering {
                Steering::Remote
            } else {
                Steering::Tiller
            },
            bottom: if self.flat_bottom {
                Bottom::FlatHardChine
            } else {
                Bottom::Other
            },
            weight: loaded.map(|(displacement, boat)| WeightAsked { displacement, boat }),
            motor_tenths,
            stability: weight("--stability", &self.stability)?,
            persons_weight: weight("--persons-weight", &self.persons_weight)?,
        }))
    }

    fn propulsion(&self, motor_tenths: Option<u32>) -> Propulsion {
        match motor_tenths {
            _ if self.manual => Propulsion::Manual,
            Some(tenths) if tenths <= SMALL_TENTHS => Propulsion::OutboardTo2Hp,
            Some(_) | None => Propulsion::Outboard,
        }
    }
}

impl HullWord {
    const fn hull(self) -> Hull {
        match self {
            Self::Monohull => Hull::Monohull,
            Self::Inflatable => Hull::Inflatable,
            Self::Multihull => Hull::Multihull,
            Self::Sailboat => Hull::Sailboat,
            Self::Canoe => Hull::Canoe,
            Self::Kayak => Hull::Kayak,
        }
    }
}
