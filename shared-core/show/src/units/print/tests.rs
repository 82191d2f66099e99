//! What is printed, and that it reads back as the same.

use proptest::prelude::*;

use super::*;
use crate::units::position as read_position;
use crate::units::{Gauge, elevation as read_elevation, gauge, length as read_length};
use crate::units::{mass as read_mass, span as read_span, temperature as read_temperature};

const US: Units = Units {
    pressure: PressureUnit::Psi,
    temperature: TemperatureUnit::F,
    mass: MassUnit::Lb,
};
const METRIC: Units = Units {
    pressure: PressureUnit::Mbar,
    temperature: TemperatureUnit::C,
    mass: MassUnit::Kg,
};
const KPA: Units = Units {
    pressure: PressureUnit::Kpa,
    ..METRIC
};

#[test]
fn quantities() {
    for (shown, wanted) in [
        (pressure(20_684, US), "3.00 psi"),
        (pressure(20_684, METRIC), "207 mbar"),
        (pressure(20_684, KPA), "20.7 kPa"),
        (pressure(-345, US), "-0.05 psi"),
        (pressure(-20, US), "0.00 psi"),
        (temperature(22_222, US), "72 °F"),
        (temperature(0, US), "32 °F"),
        (temperature(-40_000, US), "-40 °F"),
        (temperature(21_500, METRIC), "21.5 °C"),
        (mass(43_091, US), "95 lb"),
        (mass(43_091, METRIC), "43 kg"),
        (length(4420, US), "14 ft 6 in"),
        (length(1200, METRIC), "1.20 m"),
        (elevation(249_936, US), "820 ft"),
        (elevation(249_936, METRIC), "250 m"),
        (engine(188_640), "52.4 engine hours"),
    ] {
        assert_eq!(shown, wanted);
    }
}

#[test]
fn times() {
    for (shown, wanted) in [
        (age(59_000), "less than 1 min"),
        (age(40 * MINUTE_MS), "40 min"),
        (age(3 * HOUR_MS + 1), "3 h"),
        (age(47 * HOUR_MS), "47 h"),
        (age(2 * DAY_MS), "2 days"),
        (ago(-2 * HOUR_MS), "in 2 h"),
        (span(7 * DAY_MS + 3 * HOUR_MS), "7 days 3 h"),
        (span(90 * MINUTE_MS), "1 h 30 min"),
        (span(30 * DAY_MS), "30 days"),
        (local(Moment(1_773_491_400_000), -240), "2026-03-14 08:30"),
        (rfc3339(Moment(1_773_491_400_000)), "2026-03-14T12:30:00Z"),
        (
            rfc3339(Moment(1_773_491_400_007)),
            "2026-03-14T12:30:00.007Z",
        ),
        (rfc3339(Moment(i64::MIN)), "0000-01-01T00:00:00Z"),
        (rfc3339(Moment(i64::MAX)), "9999-12-31T23:59:59.999Z"),
        (offset(-240), "UTC-04:00"),
        (offset(0), "UTC"),
        (offset(i32::MAX), "UTC"),
    ] {
        assert_eq!(shown, wanted);
    }
    assert!(!is_known(Moment(i64::MIN)));
}

#[test]
fn places_keep_their_zeros() {
    for (lat_e7, lon_e7, wanted) in [
        (440_070_000, -1_030_500_000, "44.0070N 103.0500W"),
        (449_000_000, -1_032_000_000, "44.9000N 103.2000W"),
        (70_000, 1_000, "0.0070N 0.0001E"),
        (-400, -499, "0.0000N 0.0000E"),
        (-900_000_000, 1_800_000_000, "90.0000S 180.0000E"),
    ] {
        assert_eq!(position(Position { lat_e7, lon_e7 }), wanted);
    }
}

fn any_units() -> impl Strategy<Value = Units> {
    prop_oneof![Just(US), Just(METRIC), Just(KPA)]
}

proptest! {
    #[test]
    fn pressures_read_back(pa in -100_000_i64..1_000_000, units in any_units()) {
        let shown = pressure(pa, units);
        let Gauge(read) = gauge("p", &shown, None).expect("what is printed can be read");
        // Half a hundredth of a psi is 34.5 Pa, half a millibar 50 Pa.
        prop_assert!((read - pa).abs() <= 50);
        prop_assert_eq!(pressure(read, units), shown);
    }

    #[test]
    fn temperatures_read_back(mc in -89_000_i32..99_000, units in any_units()) {
        let shown = temperature(mc, units);
        let read = read_temperature("t", &shown, None).expect("what is printed can be read");
        prop_assert!((read - mc).abs() <= 50);
        prop_assert_eq!(temperature(read, units), shown);
    }

    #[test]
    fn masses_read_back(g in 0_i64..90_000_000, units in any_units()) {
        let shown = mass(g, units);
        let read = read_mass("m", &shown, None).expect("what is printed can be read");
        let read = i64::try_from(read).expect("small");
        prop_assert!((read - g).abs() <= 500);
        prop_assert_eq!(mass(read, units), shown);
    }

    #[test]
    fn lengths_read_back(mm in 0_u32..99_000, units in any_units()) {
        let shown = length(mm, units);
        let read = read_length("l", &shown).expect("what is printed can be read");
        prop_assert!(read.abs_diff(mm) <= 13);
        prop_assert_eq!(length(read, units), shown);
    }

    #[test]
    fn elevations_read_back(mm in -499_000_i32..8_999_000, units in any_units()) {
        let shown = elevation(mm, units);
        let read = read_elevation("e", &shown).expect("what is printed can be read");
        prop_assert!(read.abs_diff(mm) <= 501);
        prop_assert_eq!(elevation(read, units), shown);
    }

    #[test]
    fn places_read_back(
        lat_e7 in -900_000_000_i32..=900_000_000,
        lon_e7 in -1_800_000_000_i32..=1_800_000_000,
    ) {
        let printed = position(Position { lat_e7, lon_e7 });
        let read = read_position("place", &printed).expect("what is printed reads");
        // Rounded to four digits.
        prop_assert!(read.lat_e7.abs_diff(lat_e7) <= 500, "{}", printed);
        prop_assert!(read.lon_e7.abs_diff(lon_e7) <= 500, "{}", printed);
    }

    #[test]
    fn spans_read_back(minutes in 1_u32..5_000_000) {
        let shown = span(i64::from(minutes) * MINUTE_MS);
        let read = read_span("s", &shown).expect("what is printed can be read");
        prop_assert!(u64::from(minutes) * 60 - u64::from(read) < 3600);
        prop_assert_eq!(span(i64::from(read) * 1000), shown);
    }

    #[test]
    fn no_text_breaks_the_reader(text in any::<String>()) {
        let _ = gauge("p", &text, Some(PressureUnit::Psi));
        let _ = read_length("l", &text);
        let _ = read_span("s", &text);
    }
}

#[test]
fn a_number_of_things() {
    let cases = [
        (1, "day", "1 day"),
        (2, "day", "2 days"),
        (0, "trip", "0 trips"),
        (1, "entry", "1 entry"),
        (10, "entry", "10 entries"),
    ];
    for (number, noun, wanted) in cases {
        assert_eq!(count(number, noun), wanted);
    }
}
