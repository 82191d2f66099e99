//! A hold test, in words: what was lost by both corrections, and what that comes to.

use serde_json::Value;
use sponson_readiness::leak::{
    HoldFault, HoldLimit, HoldRule, HoldTest, HoldTold, HoldVerdict, JudgedBy,
};
use sponson_readiness::standard::{HoldPolicy, HoldSort};

use super::Reckoned;
use super::leak::mbar;
use crate::units::print;

/// Judges a hold test. `assumed` says what was not given.
#[must_use]
pub fn hold(test: &HoldTest, policy: &HoldPolicy, assumed: Vec<String>) -> Reckoned {
    let sort = policy.sort(test.duration_s);
    let rule = policy.rule(sort);
    let told = rule.judge(test);
    let ambient = |pa: f64| Value::from(pa);
    Reckoned {
        what: "hold",
        given: vec![
            ("start_gauge_pa", test.start.gauge_pa.into()),
            ("start_temperature_mc", test.start.air.temperature_mc.into()),
            ("start_ambient_pa", ambient(test.start.air.ambient_pa)),
            ("end_gauge_pa", test.end.gauge_pa.into()),
            ("end_temperature_mc", test.end.air.temperature_mc.into()),
            ("end_ambient_pa", ambient(test.end.air.ambient_pa)),
            ("duration_s", test.duration_s.into()),
        ],
        figures: figures(rule, sort, &told),
        lines: hold_lines(test, rule, sort, &told),
        assumed,
        sources: vec![
            HoldPolicy::source(sort).1.to_owned(),
            "linear rule: 4 mbar for each °C, TM 5-1940-321-13&P and Futura Commando p. 8; gas \
             law: a closed, rigid part of dry air"
                .to_owned(),
        ],
    }
}

fn figures(rule: &HoldRule, sort: HoldSort, told: &HoldTold) -> Vec<(&'static str, Value)> {
    let (verdict, fault) = ids(told.verdict);
    vec![
        ("test", sort_id(sort).into()),
        ("verdict", verdict.into()),
        (
            "proves_nothing_because",
            fault.map_or(Value::Null, Value::from),
        ),
        ("lost_pa", told.lost_pa.into()),
        ("limit_pa", told.limit_pa.into()),
        ("judged_by", judged_by_id(rule.judged_by).into()),
        ("expected_linear_pa", told.expected_linear_pa.into()),
        ("lost_linear_pa", told.lost_linear_pa.into()),
        ("expected_gas_law_pa", told.expected_gas_pa.into()),
        ("lost_gas_law_pa", told.lost_gas_pa.into()),
        ("rules_agree", told.agree.into()),
    ]
}

/// A hold test in words: what it comes to, then both corrections.
#[must_use]
pub fn hold_lines(
    test: &HoldTest,
    rule: &HoldRule,
    sort: HoldSort,
    told: &HoldTold,
) -> Vec<String> {
    let limit = match rule.limit {
        HoldLimit::Pa(pa) => mbar(pa),
        HoldLimit::PerMille(share) => format!(
            "{} ({} % of the start)",
            mbar(told.limit_pa),
            f64::from(share) / 10.0
        ),
    };
    let lost = lost_words(told.lost_pa);
    let span = print::span(i64::from(test.duration_s).saturating_mul(1000));
    let sort_words = sort_words(sort);
    let verdict = match told.verdict {
        HoldVerdict::Passed => {
            format!("passed the {sort_words}: {lost} in {span}; {limit} allowed")
        }
        HoldVerdict::TestForLeaks => {
            format!("test for leaks: {lost} in {span}, more than the {limit} of the {sort_words}")
        }
        HoldVerdict::ProvesNothing(fault) => format!(
            "proves nothing: {}; {lost} in {span}, {limit} allowed",
            hold_fault_text(fault, rule)
        ),
    };
    let mut lines = vec![
        verdict,
        format!(
            "by the linear rule ({} for each °C): {} expected at the end, {}",
            mbar(rule.linear_pa_per_k),
            mbar(told.expected_linear_pa),
            lost_words(told.lost_linear_pa)
        ),
        format!(
            "by the gas law: {} expected at the end, {}",
            mbar(told.expected_gas_pa),
            lost_words(told.lost_gas_pa)
        ),
    ];
    if !told.agree {
        lines.push(format!(
            "the two do not come to the same; {} decides here, by a setting of the county",
            judged_by_words(rule.judged_by)
        ));
    }
    lines
}

fn lost_words(pa: i64) -> String {
    if pa < 0 {
        format!("{} gained", mbar(pa.saturating_neg()))
    } else {
        format!("{} lost", mbar(pa))
    }
}

/// Why a hold test proves nothing, in words.
#[must_use]
pub fn hold_fault_text(fault: HoldFault, rule: &HoldRule) -> String {
    let span = |s: u32| print::span(i64::from(s).saturating_mul(1000));
    match fault {
        HoldFault::TooShort => format!("at least {} are needed", span(rule.least_s)),
        HoldFault::TooLong => format!(
            "a test of this sort ends within {}; a longer history is for 'reckon leak'",
            span(rule.most_s)
        ),
        HoldFault::Gained => format!(
            "the part gained more than {} after temperature: air was added, or a value is wrong",
            mbar(rule.gain_pa)
        ),
    }
}

/// Stable id of a verdict, and of why it proves nothing.
const fn ids(verdict: HoldVerdict) -> (&'static str, Option<&'static str>) {
    match verdict {
        HoldVerdict::Passed => ("passed", None),
        HoldVerdict::TestForLeaks => ("test_for_leaks", None),
        HoldVerdict::ProvesNothing(HoldFault::TooShort) => ("proves_nothing", Some("too_short")),
        HoldVerdict::ProvesNothing(HoldFault::TooLong) => ("proves_nothing", Some("too_long")),
        HoldVerdict::ProvesNothing(HoldFault::Gained) => ("proves_nothing", Some("gained")),
    }
}

const fn sort_id(sort: HoldSort) -> &'static str {
    match sort {
        HoldSort::Day => "day",
        HoldSort::Hour => "hour",
    }
}

/// A sort of hold test in words.
const fn sort_words(sort: HoldSort) -> &'static str {
    match sort {
        HoldSort::Day => "24-hour test",
        HoldSort::Hour => "one-hour test at working pressure",
    }
}

const fn judged_by_id(judged_by: JudgedBy) -> &'static str {
    match judged_by {
        JudgedBy::Linear => "linear",
        JudgedBy::GasLaw => "gas_law",
        JudgedBy::Worse => "worse",
    }
}

const fn judged_by_words(judged_by: JudgedBy) -> &'static str {
    match judged_by {
        JudgedBy::Linear => "the linear rule, with which the limit was published,",
        JudgedBy::GasLaw => "the gas law",
        JudgedBy::Worse => "the larger loss",
    }
}
