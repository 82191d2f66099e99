//! Dates of counted units: `3 x 2027-03`, `1 x made 2024-05`, `2 x 2027-03 made 2024-05`, `2027-03`
//! for one unit. Marks that cannot all be so are asked back; an `!` at the end stands by them.

use sponson_proto::event::v1::{DateMark, ItemCount, Lot};
use sponson_readiness::dates::{Day, Impossible, impossible};
use sponson_readiness::event::DateMark as ReadMark;
use sponson_show::units::print;
use sponson_show::{clean, dates};

use super::{CheckFileError, CountLine};

/// Most units of one item: no craft carries so many, and a slipped finger types it.
pub(crate) const COUNT_MAX: u32 = 1_000;

/// How a line of text stands by dates that cannot all be so.
pub(crate) const STAND_BY_DATES: &str = " with an ! at the end";

/// What the dates of an item are held against.
#[derive(Clone, Copy, Debug)]
pub(super) struct Read {
    /// Its life from making, as the sheet says.
    pub(super) life_months: Option<u32>,
    /// The day on which it was looked at.
    pub(super) on: Day,
}

/// Reads the lots of one count.
///
/// # Errors
/// When a date cannot be read or cannot be and nobody stands by it, or the lots hold more units
/// than were counted.
pub(super) fn lots(place: &str, line: &CountLine, read: Read) -> Result<Vec<Lot>, CheckFileError> {
    at_most(&format!("{place}.count"), line.count, COUNT_MAX)?;
    at_most(
        &format!("{place}.unserviceable"),
        line.unserviceable,
        line.count,
    )?;
    let lots: Vec<Lot> = line
        .dates
        .iter()
        .map(|text| lot(place, text, read))
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

/// A count of spares of one item, with its dates.
///
/// # Errors
/// As [`lots`].
pub(crate) fn spares_counted(
    place: &str,
    (item, line): (&str, &CountLine),
    life_months: Option<u32>,
    on: Day,
) -> Result<ItemCount, CheckFileError> {
    Ok(ItemCount {
        item: item.to_owned(),
        count: line.count,
        unserviceable: line.unserviceable,
        lots: lots(place, line, Read { life_months, on })?,
        ..ItemCount::default()
    })
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

fn lot(place: &str, text: &str, read: Read) -> Result<Lot, CheckFileError> {
    let field = format!("{place}.dates");
    let refuse = || CheckFileError::Value {
        place: field.clone(),
        value: clean(text),
        limit: "write for example \"3 x 2027-03\", \"1 x made 2024-05\" or \"2 x 2027-03 made \
                2024-05\""
            .to_owned(),
    };
    let (typed, affirmed) = match text.trim().strip_suffix('!') {
        Some(typed) => (typed.trim(), true),
        None => (text.trim(), false),
    };
    let (count, dates) = match typed.split_once(['x', '×']) {
        Some((count, dates)) => (count.trim().parse().map_err(|_| refuse())?, dates.trim()),
        None => (1, typed),
    };
    if count == 0 {
        return Err(refuse());
    }
    let (expires, made) = match dates.split_once("made ") {
        Some((expires, made)) => (expires.trim(), Some(made.trim())),
        None => (dates, None),
    };
    let mark = |date: &str| {
        dates::date_mark(&field, date).map_err(|error| CheckFileError::Quantity(error.to_string()))
    };
    let made = made.map(mark).transpose()?;
    let expires = match (expires, made) {
        ("", Some(_)) => None,
        (expires, _) => Some(mark(expires)?),
    };
    let wrong = impossible(made, expires, read.life_months, read.on);
    if let Some(wrong) = wrong.filter(|_| !affirmed) {
        return Err(CheckFileError::Value {
            place: field,
            value: clean(text),
            limit: what_is_wrong(wrong, read),
        });
    }
    Ok(Lot {
        count,
        expires: expires.map(date_mark_to_wire),
        made: made.map(date_mark_to_wire),
        affirmed: wrong.is_some(),
        ..Lot::default()
    })
}

/// Marks that cannot all be so, and what to do.
fn what_is_wrong(wrong: Impossible, read: Read) -> String {
    let why = match wrong {
        Impossible::MadeLater => format!("nothing that is counted on {} was made later", read.on),
        Impossible::GoodToBeforeMade => "nothing is good to a day before it was made".to_owned(),
        Impossible::GoodForTooLong(last) => format!(
            "good for at most {} from its making, which is {last} at the latest",
            print::count(i64::from(read.life_months.unwrap_or_default()), "month")
        ),
    };
    format!("{why}: read both marks again; if they are so, stand by it{STAND_BY_DATES}")
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

    const READ: Read = Read {
        life_months: Some(42),
        on: Day::from_ymd_opt(2026, 3, 14).expect("a day"),
    };

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
            READ,
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
            let error = lots("counts.flare", &count, READ)
                .expect_err(said)
                .to_string();
            assert!(error.contains(said), "{error}");
        }
    }

    /// Source of the 42 months: 46 CFR 160.021-5(b).
    #[test]
    fn marks_that_cannot_all_be_so_are_asked_back_or_stood_by() {
        let count = |date: &str| lots("counts.flare", &line(3, 0, &[date]), READ);
        for (date, said) in [
            (
                "3 x 2026-01 made 2022-03",
                "counts.flare.dates is 3 x 2026-01 made 2022-03; good for at most 42 months from \
                 its making, which is 2025-09-30 at the latest: read both marks again; if they \
                 are so, stand by it with an ! at the end",
            ),
            ("3 x 2030-01", "which is 2029-09-14 at the latest"),
            (
                "made 2026-04",
                "nothing that is counted on 2026-03-14 was made later",
            ),
            (
                "2023-12 made 2024-01",
                "nothing is good to a day before it was made",
            ),
        ] {
            let refused = count(date).expect_err(date).to_string();
            assert!(refused.contains(said), "{refused}");
            let stood_by = count(&format!("{date} !")).expect("stood by");
            assert!(stood_by[0].affirmed, "{date}");
        }
        let right = count("3 x 2025-09 made 2022-03 !").expect("nothing is wrong with it");
        assert!(!right[0].affirmed, "there was nothing to stand by");
        assert_eq!(right[0].made.map(|made| made.year), Some(2022));
    }
}
