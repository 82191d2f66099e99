//! The rows of the list: each cell read where it stands.

use std::collections::BTreeMap;

use csv::{Position as At, ReaderBuilder, StringRecord, Trim};
use sponson_readiness::answer::Access;
use sponson_readiness::conditions::Position;
use sponson_show::{clean, units};

use super::{LIST_BYTES_MAX, MINUTES_MAX, NAME_BYTES_MAX, Place, PlacesError, ROWS_MAX, plain};

/// The columns, in no order.
const COLUMNS: [&str; 5] = ["place", "position", "access", "station", "minutes"];

/// Reads a list; places in the order of their first rows.
pub(super) fn read(text: &str) -> Result<Vec<Place>, PlacesError> {
    if text.len() > LIST_BYTES_MAX {
        return Err(PlacesError::Bytes {
            bytes: text.len() as u64,
        });
    }
    let text = text.trim_start_matches('\u{feff}');
    let mut reader = ReaderBuilder::new()
        .delimiter(delimiter(text))
        .flexible(true)
        .trim(Trim::All)
        .from_reader(text.as_bytes());
    let columns = Columns::of(reader.headers().map_err(|error| unreadable(&error))?)?;
    let mut list = List::default();
    for (number, record) in reader.records().enumerate() {
        let record = record.map_err(|error| unreadable(&error))?;
        if number == ROWS_MAX {
            return Err(PlacesError::Rows);
        }
        if !record.iter().all(str::is_empty) {
            list.take(&columns.row(&record)?)?;
        }
    }
    Ok(list.places)
}

fn unreadable(error: &csv::Error) -> PlacesError {
    PlacesError::Csv(error.to_string())
}

/// The separator of which the first line has more; a spreadsheet writes either.
fn delimiter(text: &str) -> u8 {
    let first = text.lines().next().unwrap_or_default();
    let count = |separator| first.matches(separator).count();
    let most = [(',', b','), (';', b';'), ('\t', b'\t')]
        .into_iter()
        .max_by_key(|(separator, byte)| (count(*separator), *byte == b','));
    most.map_or(b',', |(_, byte)| byte)
}

/// Where each column stands.
struct Columns {
    at: [Option<usize>; 5],
    number: usize,
}

impl Columns {
    fn of(header: &StringRecord) -> Result<Self, PlacesError> {
        let mut at = [None; 5];
        for (place, written) in header.iter().enumerate() {
            let refused = |why| PlacesError::Column {
                column: clean(written),
                why,
            };
            let wanted = written.to_lowercase();
            let known = COLUMNS.iter().zip(&mut at);
            let mut known = known.filter(|(name, _)| **name == wanted);
            let (_, slot) = known.next().ok_or_else(|| refused("is not known"))?;
            if slot.replace(place).is_some() {
                return Err(refused("stands twice"));
            }
        }
        let columns = Self {
            at,
            number: header.len(),
        };
        for name in ["place", "position"] {
            if columns.place_of(name).is_none() {
                return Err(PlacesError::Missing(name));
            }
        }
        Ok(columns)
    }

    fn place_of(&self, name: &str) -> Option<usize> {
        let mut all = COLUMNS.iter().zip(self.at);
        all.find(|(known, _)| **known == name)?.1
    }

    fn row<'r>(&self, record: &'r StringRecord) -> Result<Row<'r>, PlacesError> {
        let line = record.position().map_or(0, At::line);
        if record.len() > self.number {
            return Err(PlacesError::Cells {
                line,
                cells: record.len(),
                columns: self.number,
            });
        }
        let [place, position, access, station, minutes] = self
            .at
            .map(|at| at.and_then(|at| record.get(at)).unwrap_or_default());
        Ok(Row {
            line,
            place,
            position,
            access,
            station,
            minutes,
        })
    }
}

/// The cells of one row.
#[derive(Clone, Copy)]
struct Row<'r> {
    line: u64,
    place: &'r str,
    position: &'r str,
    access: &'r str,
    station: &'r str,
    minutes: &'r str,
}

impl Row<'_> {
    fn refused(&self, column: &'static str, value: &str, limit: impl Into<String>) -> PlacesError {
        PlacesError::Value {
            line: self.line,
            column,
            value: clean(value),
            limit: limit.into(),
        }
    }

    fn name(&self) -> Result<&str, PlacesError> {
        let name = self.checked("place", self.place)?;
        if name.is_empty() {
            return Err(self.refused("place", "", "give the launch place a name"));
        }
        if units::position("place", name).is_ok() {
            let limit = "that reads as a position: give a name that people say on the radio";
            return Err(self.refused("place", name, limit));
        }
        Ok(name)
    }

    /// A name that fits a line of a list and holds nothing that a terminal obeys.
    fn checked<'a>(&self, column: &'static str, name: &'a str) -> Result<&'a str, PlacesError> {
        if name.len() > NAME_BYTES_MAX {
            let bytes = name.len();
            let limit = format!("it has {bytes} bytes; at most {NAME_BYTES_MAX} are allowed");
            return Err(self.refused(column, name, limit));
        }
        if clean(name) != name {
            return Err(self.refused(column, name, "leave out characters that are not shown"));
        }
        Ok(name)
    }

    fn position(&self) -> Result<Option<Position>, PlacesError> {
        if self.position.is_empty() {
            return Ok(None);
        }
        let line = self.line;
        let read = units::position("position", self.position);
        read.map(Some)
            .map_err(|error| PlacesError::Position { line, error })
    }

    fn access(&self) -> Result<Option<Access>, PlacesError> {
        if self.access.is_empty() {
            return Ok(None);
        }
        let access = access(self.access);
        access.map(Some).ok_or_else(|| {
            self.refused(
                "access",
                self.access,
                "give ramp or bank, or leave it empty",
            )
        })
    }

    /// The station and its minutes; none where the row only names the place.
    fn drive(&self) -> Result<Option<(&str, u32)>, PlacesError> {
        let station = self.checked("station", self.station)?;
        let range = format!("give whole minutes of driving, from 0 to {MINUTES_MAX}");
        match (station, self.minutes) {
            ("", "") => Ok(None),
            ("", _) => Err(self.refused("station", "", "say from which station the minutes are")),
            (_, minutes) => {
                let read = minutes.parse().ok().filter(|read| *read <= MINUTES_MAX);
                let read = read.ok_or_else(|| self.refused("minutes", minutes, range))?;
                Ok(Some((station, read)))
            }
        }
    }
}

/// How craft get into the water, as written.
pub(super) fn access(text: &str) -> Option<Access> {
    let wanted = text.trim().to_lowercase();
    let mut every = [Access::Ramp, Access::Bank].into_iter();
    every.find(|access| access.id() == wanted)
}

/// What was read so far.
#[derive(Default)]
struct List {
    places: Vec<Place>,
    /// By plain name: where the place stands in `places`, and its first line.
    known: BTreeMap<String, (usize, u64)>,
    /// Lines of drives, by plain names of place and station.
    drives: BTreeMap<(String, String), u64>,
}

impl List {
    fn take(&mut self, row: &Row<'_>) -> Result<(), PlacesError> {
        let name = row.name()?;
        let (at, first) = match self.known.get(&plain(name)) {
            Some(known) => *known,
            None => {
                let Some(position) = row.position()? else {
                    let limit = format!("say where {name} is in its first row");
                    return Err(row.refused("position", "", limit));
                };
                let new = (self.places.len(), row.line);
                self.places.push(Place {
                    name: name.to_owned(),
                    position,
                    access: row.access()?,
                    minutes: BTreeMap::new(),
                });
                self.known.insert(plain(name), new);
                new
            }
        };
        self.agrees(row, at, first)?;
        let Some((station, minutes)) = row.drive()? else {
            return Ok(());
        };
        let drive = (plain(name), plain(station));
        if let Some(line) = self.drives.insert(drive, row.line) {
            let limit = format!("line {line} has minutes from there already: leave one of the two");
            return Err(row.refused("station", station, limit));
        }
        if let Some(place) = self.places.get_mut(at) {
            place.minutes.insert(station.to_owned(), minutes);
        }
        Ok(())
    }

    /// What a further row says of a place is what its first one says, or nothing.
    fn agrees(&mut self, row: &Row<'_>, at: usize, first: u64) -> Result<(), PlacesError> {
        let (position, access) = (row.position()?, row.access()?);
        let Some(place) = self.places.get_mut(at) else {
            return Ok(());
        };
        if position.is_some_and(|position| position != place.position) {
            let limit = format!("line {first} says that {} is elsewhere", place.name);
            return Err(row.refused("position", row.position, limit));
        }
        if place.access.is_none() {
            place.access = access;
        } else if access.is_some() && access != place.access {
            let limit = format!("an earlier row of {} says otherwise", place.name);
            return Err(row.refused("access", row.access, limit));
        }
        Ok(())
    }
}
