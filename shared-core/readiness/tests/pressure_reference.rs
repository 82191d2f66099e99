//! The gas law and the standard atmosphere against values made outside the project.
//!
//! Sources and tolerances stand at the head of each file: `CoolProp` 8.0.0 and the gas law, 0.5 Pa
//! ideal and 150 Pa real; US Standard Atmosphere 1976 and ISO 2533, 0.1 Pa between closed forms.

use sponson_readiness::pressure::{
    Air, altimeter_setting_pa, condensed_pa, gauge_elsewhere, gauge_elsewhere_pa, geopotential_pa,
    standard_pressure_pa, station_pressure_pa,
};

const IDEAL_PA: f64 = 0.5;
const REAL_PA: f64 = 150.0;

/// Rows of a reference file as fields by the names in its heading.
struct Table<'a> {
    names: Vec<&'a str>,
    rows: Vec<Vec<&'a str>>,
}

impl<'a> Table<'a> {
    /// Reads a file without quoted commas in the columns that are used.
    fn read(text: &'a str) -> Self {
        let mut lines = text.lines().filter(|line| !line.starts_with('#'));
        let names = lines.next().expect("a heading").split(',').collect();
        let rows = lines.map(|line| line.split(',').collect()).collect();
        Self { names, rows }
    }

    fn field(&self, row: &[&'a str], name: &str) -> &'a str {
        let at = self.names.iter().position(|known| *known == name);
        row[at.unwrap_or_else(|| panic!("no column {name}"))]
    }

    fn number(&self, row: &[&'a str], name: &str) -> f64 {
        let field = self.field(row, name);
        field
            .parse()
            .unwrap_or_else(|_| panic!("{name} is {field}"))
    }
}

fn air(celsius: f64, ambient_pa: f64) -> Air {
    let milli = (celsius * 1_000.0).round();
    let temperature_mc = format!("{milli}").parse().expect("milli-degrees");
    Air {
        temperature_mc,
        ambient_pa,
    }
}

#[test]
fn temperature_as_in_the_reference() {
    let text = include_str!("../../../tests/reference/tube-pressure-temperature.csv");
    let table = Table::read(text);
    for row in &table.rows {
        let ambient_pa = table.number(row, "ambient_pa");
        let from = air(table.number(row, "t_in_c"), ambient_pa);
        let to = air(table.number(row, "t_out_c"), ambient_pa);
        let read_pa = table.number(row, "gauge_in_pa");
        let gauge_pa = gauge_elsewhere(read_pa, from, to);
        let ideal_pa = table.number(row, "ideal_gauge_out_pa");
        assert!(
            (gauge_pa - ideal_pa).abs() <= IDEAL_PA,
            "{row:?}: {gauge_pa}"
        );
        let real_pa = table.number(row, "real_gauge_out_pa");
        assert!((gauge_pa - real_pa).abs() <= REAL_PA, "{row:?}: {gauge_pa}");
    }
    assert_eq!(
        table.rows.len(),
        text.lines()
            .filter(|line| line.starts_with(['1', '8']))
            .count()
    );
}

#[test]
fn altitude_as_in_the_reference() {
    let text = include_str!("../../../tests/reference/tube-pressure-altitude.csv");
    let table = Table::read(text);
    for row in &table.rows {
        let from = air(
            table.number(row, "t_in_c"),
            table.number(row, "ambient_from_pa"),
        );
        let to = air(
            table.number(row, "t_out_c"),
            table.number(row, "ambient_to_pa"),
        );
        let unit_pa = match table.field(row, "gauge_unit") {
            "psi" => 6_894.757_293_168_361,
            "mbar" => 100.0,
            unit => panic!("no scale for {unit}"),
        };
        let read_pa = table.number(row, "gauge_in") * unit_pa;
        let gauge_pa = gauge_elsewhere(read_pa, from, to);
        let ideal_pa = table.number(row, "ideal_gauge_out_pa");
        assert!(
            (gauge_pa - ideal_pa).abs() <= IDEAL_PA,
            "{row:?}: {gauge_pa}"
        );
        let real_pa = table.number(row, "real_gauge_out_pa");
        assert!((gauge_pa - real_pa).abs() <= REAL_PA, "{row:?}: {gauge_pa}");
    }
    assert!(table.rows.len() > 50);
}

#[test]
fn standard_atmosphere_as_in_the_reference() {
    let text = include_str!("../../../tests/reference/standard-atmosphere.csv");
    let table = Table::read(text);
    for row in &table.rows {
        let height_m = table.number(row, "alt_m");
        let elevation_mm = format!("{}", height_m * 1_000.0).parse().expect("mm");
        let geometric_pa = standard_pressure_pa(elevation_mm);
        for name in ["closedform_us76_geometric_pa", "fluids_geometric_pa"] {
            let wanted_pa = table.number(row, name);
            assert!(
                (geometric_pa - wanted_pa).abs() <= 0.1,
                "{row:?}: {geometric_pa}"
            );
        }
        let wanted_pa = table.number(row, "closedform_us76_geopotential_pa");
        let geopotential = geopotential_pa(height_m);
        assert!(
            (geopotential - wanted_pa).abs() <= 0.1,
            "{row:?}: {geopotential}"
        );
        let iso_pa = table.number(row, "iso2533_geometric_hpa") * 100.0;
        assert!(
            (geometric_pa - iso_pa).abs() <= 0.1,
            "{row:?}: {geometric_pa}"
        );
    }
    assert_eq!(table.rows.len(), 10);
}

/// Statements of printed manuals; rows marked DISAGREES are not asserted.
#[test]
fn published_rules_as_far_as_they_agree() {
    let text = include_str!("../../../tests/reference/tube-pressure-published-rules.csv");
    let table = Table::read(text);
    let mut held = 0;
    for (row, line) in table
        .rows
        .iter()
        .zip(text.lines().filter(|line| !line.starts_with('#')).skip(1))
    {
        if line.contains("DISAGREES") {
            continue;
        }
        let at = |celsius| air(celsius, 101_325.0);
        let read_pa = table.number(row, "gauge_in_mbar") * 100.0;
        let from = at(table.number(row, "t_in_c"));
        let gauge_pa = gauge_elsewhere(read_pa, from, at(table.number(row, "t_out_c")));
        let ideal_pa = table.number(row, "ideal_gauge_out_mbar") * 100.0;
        assert!((gauge_pa - ideal_pa).abs() <= 5.0, "{line}: {gauge_pa}");
        held += 1;
    }
    assert_eq!(held, 5);
}

/// Trade rules 24 to 26: 4 mbar a degree near 240 mbar, within 0.5; 80 °F to 60 °F loses 44 mbar,
/// within 5; 240 mbar at 50 °C is 120 mbar at 20 °C, within 10.
#[test]
fn rules_of_thumb_hold_near_working_pressure() {
    let at = |temperature_mc| Air {
        temperature_mc,
        ambient_pa: 101_325.0,
    };
    let change = |from, to| gauge_elsewhere_pa(24_000, at(from), at(to)) - 24_000;
    assert!((change(20_000, 21_000) - 400).abs() <= 50);
    assert!((change(26_667, 15_556) + 4_400).abs() <= 500);
    assert!((change(50_000, 20_000) + 12_000).abs() <= 1_000);
}

#[test]
fn a_part_that_has_gone_slack_shows_nothing() {
    let at = |temperature_mc| Air {
        temperature_mc,
        ambient_pa: 101_325.0,
    };
    assert!(gauge_elsewhere(10_342.14, at(30_000), at(0)) < 0.0);
    assert_eq!(gauge_elsewhere_pa(10_342, at(30_000), at(0)), 0);
}

/// Test values of `MetPy` 1.x (`tests/calc/test_basic.py`, `test_altimeter_to_station_pressure_*`),
/// which reckons by Smithsonian Meteorological Tables (1951) p. 269 with its own gas constant:
/// within 3 Pa.
#[test]
fn altimeter_settings_reduced_to_the_station() {
    for (altimeter_pa, height_m, station_pa) in [
        (100_914, 500, 95_096.498),
        (100_000, 2_000, 78_426.299_6),
        (100_500, 1_500, 83_865.165_7),
        (101_000, 1_000, 89_603.782_1),
        (101_300, 500, 95_463.926_5),
    ] {
        let reduced_pa = station_pressure_pa(altimeter_pa, height_m * 1_000);
        assert!((reduced_pa - station_pa).abs() <= 3.0, "{reduced_pa}");
        let back_pa = altimeter_setting_pa(reduced_pa, height_m * 1_000);
        assert!(
            (back_pa - f64::from(altimeter_pa)).abs() <= 0.01,
            "{back_pa}"
        );
    }
}

/// At the standard setting the reduction is the standard atmosphere, within the 30 Pa of the 3 m
/// that the definition takes off.
#[test]
fn the_standard_setting_gives_the_standard_atmosphere() {
    for height_m in [-400, 0, 300, 1_500, 3_000] {
        let reduced_pa = station_pressure_pa(101_325, height_m * 1_000);
        let standard_pa = standard_pressure_pa(height_m * 1_000);
        assert!((reduced_pa - standard_pa).abs() <= 45.0, "{height_m}");
    }
}

/// `CoolProp` (IAPWS-95) saturation and Dalton's law: the bound does not depend on the gauge.
/// Within 20 Pa; `slack` rows too, since what is compared is a difference.
#[test]
fn moisture_as_in_the_reference_bound() {
    let text = include_str!("../../../tests/reference/tube-pressure-moist-air-bound.csv");
    let table = Table::read(text);
    for row in &table.rows {
        let at = |name| air(table.number(row, name), 101_325.0);
        let humidity_percent = match table.field(row, "rh_in_tube_at_fill") {
            "0.5" => 50,
            "1.0" => 100,
            other => panic!("humidity {other}"),
        };
        let (from, to) = (at("t_in_c"), at("t_out_c"));
        let lost_pa = condensed_pa(humidity_percent, from, to);
        let wanted_pa = -table.number(row, "humid_minus_dry_pa");
        assert!((lost_pa - wanted_pa).abs() <= 20.0, "{row:?}: {lost_pa}");
        let condenses = table.field(row, "condenses") == "True";
        assert_eq!(lost_pa > 0.0, condenses, "{row:?}");
    }
    assert_eq!(table.rows.len(), 154);
}

/// The published formula for the setting (Smithsonian Meteorological Tables), solved by scipy 1.17.1.
#[test]
fn station_pressure_as_in_the_reference() {
    let text = include_str!("../../../tests/reference/altimeter-station.csv");
    let table = Table::read(text);
    assert_eq!(table.rows.len(), 11);
    for row in &table.rows {
        let whole = |name: &str, scale: f64| {
            let value = (table.number(row, name) * scale).round();
            format!("{value}")
        };
        let altimeter_pa = whole("altimeter_hpa", 100.0).parse().expect("pascal");
        let elevation_mm = whole("elevation_m", 1_000.0).parse().expect("millimetres");
        let station_hpa = station_pressure_pa(altimeter_pa, elevation_mm) / 100.0;
        let off_hpa = (station_hpa - table.number(row, "station_hpa")).abs();
        assert!(off_hpa <= 0.02, "{row:?}: {station_hpa}");
    }
}
