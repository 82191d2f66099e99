//! Who is aboard, as typed: crew and people to bring home.

use clap::Args;
use sponson_proto::answer::v1::{CrewAsked, People};
use sponson_readiness::load::{self, CREW_MAX};
use sponson_readiness::standard::MassUnit;
use sponson_show::people;

use crate::error::CommandError;

/// Who goes, and who is to be brought home.
#[derive(Args, Debug, Default)]
pub struct Aboard {
    /// How many crew go; when craft of the log are asked about and it is not given, the least of
    /// each boat standard.
    #[arg(long, value_name = "NUMBER")]
    pub crew: Option<u32>,
    /// Weight of each of the crew in gear, for example 240lb; the county's setting when not given
    /// (250lb unless it says otherwise).
    #[arg(long, value_name = "WEIGHT")]
    pub crew_weight: Option<String>,
    /// People to bring home: size, how many, and the weight of each where known, for example
    /// adult:3,child:1@45lb,lying:1. Sizes: infant (under 30 lb), child (30 to 50), youth (50 to
    /// 90), adult, lying (an adult lying down).
    #[arg(long, value_name = "LIST")]
    pub people: Option<String>,
}

impl Aboard {
    /// The crew; `unit` is that of a bare weight.
    ///
    /// # Errors
    /// When a value cannot be.
    pub fn crew(&self, unit: Option<MassUnit>) -> Result<load::CrewAsked, CommandError> {
        if let Some(crew) = self.crew.filter(|crew| !(1..=CREW_MAX).contains(crew)) {
            return Err(CommandError::Argument {
                field: "--crew",
                value: crew.to_string(),
                limit: format!("give from 1 to {CREW_MAX}: somebody has to take the craft"),
            });
        }
        let weight = self.crew_weight.as_deref();
        let mass_g = weight.map(|text| people::weight("--crew-weight", text, unit));
        Ok(load::CrewAsked {
            count: self.crew,
            mass_g: mass_g.transpose()?,
        })
    }

    /// The people to bring home; `unit` is that of a bare weight.
    ///
    /// # Errors
    /// When the list cannot be read.
    pub fn people(&self, unit: Option<MassUnit>) -> Result<Vec<load::Party>, CommandError> {
        let list = self.people.as_deref();
        let people = list.map(|text| people::people("--people", text, unit));
        Ok(people.transpose()?.unwrap_or_default())
    }

    pub(crate) fn crew_asked(&self, unit: MassUnit) -> Result<Option<CrewAsked>, CommandError> {
        let crew = self.crew(Some(unit))?;
        Ok((crew != load::CrewAsked::default()).then_some(CrewAsked {
            count: crew.count,
            mass_g: crew.mass_g,
        }))
    }

    pub(crate) fn people_asked(&self, unit: MassUnit) -> Result<Vec<People>, CommandError> {
        let people = self.people(Some(unit))?.into_iter();
        Ok(people
            .map(|party| People {
                size: party.size.id().to_owned(),
                lying: party.lying,
                count: party.count,
                mass_g: party.mass_g,
            })
            .collect())
    }
}
