//! Readings of one part from a CSV file. Knows nothing of leaks: it reads columns and units, and
//! names the line of what it cannot read.

use std::path::Path;

use sponson_readiness::leak::{Cut, Known, Step};
use sponson_readiness::moment::Moment;
use sponson_readiness::pressure::Air;
use sponson_show::{clean, dates, units};

use crate::error::CommandError;
use crate::taken_file;

/// Largest file: 10,000 readings of 100 bytes, a hundred years of two a week.
const FILE_MAX: u64 = 1024 * 1024;

/// A day, milliseconds.
const DAY_MS: f64 = 86_400_000.0;

/// Pascal in a pound-force per square inch (NIST SP 811).
const PSI_PA: f64 = 6_894.757_293_168_361;

/// What a file holds.
pub(super) struct Readings {
    pub(super) steps: Vec<Step>,
    /// Day 0 as a moment, where the file has moments.
    pub(super) day_0: Option<Moment>,
    /// At least one row has no ambient pressure.
    pub(super) ambient_assumed: bool,
}

/// Reads a file.
///
/// # Errors
/// Names the line, the column, the value and what to write.
pub(super) fn read(file: &Path, only: Option<&str>) -> Result<Readings, CommandError> {
    let remedy = "keep the readings of one part";
    parse(
        &taken_file::text("--readings", file, FILE_MAX, remedy)?,
        only,
    )
}

fn parse(text: &str, only: Option<&str>) -> Result<Readings, CommandError> {
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let columns = Columns::of(reader.headers().map_err(broken)?)?;
    let mut read = Readings {
        steps: Vec::new(),
        day_0: None,
        ambient_assumed: false,
    };
    let mut chosen: Option<String> = None;
    let mut last_days = f64::MIN;
    for row in reader.records() {
        let row = row.map_err(broken)?;
        let at = Row {
            line: row.position().map_or(0, csv::Position::line),
            fields: &row,
        };
        if !columns.takes(&at, only, &mut chosen)? {
            continue;
        }
        if let Some(cut) = columns.cut(&at)? {
            read.steps.push(Step::Cut(cut));
        }
        let known = columns.known(&at, &mut read)?;
        if known.t_days < last_days {
            return Err(at.refused(
                columns.time.0,
                "before the line above it: put the readings in the order in which they were taken",
            ));
        }
        last_days = known.t_days;
        read.steps.push(Step::Read(known));
    }
    if let (Some(only), true) = (only, read.steps.is_empty()) {
        return Err(CommandError::Argument {
            field: "--only",
            value: clean(only),
            limit: "no row has that in its column 'part' or 'case'".to_owned(),
        });
    }
    Ok(read)
}

fn broken(error: csv::Error) -> CommandError {
    CommandError::Refused {
        field: "--readings".to_owned(),
        value: "not a table".to_owned(),
        limit: format!("{error}; give a heading, and the same number of values in every line"),
    }
}

/// A row with its line in the file.
struct Row<'a> {
    line: u64,
    fields: &'a csv::StringRecord,
}

impl Row<'_> {
    fn field(&self, at: usize) -> &str {
        self.fields.get(at).unwrap_or_default()
    }

    fn refused(&self, at: usize, limit: &str) -> CommandError {
        CommandError::Refused {
            field: format!("line {}", self.line),
            value: format!("'{}'", clean(self.field(at))),
            limit: limit.to_owned(),
        }
    }

    fn named(&self, name: &str) -> String {
        format!("line {}, {name}", self.line)
    }

    fn number(&self, at: usize, name: &str) -> Result<f64, CommandError> {
        let number: Option<f64> = self.field(at).parse().ok();
        number
            .filter(|number| number.is_finite() && number.abs() < 1e9)
            .ok_or_else(|| {
                self.refused(
                    at,
                    &format!("is no number for {name}: write one without a unit"),
                )
            })
    }
}

/// How the values of a column are read.
#[derive(Clone, Copy)]
enum Unit {
    /// The unit stands behind each value.
    InTheField,
    /// Base units are `number * scale + zero`.
    Scaled { scale: f64, zero: f64 },
}

/// Where each column stands.
struct Columns {
    time: (usize, TimeColumn),
    gauge: (usize, Unit),
    temperature: (usize, Unit),
    ambient: Option<(usize, Unit)>,
    before: Option<usize>,
    part: Option<usize>,
}

#[derive(Clone, Copy)]
enum TimeColumn {
    Days,
    Moment,
}

const fn scaled(scale: f64) -> Unit {
    Unit::Scaled { scale, zero: 0.0 }
}

const GAUGES: [(&str, Unit); 5] = [
    ("gauge", Unit::InTheField),
    ("gauge_psi", scaled(PSI_PA)),
    ("gauge_mbar", scaled(100.0)),
    ("gauge_kpa", scaled(1000.0)),
    ("gauge_pa", scaled(1.0)),
];

const TEMPERATURES: [(&str, Unit); 6] = [
    ("temperature", Unit::InTheField),
    ("temp", Unit::InTheField),
    ("temp_c", scaled(1.0)),
    ("temperature_c", scaled(1.0)),
    (
        "temp_f",
        Unit::Scaled {
            scale: 5.0 / 9.0,
            zero: -32.0 * 5.0 / 9.0,
        },
    ),
    (
        "temperature_f",
        Unit::Scaled {
            scale: 5.0 / 9.0,
            zero: -32.0 * 5.0 / 9.0,
        },
    ),
];

const AMBIENTS: [(&str, Unit); 4] = [
    ("ambient", Unit::InTheField),
    ("ambient_pa", scaled(1.0)),
    ("ambient_hpa", scaled(100.0)),
    ("ambient_mbar", scaled(100.0)),
];

impl Columns {
    fn of(heading: &csv::StringRecord) -> Result<Self, CommandError> {
        let place = |name: &str| {
            heading
                .iter()
                .position(|known| known.eq_ignore_ascii_case(name))
        };
        let one = |known: &[(&str, Unit)]| {
            let mut found = known
                .iter()
                .filter_map(|(name, unit)| Some((place(name)?, *unit)));
            found.next()
        };
        let missing = |what: &str, write: &str| CommandError::Refused {
            field: "--readings".to_owned(),
            value: format!("without a column for the {what}"),
            limit: format!("name one {write} in the heading"),
        };
        let days = place("t_days").or_else(|| place("days"));
        let days = days.map(|at| (at, TimeColumn::Days));
        let moment = place("time").map(|at| (at, TimeColumn::Moment));
        Ok(Self {
            time: days
                .or(moment)
                .ok_or_else(|| missing("time", "t_days or time"))?,
            gauge: one(&GAUGES)
                .ok_or_else(|| missing("gauge", "gauge, gauge_psi or gauge_mbar"))?,
            temperature: one(&TEMPERATURES)
                .ok_or_else(|| missing("temperature", "temperature, temp_c or temp_f"))?,
            ambient: one(&AMBIENTS),
            before: place("before"),
            part: place("part").or_else(|| place("case")),
        })
    }

    /// Whether a row belongs to the part that is asked for.
    fn takes(
        &self,
        row: &Row<'_>,
        only: Option<&str>,
        chosen: &mut Option<String>,
    ) -> Result<bool, CommandError> {
        let Some(at) = self.part else {
            return Ok(true);
        };
        let found = row.field(at);
        if let Some(only) = only {
            return Ok(found.eq_ignore_ascii_case(only));
        }
        let first = chosen.get_or_insert_with(|| found.to_owned());
        if first == found {
            return Ok(true);
        }
        let limit = format!(
            "and lines above it are of '{}': choose one part by --only",
            clean(first)
        );
        Err(row.refused(at, &limit))
    }

    fn cut(&self, row: &Row<'_>) -> Result<Option<Cut>, CommandError> {
        let Some(at) = self.before else {
            return Ok(None);
        };
        let cut = match row.field(at).to_ascii_lowercase().as_str() {
            "" => None,
            "added" => Some(Cut::AirAdded),
            "let-out" => Some(Cut::AirLetOut),
            "inflated" => Some(Cut::Inflated),
            "repaired" => Some(Cut::Repaired),
            _ => {
                let limit = "is not known: write added, let-out, inflated, repaired, or nothing";
                return Err(row.refused(at, limit));
            }
        };
        Ok(cut)
    }

    fn known(&self, row: &Row<'_>, read: &mut Readings) -> Result<Known, CommandError> {
        let t_days = self.t_days(row, read)?;
        let gauge_pa = match self.gauge {
            (at, Unit::InTheField) => units::gauge_unrounded(&row.named("gauge"), row.field(at))?,
            (at, Unit::Scaled { scale, .. }) => row.number(at, "gauge")? * scale,
        };
        let ambient_pa = match self.ambient.filter(|(at, _)| !row.field(*at).is_empty()) {
            None => {
                read.ambient_assumed = true;
                101_325.0
            }
            Some((at, unit)) => ambient_pa(row, at, unit)?,
        };
        Ok(Known {
            t_days,
            gauge_pa,
            air: Air {
                temperature_mc: self.temperature_mc(row)?,
                ambient_pa,
            },
        })
    }

    fn temperature_mc(&self, row: &Row<'_>) -> Result<i32, CommandError> {
        let (at, unit) = self.temperature;
        let name = row.named("temperature");
        match unit {
            Unit::InTheField => Ok(units::temperature(&name, row.field(at), None)?),
            Unit::Scaled { scale, zero } => {
                let celsius = row.number(at, "temperature")? * scale + zero;
                // Through the door of every other temperature: one range, one rounding.
                Ok(units::temperature(&name, &format!("{celsius:.3} C"), None)?)
            }
        }
    }

    fn t_days(&self, row: &Row<'_>, read: &mut Readings) -> Result<f64, CommandError> {
        match self.time {
            (at, TimeColumn::Days) => row.number(at, "days"),
            (at, TimeColumn::Moment) => {
                let text = row.field(at);
                // A day alone is enough to tell a leak by: noon stands for it.
                let written = match text.contains(':') {
                    true => text.to_owned(),
                    false => format!("{text} 12:00"),
                };
                let moment = dates::moment(&row.named("time"), &written, 0)?;
                let day_0 = *read.day_0.get_or_insert(moment);
                Ok(exact(moment.since(day_0)) / DAY_MS)
            }
        }
    }
}

fn ambient_pa(row: &Row<'_>, at: usize, unit: Unit) -> Result<f64, CommandError> {
    let name = row.named("ambient");
    let pa = match unit {
        Unit::InTheField => exact(units::absolute(&name, row.field(at), None)?.0),
        Unit::Scaled { scale, .. } => row.number(at, "ambient")? * scale,
    };
    if (30_000.0..=110_000.0).contains(&pa) {
        return Ok(pa);
    }
    Err(row.refused(at, "is no air pressure: from 300 hPa to 1100 hPa"))
}

/// Whole numbers of base units stay far below 2^53, where they are exact.
#[expect(
    clippy::cast_precision_loss,
    reason = "pascal and milliseconds of this file are far below 2^53"
)]
fn exact(number: i64) -> f64 {
    number as f64
}

#[cfg(test)]
mod tests;
