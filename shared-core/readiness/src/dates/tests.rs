//! Days against the reference values and the worked values of the trade.

use chrono::NaiveDate;

use super::*;

fn on(text: &str) -> NaiveDate {
    text.parse().expect("a day")
}

fn mark(year: i32, month: Option<u32>, day: Option<u32>) -> DateMark {
    DateMark { year, month, day }
}

/// Source: calendar-intervals.csv, python-dateutil and java.time, which agree; exact. Steps that
/// are a matter of days are days here whatever the clocks do meanwhile; the one in hours is a
/// matter of moments.
#[test]
fn intervals_end_as_in_the_reference() {
    let rows = include_str!("../../../../tests/reference/calendar-intervals.csv");
    let mut checked = 0;
    for row in rows.lines().filter(|row| row.starts_with(['C', 'Z'])) {
        let fields: Vec<&str> = row.split(',').collect();
        let [_, _, start, _, add, unit, end, ..] = fields.as_slice() else {
            panic!("short row {row}");
        };
        let add: u32 = add.parse().expect("a number");
        let (start_day, end_day) = (on(&start[..10]), on(&end[..10]));
        let found = match *unit {
            "months" => due(start_day, Every::Months(add)),
            "years" => due(start_day, Every::Months(add * 12)),
            "days" => due(start_day, Every::Days(add)),
            // What drifts: each step from the last one. The engine counts from the anchor, as the
            // next row has it.
            "months_one_at_a_time" => {
                let step = |day, _| due(day, Every::Months(1));
                let drifted = (0..add).fold(start_day, step);
                assert_ne!(drifted, due(start_day, Every::Months(add)), "{row}");
                drifted
            }
            "hours" => {
                // 12:00 in Chicago before the change, 6 h behind UTC; after it, 5 h.
                let noon = format!("{start}Z").parse::<DateTime<chrono::Utc>>();
                let began = Moment(noon.expect("a time").timestamp_millis()).plus_ms(6 * HOUR_MS);
                let over = began.plus_ms(i64::from(add) * HOUR_MS);
                let utc = DateTime::from_timestamp_millis(over.0).expect("in the calendar");
                let said = format!("utc={}", utc.format("%Y-%m-%dT%H:%M:%SZ"));
                assert!(end.contains(&said), "{row}: {said}");
                day(over, -300)
            }
            other => panic!("unit {other} of {row}"),
        };
        assert_eq!(found, end_day, "{row}");
        checked += 1;
    }
    assert_eq!(checked, 17);
}

const HOUR_MS: i64 = 3_600_000;

/// Source: 46 CFR 160.021-5(b), 42 months from manufacture; row 40 of the worked values.
#[test]
fn a_flare_made_in_a_month_is_good_through_a_month() {
    let made = mark(2022, Some(3), None);
    let marks = MarkPolicy::default();
    assert_eq!(life_end(made, 42, marks), Some(on("2025-09-30")));
    let marks = MarkPolicy {
        month_only: MarkDay::FirstDay,
        ..marks
    };
    assert_eq!(life_end(made, 42, marks), Some(on("2025-09-01")));
}

/// Source: 33 CFR 175.310, Utah R650-217-6(1)(c): twelve years from the stamp; row 49. What a stamp
/// of the year alone means nobody published: a setting.
#[test]
fn an_extinguisher_is_out_after_twelve_years() {
    let marks = MarkPolicy::default();
    let stamped = mark(2013, Some(5), None);
    let last = life_end(stamped, 144, marks).expect("a day");
    assert!(on("2025-06-01") > last && on("2025-05-31") <= last);
    let year = mark(2013, None, None);
    assert_eq!(life_end(year, 144, marks), Some(on("2025-01-31")));
    let kind = MarkPolicy {
        made_year_only: MadeMonth::December,
        ..marks
    };
    assert_eq!(life_end(year, 144, kind), Some(on("2025-12-31")));
}

/// Source: 49 CFR 180.209 and 180.205(c), five years, due month inclusive; row 50.
#[test]
fn a_five_year_test_is_good_through_its_due_month() {
    let tested = mark(2021, Some(4), None);
    let last = life_end(tested, 60, MarkPolicy::default()).expect("a day");
    assert!(on("2026-04-30") <= last && on("2026-05-01") > last);
}

/// Source: MSC/Circ.1114 and MGN 529 1.2: seams every 36 months, past ten years every 24; row 61.
#[test]
fn an_older_suit_is_tested_more_often() {
    let older = Older {
        than: Every::Months(120),
        every: Every::Months(24),
    };
    let months = Every::Months;
    for (tested, made, due_on, today, overdue) in [
        // Tested 37 months ago.
        ("2023-02-01", "2020-01-01", "2026-02-01", "2026-03-01", true),
        (
            "2023-02-01",
            "2020-01-01",
            "2026-02-01",
            "2026-02-01",
            false,
        ),
        // Eleven years old, tested 25 months ago.
        ("2024-02-01", "2015-02-01", "2026-02-01", "2026-03-01", true),
        // Ten years between the two.
        (
            "2024-01-01",
            "2015-01-01",
            "2026-01-01",
            "2025-06-01",
            false,
        ),
        (
            "2024-01-01",
            "2016-06-01",
            "2026-06-01",
            "2026-05-31",
            false,
        ),
        (
            "2024-01-01",
            "2017-06-01",
            "2027-01-01",
            "2026-12-31",
            false,
        ),
    ] {
        let due = due_by_age(on(tested), months(36), on(made), older);
        assert_eq!(due, on(due_on), "{tested} {made}");
        assert_eq!(on(today) > due, overdue, "{tested} {made}");
    }
}

#[test]
fn marks_are_good_through_the_day_that_the_policy_says() {
    let last = MarkPolicy::default();
    let first = MarkPolicy {
        month_only: MarkDay::FirstDay,
        year_only: MarkDay::FirstDay,
        ..last
    };
    for (month, day, as_last, as_first) in [
        (Some(2), None, Some("2024-02-29"), Some("2024-02-01")),
        (None, None, Some("2024-12-31"), Some("2024-01-01")),
        (Some(5), Some(7), Some("2024-05-07"), Some("2024-05-07")),
        (Some(13), None, None, None),
    ] {
        let mark = mark(2024, month, day);
        assert_eq!(last_day(mark, last), as_last.map(on));
        assert_eq!(last_day(mark, first), as_first.map(on));
    }
}

/// Hard use: twice as often, Yamaha F150B maintenance chart.
#[test]
fn half_an_interval_is_whole_months_where_it_can_be() {
    for (anchor, every, half) in [
        ("2025-08-31", Every::Months(12), "2026-02-28"),
        ("2025-01-01", Every::Months(3), "2025-02-15"),
        ("2025-01-01", Every::Days(7), "2025-01-04"),
    ] {
        assert_eq!(due_halved(on(anchor), every), on(half), "{every:?}");
        assert!(due_halved(on(anchor), every) <= due(on(anchor), every));
    }
}

#[test]
fn marks_that_cannot_all_be_so_are_told() {
    let month = |year, month| Some(mark(year, Some(month), None));
    let year = |year| Some(mark(year, None, None));
    let today = on("2026-03-10");
    let too_long = |day| Some(Impossible::GoodForTooLong(on(day)));
    for (made, expires, life, found) in [
        (month(2022, 3), month(2025, 9), Some(42), None),
        (
            month(2022, 3),
            month(2025, 10),
            Some(42),
            too_long("2025-09-30"),
        ),
        (month(2022, 3), month(2025, 10), None, None),
        (year(2022), month(2026, 6), Some(42), None),
        (year(2022), month(2026, 7), Some(42), too_long("2026-06-30")),
        (None, month(2029, 9), Some(42), None),
        (None, month(2029, 10), Some(42), too_long("2029-09-10")),
        (None, year(2029), Some(42), None),
        (None, year(2030), Some(42), too_long("2029-09-10")),
        (month(2026, 3), None, Some(42), None),
        (month(2026, 4), None, None, Some(Impossible::MadeLater)),
        (
            month(2024, 5),
            month(2024, 4),
            None,
            Some(Impossible::GoodToBeforeMade),
        ),
        (month(2024, 5), month(2024, 5), None, None),
        (
            month(2024, 5),
            year(2023),
            None,
            Some(Impossible::GoodToBeforeMade),
        ),
        (None, None, Some(42), None),
    ] {
        let said = impossible(made, expires, life, today);
        assert_eq!(said, found, "{made:?} {expires:?}");
    }
}

#[test]
fn what_was_done_in_a_month_is_due_by_the_end_of_one() {
    let marks = MarkPolicy::default();
    let first = MarkPolicy {
        month_only: MarkDay::FirstDay,
        ..marks
    };
    for (last, every, as_last, as_first) in [
        (
            mark(2022, Some(3), Some(31)),
            Every::Months(42),
            "2025-09-30",
            "2025-09-30",
        ),
        (
            mark(2022, Some(3), None),
            Every::Months(42),
            "2025-09-30",
            "2025-09-01",
        ),
        (
            mark(2023, Some(2), None),
            Every::Months(1),
            "2023-03-31",
            "2023-03-01",
        ),
        (
            mark(2023, None, None),
            Every::Months(12),
            "2024-01-31",
            "2024-01-01",
        ),
        (
            mark(2023, Some(2), None),
            Every::Days(10),
            "2023-02-11",
            "2023-02-11",
        ),
    ] {
        assert_eq!(
            due_of_mark(last, every, marks),
            Some(on(as_last)),
            "{last:?}"
        );
        assert_eq!(
            due_of_mark(last, every, first),
            Some(on(as_first)),
            "{last:?}"
        );
    }
}
