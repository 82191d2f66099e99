//! Lists that the lead already has, as CSV: craft, gear, bags. Text in, one result for each row:
//! what to register, or why it is refused. It records nothing.
//!
//! Headers are matched leniently: `Call sign`, `call_sign` and `CRAFT` are all the number. A unit
//! may stand in the header, `Total (lb)`, or with the value, `1500 lb`.

mod columns;
mod quantities;
mod rows;

use std::collections::{BTreeMap, BTreeSet};

use sponson_client::catalogue::Catalogue;
use sponson_proto::event::v1::{BagRegistered, CraftRegistered, GearRegistered};

pub use columns::{Columns, Field, HeaderError, header_help};

/// Longest list, bytes: 10,000 rows of 400 letters.
pub const LIST_BYTES_MAX: u64 = 4 * 1024 * 1024;

/// Most rows: more craft than any county keeps, and a mistaken file ends here.
const ROWS_MAX: usize = 10_000;

/// What a list holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ListKind {
    /// Craft.
    Craft,
    /// Numbered gear.
    Gear,
    /// Bags.
    Bags,
}

/// Something to register.
#[derive(Clone, Debug, PartialEq)]
pub enum Registered {
    /// A craft.
    Craft(CraftRegistered),
    /// Numbered gear.
    Gear(GearRegistered),
    /// A bag.
    Bag(BagRegistered),
}

/// One row of a list.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Line of the file where it begins, from 1.
    pub line: u64,
    /// Number as written; empty when there is none.
    pub number: String,
    /// What to register, or why not.
    pub result: Result<Registered, RowError>,
}

/// Why one row is refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum RowError {
    /// A cell that must be filled is empty.
    #[error("{0} is empty")]
    Empty(&'static str),
    /// A cell with a value that cannot be.
    #[error("{field} is {value}; {limit}")]
    Value {
        /// The column.
        field: &'static str,
        /// Its value, cleaned.
        value: String,
        /// What is allowed.
        limit: String,
    },
    /// A quantity or a date; its words name the column.
    #[error("{0}")]
    Quantity(String),
    /// A name that is not known.
    #[error("{0}")]
    Name(String),
    /// The log holds it.
    #[error("already registered")]
    Already,
    /// The list holds it twice.
    #[error("twice in this list: see line {0}")]
    Twice(u64),
}

/// Why a list is refused as a whole.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ListError {
    /// Its first line.
    #[error(transparent)]
    Header(#[from] HeaderError),
    /// No CSV.
    #[error("cannot be read as CSV: {0}")]
    Unreadable(String),
    /// Too long.
    #[error("it has more than {ROWS_MAX} rows: split it")]
    TooLong,
}

/// Names of stations that a list gives.
///
/// # Errors
/// When it is no CSV or its header lacks a column.
pub fn station_names(kind: ListKind, text: &str) -> Result<BTreeSet<String>, ListError> {
    let mut list = List::open(kind, text)?;
    let mut names = BTreeSet::new();
    for record in list.reader.records() {
        let record = record.map_err(unreadable)?;
        let name = list.columns.cells(&record).text(Field::Station);
        names.extend(name.map(str::to_owned));
    }
    Ok(names)
}

/// Columns of a list that are not known, and so left out, as written.
///
/// # Errors
/// When it is no CSV or its header lacks a column.
pub fn left_out(kind: ListKind, text: &str) -> Result<Vec<String>, ListError> {
    Ok(List::open(kind, text)?.columns.left_out())
}

/// A list whose header was read.
struct List<'t> {
    reader: csv::Reader<&'t [u8]>,
    columns: Columns,
}

impl<'t> List<'t> {
    fn open(kind: ListKind, text: &'t str) -> Result<Self, ListError> {
        let text = text.trim_start_matches('\u{feff}');
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(delimiter(text))
            .flexible(true)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let header = reader.headers().map_err(unreadable)?.clone();
        let columns = Columns::of(kind, header.iter())?;
        Ok(Self { reader, columns })
    }
}

#[expect(clippy::needless_pass_by_value, reason = "it stands in map_err")]
fn unreadable(error: csv::Error) -> ListError {
    ListError::Unreadable(error.to_string())
}

/// Reads a list against what the county holds.
///
/// # Errors
/// When it is no CSV, its header lacks a column, or it is too long; single rows that are wrong are
/// refused in their place.
pub fn read(kind: ListKind, text: &str, catalogue: &Catalogue) -> Result<Vec<Row>, ListError> {
    let List {
        mut reader,
        columns,
    } = List::open(kind, text)?;
    let mut seen: BTreeMap<String, u64> = BTreeMap::new();
    let mut rows = Vec::new();
    for record in reader.records() {
        let record = record.map_err(unreadable)?;
        if record.iter().all(str::is_empty) {
            continue;
        }
        if rows.len() == ROWS_MAX {
            return Err(ListError::TooLong);
        }
        let line = record.position().map_or(0, csv::Position::line);
        let cells = columns.cells(&record);
        let number = cells.text(Field::Number).unwrap_or_default().to_owned();
        let result = match seen.get(&number) {
            Some(first) if !number.is_empty() => Err(RowError::Twice(*first)),
            Some(_) | None => rows::read(kind, &cells, catalogue),
        };
        seen.entry(number.clone()).or_insert(line);
        rows.push(Row {
            line,
            number,
            result,
        });
    }
    Ok(rows)
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

#[cfg(test)]
mod tests;
