//! Dates of counted units: `3 x 2027-03`, `1 x made 2024-05`, `2027-03` for one unit.

use sponson_proto::event::v1::{DateMark, Lot};
use sponson_readiness::event::DateMark as ReadMark;
use sponson_show::{clean, dates};

use super::{CheckFileError, CountLine};

/// Most units of one item: no craft carries so many, and a slipped finger types it.
pub(crate) const COUNT_MAX: u32 = 1_000;

/// Reads the lots of one count.
///
/// # Errors
/// When a date cannot be read, or the lots hold more units than were counted.
pub(super) fn lots(place: &str, line: &CountLine) -> Result<Vec<Lot>, CheckFileError> {
    at_most(&format!("{place}.count"), line.count, COUNT_MAX)?;
    at_most(
        &format!("{place}.unserviceable"),
        line.unserviceable,
        line.count,
    )?;
    let lots: Vec<Lot> = line
        .dates
        .iter()
        .map(|text| lot(place, text))
        .collect::<Result<_, _>>()?;
    let dated: u64 = lots.iter().map(|lot| u64::from(lot.count)).sum();
    if dated > u64::from(line.count) {
        return Err(CheckFileError::Value {
            place: format!("{place}.dates"),
            value: format!("for {dated} units"),
            limit: format!(
                "{} were counted: correct the count or the dates",
                line.count
            ),
        });
    }
    Ok(lots)
}

fn at_most(place: &str, value: u32, limit: u32) -> Result<(), CheckFileError> {
    if value <= limit {
        return Ok(());
    }
    Err(CheckFileError::Value {
        place: place.to_owned(),
        value: value.to_string(),
        limit: format!("at most {limit} are possible: count again"),
    })
}

fn lot(place: &str, text: &str) -> Result<Lot, CheckFileError> {
    let field = format!("{place}.dates");
    let refuse = || CheckFileError::Value {
        place: field.clone(),
        value: clean(text),
        limit: "write for example \"3 x 2027-03\" or \"1 x made 2024-05\"".to_owned(),
    };
    let (count, date) = match text.split_once(['x', '×']) {
        Some((count, date)) => (count.trim().parse().map_err(|_| refuse())?, date.trim()),
        None => (1, text.trim()),
    };
    if count == 0 {
        return Err(refuse());
    }
    let (made, date) = match date.strip_prefix("made ") {
        Some(date) => (true, date.trim()),
        None => (false, date),
    };
    let mark = dates::date_mark(&field, date)
        .map_err(|error| CheckFileError::Quantity(error.to_string()))?;
    let mark = Some(date_mark_to_wire(mark));
    Ok(if made {
        Lot {
            count,
            made: mark,
            ..Lot::default()
        }
    } else {
        Lot {
            count,
            expires: mark,
            ..Lot::default()
        }
    })
}

/// A printed date as the log writes it.
#[must_use]
pub fn date_mark_to_wire(mark: ReadMark) -> DateMark {
    DateMark {
        year: mark.year.unsigned_abs(),
        month: mark.month.unwrap_or(0),
        day: mark.day.unwrap_or(0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(count: u32, unserviceable: u32, dates: &[&str]) -> CountLine {
        CountLine {
            count,
            unserviceable,
            dates: dates.iter().map(|date| (*date).to_owned()).collect(),
            bag: None,
        }
    }

    #[test]
    fn dates_are_read_as_written() {
        let lots = lots(
            "counts.flare",
            &line(6, 0, &["3 x 2027-03", "1 x made 2024-05", "2028"]),
        )
        .expect("reads");
        let month = |year, month| {
            Some(DateMark {
                year,
                month,
                day: 0,
            })
        };
        assert_eq!(
            lots,
            vec![
                Lot {
                    count: 3,
                    expires: month(2027, 3),
                    ..Lot::default()
                },
                Lot {
                    count: 1,
                    made: month(2024, 5),
                    ..Lot::default()
                },
                Lot {
                    count: 1,
                    expires: month(2028, 0),
                    ..Lot::default()
                },
            ]
        );
    }

    #[test]
    fn counts_and_dates_that_cannot_be_are_refused() {
        for (count, said) in [
            (line(2, 3, &[]), "counts.flare.unserviceable is 3"),
            (line(2_000, 0, &[]), "counts.flare.count is 2000"),
            (
                line(2, 0, &["3 x 2027-03"]),
                "counts.flare.dates is for 3 units; 2 were counted",
            ),
            (line(2, 0, &["0 x 2027-03"]), "0 x 2027-03"),
            (line(2, 0, &["two x 2027-03"]), "two x 2027-03"),
            (line(2, 0, &["1 x soon"]), "soon"),
        ] {
            let error = lots("counts.flare", &count).expect_err(said).to_string();
            assert!(error.contains(said), "{error}");
        }
    }
}
