//! Gauge values of a check, each inside the range in which it can belong to its part, or stood by.

use bytes::Bytes;
use sponson_proto::event::v1::{Reading, ReadingMoment, ValveState};
use sponson_readiness::standard::PressureRule;
use sponson_show::clean;
use sponson_show::units::{self, print};

use super::{Builder, quantity};
use crate::catalogue::Catalogue;
use crate::check_file::faults::place;
use crate::check_file::{CheckFileError, ReadingLine, ValveWord};
use crate::times;

/// How a file and a line of text stand by an unlikely reading.
pub(crate) const STAND_BY_READING: &str =
    ": affirmed = true in a check file, an ! at the end when asked step by step";

impl Builder<'_> {
    pub(super) fn readings(&self) -> Result<Vec<Reading>, CheckFileError> {
        let around = self.around()?;
        let mut readings = Vec::new();
        for (name, line) in &self.file.readings {
            let at = format!("readings.{}", clean(name));
            let part = place(&at, name, self.standard())?;
            let rule = self
                .standard()
                .parts
                .iter()
                .find(|known| known.id.as_str() == part)
                .and_then(|known| known.pressure.as_ref())
                .ok_or_else(|| CheckFileError::Name {
                    place: at.clone(),
                    what: format!("part {part} holds no air: leave the reading out"),
                })?;
            let with_part = Reading {
                part,
                ..line_details(&at, line, &around, self.catalogue)?
            };
            for (moment, word, text) in [
                (ReadingMoment::AsFound, "found", &line.found),
                (ReadingMoment::AsLeft, "left", &line.left),
            ] {
                let Some(text) = text else { continue };
                readings.push(Reading {
                    moment: moment as i32,
                    gauge_pa: self.gauge(&format!("{at}.{word}"), text, rule, line)?,
                    ..with_part.clone()
                });
            }
            if line.found.is_none() && line.left.is_none() {
                return Err(CheckFileError::Value {
                    place: at,
                    value: "without a value".to_owned(),
                    limit: "give found, left or both, for example found = \"3.4 psi\"".to_owned(),
                });
            }
        }
        Ok(readings)
    }

    /// A gauge value, inside the range in which it can belong to the part or stood by.
    fn gauge(
        &self,
        at: &str,
        text: &str,
        rule: &PressureRule,
        line: &ReadingLine,
    ) -> Result<i64, CheckFileError> {
        let shown = self.catalogue.policy().units;
        let value = units::gauge(at, text, Some(shown.pressure))
            .map_err(quantity)?
            .0;
        let (low, high) = (rule.implausible_below_pa, rule.implausible_above_pa);
        if (low..=high).contains(&value) || line.affirmed {
            return Ok(value);
        }
        Err(CheckFileError::Value {
            place: at.to_owned(),
            value: print::pressure(value, shown),
            limit: format!(
                "a reading of this part lies between {} and {}: look which part and which unit \
                 it was; if the gauge showed it, stand by it{STAND_BY_READING}",
                print::pressure(low, shown),
                print::pressure(high, shown)
            ),
        })
    }

    /// What holds for every reading of the check.
    fn around(&self) -> Result<Reading, CheckFileError> {
        let file = self.file;
        let shown = self.catalogue.policy().units;
        let gauge = match &file.gauge {
            None => Bytes::new(),
            Some(number) => self
                .catalogue
                .gear(number)
                .map_err(|error| CheckFileError::Name {
                    place: "gauge".to_owned(),
                    what: error.to_string(),
                })?
                .id
                .clone(),
        };
        let ambient = optional(&file.ambient, |text| units::absolute("ambient", text, None))?;
        Ok(Reading {
            gauge,
            air_mc: optional(&file.air, |text| {
                units::temperature("air", text, Some(shown.temperature))
            })?,
            stood_s: optional(&file.stood, |text| times::of_rest("stood", text))?,
            ambient_pa: ambient.and_then(|pressure| u32::try_from(pressure.0).ok()),
            elevation_mm: optional(&file.elevation, |text| units::elevation("elevation", text))?,
            ..Reading::default()
        })
    }
}

fn line_details(
    at: &str,
    line: &ReadingLine,
    around: &Reading,
    catalogue: &Catalogue,
) -> Result<Reading, CheckFileError> {
    let shown = catalogue.policy().units;
    Ok(Reading {
        fabric_mc: optional(&line.fabric, |text| {
            units::temperature(&format!("{at}.fabric"), text, Some(shown.temperature))
        })?,
        intercommunication: match line.valves {
            None => ValveState::Unspecified,
            Some(ValveWord::Shut) => ValveState::Shut,
            Some(ValveWord::Open) => ValveState::Open,
        } as i32,
        since_inflating_s: optional(&line.since_inflating, |text| {
            times::of_rest(&format!("{at}.since_inflating"), text)
        })?,
        affirmed: line.affirmed,
        ..around.clone()
    })
}

fn optional<T>(
    text: &Option<String>,
    read: impl FnOnce(&str) -> Result<T, units::UnitError>,
) -> Result<Option<T>, CheckFileError> {
    text.as_deref().map(read).transpose().map_err(quantity)
}
