use clap::Parser as _;
use serde_json::Value;

use super::PressureArgs;

#[derive(Debug, clap::Parser)]
struct Typed {
    #[command(flatten)]
    args: PressureArgs,
}

fn reckon(words: &str) -> Result<Value, String> {
    let words = ["pressure"].into_iter().chain(words.split_whitespace());
    let typed = Typed::try_parse_from(words).map_err(|error| error.to_string())?;
    let reckoned = typed.args.reckon().map_err(|error| error.to_string())?;
    Ok(serde_json::from_str(&reckoned.to_json()).expect("JSON"))
}

#[track_caller]
fn near(json: &Value, field: &str, wanted: f64, off: f64) {
    let found = json[field]
        .as_f64()
        .unwrap_or_else(|| panic!("{field}: {}", json[field]));
    assert!(
        (found - wanted).abs() <= off,
        "{field}: {found}, not {wanted}"
    );
}

fn columns<'a>(text: &'a str, names: &[&str]) -> Vec<Vec<&'a str>> {
    let mut lines = text.lines().filter(|line| !line.starts_with('#'));
    let heading: Vec<&str> = lines.next().expect("a heading").split(',').collect();
    let at: Vec<usize> = names
        .iter()
        .map(|name| heading.iter().position(|it| it == name).expect("a column"))
        .collect();
    lines
        .map(|line| {
            let fields: Vec<&str> = line.split(',').collect();
            at.iter().map(|at| fields[*at]).collect()
        })
        .collect()
}

/// Every row of tube-pressure-temperature.csv (`CoolProp` 8.0.0 and the gas law): 0.5 Pa, and half a
/// pascal for each of the two whole pascals that the command reads and says; slack below zero.
#[test]
fn temperatures_of_the_reference_come_out_of_the_command() {
    let text = include_str!("../../../../../tests/reference/tube-pressure-temperature.csv");
    let names = [
        "ambient_pa",
        "gauge_unit",
        "gauge_in",
        "t_in_c",
        "t_out_c",
        "ideal_gauge_out_pa",
    ];
    let rows = columns(text, &names);
    for row in &rows {
        let words = format!(
            "--gauge {}{} --from {}C --to {}C --ambient-from {}Pa --ambient-to {}Pa",
            row[2], row[1], row[3], row[4], row[0], row[0]
        );
        let json = reckon(&words).expect("a figure");
        let ideal_pa: f64 = row[5].parse().expect("a number");
        near(&json, "gauge_pa", ideal_pa.max(0.0), 1.5);
        assert_eq!(json["slack"], ideal_pa < 0.5, "{words}");
    }
    assert!(rows.len() > 250);
}

/// Every row of tube-pressure-altitude.csv, in the same way.
#[test]
fn altitudes_of_the_reference_come_out_of_the_command() {
    let text = include_str!("../../../../../tests/reference/tube-pressure-altitude.csv");
    let names = [
        "gauge_unit",
        "gauge_in",
        "t_in_c",
        "t_out_c",
        "ambient_to_pa",
        "ideal_gauge_out_pa",
        "ideal_gauge_out_psi",
    ];
    let rows = columns(text, &names);
    for row in &rows {
        let words = format!(
            "--gauge {}{} --from {}C --to {}C --ambient-from 101.325kPa --ambient-to {}Pa",
            row[1], row[0], row[2], row[3], row[4]
        );
        let json = reckon(&words).expect("a figure");
        near(&json, "gauge_pa", row[5].parse().expect("a number"), 1.5);
        near(
            &json,
            "gauge_psi",
            row[6].parse().expect("a number"),
            0.000_3,
        );
    }
    assert!(rows.len() > 50);
}

/// A commando boat manual p. 8 and an owner's manual p. 15: 4 mbar a degree within 0.5; 240 mbar at
/// 50 °C is 120 mbar at 20 °C within 10.
#[test]
fn published_rules_come_out_of_the_command() {
    let json = reckon("--gauge 240mbar --from 20C --to 21C").expect("a figure");
    near(&json, "change_mbar", 4.0, 0.5);
    let json = reckon("--gauge 240mbar --from 50C --to 20C").expect("a figure");
    near(&json, "gauge_mbar", 120.0, 10.0);
    let json = reckon("--gauge 240mbar --from 80F --to 60F").expect("a figure");
    near(&json, "change_mbar", -44.0, 5.0);
}

#[test]
fn elevations_and_altimeter_settings_stand_for_the_air_outside() {
    let json =
        reckon("--gauge 240mbar --from 20C --to 20C --elevation-from 0m --elevation-to 1500m");
    let json = json.expect("a figure");
    // ISO 2533: 845.597 hPa at 1500 m.
    assert_eq!(json["given"]["ambient_to_pa"], 84_560);
    assert_eq!(json["gauge_pa"], 24_000 + 101_325 - 84_560);
    let json = reckon(
        "--gauge 240mbar --from 20C --to 20C --altimeter-from 29.8inHg --elevation-from 500m",
    );
    let json = json.expect("a figure");
    // MetPy's test value of the same reduction: 950.965 hPa.
    near(&json["given"], "ambient_from_pa", 95_096.5, 3.0);
    assert_eq!(json["given"]["altimeter_from_pa"], 100_914);
    assert_eq!(json["change_mbar"], 0.0);
}

/// 250 mbar at 45 °C is all that the valve holds: at 4 °C
/// (1013.25 + 250) x 277.15 / 318.15 - 1013.25 = 87.21 mbar.
#[test]
fn what_the_valve_lets_out_in_the_warm_is_not_there_in_the_cold() {
    let json = reckon("--gauge 240mbar --from 20C --to 4C --relief 250mbar --hottest 45C");
    let json = json.expect("a figure");
    near(&json, "gauge_mbar", 87.21, 0.02);
    near(&json, "vented_pa", 17_160.0 - 8_721.0, 3.0);
    let json = reckon("--gauge 240mbar --from 20C --to 4C --relief 250mbar").expect("a figure");
    assert_eq!(json["vented_pa"], 0);
}

/// What it says to bring it to here gives what was wanted there, as far as the valve holds it.
#[test]
fn what_to_bring_it_to_comes_back_as_what_was_wanted() {
    let json = reckon("--gauge 240mbar --from 20C --to 4C --wanted 240mbar").expect("a figure");
    let here = json["bring_to_mbar"].as_f64().expect("a gauge");
    assert_eq!(json["bring_to_reaches"], true);
    let back = reckon(&format!("--gauge {here}mbar --from 20C --to 4C")).expect("a figure");
    near(&back, "gauge_mbar", 240.0, 0.02);
    let json = reckon("--gauge 240mbar --from 20C --to 4C --wanted 240mbar --relief 280mbar");
    let json = json.expect("a figure");
    assert_eq!(json["bring_to_mbar"], 280.0);
    assert_eq!(json["bring_to_reaches"], false);
}

#[test]
fn what_cannot_be_is_refused_by_its_name() {
    for (words, name) in [
        ("--gauge -1mbar --from 20C --to 4C", "--gauge"),
        ("--gauge 240 --from 20C --to 4C", "--gauge"),
        ("--gauge 240mbar --from 20 --to 4C", "--from"),
        ("--gauge 240mbar --from 20C --to 400C", "--to"),
        (
            "--gauge 240mbar --from 20C --to 4C --ambient-to 3kPa",
            "--ambient-to",
        ),
        (
            "--gauge 240mbar --from 20C --to 4C --elevation-to 90000m",
            "--elevation-to",
        ),
        (
            "--gauge 240mbar --from 20C --to 4C --altimeter-to 29.92inHg",
            "--elevation-to",
        ),
        (
            "--gauge 240mbar --from 20C --to 4C --hottest 45C",
            "--relief",
        ),
        (
            "--gauge 240mbar --from 20C --to 4C --wanted 300mbar --relief 280mbar",
            "--wanted",
        ),
    ] {
        let refusal = reckon(words).expect_err(words);
        assert!(refusal.contains(name), "{words}: {refusal}");
    }
}
