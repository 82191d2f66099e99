//! Single values as people write them.

use sponson_client::under_way::fields::FieldName;
use sponson_show::{dates, units};

use super::long;

/// Reads a text as a quantity; what it is worth does not matter here.
type Read = fn(&str) -> Result<(), String>;

/// Forgets what was read.
fn only<T>(read: Result<T, impl std::fmt::Display>) -> Result<(), String> {
    read.map(|_| ()).map_err(|error| error.to_string())
}

#[test]
fn quantities_as_people_write_them() {
    let gauge: Read = |text| only(units::gauge("value", text, None));
    let fine: Read = |text| only(units::gauge_unrounded("value", text));
    let outside: Read = |text| only(units::absolute("value", text, None));
    let warm: Read = |text| only(units::temperature("value", text, None));
    let mass: Read = |text| only(units::mass("value", text, None));
    let volume: Read = |text| only(units::volume("value", text));
    let length: Read = |text| only(units::length("value", text));
    let thin: Read = |text| only(units::fine_length("value", text));
    let power: Read = |text| only(units::power("value", text));
    let height: Read = |text| only(units::elevation("value", text));
    let far: Read = |text| only(units::distance("value", text));
    let fast: Read = |text| only(units::speed("value", text));
    let lasts: Read = |text| only(units::span("value", text));
    let place: Read = |text| only(units::position("value", text));
    let every: Read = |text| only(dates::every("value", text));
    let date: Read = |text| only(dates::date_mark("value", text));
    let padded = |text: &str, length: usize| format!("{text}{}", " ".repeat(length - text.len()));
    let (sixty_four, sixty_five) = (padded("3 psi", 64), padded("3 psi", 65));
    let (date_64, date_65) = (padded("2026", 64), padded("2026", 65));
    let (place_48, place_49) = (padded("44.9,-103.2", 48), padded("44.9,-103.2", 49));
    let rows: &[(Read, &str, &str, &str)] = &[
        (gauge, "-101325 Pa", "-101326 Pa", "from -1 bar to 400 bar"),
        (gauge, "400 bar", "40000001 Pa", "from -1 bar to 400 bar"),
        (fine, "400 bar", "40000001 Pa", "from -1 bar to 400 bar"),
        (outside, "300 hPa", "299.9 hPa", "from 300 hPa to 1100 hPa"),
        (
            outside,
            "1100 hPa",
            "1100.1 hPa",
            "from 300 hPa to 1100 hPa",
        ),
        (warm, "-90 C", "-90.1 C", "from -90 \u{b0}C to 100 \u{b0}C"),
        (warm, "100 C", "100.1 C", "from -90 \u{b0}C to 100 \u{b0}C"),
        (mass, "100000 kg", "100000001 g", "from 0 to 100,000 kg"),
        (volume, "2000 L", "2000001 mL", "from 0 to 2000 L"),
        (length, "100 m", "100001 mm", "from 0 to 100 m"),
        (thin, "0.001 mm", "0 mm", "more than 0, up to 100 m"),
        (thin, "100 m", "100.001 m", "more than 0, up to 100 m"),
        (power, "1 W", "0 W", "more than 0, up to 450 kW"),
        (power, "450 kW", "450001 W", "more than 0, up to 450 kW"),
        (height, "-500 m", "-501 m", "from -500 m to 9000 m"),
        (height, "9000 m", "9001 m", "from -500 m to 9000 m"),
        (far, "100 km", "100001 m", "from 0 to 100 km"),
        (fast, "120 m/s", "120.1 m/s", "from 0 to 120 m/s"),
        (lasts, "36525 days", "36526 days", "from 0 to 100 years"),
        (
            gauge,
            "0.00000000001 psi",
            "0.000000000001 psi",
            "out of range",
        ),
        (gauge, &sixty_four, &sixty_five, "3 psi"),
        (place, "90,180", "90.0000001,0", "value"),
        (place, "-90,-180", "-90.0000001,0", "value"),
        (place, "0,360", "0,360.0000001", "value"),
        (place, &place_48, &place_49, "44.9"),
        (every, "3660 days", "3661 days", "value"),
        (every, "240 months", "241 months", "value"),
        (every, "1 day", "0 days", "value"),
        (date, "1900", "1899", "value"),
        (date, "2199", "2200", "value"),
        (date, "2026-12", "2026-13", "value"),
        (date, &date_64, &date_65, "value"),
    ];
    for (read, under, over, said) in rows {
        assert_eq!(read(under), Ok(()), "{under}");
        let refused = read(over).expect_err(over);
        assert!(refused.starts_with("value: "), "{over}: {refused}");
        assert!(
            refused.contains(said),
            "{over} does not say '{said}': {refused}"
        );
    }
}

#[test]
fn names_on_a_map() {
    let named = |length: usize| {
        let name = long(length);
        let feature = format!(
            r#"{{"type":"Feature","properties":{{"kind":"road","name":"{name}"}},"geometry":
            {{"type":"LineString","coordinates":[[-93.1,44.2],[-93.0,44.3]]}}}}"#
        );
        let text = format!(r#"{{"type":"FeatureCollection","features":[{feature}]}}"#);
        sponson_server::ground::parse(text.as_bytes())
    };
    assert!(named(80).is_ok());
    let refused = named(81).expect_err("one more").to_string();
    for said in ["features[0].properties.name", "81 characters", "at most 80"] {
        assert!(refused.contains(said), "{refused}");
    }
}

#[test]
fn fields_of_a_round_have_numbers_to_99() {
    let read = |name: &str| name.parse::<FieldName>();
    assert!(read("fault.99.part").is_ok() && read("fault.1.picture.99").is_ok());
    assert!(read("fault.100.part").is_err() && read("fault.1.picture.100").is_err());
}
