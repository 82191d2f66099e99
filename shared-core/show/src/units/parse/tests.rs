//! What people write against published factors, and the messages of what they should not.

use super::*;

/// Figures of NIST SP 811 (2008), appendix B.8, or exact products of them.
#[test]
fn pressures_agree_with_the_published_factors() {
    for (text, pa) in [
        ("1psi", 6895),
        ("1000 psi", 6_894_757),
        ("3.0psi", 20_684),
        ("3.0 psi", 20_684),
        ("3,0 psi", 20_684),
        ("3.5 PSIG", 24_132),
        ("207 mbar", 20_700),
        ("207mbar", 20_700),
        ("0.207bar", 20_700),
        ("0,207 bar", 20_700),
        ("20.7 kPa", 20_700),
        ("-0.1 bar", -10_000),
        ("20700 Pa", 20_700),
    ] {
        assert_eq!(gauge("reading", text, None), Ok(Gauge(pa)), "{text}");
    }
}

#[test]
fn absolute_pressures_are_their_own() {
    for (text, pa) in [
        ("1013.25 hPa", 101_325),
        ("29.92 inHg", 101_321),
        ("14.7 psia", 101_353),
        ("1013 mbar", 101_300),
    ] {
        assert_eq!(absolute("ambient", text, None), Ok(Absolute(pa)), "{text}");
    }
    let chamber = Gauge(20_684).in_air_of(Absolute(101_325));
    assert_eq!(chamber, Absolute(122_009));
    assert_eq!(chamber.on_a_gauge_in(Absolute(101_325)), Gauge(20_684));
}

#[test]
fn temperatures() {
    for (text, mc) in [
        ("72F", 22_222),
        ("72 °F", 22_222),
        ("32 F", 0),
        ("-40 F", -40_000),
        ("212 deg F", 100_000),
        ("22 °C", 22_000),
        ("22C", 22_000),
        ("-5 c", -5000),
        ("\u{2212}5 °C", -5000),
        ("21,5 C", 21_500),
    ] {
        assert_eq!(temperature("air", text, None), Ok(mc), "{text}");
    }
}

/// Factors as above; the gallon is 231 cubic inches.
#[test]
fn masses_volumes_lengths_and_times() {
    for (text, g) in [
        ("1 lb", 454),
        ("1000 lb", 453_592),
        ("95lb", 43_091),
        ("43 kg", 43_000),
    ] {
        assert_eq!(mass("mass", text, None), Ok(g), "{text}");
    }
    assert_eq!(mass("mass", "5 lb 8 oz", None), Ok(2495));
    for (text, ml) in [
        ("1 gal", 3785),
        ("500 gal", 1_892_706),
        ("12gal", 45_425),
        ("1 gal (US)", 3785),
        ("45 L", 45_000),
    ] {
        assert_eq!(volume("fuel", text), Ok(ml), "{text}");
    }
    for (text, mm) in [
        ("14ft", 4267),
        ("14 ft 6 in", 4420),
        ("14'6\"", 4420),
        ("4.3m", 4300),
        ("170in", 4318),
        ("120 cm", 1200),
    ] {
        assert_eq!(length("length", text), Ok(mm), "{text}");
    }
    assert_eq!(elevation("elevation", "820 ft"), Ok(249_936));
    assert_eq!(elevation("elevation", "-3 m"), Ok(-3000));
    for (text, s) in [
        ("2h", 7200),
        ("90 min", 5400),
        ("1 h 30 min", 5400),
        ("1h30min", 5400),
        ("3 days", 259_200),
        ("45 s", 45),
        ("1,5 h", 5400),
    ] {
        assert_eq!(span("stood", text), Ok(s), "{text}");
    }
}

#[test]
fn a_bare_number_takes_only_the_callers_unit() {
    assert_eq!(
        gauge("r", "3.0", Some(PressureUnit::Psi)),
        Ok(Gauge(20_684))
    );
    assert_eq!(
        gauge("r", "207", Some(PressureUnit::Mbar)),
        Ok(Gauge(20_700))
    );
    assert_eq!(temperature("t", "22", Some(TemperatureUnit::C)), Ok(22_000));
    assert_eq!(mass("m", "10", Some(MassUnit::Kg)), Ok(10_000));
}

#[test]
fn refusals_name_field_value_and_remedy() {
    let shown = |error: Result<Gauge, UnitError>| error.expect_err("refused").to_string();
    insta::assert_snapshot!(shown(gauge("tube-1", "3.0", None)), @"tube-1: '3.0' has no unit; write the unit behind the number, for example 3.0 psi (accepted: psi, mbar, bar, kPa, hPa, Pa)");
    insta::assert_snapshot!(shown(gauge("tube-1", "1,013 mbar", None)), @"tube-1: the comma in '1,013 mbar' can be read in two ways; write a decimal point, or no comma between thousands");
    insta::assert_snapshot!(shown(gauge("tube-1", "14.7 psia", None)), @"tube-1: '14.7 psia' is an absolute pressure; this field takes what the gauge shows, for example 3.0 psi");
    insta::assert_snapshot!(shown(gauge("tube-1", "3 apples", None)), @"tube-1: 'apples' in '3 apples' is not a unit for this; accepted: psi, mbar, bar, kPa, hPa, Pa");
    insta::assert_snapshot!(shown(gauge("tube-1", "hard", None)), @"tube-1: 'hard' is not a number with a unit; write for example 3.0 psi");
    insta::assert_snapshot!(shown(gauge("tube-1", "9000 psi", None)), @"tube-1: '9000 psi' is out of range (from -1 bar to 400 bar on the gauge); check the number and the unit");
    insta::assert_snapshot!(shown(gauge("tube-1", "3 psi 2 psi", None)), @"tube-1: '3 psi 2 psi' is more than one quantity; write for example 3.0 psi");
    insta::assert_snapshot!(
        absolute("ambient", "3 psig", None).expect_err("refused").to_string(), @"ambient: '3 psig' is a gauge pressure; this field takes the pressure of the air outside, for example 1013 hPa");
    insta::assert_snapshot!(length("length", "6 in 14 ft").expect_err("refused").to_string(), @"length: '6 in 14 ft' is more than one quantity; write for example 14 ft 6 in");
    insta::assert_snapshot!(span("stood", "5 m").expect_err("refused").to_string(), @"stood: 'm' in '5 m' is not a unit for this; accepted: s, min, h, days, weeks");
}

/// Every quantity's range fits the type that its function hands out.
#[test]
fn ranges_fit_their_types() {
    for (quantity, low, high) in [
        (&TEMPERATURE, i64::from(i32::MIN), i64::from(i32::MAX)),
        (&ELEVATION, i64::from(i32::MIN), i64::from(i32::MAX)),
        (&MASS, 0, i64::MAX),
        (&VOLUME, 0, i64::from(u32::MAX)),
        (&LENGTH, 0, i64::from(u32::MAX)),
        (&SPAN, 0, i64::from(u32::MAX)),
    ] {
        assert!(
            quantity.range.0 >= low && quantity.range.1 <= high,
            "{quantity:?}"
        );
    }
}
