//! Launch places and the travel table: a list of the county's own, as CSV, read at the door.
//!
//! One row for each place and station, `place,position,access,station,minutes`; a row without a
//! station only names the place. It records nothing and asks no map: what stands in the list is
//! what the county drove and timed.

mod rows;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use sponson_readiness::answer::Access;
use sponson_readiness::conditions::Position;
use sponson_show::units::UnitError;

use crate::distance::line;
use crate::taken_file::{self, TakenFileError};

/// Longest list, bytes: 10,000 rows of 100 letters.
pub const LIST_BYTES_MAX: usize = 1024 * 1024;

/// Most rows: 400 places and 25 stations.
pub const ROWS_MAX: usize = 10_000;

/// Longest name of a place or a station, bytes: a line of a list.
pub const NAME_BYTES_MAX: usize = 64;

/// Longest drive, minutes: a day. What takes longer is no call-out.
pub const MINUTES_MAX: u32 = 1_440;

/// A position no farther than so many metres from a launch place is taken as that place. 250 m are
/// half a minute at 30 km/h, less than the minute in which the table is kept; and a place that a
/// caller describes in a street is seldom known better.
pub const NEAR_M: u32 = 250;

/// Where craft go into the water, and how long each station drives there.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct LaunchPlaces(Vec<Place>);

/// A launch place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// Its name, as written.
    pub name: String,
    /// Where it is.
    pub position: Position,
    /// How craft get into the water; none when the list does not say.
    pub access: Option<Access>,
    /// Minutes of driving, by the name of the station as written.
    pub minutes: BTreeMap<String, u32>,
}

/// Why a list is refused: where, what stands there, what is allowed.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PlacesError {
    /// The file is not there or cannot be read.
    #[error("launch places {} cannot be read: {why}; correct 'places' in the settings", file.display())]
    File {
        /// The file.
        file: PathBuf,
        /// The system's words.
        why: String,
    },
    /// Too long.
    #[error(
        "launch places have {bytes} bytes; at most {LIST_BYTES_MAX} are read: leave out what no station drives to"
    )]
    Bytes {
        /// How long it is.
        bytes: u64,
    },
    /// More rows than are read.
    #[error("launch places have more than {ROWS_MAX} rows: leave out what no station drives to")]
    Rows,
    /// Not CSV.
    #[error("launch places cannot be read as CSV: {0}")]
    Csv(String),
    /// A column that is not known, or stands twice.
    #[error(
        "launch places, line 1: column '{column}' {why}; the columns are place, position, access, station, minutes"
    )]
    Column {
        /// As written.
        column: String,
        /// What is wrong with it.
        why: &'static str,
    },
    /// A column that must be there.
    #[error(
        "launch places, line 1: column '{0}' is missing; the columns are place, position, access, station, minutes"
    )]
    Missing(&'static str),
    /// A row with more cells than the header.
    #[error(
        "launch places, line {line}: {cells} cells under {columns} columns: write a position in quotes, \"44.9,-103.2\", or with a blank, 44.9 -103.2"
    )]
    Cells {
        /// Line of the file, from 1.
        line: u64,
        /// Cells of the row.
        cells: usize,
        /// Columns of the header.
        columns: usize,
    },
    /// A position that is none.
    #[error("launch places, line {line}, column {error}")]
    Position {
        /// Line of the file, from 1.
        line: u64,
        /// Its words name the column and the value.
        error: UnitError,
    },
    /// A cell with a value that cannot be.
    #[error("launch places, line {line}, column {column}: '{value}'; {limit}")]
    Value {
        /// Line of the file, from 1.
        line: u64,
        /// The column.
        column: &'static str,
        /// The value, cleaned.
        value: String,
        /// What is allowed, or what to do.
        limit: String,
    },
}

impl LaunchPlaces {
    /// Reads a list.
    ///
    /// # Errors
    /// Names the line, the column, the value, and what is allowed.
    pub fn parse(text: &str) -> Result<Self, PlacesError> {
        rows::read(text).map(Self)
    }

    /// Reads the list of a file.
    ///
    /// # Errors
    /// When the file cannot be read, or as [`LaunchPlaces::parse`].
    pub fn read(file: &Path) -> Result<Self, PlacesError> {
        let text = taken_file::text(file, LIST_BYTES_MAX as u64).map_err(|error| match error {
            TakenFileError::TooLong(bytes) => PlacesError::Bytes { bytes },
            TakenFileError::Unreadable(error) => PlacesError::File {
                file: file.to_owned(),
                why: error.to_string(),
            },
        })?;
        Self::parse(&text)
    }

    /// Every place, in the order of the list.
    pub fn iter(&self) -> impl Iterator<Item = &Place> {
        self.0.iter()
    }

    /// The place of a name, however its letters and blanks are written.
    #[must_use]
    pub fn named(&self, name: &str) -> Option<&Place> {
        let wanted = plain(name);
        self.0.iter().find(|place| plain(&place.name) == wanted)
    }

    /// The place that a position is taken as, and how far away it is, metres: the nearest within
    /// [`NEAR_M`].
    #[must_use]
    pub fn near(&self, position: Position) -> Option<(&Place, u32)> {
        let with_distance = self
            .0
            .iter()
            .map(|place| (place, metres(position, place.position)));
        with_distance
            .filter(|(_, away_m)| *away_m <= NEAR_M)
            .min_by_key(|(place, away_m)| (*away_m, place.name.clone()))
    }
}

impl Place {
    /// Minutes that a station drives there by the list; none when it does not say.
    #[must_use]
    pub fn minutes_from(&self, station: &str) -> Option<u32> {
        let wanted = plain(station);
        let mut minutes = self.minutes.iter();
        minutes
            .find(|(name, _)| plain(name) == wanted)
            .map(|(_, minutes)| *minutes)
    }
}

/// The WGS 84 straight line between two places, whole metres: not by road or river.
#[must_use]
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "no two places on the Earth are farther apart than 20,004 km"
)]
pub fn metres(from: Position, to: Position) -> u32 {
    line(from, to).distance_m.round() as u32
}

/// A name without what people write differently: case, blanks, hyphens, underscores, points.
pub(crate) fn plain(name: &str) -> String {
    name.chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '-' | '_' | '.'))
        .flat_map(char::to_lowercase)
        .collect()
}

#[cfg(test)]
mod tests;
