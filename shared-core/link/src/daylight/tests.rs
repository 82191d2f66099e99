//! Sunrise and sunset against astral, and the shapes of nights.

use sponson_readiness::conditions::{Dark, Position};
use sponson_readiness::moment::Moment;
use sponson_show::dates;

use super::{dark_between, light};

const SUN: &str = include_str!("../../../../tests/reference/sunrise-sunset.csv");

const DAY_MS: i64 = 86_400_000;

fn position(lat: f64, lon: f64) -> Position {
    let e7 = |degrees: f64| {
        format!("{:.0}", degrees * 1e7)
            .parse()
            .expect("a whole number")
    };
    Position {
        lat_e7: e7(lat),
        lon_e7: e7(lon),
    }
}

fn moment(text: &str) -> Moment {
    dates::moment("time", text, 0).expect(text)
}

/// Tolerance 120 s, above 60 degrees 300 s: astral 3.2 (PyPI).
#[test]
fn sunrise_and_sunset_of_a_day() {
    let rows = SUN.lines().filter(|line| !line.starts_with('#')).skip(1);
    let mut seen = 0;
    for row in rows {
        let cells: Vec<&str> = row.split(',').collect();
        let [lat, lon, date, sunrise, sunset] = cells.as_slice() else {
            panic!("{row}");
        };
        let lat: f64 = lat.parse().expect(row);
        let place = position(lat, lon.parse().expect(row));
        let from = moment(&format!("{date}T00:00Z"));
        let found = dark_between(place, from, from.plus_ms(DAY_MS)).expect(row);
        let rises = found.dark.iter().map(|(_, to)| *to);
        let sets = found.dark.iter().map(|(from, _)| *from);
        let within_s = if lat.abs() > 60.0 { 300 } else { 120 };
        let near = |moments: Vec<Moment>, wanted: &str| {
            let wanted = moment(wanted);
            let mut moments = moments.into_iter();
            moments.any(|it| it.since(wanted).abs() <= within_s * 1_000)
        };
        assert!(near(rises.collect(), sunrise), "{row}: {found:?}");
        assert!(near(sets.collect(), sunset), "{row}: {found:?}");
        seen += 1;
    }
    assert_eq!(seen, 20);
}

#[test]
fn the_sun_that_does_not_set_or_rise() {
    let svalbard = position(78.2, 15.6);
    let june = light(svalbard, moment("2026-06-21T12:00Z"), 3_600).expect("2026");
    assert_eq!(june.dark, []);
    let december = light(svalbard, moment("2026-12-21T12:00Z"), 3_600).expect("2026");
    assert_eq!(december.dark, [(december.from, december.to)]);
    assert_eq!(december.night_at(moment("2026-12-21T12:00Z")), (None, None));
}

#[test]
fn nights_lie_apart_and_in_order_over_a_year() {
    for lat in [-55.0, 0.0, 44.9, 61.2, 66.0, 70.0] {
        for day in 0..73 {
            let at = moment("2026-01-01T00:00Z").plus_ms(day * 5 * DAY_MS);
            let found = light(position(lat, -103.2), at, 4 * 3_600).expect("2026");
            let ends: Vec<Moment> = found.dark.iter().flat_map(|(a, b)| [*a, *b]).collect();
            assert!(ends.is_sorted(), "{lat} {at:?}: {found:?}");
            assert!(ends.first().is_none_or(|first| *first >= found.from));
            assert!(ends.last().is_none_or(|last| *last <= found.to));
        }
    }
}

#[test]
fn a_night_is_the_same_from_wherever_it_is_looked_at() {
    let place = position(47.3, -97.1);
    let early = light(place, moment("2026-11-25T12:00Z"), 0).expect("2026");
    let late = light(place, moment("2026-11-26T02:00Z"), 0).expect("2026");
    let at = moment("2026-11-26T03:00Z");
    let (one, other) = (early.night_at(at), late.night_at(at));
    let near = |one: Option<Moment>, other: Option<Moment>| {
        let (one, other) = (one.expect("a sunset"), other.expect("a sunset"));
        one.since(other).abs() <= 1_000
    };
    assert!(
        near(one.0, other.0) && near(one.1, other.1),
        "{one:?} {other:?}"
    );
    assert_eq!(early.during(at, at), Dark::Yes);
}

#[test]
fn years_for_which_the_sun_is_not_known_have_no_light() {
    let place = position(44.9, -103.2);
    // The years 1890 and 2300.
    for at in [-2_524_521_600_000, 10_413_792_000_000] {
        assert_eq!(light(place, Moment(at), 0), None, "{at}");
    }
    assert_eq!(light(place, Moment(i64::MIN), u32::MAX), None);
    assert_eq!(light(place, Moment(i64::MAX), u32::MAX), None);
}
