use std::path::PathBuf;

use clap::Parser as _;
use serde_json::Value;
use sponson_show::reckoned::Reckoned;

use super::LeakArgs;
use crate::error::CommandError;

#[derive(clap::Parser)]
struct Typed {
    #[command(flatten)]
    args: LeakArgs,
}

fn reckon(words: &[&str]) -> Result<Reckoned, CommandError> {
    let file =
        PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../tests/reference/leak-readings.csv");
    let file = file.display().to_string();
    let words = ["leak", "--readings", &file]
        .into_iter()
        .chain(words.iter().copied());
    Typed::parse_from(words).args.reckon()
}

fn json(words: &[&str]) -> Value {
    let reckoned = reckon(words).expect("a leak");
    serde_json::from_str(&reckoned.to_json()).expect("JSON")
}

fn near(json: &Value, field: &str, wanted: f64) {
    let found = json[field]
        .as_f64()
        .unwrap_or_else(|| panic!("{field}: {}", json[field]));
    assert!(
        (found - wanted).abs() <= 1e-6 * wanted.abs(),
        "{field}: {found}, not {wanted}"
    );
}

/// Values of leak-rate.json, cases D and F.
#[test]
fn the_reference_cases_come_out_of_the_command() {
    let clear = json(&["--only", "D", "--minimum", "1.5psi"]);
    near(&clear, "slope_per_day", -0.031_175_734_542_8);
    near(&clear, "slope_low", -0.033_227_803_629_1);
    near(&clear, "slope_high", -0.029_123_665_456_5);
    near(&clear, "slope_se", 0.000_867_820_367_197);
    near(&clear, "p", 3.363_240_766_09e-9);
    near(&clear, "crossing_days", 22.215_966_797_3);
    near(&clear, "crossing_low_days", 21.160_260_997);
    near(&clear, "crossing_high_days", 23.414_733_266_9);
    near(&clear, "reading_may_reach_days", 20.845_935_033_9);
    assert_eq!(clear["crossing_interval"], "bounded");
    assert_eq!(clear["readings_fitted"], 9);

    let unclear = json(&["--only", "F", "--minimum", "2psi"]);
    near(&unclear, "p", 0.501_660_959_687);
    near(&unclear, "crossing_days", 136.353_201_134);
    near(&unclear, "crossing_low_days", -45.411_712_025_7);
    near(&unclear, "crossing_high_days", 30.797_550_069_5);
    assert_eq!(unclear["crossing_interval"], "outside");
    assert_eq!(unclear["assumed"].as_array().map(Vec::len), Some(2));
}

#[test]
fn words_for_a_crew() {
    let told = reckon(&[
        "--only",
        "D",
        "--minimum",
        "140mbar",
        "--at",
        "4C",
        "--ambient-at",
        "1013.25hPa",
    ]);
    insta::assert_snapshot!(told.expect("a leak").to_text());
}

#[test]
fn what_cannot_be_asked_is_refused() {
    for (words, said) in [
        (&["--only", "D", "--minimum", "0psi"][..], "above 0"),
        (&["--only", "X"][..], "column 'part'"),
        (
            &["--only", "D", "--minimum", "20mbar", "--at", "90C"][..],
            "slack",
        ),
        (&["--only", "D", "--relief", "1psi"][..], "no two readings"),
        (
            &["--only", "D", "--relief", "5psi", "--swing", "-1C"][..],
            "--swing",
        ),
    ] {
        let error = reckon(words).expect_err("refused").to_string();
        assert!(error.contains(said), "{words:?}: {error}");
    }
}
