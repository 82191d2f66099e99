//! `reckon load`: what a plate leaves for people.

use clap::{Args, ValueEnum};
use sponson_readiness::event::Plate;
use sponson_readiness::load::{ByHand, PlateCounts};
use sponson_show::reckoned::{self, Reckoned};
use sponson_show::{people, units};

use super::built_in_policy;
use crate::aboard::Aboard;
use crate::error::CommandError;

/// Whom a boat can bring home: seats, weight left, trips.
///
/// Give at least one line of the maker's plate.
#[derive(Args, Debug)]
#[command(group = clap::ArgGroup::new("plate").required(true).multiple(true))]
pub(super) struct LoadArgs {
    /// Persons on the plate.
    #[arg(long, value_name = "NUMBER", group = "plate")]
    plate_persons: Option<u32>,
    /// Weight on the plate: of persons, or the one weight that an inflatable's plate has.
    #[arg(long, value_name = "WEIGHT", group = "plate")]
    plate_weight: Option<String>,
    /// Weight of persons, motor and gear on the plate.
    #[arg(long, value_name = "WEIGHT", group = "plate")]
    plate_total: Option<String>,
    /// What the plate's one weight counts; the worse when not given: motor and gear too.
    #[arg(long, value_enum)]
    plate_counts: Option<Counts>,
    #[command(flatten)]
    aboard: Aboard,
    /// Weight of the kit.
    #[arg(long, value_name = "WEIGHT")]
    kit: Option<String>,
    /// Weight of the motor.
    #[arg(long, value_name = "WEIGHT")]
    motor: Option<String>,
    /// Power of a motor whose weight is not known, for example 25hp: with full tank and battery.
    #[arg(long, value_name = "POWER", conflicts_with = "motor")]
    motor_power: Option<String>,
    /// Fuel aboard, for example 12gal.
    #[arg(long, value_name = "VOLUME")]
    fuel: Option<String>,
    /// Weight of the battery.
    #[arg(long, value_name = "WEIGHT")]
    battery: Option<String>,
    /// Weight of an adult to be brought aboard; 185lb when not given.
    #[arg(long, value_name = "WEIGHT")]
    person_weight: Option<String>,
    /// Seats that somebody lying down takes.
    #[arg(long, value_name = "NUMBER", default_value_t = 3,
          value_parser = clap::value_parser!(u32).range(1..=8))]
    lying_seats: u32,
}

/// What a plate's one weight counts.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum Counts {
    /// Persons alone.
    Persons,
    /// Persons, motor and gear.
    PersonsMotorGear,
}

/// Most persons on a plate of the craft that this is for.
const PERSONS_MAX: u32 = 60;

impl LoadArgs {
    /// # Errors
    /// When a value cannot be.
    pub(super) fn reckon(&self) -> Result<Reckoned, CommandError> {
        let policy = built_in_policy()?;
        let mass = |field: &'static str, text: &Option<String>| {
            let text = text.as_deref();
            text.map(|text| units::mass(field, text, None)).transpose()
        };
        let crew = self.aboard.crew(None)?;
        let motor_power = self.motor_power.as_deref();
        let motor_power = motor_power.map(|text| units::power("--motor-power", text));
        let fuel = self.fuel.as_deref();
        let fuel = fuel.map(|text| units::volume("--fuel", text));
        let person = self.person_weight.as_deref();
        let person = person.map(|text| people::weight("--person-weight", text, None));
        let given = ByHand {
            plate: Plate {
                persons: self.persons()?,
                persons_mass_g: mass("--plate-weight", &self.plate_weight)?,
                total_mass_g: mass("--plate-total", &self.plate_total)?,
                ..Plate::default()
            },
            counts: self.plate_counts.map(|counts| match counts {
                Counts::Persons => PlateCounts::Persons,
                Counts::PersonsMotorGear => PlateCounts::PersonsMotorGear,
            }),
            crew: crew.count.ok_or_else(no_crew)?,
            crew_mass_g: crew.mass_g,
            kit_g: mass("--kit", &self.kit)?,
            motor_g: mass("--motor", &self.motor)?,
            motor_power_w: motor_power.transpose()?,
            fuel_ml: fuel.transpose()?.map(u64::from),
            battery_g: mass("--battery", &self.battery)?,
            person_mass_g: person.transpose()?,
            lying_seats: self.lying_seats,
            people: self.aboard.people(None)?,
        };
        reckoned::load(&given, &policy).ok_or_else(|| CommandError::Argument {
            field: "--plate-persons",
            value: "not given".to_owned(),
            limit: "give at least one line of the maker's plate".to_owned(),
        })
    }

    fn persons(&self) -> Result<Option<u32>, CommandError> {
        match self.plate_persons {
            Some(persons) if !(1..=PERSONS_MAX).contains(&persons) => Err(CommandError::Argument {
                field: "--plate-persons",
                value: persons.to_string(),
                limit: format!("give from 1 to {PERSONS_MAX}"),
            }),
            persons => Ok(persons),
        }
    }
}

fn no_crew() -> CommandError {
    CommandError::Argument {
        field: "--crew",
        value: "not given".to_owned(),
        limit: "give how many go with the boat".to_owned(),
    }
}
