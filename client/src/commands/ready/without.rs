//! What is taken as not there, as typed.

use clap::Args;
use sponson_proto::answer::v1::{self as wire, WithoutCraft, WithoutKit, WithoutStation};
use sponson_show::clean;

use crate::catalogue::Catalogue;
use crate::error::CommandError;

/// What if something were not there.
#[derive(Args, Debug, Default)]
pub struct Without {
    /// Judge as if this craft could not be sent; may be given several times.
    #[arg(long, value_name = "CRAFT")]
    pub without_craft: Vec<String>,
    /// Judge as if this station could not be reached: its craft, crews, gear, bags and shelves count
    /// for nobody; may be given several times.
    #[arg(long, value_name = "STATION")]
    pub without_station: Vec<String>,
    /// Judge as if there were none of this kit, for example throw-bag, or at one station alone
    /// "throw-bag@Mill Race"; may be given several times.
    #[arg(long, value_name = "LINE[@STATION]")]
    pub without_kit: Vec<String>,
}

impl Without {
    /// What a question carries of it; none when nothing is taken away.
    ///
    /// # Errors
    /// When a craft is not known, or a value names nothing. Stations and kit are looked up by whoever
    /// answers.
    pub fn asked(&self, catalogue: &Catalogue) -> Result<Option<wire::Without>, CommandError> {
        let craft = self.without_craft.iter().map(|number| {
            let craft = catalogue.asked(catalogue.craft(number)?);
            Ok(WithoutCraft {
                craft,
                ..WithoutCraft::default()
            })
        });
        let stations = self.without_station.iter().map(|name| {
            Ok(WithoutStation {
                station: named("--without-station", name, "give the name of a station")?,
                ..WithoutStation::default()
            })
        });
        let kit = self.without_kit.iter().map(|text| kit(text));
        let asked = wire::Without {
            craft: craft.collect::<Result<_, CommandError>>()?,
            stations: stations.collect::<Result<_, CommandError>>()?,
            kit: kit.collect::<Result<_, _>>()?,
        };
        Ok((asked != wire::Without::default()).then_some(asked))
    }
}

fn kit(text: &str) -> Result<WithoutKit, CommandError> {
    let form = "give a kit line, for example throw-bag, or \"throw-bag@Mill Race\"";
    let (item, station) = match text.split_once('@') {
        Some((item, station)) => (item, named("--without-kit", station, form)?),
        None => (text, String::new()),
    };
    Ok(WithoutKit {
        item: named("--without-kit", item, form)?,
        station,
        ..WithoutKit::default()
    })
}

fn named(field: &'static str, text: &str, limit: &str) -> Result<String, CommandError> {
    match text.trim() {
        "" => Err(CommandError::Argument {
            field,
            value: clean(text),
            limit: limit.to_owned(),
        }),
        name => Ok(name.to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kit_everywhere_or_at_one_station() {
        let read = |text| kit(text).map(|it| (it.item, it.station));
        let said = |item: &str, station: &str| (item.to_owned(), station.to_owned());
        assert_eq!(read("throw-bag").expect("read"), said("throw-bag", ""));
        let there = read(" throw-bag @ Mill Race ").expect("read");
        assert_eq!(there, said("throw-bag", "Mill Race"));
        for text in ["", " ", "@Mill Race", "throw-bag@", "throw-bag@ "] {
            let refusal = kit(text).expect_err(text).to_string();
            assert!(refusal.contains("--without-kit"), "{refusal}");
        }
    }
}
