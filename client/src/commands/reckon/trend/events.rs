//! Events of units from a CSV file. Knows nothing of trends: it reads columns, and names the line of
//! what it cannot read.

use std::path::Path;

use sponson_readiness::recurrent::Unit;
use sponson_show::clean;

use crate::error::CommandError;
use crate::taken_file;

/// Largest file: 20,000 lines of 50 bytes.
const FILE_MAX: u64 = 1024 * 1024;

/// Most events and units: each event's mean is taken over all units, five million steps.
const EVENTS_MAX: usize = 5_000;
const UNITS_MAX: usize = 1_000;

/// Latest time: thirty years in seconds.
pub(super) const TIME_MAX: f64 = 1e9;

/// When watching ended, as the command was given it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Ends {
    /// Each unit has a line for it.
    InTheFile,
    /// At this time, where a unit has no line for it.
    At(f64),
    /// With the last event of each.
    AtLastEvent,
}

/// What a file holds.
#[derive(Debug)]
pub(super) struct Events {
    pub(super) units: Vec<Unit>,
    /// What the file did not say, a sentence each.
    pub(super) assumed: Vec<String>,
}

/// Reads a file.
///
/// # Errors
/// Names the line, the column, the value and what to write.
pub(super) fn read(file: &Path, ends: Ends) -> Result<Events, CommandError> {
    let remedy = "leave out units, or other columns";
    parse(&taken_file::text("--events", file, FILE_MAX, remedy)?, ends)
}

/// # Errors
/// As [`read`].
pub(super) fn parse(text: &str, ends: Ends) -> Result<Events, CommandError> {
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let columns = Columns::of(reader.headers().map_err(broken)?)?;
    let mut known: Vec<Lines> = Vec::new();
    let mut events = 0;
    for row in reader.records() {
        let row = row.map_err(broken)?;
        let line = row.position().map_or(0, csv::Position::line);
        let row = columns.row(&row, line)?;
        events += usize::from(row.kind == Kind::Event);
        keep(&mut known, row)?;
        if events > EVENTS_MAX || known.len() > UNITS_MAX {
            return Err(refused(
                format!("line {line}"),
                "one too many".to_owned(),
                format!(
                    "at most {EVENTS_MAX} events of {UNITS_MAX} units are taken: split the file"
                ),
            ));
        }
    }
    close(&known, ends)
}

fn refused(field: String, value: String, limit: String) -> CommandError {
    CommandError::Refused {
        field,
        value,
        limit,
    }
}

fn broken(error: csv::Error) -> CommandError {
    refused(
        "--events".to_owned(),
        "not a table".to_owned(),
        format!("{error}; give a heading, and the same number of values in every line"),
    )
}

/// What a line says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Begin,
    Event,
    End,
}

#[derive(Debug)]
struct Row {
    line: u64,
    unit: String,
    time: f64,
    kind: Kind,
}

/// Where each column stands.
struct Columns {
    unit: Option<usize>,
    time: usize,
    kind: usize,
}

impl Columns {
    fn of(heading: &csv::StringRecord) -> Result<Self, CommandError> {
        let place = |name: &str| {
            heading
                .iter()
                .position(|known| known.eq_ignore_ascii_case(name))
        };
        let needed = |name: &str| {
            place(name).ok_or_else(|| {
                refused(
                    "line 1".to_owned(),
                    format!("without a column {name}"),
                    "the heading is unit,time,kind (unit may be left out for one)".to_owned(),
                )
            })
        };
        Ok(Self {
            unit: place("unit"),
            time: needed("time")?,
            kind: needed("kind")?,
        })
    }

    fn row(&self, fields: &csv::StringRecord, line: u64) -> Result<Row, CommandError> {
        let field = |at: usize| fields.get(at).unwrap_or_default();
        let wrong = |column: &str, at: usize, limit: &str| {
            refused(
                format!("line {line}, {column}"),
                format!("'{}'", clean(field(at))),
                limit.to_owned(),
            )
        };
        let unit = self.unit.map_or("", field);
        if let (Some(at), true) = (self.unit, unit.is_empty()) {
            return Err(wrong(
                "unit",
                at,
                "say which one it was of, in every line, or leave the column out",
            ));
        }
        let time: Option<f64> = field(self.time).parse().ok();
        let time = time.filter(|time| (0.0..=TIME_MAX).contains(time));
        let kind = match field(self.kind).to_ascii_lowercase().as_str() {
            "begin" => Some(Kind::Begin),
            "event" => Some(Kind::Event),
            "end" => Some(Kind::End),
            _ => None,
        };
        Ok(Row {
            line,
            unit: unit.to_owned(),
            time: time.ok_or_else(|| {
                wrong(
                    "time",
                    self.time,
                    "write a number from 0 to 1000000000, without a unit, for example 41.5",
                )
            })?,
            kind: kind.ok_or_else(|| wrong("kind", self.kind, "write event, end or begin"))?,
        })
    }
}

/// The lines of one unit.
struct Lines {
    unit: String,
    begin: Option<Row>,
    end: Option<Row>,
    events: Vec<Row>,
}

fn keep(known: &mut Vec<Lines>, row: Row) -> Result<(), CommandError> {
    let place = known.iter().position(|lines| lines.unit == row.unit);
    let at = place.unwrap_or_else(|| {
        known.push(Lines {
            unit: row.unit.clone(),
            begin: None,
            end: None,
            events: Vec::new(),
        });
        known.len() - 1
    });
    let Some(lines) = known.get_mut(at) else {
        return Ok(());
    };
    let once = match row.kind {
        Kind::Event => {
            lines.events.push(row);
            return Ok(());
        }
        Kind::Begin => &mut lines.begin,
        Kind::End => &mut lines.end,
    };
    if let Some(first) = once {
        return Err(refused(
            format!("line {}, kind", row.line),
            format!("the same of the same unit as line {}", first.line),
            "watching begins and ends once: leave one out, or name another unit".to_owned(),
        ));
    }
    *once = Some(row);
    Ok(())
}

fn close(known: &[Lines], ends: Ends) -> Result<Events, CommandError> {
    if known.is_empty() {
        return Err(refused(
            "--events".to_owned(),
            "without a line below its heading".to_owned(),
            "write what happened, a line each, and when watching ended".to_owned(),
        ));
    }
    let units = known.iter().map(|lines| lines.close(ends));
    let mut assumed = Vec::new();
    let own_end = known.iter().filter(|lines| lines.end.is_some()).count();
    if let (Ends::At(until), 1..) = (ends, own_end) {
        assumed.push(format!(
            "--until {until} is for units without a line 'end'; {own_end} of {} have their own",
            known.len()
        ));
    }
    Ok(Events {
        units: units.collect::<Result<_, _>>()?,
        assumed,
    })
}

impl Lines {
    fn close(&self, ends: Ends) -> Result<Unit, CommandError> {
        let from = self.begin.as_ref().map_or(0.0, |row| row.time);
        let last = self.events.iter().map(|row| row.time).fold(from, f64::max);
        let until = match (ends, &self.end) {
            (Ends::AtLastEvent, end) => self.last_event(last, end.as_ref())?,
            (Ends::InTheFile | Ends::At(_), Some(end)) => end.time,
            (Ends::At(until), None) => until,
            (Ends::InTheFile, None) => return Err(self.without("a line of kind end")),
        };
        for row in self.events.iter().chain(&self.end) {
            let limit = if row.time <= from {
                format!("later than {from}, when watching it began: count time from there")
            } else if row.time > until {
                format!("no later than {until}, when watching it ended")
            } else {
                continue;
            };
            return Err(refused(
                format!("line {}, time", row.line),
                row.time.to_string(),
                format!("it must be {limit}"),
            ));
        }
        if until <= from {
            let line = self.begin.as_ref().map_or(0, |row| row.line);
            return Err(refused(
                format!("line {line}, time"),
                from.to_string(),
                format!("it must be before {until}, when watching it ended"),
            ));
        }
        Ok(Unit {
            from,
            until,
            events: self.events.iter().map(|row| row.time).collect(),
        })
    }

    fn last_event(&self, last: f64, end: Option<&Row>) -> Result<f64, CommandError> {
        if self.events.is_empty() {
            return Err(self.without("an event, at which watching it could have ended"));
        }
        match end.filter(|end| end.time != last) {
            None => Ok(last),
            Some(end) => Err(refused(
                format!("line {}, time", end.line),
                end.time.to_string(),
                format!(
                    "by --failure-terminated watching ended with the last event at {last}: leave \
                     the line out, or that word"
                ),
            )),
        }
    }

    fn without(&self, what: &str) -> CommandError {
        let unit = match self.unit.as_str() {
            "" => "the file".to_owned(),
            unit => format!("unit '{}'", clean(unit)),
        };
        refused(
            unit,
            format!("without {what}"),
            "add one, for example '1500,end', or give --until TIME when watching ended then, or \
             --failure-terminated when it ended with the last event"
                .to_owned(),
        )
    }
}
