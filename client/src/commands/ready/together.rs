//! How many craft are wanted at once, as typed.

use clap::Args;
use sponson_proto::answer::v1::{TogetherAsked, VehiclesAt};
use sponson_show::clean;

use crate::error::CommandError;

/// Which craft can go at once.
#[derive(Args, Debug, Default)]
pub struct Together {
    /// Say which craft can go at once, as many as can or so many: shared gear, trailers, vehicles and
    /// crews are counted once.
    #[arg(long, value_name = "N", num_args = 0..=1, default_missing_value = "all")]
    pub together: Option<String>,
    /// Vehicles that tow from a station, for example "Mill Race=2"; once for each station. They are
    /// not known to the log: without this they keep nobody back.
    #[arg(long, value_name = "STATION=N", requires = "together")]
    pub vehicles: Vec<String>,
}

impl Together {
    /// What a question carries of it; none when it is not asked.
    ///
    /// # Errors
    /// When a value is no number, or names no station.
    pub fn asked(&self) -> Result<Option<TogetherAsked>, CommandError> {
        let Some(wanted) = &self.together else {
            return Ok(None);
        };
        let wanted = match wanted.trim() {
            "all" => None,
            text => Some(wanted_of(text)?),
        };
        let vehicles = self.vehicles.iter().map(|text| vehicles_at(text));
        Ok(Some(TogetherAsked {
            wanted,
            vehicles: vehicles.collect::<Result<_, _>>()?,
        }))
    }
}

fn wanted_of(text: &str) -> Result<u32, CommandError> {
    let wanted: Option<u32> = text.parse().ok().filter(|wanted| *wanted > 0);
    wanted.ok_or_else(|| CommandError::Argument {
        field: "--together",
        value: clean(text),
        limit: "give how many craft are wanted, at least 1, or nothing for as many as can"
            .to_owned(),
    })
}

fn vehicles_at(text: &str) -> Result<VehiclesAt, CommandError> {
    let refused = || CommandError::Argument {
        field: "--vehicles",
        value: clean(text),
        limit: "give a station and a number, for example \"Mill Race=2\"".to_owned(),
    };
    let (station, count) = text.rsplit_once('=').ok_or_else(refused)?;
    let station = station.trim();
    if station.is_empty() {
        return Err(refused());
    }
    Ok(VehiclesAt {
        station: station.to_owned(),
        count: count.trim().parse().map_err(|_| refused())?,
        ..VehiclesAt::default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(together: Option<&str>, vehicles: &[&str]) -> Result<Option<TogetherAsked>, String> {
        let typed = Together {
            together: together.map(str::to_owned),
            vehicles: vehicles.iter().map(|text| (*text).to_owned()).collect(),
        };
        typed.asked().map_err(|error| error.to_string())
    }

    #[test]
    fn as_many_as_can_or_so_many() {
        assert_eq!(asked(None, &[]), Ok(None));
        let wanted = |text| asked(Some(text), &[]).map(|it| it.and_then(|it| it.wanted));
        assert_eq!(wanted("all"), Ok(None));
        assert_eq!(wanted("3"), Ok(Some(3)));
        for text in ["0", "-1", "two", ""] {
            let refusal = wanted(text).expect_err(text);
            assert!(refusal.contains("--together"), "{refusal}");
        }
    }

    #[test]
    fn vehicles_of_a_station() {
        let found = asked(Some("all"), &["Mill Race=2", "A=B = 0"]).expect("read");
        let found = found.map(|it| it.vehicles).unwrap_or_default();
        let found: Vec<(&str, u32)> = found.iter().map(|it| (&*it.station, it.count)).collect();
        assert_eq!(found, [("Mill Race", 2), ("A=B", 0)]);
        for text in ["Mill Race", "=2", "Mill Race=two", "Mill Race=-1"] {
            let refusal = asked(Some("all"), &[text]).expect_err(text);
            assert!(refusal.contains("--vehicles"), "{refusal}");
        }
    }
}
