//! Statistics of recurring events against `recurrent-events.json`: every case of it, each with the
//! tolerance that stands in the file. Sources stand in the file and beside each check.
//!
//! Values of methods that are not ours are named beside their case and left out.

use serde_json::Value;
use sponson_readiness::recurrent::{
    Compared, CountedSpan, Ended, Prior, Unit, compare, compare_at, grouped_power_law, laplace,
    mean_cumulative, mean_time_at_end, mil_hdbk_189, poisson_interval, power_law,
    reversal_probabilities, reverse_arrangements, shrink,
};

fn reference() -> Value {
    let text = include_str!("../../../tests/reference/recurrent-events.json");
    serde_json::from_str(text).expect("JSON")
}

fn case(id: &str) -> Value {
    let all = reference();
    let cases = all["cases"].as_array().expect("cases");
    let found = cases.iter().find(|case| case["id"] == id);
    found.unwrap_or_else(|| panic!("no case {id}")).clone()
}

fn number(value: &Value, what: &str) -> f64 {
    match value.as_str() {
        Some("inf") => f64::INFINITY,
        _ => value
            .as_f64()
            .unwrap_or_else(|| panic!("{what}: no number")),
    }
}

fn numbers(value: &Value) -> Vec<f64> {
    let list = value.as_array().expect("a list");
    list.iter().map(|one| number(one, "of a list")).collect()
}

fn small(value: &Value) -> u32 {
    let whole = value.as_u64().expect("a whole number");
    u32::try_from(whole).expect("a small number")
}

/// A value to a relative tolerance, and exactly where it is 0 or infinite.
#[track_caller]
fn near(found: f64, wanted: &Value, tolerance: f64, what: &str) {
    let wanted = number(wanted, what);
    let is_near = found == wanted || (found - wanted).abs() <= tolerance * wanted.abs();
    assert!(is_near, "{what}: {found}, not {wanted}");
}

/// A value as a page prints it: to an absolute tolerance.
#[track_caller]
fn as_printed(found: f64, wanted: &Value, tolerance: f64, what: &str) {
    let wanted = number(wanted, what);
    assert!(
        (found - wanted).abs() <= tolerance,
        "{what}: {found}, not {wanted}"
    );
}

#[track_caller]
fn near_pair(found: (f64, f64), wanted: &Value, tolerance: f64, what: &str) {
    near(found.0, &wanted[0], tolerance, what);
    near(found.1, &wanted[1], tolerance, what);
}

fn tolerance(case: &Value) -> f64 {
    number(&case["tolerance"], "tolerance")
}

/// The one unit of a case, and how its watching ended.
fn one_unit(case: &Value) -> (Vec<Unit>, Ended) {
    let inputs = &case["inputs"];
    let events = numbers(&inputs["times"]);
    let last = *events.last().expect("an event");
    let (until, ended) = match inputs["termination"].as_str() {
        Some("time") => (number(&inputs["T"], "T"), Ended::AtTime),
        Some("failure") => (last, Ended::AtEvent),
        other => panic!("termination {other:?}"),
    };
    let unit = Unit {
        from: 0.0,
        until,
        events,
    };
    (vec![unit], ended)
}

/// The units of a case with repairs and end ages by name.
fn several_units(case: &Value) -> Vec<Unit> {
    let repairs = case["inputs"]["repairs"].as_object().expect("repairs");
    let unit = |(name, times): (&String, &Value)| Unit {
        from: 0.0,
        until: number(&case["inputs"]["end_ages"][name], name),
        events: numbers(times),
    };
    repairs.iter().map(unit).collect()
}

/// Every case of the file is held against the engine by one of the tests below.
#[test]
fn no_case_is_left_out() {
    let all = reference();
    let ids: Vec<&str> = all["cases"]
        .as_array()
        .expect("cases")
        .iter()
        .map(|case| case["id"].as_str().expect("id"))
        .collect();
    let text = include_str!("recurrent_reference.rs");
    for id in ids {
        assert!(text.contains(&format!("\"{id}\"")), "{id} is not looked at");
    }
}

/// NIST/SEMATECH e-Handbook 8.4.5.2, with the outputs that its R script prints.
#[test]
fn nist_power_law() {
    let case = case("nist_8_4_5_2_power_law");
    let (units, ended) = one_unit(&case);
    let fitted = power_law(&units, ended, 0.95).expect("fitted");
    let (mean, low, high) = mean_time_at_end(&fitted, 1500.0, 0.80).expect("a mean time");
    let beta = fitted.beta_unbiased.expect("unbiased");
    let lambda = fitted.lambda_unbiased.expect("unbiased");
    let to = tolerance(&case);
    let printed = &case["expected"];
    near(beta, &printed["b_modified"], to, "b");
    near(1.0 - beta, &printed["beta_growth_slope"], to, "slope");
    near(lambda, &printed["a"], to, "a");
    near(mean, &printed["mtbf_at_end"], to, "mean time");
    near_pair((low, high), &printed["mtbf_80pct_ci"], to, "interval");
    let full = &case["computed_full_precision"];
    near(beta, &full["b_modified"], 1e-9, "b in full");
    near(lambda, &full["a"], 1e-9, "a in full");
    near(mean, &full["mtbf"], 1e-9, "mean time in full");
    near_pair((low, high), &full["ci80"], 1e-9, "interval in full");
    near(fitted.beta, &full["b_plain_mle"], 1e-9, "plain b");
    near(fitted.lambda, &full["a_plain_mle"], 1e-9, "plain a");
}

/// All three trend tests and the power law of one unit, against values in the file's own words.
fn check_trends(case: &Value, wanted: &Value, to: f64) {
    let (units, ended) = one_unit(case);
    let u = laplace(&units, ended).expect("laplace");
    near(u.statistic, &wanted["laplace_U"], to, "U");
    near(u.p_two_sided, &wanted["laplace_p_two_sided"], to, "p of U");
    let mil = mil_hdbk_189(&units, ended).expect("mil");
    near(mil.chi2, &wanted["mil_chi2"], to, "chi-square");
    assert_eq!(mil.df, small(&wanted["mil_df"]));
    near(
        mil.p_improving,
        &wanted["mil_p_upper_improving"],
        to,
        "better",
    );
    near(
        mil.p_worsening,
        &wanted["mil_p_lower_worsening"],
        to,
        "worse",
    );
    let gaps = reverse_arrangements(&units).expect("gaps");
    assert_eq!(gaps.reversals, small(&wanted["reversals"]));
    assert_eq!(gaps.most, small(&wanted["reversals_max"]));
    near(gaps.expected, &wanted["reversals_expected"], to, "expected");
    near(gaps.sd, &wanted["reversals_sd"], to, "sd");
    near(gaps.z, &wanted["rat_z_dataplot"], to, "z");
    near(
        gaps.z_corrected,
        &wanted["rat_z_symmetric_cc"],
        to,
        "z corrected",
    );
    assert!(gaps.exact);
    near(gaps.p_improving, &wanted["rat_exact_p_upper"], to, "more");
    // Equal gaps are taken as reversals when asked for worse, so that they are no evidence of it.
    if gaps.ties == 0 {
        near(gaps.p_worsening, &wanted["rat_exact_p_lower"], to, "fewer");
    } else {
        let strict = number(&wanted["rat_exact_p_lower"], "fewer");
        assert!(
            gaps.p_worsening > strict,
            "{} and {strict}",
            gaps.p_worsening
        );
        let places = usize::try_from(gaps.reversals + 1).expect("few");
        let chances = reversal_probabilities(usize::try_from(gaps.gaps).expect("few"));
        let fewer: f64 = chances.iter().take(places).sum();
        near(
            fewer,
            &wanted["rat_exact_p_lower"],
            to,
            "fewer, ties as none",
        );
    }
    let fitted = power_law(&units, ended, 0.95).expect("fitted");
    let until = units.iter().map(|unit| unit.until).fold(0.0, f64::max);
    near(fitted.beta, &wanted["power_law_mle_b"], to, "b");
    near(fitted.lambda, &wanted["power_law_mle_a"], to, "a");
    let beta = fitted.beta_unbiased.expect("unbiased");
    near(beta, &wanted["power_law_mod_b"], to, "modified b");
    let lambda = fitted.lambda_unbiased.expect("unbiased");
    near(lambda, &wanted["power_law_mod_a"], to, "modified a");
    let mean = 1.0 / fitted.rate_at(until);
    near(mean, &wanted["mtbf_inst_mle"], to, "mean time");
    let mean = until / (f64::from(fitted.events) * beta);
    near(mean, &wanted["mtbf_inst_mod"], to, "modified mean time");
}

/// NIST/SEMATECH e-Handbook 8.2.3.4; numpy, scipy and surpyval.
#[test]
fn nist_trend_tests() {
    let case = case("nist_8_2_3_4_trend_tests");
    check_trends(&case, &case["expected"], tolerance(&case));
}

/// Crow-AMSAA example 1 of weibull.com, Table 5.1; ended at an event.
#[test]
fn crow_amsaa_example_1() {
    let case = case("rga_crow_amsaa_example_1");
    check_trends(&case, &case["computed"], 1e-9);
    let (units, ended) = one_unit(&case);
    let fitted = power_law(&units, ended, 0.95).expect("fitted");
    let to = tolerance(&case);
    for published in [&case["expected"], &case["reliability_package"]] {
        let beta = published.get("beta").or(published.get("Beta"));
        let lambda = published.get("lam").or(published.get("Lambda"));
        near(fitted.beta, beta.expect("beta"), to, "beta");
        near(fitted.lambda, lambda.expect("lambda"), to, "lambda");
    }
}

/// Counts for n = 4 printed by MathWorks File Exchange 44358; critical values by the exact
/// distribution.
#[test]
fn reversals_exactly() {
    let case = case("reverse_arrangement_distribution");
    for (gaps, orders, name) in [(4, 24.0, "n4_counts"), (5, 120.0, "n5_counts")] {
        let counts: Vec<f64> = reversal_probabilities(gaps)
            .iter()
            .map(|chance| (chance * orders).round())
            .collect();
        assert_eq!(counts, numbers(&case["expected"][name]), "{name}");
    }
    let critical = &case["expected"]["critical_values_exact_one_sided"];
    let mut seen = 0;
    for (gaps, values) in critical.as_object().expect("critical values") {
        let chances = reversal_probabilities(gaps.parse().expect("a number of gaps"));
        for (name, percent) in [("1.0pct", 0.01), ("5.0pct", 0.05), ("10.0pct", 0.1)] {
            let lower = as_few(&chances, percent) - 1;
            let upper =
                i64::try_from(chances.len()).expect("few") - as_few_from_above(&chances, percent);
            assert_eq!(
                Some(lower),
                values[format!("lower_{name}")].as_i64(),
                "{gaps} {name}"
            );
            assert_eq!(
                Some(upper),
                values[format!("upper_{name}")].as_i64(),
                "{gaps} {name}"
            );
            seen += 2;
        }
    }
    assert_eq!(seen, 54);
}

/// How many of the smallest numbers of reversals have at most that probability together.
fn as_few(chances: &[f64], most: f64) -> i64 {
    let sums = chances.iter().scan(0.0, |sum, chance| {
        *sum += chance;
        Some(*sum)
    });
    let few = sums.take_while(|sum| *sum <= most + 1e-12).count();
    i64::try_from(few).expect("few")
}

fn as_few_from_above(chances: &[f64], most: f64) -> i64 {
    let turned: Vec<f64> = chances.iter().rev().copied().collect();
    as_few(&turned, most)
}

/// NIST Dataplot's manual, RELIABILITY TRENDS TEST. The statistic -21.4 that it prints does not
/// follow from its own formula and is not asserted.
#[test]
fn dataplot_trends() {
    let case = case("dataplot_trend_test_hahn");
    let (units, ended) = one_unit(&case);
    let (to, printed) = (tolerance(&case), &case["expected"]);
    let gaps = reverse_arrangements(&units).expect("gaps");
    assert_eq!(gaps.reversals, small(&printed["reversals"]));
    assert_eq!(gaps.most, small(&printed["reversals_max"]));
    near(
        gaps.expected,
        &printed["reversals_expected"],
        to,
        "expected",
    );
    near(gaps.z, &case["computed"]["rat_z"], 1e-9, "z");
    let mil = mil_hdbk_189(&units, ended).expect("mil");
    near(mil.chi2, &printed["mil_chi2"], to, "chi-square");
    near(mil.p_worsening, &printed["mil_chi2_cdf"], to, "worse");
    assert_eq!(mil.df, small(&case["computed"]["mil_df"]));
    near(
        mil.p_worsening,
        &case["computed"]["mil_p_lower"],
        1e-9,
        "worse in full",
    );
    let u = laplace(&units, ended).expect("laplace");
    near(u.statistic, &printed["laplace_z"], to, "U");
    near(u.p_better, &printed["laplace_cdf"], to, "below U");
    let fitted = power_law(&units, ended, 0.95).expect("fitted");
    near(fitted.beta, &case["computed"]["power_law_mle_b"], 1e-9, "b");
}

/// ReliaWiki, Laplace trend test (U printed to four places).
#[test]
fn reliawiki_laplace() {
    let case = case("rga_appendix_b_laplace_system1");
    let (units, ended) = one_unit(&case);
    let u = laplace(&units, ended).expect("laplace").statistic;
    as_printed(u, &case["expected"]["laplace_U"], tolerance(&case), "U");
    near(u, &case["computed"], 1e-9, "U in full");
    // 'improving at the 10 % level'
    assert!(u < -number(&case["expected"]["critical_10pct"], "critical"));
}

fn check_grouped(id: &str, printed: &[&str]) {
    let case = case(id);
    let mut from = 0.0;
    let counts = case["inputs"]["counts"].as_array().expect("counts");
    let ends = numbers(&case["inputs"]["interval_ends"]);
    let span = |(until, count): (f64, &Value)| {
        let begun = std::mem::replace(&mut from, until);
        CountedSpan {
            from: begun,
            until,
            count: small(count),
        }
    };
    let spans: Vec<CountedSpan> = ends.into_iter().zip(counts).map(span).collect();
    let fitted = grouped_power_law(&spans).expect("fitted");
    near(fitted.beta, &case["computed"]["beta"], 1e-9, "beta");
    near(fitted.lambda, &case["computed"]["lam"], 1e-9, "lambda");
    for (name, found) in [("beta", fitted.beta), ("lam", fitted.lambda)] {
        if printed.contains(&name) {
            as_printed(found, &case["expected"][name], tolerance(&case), name);
        }
    }
}

/// MIL-HDBK-189, grouped example.
#[test]
fn mil_grouped() {
    check_grouped("mil_grouped", &["beta", "lam"]);
}

/// Grouped data of weibull.com, Table 5.2.
#[test]
fn crow_grouped() {
    check_grouped("rga_crow_example_4", &["beta"]);
}

/// ReliaWiki, five machines; variances by numpy and surpyval.
///
/// Not ours: the variance that leaves out the covariance between times, and the interval made of it
/// (`reliability_package`, `var_reliasoft`). Ours is the robust one of Lawless and Nadeau.
#[test]
fn five_machines() {
    let case = case("reliawiki_mcf_five_machines");
    let found = mean_cumulative(&several_units(&case), 0.95);
    let to = tolerance(&case);
    let wanted = case["three_variances"].as_array().expect("steps");
    assert_eq!(found.len(), wanted.len());
    assert_eq!(
        found.len(),
        case["expected"]["mcf"].as_object().expect("mcf").len()
    );
    for (step, wanted) in found.iter().zip(wanted) {
        let name = format!("{}", step.t);
        near(step.t, &wanted["t"], 0.0, "t");
        assert_eq!(step.at_risk, small(&wanted["at_risk"]), "at risk at {name}");
        assert_eq!(step.events, small(&wanted["events"]), "events at {name}");
        near(step.mcf, &wanted["mcf"], to, &name);
        near(step.mcf, &case["expected"]["mcf"][&name], to, &name);
        near(step.variance, &wanted["var_lawless_nadeau"], to, &name);
        near(
            step.variance,
            &case["surpyval_variance"][format!("{name}.0")],
            to,
            &name,
        );
        near(step.variance_poisson, &wanted["var_poisson"], to, &name);
        let theirs = &case["reliability_package"][format!("{name}.0")];
        near(step.mcf, &theirs["mcf"], to, &name);
        assert!(step.lower < step.mcf && step.mcf < step.upper, "{name}");
    }
}

/// Literals of a public test file, by scipy's brentq.
#[test]
fn pooled_power_law() {
    let case = case("pooled_power_law_unequal_exposure");
    let units = several_units(&case);
    let fitted = power_law(&units, Ended::AtTime, 0.95).expect("fitted");
    near(
        fitted.beta,
        &case["expected"]["beta"],
        tolerance(&case),
        "beta",
    );
    near(
        fitted.lambda,
        &case["expected"]["lam"],
        tolerance(&case),
        "lambda",
    );
    assert!(!fitted.interval_is_exact);
}

/// Garwood 1936, by scipy; two limits printed for R's epitools.
#[test]
fn garwood() {
    let case = case("garwood_exact_poisson_ci");
    let rows = case["expected"].as_array().expect("rows");
    for row in rows {
        let count = small(&row["count"]);
        for (name, level) in [("ci80", 0.8), ("ci90", 0.9), ("ci95", 0.95), ("ci99", 0.99)] {
            let what = format!("{name} of {count}");
            near_pair(
                poisson_interval(count, level),
                &row[name],
                tolerance(&case),
                &what,
            );
        }
        let (_, upper) = poisson_interval(count, 0.9);
        near(
            upper,
            &row["upper95_one_sided"],
            tolerance(&case),
            "one-sided",
        );
    }
    let published = &case["published"];
    as_printed(
        poisson_interval(0, 0.95).1,
        &published["x0_upper95_two_sided"],
        5e-4,
        "two-sided",
    );
    as_printed(
        poisson_interval(0, 0.90).1,
        &published["x0_upper95_one_sided"],
        5e-4,
        "one-sided",
    );
}

fn compared(row: &Value) -> Compared {
    let side = |count: &str, exposure: &str| (small(&row[count]), number(&row[exposure], exposure));
    let (first, second) = (side("count1", "exposure1"), side("count2", "exposure2"));
    compare(first, second, 0.95).expect("compared")
}

fn check_compared(found: &Compared, wanted: &Value, to: f64, what: &str) {
    near(found.ratio.expect("a ratio"), &wanted["ratio"], to, what);
    near(found.p_two_sided, &wanted["p_two_sided_minlike"], to, what);
    near(found.p_greater, &wanted["p_greater"], to, what);
    near(found.p_less, &wanted["p_less"], to, what);
    near_pair((found.lower, found.upper), &wanted["ci"], to, what);
}

/// The example call of R's `poisson.test`; scipy's binomtest and beta.ppf.
#[test]
fn r_poisson_test() {
    let case = case("r_poisson_test_two_sample");
    let found = compared(&case["inputs"]);
    check_compared(&found, &case["expected"], tolerance(&case), "R's example");
}

/// Gu, Ng, Tang and Schucany 2008, example 1; R's exactci; statsmodels.
///
/// Not ours: the Wald, score, square-root and E tests, and both 90 % intervals that rest on them.
#[test]
fn gu_2008() {
    let case = case("gu_2008_rate_ratio");
    let found = compared(&case["inputs"]);
    let to = number(&case["tolerance"]["computed"], "tolerance");
    check_compared(&found, &case["conditional_exact"], to, "Gu");
    let exact = &case["expected"]["exact-cond"];
    near(found.p_greater, &exact["p_greater"], to, "exact");
    near(found.p_two_sided, &exact["p_two_sided"], to, "exact");
    let mid = &case["expected"]["cond-midp"];
    near(found.mid_p.greater, &mid["p_greater"], to, "mid-p");
    near(found.mid_p.two_sided, &mid["p_two_sided"], to, "mid-p");
    let published = &case["published"]["one_sided_greater"];
    let printed = number(&case["tolerance"]["published"], "tolerance");
    as_printed(
        found.p_greater,
        &published["exact_cond"],
        printed,
        "exact, printed",
    );
    as_printed(
        found.mid_p.greater,
        &published["cond_midp"],
        printed,
        "mid-p, printed",
    );
    let (first, second) = ((60, 51_477.5), (30, 54_308.7));
    let against = compare_at(first, second, 1.2, 0.95).expect("compared");
    let r = &case["published_r_exactci"];
    near(against.mid_p.less, &r["r12_midp_less"], to, "R, mid-p");
    near(
        against.mid_p.greater,
        &r["r12_midp_greater"],
        to,
        "R, mid-p",
    );
    near(against.p_greater, &r["r12_exact_greater"], to, "R, exact");
    near(against.p_less, &r["r12_exact_less"], to, "R, exact");
}

/// Small counts: scipy's binomtest and beta.ppf, statsmodels' conditional mid-p. Not ours: E test.
#[test]
fn small_counts() {
    let case = case("rate_ratio_small_counts");
    let to = number(&case["tolerance"]["conditional"], "tolerance");
    for row in case["expected"].as_array().expect("rows") {
        let found = compared(row);
        let what = format!("{} and {}", row["count1"], row["count2"]);
        check_compared(&found, row, to, &what);
        near(
            found.mid_p.two_sided,
            &row["cond_midp_two_sided"],
            to,
            &what,
        );
    }
}

/// Conjugate algebra, scipy's gamma and nbinom.
#[test]
fn gamma_poisson_of_a_known_prior() {
    let case = case("gamma_poisson_tiny");
    let (inputs, to) = (&case["inputs"], tolerance(&case));
    let prior = Prior {
        shape: number(&inputs["prior_shape"], "shape"),
        rate: number(&inputs["prior_rate_years"], "rate"),
    };
    near(prior.mean(), &inputs["prior_mean"], to, "prior mean");
    for row in case["expected"].as_array().expect("rows") {
        let (count, exposure) = (
            small(&row["count"]),
            number(&row["exposure_years"], "exposure"),
        );
        let after = prior.after(count, exposure);
        let unit = row["unit"].as_str().expect("unit");
        near(f64::from(count) / exposure, &row["raw"], to, unit);
        near(after.shape, &row["posterior_shape"], to, unit);
        near(after.rate, &row["posterior_rate"], to, unit);
        near(after.mean(), &row["posterior_mean"], to, unit);
        near(after.sd(), &row["posterior_sd"], to, unit);
        near_pair(after.interval(0.9), &row["ci90"], to, unit);
        near(
            after.p_above(prior.mean()),
            &row["p_rate_above_prior_mean"],
            to,
            unit,
        );
        let none = after.p_none_in(1.0);
        near(none, &row["predictive_p_no_event_next_year"], to, unit);
        near(none, &row["predictive_p_no_event_scipy"], to, unit);
    }
}

/// Several units: scipy.optimize and numpy.
fn check_fitted(case: &Value) {
    let inputs = &case["inputs"];
    let counts = inputs["counts"].as_array().expect("counts");
    let exposures = numbers(&inputs["exposures_years"]);
    let units: Vec<(u32, f64)> = counts.iter().map(small).zip(exposures).collect();
    let found = shrink(&units, 0.95).expect("shrunk");
    let (moments, ml) = (
        number(&case["tolerance"]["mom"], "tolerance").max(1e-9),
        number(&case["tolerance"]["ml"], "tolerance"),
    );
    let wanted = &case["expected"];
    near(found.usual, &wanted["pooled_rate"], moments, "usual");
    let (chi2, df, p) = found.dispersion;
    near(
        chi2,
        &wanted["pearson_dispersion_chi2"],
        moments,
        "dispersion",
    );
    assert_eq!(df, small(&wanted["pearson_df"]));
    near(p, &wanted["pearson_p"], moments, "p of dispersion");
    let likeliest = found.likeliest.expect("units differ");
    near(likeliest.shape, &wanted["ml_a"], ml, "a");
    near(likeliest.rate, &wanted["ml_b"], ml, "b");
    near(
        found.ln_likelihood,
        &wanted["ml_loglik"],
        1e-9,
        "likelihood",
    );
    near(
        found.ln_likelihood_alike,
        &wanted["poisson_loglik"],
        1e-9,
        "likelihood, alike",
    );
    let means = numbers(&wanted["eb_means_ml"]);
    assert_eq!(means.len(), found.units.len());
    for ((unit, mean), (count, exposure)) in found.units.iter().zip(means).zip(&units) {
        near(unit.mean, &mean.into(), ml, "mean");
        let raw = f64::from(*count) / exposure;
        let between = raw.min(likeliest.mean())..=raw.max(likeliest.mean());
        assert!(between.contains(&unit.mean), "drawn the wrong way");
    }
    match found.moments {
        None => {
            assert!(wanted["mom_a"].is_null() && wanted["mom_b"].is_null());
            assert!(number(&wanted["mom_between_variance"], "between") <= 0.0);
        }
        Some(prior) => {
            near(prior.shape, &wanted["mom_a"], moments, "a by moments");
            near(prior.rate, &wanted["mom_b"], moments, "b by moments");
            let between = prior.mean() / prior.rate;
            near(between, &wanted["mom_between_variance"], moments, "between");
            for ((count, exposure), mean) in units.iter().zip(numbers(&wanted["eb_means_mom"])) {
                let after = prior.after(*count, *exposure);
                near(after.mean(), &mean.into(), moments, "mean by moments");
            }
        }
    }
}

#[test]
fn gamma_poisson_of_units_that_differ() {
    check_fitted(&case("gamma_poisson_fleet"));
}

#[test]
fn gamma_poisson_of_units_that_differ_no_more_than_chance() {
    check_fitted(&case("gamma_poisson_fleet_no_heterogeneity"));
}
