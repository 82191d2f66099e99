//! Leak lines, their intervals and crossings against `leak-rate.json`, every value of it, and hold
//! tests and baffles against worked values.
//!
//! Made by numpy 2.4.6, scipy 1.17.1 and statsmodels 0.15.0; definitions, sources and tolerances
//! stand in the file. Asserted to 1e-6 relative, closer than the project needs.

use serde_json::Value;
use sponson_readiness::leak::{
    Between, Crossing, Cut, HoldEnd, HoldFault, HoldLimit, HoldRule, HoldTest, HoldVerdict,
    JudgedBy, Known, Line, REFERENCE, Relief, Spread, Step, after, baffle, corrected_gas,
    lost_per_day, never_moves, stretches,
};
use sponson_readiness::pressure::Air;

const PSI_PA: f64 = 6_894.757_293_168_361;

fn reference() -> Value {
    let text = include_str!("../../../tests/reference/leak-rate.json");
    serde_json::from_str(text).expect("JSON")
}

fn numbers(value: &Value) -> Vec<f64> {
    let list = value.as_array().expect("a list");
    list.iter()
        .map(|one| one.as_f64().expect("a number"))
        .collect()
}

/// A value to 1e-6 relative, and to rounding where it is 0.
fn near(found: f64, wanted: &Value, what: &str) {
    let wanted = wanted
        .as_f64()
        .unwrap_or_else(|| panic!("{what}: no number"));
    let off = (found - wanted).abs();
    assert!(
        off <= 1e-6 * wanted.abs() + 1e-15,
        "{what}: {found}, not {wanted}"
    );
}

fn near_pair(found: (f64, f64), wanted: &Value, what: &str) {
    near(found.0, &wanted[0], what);
    near(found.1, &wanted[1], what);
}

fn air(celsius: f64, ambient_pa: f64) -> Air {
    let milli = format!("{}", (celsius * 1_000.0).round());
    Air {
        temperature_mc: milli.parse().expect("milli-degrees"),
        ambient_pa,
    }
}

/// Corrected gauges of a case, psi.
fn corrected(case: &Value, gauges: &str) -> Vec<f64> {
    let air_of = numbers(&case["temp_c"])
        .into_iter()
        .zip(numbers(&case["ambient_pa"]));
    numbers(&case[gauges])
        .into_iter()
        .zip(air_of)
        .map(|(psi, (celsius, ambient_pa))| {
            corrected_gas(psi * PSI_PA, air(celsius, ambient_pa), REFERENCE) / PSI_PA
        })
        .collect()
}

fn line(case: &Value, y: impl IntoIterator<Item = f64>) -> Line {
    let points: Vec<(f64, f64)> = numbers(&case["t_days"]).into_iter().zip(y).collect();
    Line::through(&points).expect("a line")
}

fn minimum(case: &Value) -> f64 {
    case["minimum_psi"].as_f64().expect("a minimum").ln()
}

#[test]
fn noise_free_cases_give_back_what_they_were_made_of() {
    let reference = reference();
    let cases = reference["noise_free"].as_array().expect("cases");
    assert_eq!(cases.len(), 2);
    for case in cases {
        let listed = corrected(case, "gauge_psi");
        let wanted = &case["expected"];
        for (found, wanted) in listed
            .iter()
            .zip(wanted["corrected_gauge_psi"].as_array().expect("a list"))
        {
            near(*found, wanted, "corrected gauge");
        }
        let exact = line(case, listed.iter().map(|psi| psi.ln()));
        near(exact.slope, &wanted["slope"], "slope");
        near(exact.share_per_day(), &wanted["true_k_per_day"], "k");
        near(exact.intercept, &wanted["intercept_ln_psi"], "intercept");
        near(exact.intercept.exp(), &wanted["true_g0_psi"], "g0");
        near(
            2.0_f64.ln() / exact.share_per_day(),
            &wanted["half_life_days"],
            "half life",
        );
        near(
            exact.reaches(minimum(case)).expect("a day"),
            &wanted["crossing_days"],
            "crossing",
        );
        let fit = &case["fit_to_listed_readings"];
        near(exact.slope, &fit["slope"], "slope of the listed readings");
        near(
            exact.intercept,
            &fit["intercept"],
            "intercept of the listed readings",
        );
        // What rounding to nine places left: no more is known of it than its size.
        let left = fit["residual_ss"].as_f64().expect("a number");
        assert!(
            exact.residual_ss > 0.5 * left && exact.residual_ss < 2.0 * left,
            "{left}"
        );

        let rounded = corrected(case, "gauge_psi_rounded_0p01");
        let rounded = line(case, rounded.iter().map(|psi| psi.ln()));
        let fit = &case["fit_to_rounded_readings"];
        near(rounded.slope, &fit["slope"], "rounded slope");
        near(rounded.intercept, &fit["intercept"], "rounded intercept");
        near(
            rounded.reaches(minimum(case)).expect("a day"),
            &fit["crossing_days"],
            "rounded crossing",
        );

        let raw = line(case, numbers(&case["gauge_psi"]).iter().map(|psi| psi.ln()));
        let fit = &case["uncorrected_fit_for_contrast"];
        near(raw.slope, &fit["slope"], "uncorrected slope");
        near(raw.intercept, &fit["intercept"], "uncorrected intercept");
        near(
            raw.reaches(minimum(case)).expect("a day"),
            &fit["crossing_days"],
            "uncorrected crossing",
        );

        let absolute = listed
            .iter()
            .map(|psi| (psi * PSI_PA + REFERENCE.ambient_pa).ln());
        let absolute = line(case, absolute);
        let fit = &case["ln_absolute_fit_pa"];
        near(absolute.slope, &fit["slope"], "absolute slope");
        near(absolute.intercept, &fit["intercept"], "absolute intercept");
    }
}

#[test]
fn noisy_cases_have_the_intervals_of_the_reference() {
    let reference = reference();
    let cases = reference["noisy"].as_array().expect("cases");
    assert_eq!(cases.len(), 2);
    for case in cases {
        let gauges = corrected(case, "gauge_psi");
        let wanted = &case["expected"];
        for (found, wanted) in gauges.iter().zip(numbers(&wanted["corrected_gauge_psi"])) {
            // Listed to six places.
            assert!((found - wanted).abs() <= 6e-7, "{found}, not {wanted}");
        }
        let line = line(case, gauges.iter().map(|psi| psi.ln()));
        let spread = Spread::of(line, 0.95).expect("three points");
        assert_eq!(u64::from(line.n), wanted["n"].as_u64().expect("n"));
        assert_eq!(u64::from(line.df), wanted["df"].as_u64().expect("df"));
        near(line.slope, &wanted["slope"], "slope");
        near(line.intercept, &wanted["intercept"], "intercept");
        near(spread.slope_se(), &wanted["se_slope"], "slope se");
        near(
            spread.intercept_se(),
            &wanted["se_intercept"],
            "intercept se",
        );
        near_pair(
            spread.slope_interval(),
            &wanted["slope_ci95"],
            "slope interval",
        );
        near_pair(
            spread.intercept_interval(),
            &wanted["intercept_ci95"],
            "intercept interval",
        );
        near(
            spread.slope_p().expect("p"),
            &wanted["slope_p_two_sided"],
            "p",
        );
        near(spread.r_squared(), &wanted["r_squared"], "r squared");
        near(spread.residual_sd(), &wanted["residual_sd"], "residual sd");
        near(spread.t(), &wanted["t_quantile_975"], "t");
        predictions(&spread, &wanted["predictions"]);
        crossings(&line, &spread, minimum(case), wanted);
    }
}

fn predictions(spread: &Spread, wanted: &Value) {
    let wanted = wanted.as_array().expect("predictions");
    assert_eq!(wanted.len(), 4);
    for wanted in wanted {
        let found = spread.prediction(wanted["t_days"].as_f64().expect("a day"));
        near(found.mean, &wanted["ln_mean"], "mean");
        near(found.mean_se, &wanted["mean_se"], "mean se");
        near_pair(found.mean_interval, &wanted["mean_ci95"], "mean interval");
        near_pair(
            found.reading_interval,
            &wanted["obs_ci95"],
            "reading interval",
        );
        let psi = |(low, high): (f64, f64)| (low.exp(), high.exp());
        near(found.mean.exp(), &wanted["psi_mean"], "psi mean");
        near_pair(
            psi(found.mean_interval),
            &wanted["psi_mean_ci95"],
            "psi mean interval",
        );
        near_pair(
            psi(found.reading_interval),
            &wanted["psi_obs_ci95"],
            "psi reading interval",
        );
    }
}

fn crossings(line: &Line, spread: &Spread, y: f64, wanted: &Value) {
    near(
        line.reaches(y).expect("a day"),
        &wanted["crossing_point_days"],
        "crossing",
    );
    near(
        spread.crossing_se(y).expect("se"),
        &wanted["crossing_delta_method_se"],
        "delta se",
    );
    let fieller = &wanted["crossing_fieller95"];
    let kind = fieller["kind"].as_str().expect("a kind");
    let (first, last) = match spread.crossing(y) {
        Crossing::Bounded(first, last) => {
            assert_eq!(kind, "bounded");
            (first, last)
        }
        Crossing::Outside(first, last) => {
            assert_eq!(kind, "complement: t<=first or t>=second");
            (first, last)
        }
        Crossing::Anywhere => panic!("{kind}, not anywhere"),
    };
    near(first, &fieller["lower"], "Fieller lower");
    near(last, &fieller["upper"], "Fieller upper");
    let first_time = |name: &str| &wanted[name];
    near(
        spread.line_may_reach(y).expect("a day"),
        first_time("first_time_lower_mean_limit_two_sided95_hits_minimum"),
        "lower limit of the line",
    );
    near(
        spread.reading_may_reach(y).expect("a day"),
        first_time("first_time_lower_prediction_limit_two_sided95_hits_minimum"),
        "lower limit of a reading",
    );
    near(
        spread.reading_may_reach_one_sided(y, 0.95).expect("a day"),
        first_time("first_time_lower_prediction_limit_one_sided95_hits_minimum"),
        "one-sided lower limit of a reading",
    );
}

#[test]
fn readings_that_tell_nothing_give_an_unbounded_interval_and_no_line_where_none_is() {
    let scattered = [(0.0, 1.0), (1.0, -1.0), (2.0, 1.1), (3.0, -0.9)];
    let line = Line::through(&scattered).expect("a line");
    let spread = Spread::of(line, 0.95).expect("four points");
    assert_eq!(spread.crossing(0.0), Crossing::Anywhere);
    assert!(Spread::of(line, 1.0).is_none());
    let two = Line::through(&[(0.0, 1.0), (2.0, 0.5)]).expect("two points make a line");
    assert!(Spread::of(two, 0.95).is_none());
    assert_eq!(two.reaches(0.0), Some(4.0));
    assert!(Line::through(&[(0.0, 1.0)]).is_none());
    assert!(Line::through(&[(1.0, 1.0), (1.0, 2.0)]).is_none());
    assert!(
        Line::through_gauges(&[(0.0, 24_000.0), (1.0, 0.0)]).is_none(),
        "slack"
    );
    let level = Line::through(&[(0.0, 1.0), (1.0, 1.0)]).expect("a level line");
    assert_eq!(level.reaches(0.5), None);
}

#[test]
fn a_leak_only_lowers_and_the_more_the_longer() {
    let cold = air(4.0, 100_000.0);
    let one = after(24_000.0, cold, 0.05, 86_400_000);
    let two = after(24_000.0, cold, 0.05, 2 * 86_400_000);
    assert!(24_000.0 > one && one > two, "{one} {two}");
    assert!((after(24_000.0, cold, 0.05, 0) - 24_000.0).abs() < 1e-6);
    assert!((after(24_000.0, cold, -1.0, 86_400_000) - 24_000.0).abs() < 1e-6);
    assert!(
        (after(-500.0, cold, 0.05, 86_400_000) + 500.0).abs() < 1e-9,
        "slack stays"
    );
    // 2 % of 3 psi, case A: k g0 is the slope at the start, this what a day takes.
    assert!((lost_per_day(3.0, 0.02) - (3.0 - 2.940_596_02)).abs() < 1e-8);
}

fn known(t_days: f64, mbar: f64, celsius: f64) -> Known {
    Known {
        t_days,
        gauge_pa: mbar * 100.0,
        air: air(celsius, 101_325.0),
    }
}

#[test]
fn nothing_is_fitted_across_air_repair_or_relief() {
    let read = |t_days, mbar, celsius| Step::Read(known(t_days, mbar, celsius));
    let steps = [
        read(0.0, 240.0, 10.0),
        Step::NotComparable,
        read(7.0, 235.0, 10.0),
        Step::Cut(Cut::AirAdded),
        read(8.0, 260.0, 10.0),
        read(9.0, 255.0, 12.0),
        Step::Warmed(45_000),
        read(10.0, 200.0, 10.0),
        read(11.0, 199.0, 10.0),
        Step::Cut(Cut::Repaired),
        Step::Cut(Cut::Inflated),
    ];
    assert_eq!(
        stretches(&steps, None),
        vec![vec![0, 2], vec![4, 5, 7, 8]],
        "without a relief valve warmth takes nothing"
    );
    let relief = Relief {
        relief_pa: 28_000.0,
        swing_mk: 0,
    };
    assert_eq!(
        stretches(&steps, Some(relief)),
        vec![vec![0, 2], vec![4, 5], vec![7, 8]]
    );
    let swing = Relief {
        swing_mk: 5_000,
        ..relief
    };
    // 260 mbar at 10 °C is 290 mbar at 17 °C; 235 mbar is 256 mbar at 15 °C.
    assert_eq!(
        stretches(&steps, Some(swing)),
        vec![vec![0, 2], vec![4], vec![5], vec![7, 8]]
    );
}

#[test]
fn one_chamber_falls_while_its_neighbour_rises() {
    let between = |from, to| Between {
        first: known(0.0, from, 15.0),
        last: known(1.0, to, 15.0),
    };
    let falling = between(240.0, 225.0);
    assert!(baffle(&falling, &between(200.0, 214.0), 1_000.0));
    assert!(!baffle(&falling, &between(200.0, 205.0), 1_000.0));
    assert!(!baffle(&falling, &between(240.0, 225.0), 1_000.0));
    // Both moved with the bay alone: 10 °C colder.
    let cooled = Between {
        first: known(0.0, 240.0, 20.0),
        last: known(1.0, 197.25, 10.0),
    };
    assert!(cooled.change_pa().abs() < 100.0, "{}", cooled.change_pa());
}

#[test]
fn a_gauge_that_never_moves_with_the_bay_is_told() {
    let still = [
        known(0.0, 240.0, 5.0),
        known(7.0, 240.0, 15.0),
        known(14.0, 241.0, 20.0),
    ];
    assert!(never_moves(&still, 5_000, 500.0));
    assert!(!never_moves(&still[..2], 5_000, 500.0), "two say nothing");
    let moving = [
        known(0.0, 240.0, 5.0),
        known(7.0, 283.0, 15.0),
        known(14.0, 305.0, 20.0),
    ];
    assert!(!never_moves(&moving, 5_000, 500.0));
    let same_bay = [
        known(0.0, 240.0, 15.0),
        known(7.0, 240.0, 15.5),
        known(14.0, 240.0, 15.0),
    ];
    assert!(!never_moves(&same_bay, 5_000, 500.0));
}

/// The 24-hour test: TM 5-1940-321-13&P p. 5-35 and 5-36, 30 mbar, 4 mbar/°C.
const DAY: HoldRule = HoldRule {
    least_s: 24 * 3_600,
    most_s: 30 * 3_600,
    limit: HoldLimit::Pa(3_000),
    linear_pa_per_k: 400,
    judged_by: JudgedBy::Linear,
    gain_pa: 1_000,
};

/// The working-pressure test: IMO A.761(18), 1 h, 5 %.
const HOUR: HoldRule = HoldRule {
    least_s: 3_600,
    most_s: 4 * 3_600,
    limit: HoldLimit::PerMille(50),
    ..DAY
};

fn end(mbar: i64, fahrenheit: f64) -> HoldEnd {
    HoldEnd {
        gauge_pa: mbar * 100,
        air: air((fahrenheit - 32.0) / 1.8, 101_325.0),
    }
}

fn test(start: HoldEnd, end: HoldEnd, hours: u32) -> HoldTest {
    HoldTest {
        start,
        end,
        duration_s: hours * 3_600,
    }
}

/// Rows of trade-rules section 11; loss by the linear rule in tenths of a millibar.
#[test]
fn worked_hold_tests_of_the_trade() {
    let check = |row, rule: &HoldRule, test: &HoldTest, lost_tenths: i64, verdict| {
        let told = rule.judge(test);
        let tenths = (told.lost_linear_pa + 5).div_euclid(10);
        assert_eq!(
            (tenths, told.verdict),
            (lost_tenths, verdict),
            "row {row}: {told:?}"
        );
    };
    let (passed, leaks) = (HoldVerdict::Passed, HoldVerdict::TestForLeaks);
    check(
        28,
        &DAY,
        &test(end(260, 80.0), end(200, 60.0), 24),
        156,
        passed,
    );
    check(
        30,
        &DAY,
        &test(end(250, 70.0), end(220, 70.0), 24),
        300,
        passed,
    );
    check(
        31,
        &DAY,
        &test(end(250, 70.0), end(219, 70.0), 24),
        310,
        leaks,
    );
    check(
        32,
        &DAY,
        &test(end(240, 60.0), end(245, 80.0), 24),
        394,
        leaks,
    );
    check(
        37,
        &HOUR,
        &test(end(240, 70.0), end(228, 70.0), 1),
        120,
        passed,
    );
    check(
        37,
        &HOUR,
        &test(end(240, 70.0), end(227, 70.0), 1),
        130,
        leaks,
    );
    // Row 25: 80 °F to 60 °F takes 44 mbar (44.4).
    let told = DAY.judge(&test(end(260, 80.0), end(200, 60.0), 24));
    assert_eq!(told.expected_linear_pa, 26_000 - 4_444);
    // By the gas law of row 28: (260 + 1013.25) 288.706 / 299.817 - 1013.25 = 212.8 mbar.
    assert_eq!((told.expected_gas_pa + 5) / 10, 2_128);
    assert!(told.agree);
}

#[test]
fn a_test_that_proves_nothing_is_told_and_one_that_lost_too_much_has_failed_however_short() {
    let (start, held) = (end(250, 70.0), end(245, 70.0));
    let verdict = |test| DAY.judge(&test).verdict;
    let nothing = HoldVerdict::ProvesNothing;
    assert_eq!(verdict(test(start, held, 12)), nothing(HoldFault::TooShort));
    assert_eq!(verdict(test(start, held, 48)), nothing(HoldFault::TooLong));
    assert_eq!(
        verdict(test(start, end(262, 70.0), 24)),
        nothing(HoldFault::Gained)
    );
    assert_eq!(
        verdict(test(start, end(210, 70.0), 2)),
        HoldVerdict::TestForLeaks
    );
    // Where the corrections come to different things, the setting decides and it is said.
    let apart = test(end(260, 80.0), end(184, 60.0), 24);
    let by = |judged_by| HoldRule { judged_by, ..DAY }.judge(&apart);
    assert_eq!(by(JudgedBy::Linear).verdict, HoldVerdict::TestForLeaks);
    assert_eq!(by(JudgedBy::GasLaw).verdict, HoldVerdict::Passed);
    assert_eq!(by(JudgedBy::Worse).verdict, HoldVerdict::TestForLeaks);
    assert!(!by(JudgedBy::Linear).agree);
}

#[test]
fn the_weather_between_start_and_end_is_taken_out() {
    // A depression of 20 hPa lifts the gauge by 20 mbar: what held looks like a gain, and 35 mbar
    // lost look like 15.
    let at = |mbar: i64, ambient_pa| HoldEnd {
        gauge_pa: mbar * 100,
        air: air(15.0, ambient_pa),
    };
    let told = DAY.judge(&test(at(250, 102_000.0), at(235, 100_000.0), 24));
    assert_eq!((told.lost_linear_pa, told.lost_gas_pa), (3_500, 3_500));
    assert_eq!(told.verdict, HoldVerdict::TestForLeaks);
}
