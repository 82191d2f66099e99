//! What the command makes of files: the reference histories, and files that are wrong.

use std::fmt::Write as _;
use std::fs;

use clap::Parser as _;
use serde_json::Value;

use super::TrendArgs;

#[derive(clap::Parser)]
struct Typed {
    #[command(flatten)]
    args: TrendArgs,
}

/// The JSON of a file and further words, or what is said against it.
fn reckon(file: &str, words: &[&str]) -> Result<Value, String> {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("events.csv");
    fs::write(&path, file).expect("written");
    let path = path.display().to_string();
    let words = ["trend", "--events", &path]
        .into_iter()
        .chain(words.iter().copied());
    let reckoned = Typed::parse_from(words).args.reckon();
    let reckoned = reckoned.map_err(|error| error.to_string())?;
    serde_json::from_str(&reckoned.to_json()).map_err(|error| error.to_string())
}

/// The history of a case of recurrent-events.json, as a file.
fn case(id: &str) -> (Value, String) {
    let text = include_str!("../../../../../tests/reference/recurrent-events.json");
    let all: Value = serde_json::from_str(text).expect("JSON");
    let cases = all["cases"].as_array().expect("cases");
    let case = cases.iter().find(|case| case["id"] == id).expect("a case");
    let mut file = "unit,time,kind\n".to_owned();
    let inputs = &case["inputs"];
    for time in inputs["times"].as_array().into_iter().flatten() {
        writeln!(file, "A,{time},event").expect("text");
    }
    for (unit, times) in inputs["repairs"].as_object().into_iter().flatten() {
        for time in times.as_array().expect("times") {
            writeln!(file, "{unit},{time},event").expect("text");
        }
        writeln!(file, "{unit},{},end", inputs["end_ages"][unit]).expect("text");
    }
    (case.clone(), file)
}

#[track_caller]
fn check(found: &Value, wanted: &Value, pairs: &[(&str, &str)]) {
    for (field, name) in pairs {
        let (is, should) = (found[field].as_f64(), wanted[name].as_f64());
        let (is, should) = (is.expect(field), should.expect(name));
        let off = (is - should).abs();
        assert!(off <= 1e-9 * should.abs(), "{field}: {is}, not {should}");
    }
}

/// Fields of the result beside the words of the file.
const TRENDS: [(&str, &str); 10] = [
    ("laplace_u", "laplace_U"),
    ("laplace_p", "laplace_p_two_sided"),
    ("mil_hdbk_chi2", "mil_chi2"),
    ("mil_hdbk_df", "mil_df"),
    ("mil_hdbk_p_improving", "mil_p_upper_improving"),
    ("reversals", "reversals"),
    ("power_law_beta", "power_law_mle_b"),
    ("power_law_lambda", "power_law_mle_a"),
    ("power_law_beta_unbiased", "power_law_mod_b"),
    ("power_law_lambda_unbiased", "power_law_mod_a"),
];

/// NIST/SEMATECH e-Handbook 8.2.3.4, ended at a time; tolerance of the file.
#[test]
fn the_history_of_nist_comes_out_of_the_command() {
    let (case, file) = case("nist_8_2_3_4_trend_tests");
    let by_option = reckon(&file, &["--until", "1500"]).expect("a history");
    check(&by_option, &case["expected"], &TRENDS);
    assert_eq!(by_option["trend"], "not_shown");
    assert_eq!(by_option["events"], 10);
    let by_line = reckon(&format!("{file}A,1500,end\n"), &[]).expect("a history");
    assert_eq!(by_line["laplace_u"], by_option["laplace_u"]);
    assert_eq!(by_line["rate"], 10.0 / 1500.0);
}

/// Crow-AMSAA example 1, ended with its last event.
#[test]
fn a_history_that_ended_with_an_event_comes_out_of_the_command() {
    let (case, file) = case("rga_crow_amsaa_example_1");
    let found = reckon(&file, &["--failure-terminated"]).expect("a history");
    check(&found, &case["computed"], &TRENDS);
    assert_eq!(found["given"]["termination"], "failure");
    assert_eq!(found["trend"], "better");
}

/// ReliaWiki, five machines: mean cumulative function and its robust variance.
#[test]
fn five_machines_come_out_of_the_command() {
    let (case, file) = case("reliawiki_mcf_five_machines");
    let found = reckon(&file, &[]).expect("a history");
    let steps = found["mcf"].as_array().expect("steps");
    let wanted = case["three_variances"].as_array().expect("steps");
    assert_eq!(steps.len(), wanted.len());
    for (step, wanted) in steps.iter().zip(wanted) {
        let fields = ["t", "at_risk", "mcf"].map(|name| (name, name));
        check(step, wanted, &fields);
        check(step, wanted, &[("variance", "var_lawless_nadeau")]);
        let [lower, mcf, upper] =
            ["lower", "mcf", "upper"].map(|name| step[name].as_f64().expect(name));
        assert!(lower < mcf && mcf < upper, "{step}");
    }
}

/// Literals of a public test file: two units, watched for unequal times.
#[test]
fn units_are_taken_together() {
    let (case, file) = case("pooled_power_law_unequal_exposure");
    let found = reckon(&file, &[]).expect("a history");
    check(
        &found,
        &case["expected"],
        &[("power_law_beta", "beta"), ("power_law_lambda", "lam")],
    );
    assert_eq!(found["rate"], 6.0 / 104.0);
}

#[test]
fn one_unit_needs_no_name_and_may_begin_late() {
    let found = reckon("kind,time\nbegin,100\nevent,150\nend,200\n", &[]).expect("a history");
    assert_eq!(found["exposure"], 100.0);
    assert_eq!(found["laplace_u"], 0.0);
    assert_eq!(found["trend"], "too_few");
}

#[track_caller]
fn check_refused(file: &str, words: &[&str], says: &[&str]) {
    let error = reckon(file, words).expect_err("is refused");
    for part in says {
        assert!(error.contains(part), "{error}");
    }
}

#[test]
fn what_is_wrong_is_named_by_its_line_and_column() {
    let with = |line: &str| format!("unit,time,kind\nA,5,event\n{line}\nA,9,end\n");
    check_refused(
        &with("A,soon,event"),
        &[],
        &["line 3, time is 'soon'", "write a number"],
    );
    check_refused(
        &with("A,-1,event"),
        &[],
        &["line 3, time is '-1'", "from 0 to"],
    );
    check_refused(&with("A,nan,event"), &[], &["line 3, time is 'nan'"]);
    check_refused(
        &with("A,7,fault"),
        &[],
        &["line 3, kind is 'fault'", "event, end or begin"],
    );
    check_refused(
        &with(",7,event"),
        &[],
        &["line 3, unit is ''", "leave the column out"],
    );
    check_refused(
        &with("A,12,event"),
        &[],
        &["line 3, time is 12", "no later than 9"],
    );
    check_refused(
        &with("A,0,event"),
        &[],
        &["line 3, time is 0", "later than 0"],
    );
    check_refused(
        &with("A,8,end"),
        &[],
        &["line 4, kind", "line 3", "leave one out"],
    );
    check_refused(
        &with("B,7,event"),
        &[],
        &["unit 'B' is without a line", "--until"],
    );
    check_refused(
        &with("A,6,begin"),
        &[],
        &["line 2, time is 5", "later than 6"],
    );
    check_refused(&with("A,7"), &[], &["line", "same number of values"]);
}

#[test]
fn what_is_missing_is_named() {
    check_refused(
        "unit,kind\nA,event\n",
        &[],
        &["without a column time", "unit,time,kind"],
    );
    check_refused("time\n1\n", &[], &["without a column kind"]);
    check_refused("time,kind\n", &[], &["without a line below"]);
    check_refused(
        "time,kind\n5,event\n",
        &[],
        &["the file is without a line", "1500,end"],
    );
    check_refused(
        "time,kind\n5,end\n",
        &["--failure-terminated"],
        &["without an event"],
    );
    let ended = "time,kind\n5,event\n9,end\n";
    check_refused(
        ended,
        &["--failure-terminated"],
        &["line 3, time is 9", "at 5"],
    );
    check_refused(
        ended,
        &["--until", "soon"],
        &["--until is 'soon'", "give a number"],
    );
    check_refused(
        "time,kind\n5,event\n",
        &["--until", "4"],
        &["line 2, time is 5", "than 4"],
    );
}
