//! The figures by their names in `reckon-schema.md`.

use serde_json::{Value, json};
use sponson_readiness::recurrent::{McfStep, MilHdbk, Next, PowerLaw, Reversals, Trend, Way};

use super::{Found, Said};

/// All figures, in the order in which they are listed.
pub(super) fn figures(found: &Found, words: &[String]) -> Vec<(&'static str, Value)> {
    let mut figures = vec![
        ("trend", said(found.way).into()),
        ("words", words.into()),
        ("events", found.events.into()),
        ("exposure", found.rate.exposure.into()),
        ("rate", found.rate.rate.into()),
        ("rate_lower", found.rate.lower.into()),
        ("rate_upper", found.rate.upper.into()),
    ];
    figures.extend(tests(found));
    figures.extend(power(found));
    figures.push(("mcf", found.mcf.iter().map(step).collect()));
    figures.push(("mcf_variance", "lawless_nadeau".into()));
    figures
}

const fn said(way: Said) -> &'static str {
    match way {
        Said::TooFew => "too_few",
        Said::NotShown => "not_shown",
        Said::Called(Way::Worse) => "worse",
        Said::Called(Way::Better) => "better",
    }
}

fn tests(found: &Found) -> Vec<(&'static str, Value)> {
    let u = |read: fn(&Trend) -> f64| number(found.laplace.as_ref().map(read));
    let mil = |read: fn(&MilHdbk) -> f64| number(found.mil.as_ref().map(read));
    let gaps = |read: fn(&Reversals) -> f64| number(found.reversals.as_ref().map(read));
    let whole = |value: Option<u32>| value.map_or(Value::Null, Value::from);
    let reversals = found.reversals.as_ref();
    vec![
        ("laplace_u", u(|it| it.statistic)),
        ("laplace_p", u(|it| it.p_two_sided)),
        ("laplace_p_improving", u(|it| it.p_better)),
        ("laplace_p_worsening", u(|it| it.p_worse)),
        ("mil_hdbk_chi2", mil(|it| it.chi2)),
        ("mil_hdbk_df", whole(found.mil.as_ref().map(|it| it.df))),
        ("mil_hdbk_p", mil(|it| it.p_two_sided)),
        ("mil_hdbk_p_improving", mil(|it| it.p_improving)),
        ("mil_hdbk_p_worsening", mil(|it| it.p_worsening)),
        ("reversals", whole(reversals.map(|it| it.reversals))),
        ("reversals_most", whole(reversals.map(|it| it.most))),
        ("reversals_expected", gaps(|it| it.expected)),
        ("reversals_z", gaps(|it| it.z)),
        ("reversals_p", gaps(|it| it.p_two_sided)),
        ("reversals_p_improving", gaps(|it| it.p_improving)),
        ("reversals_p_worsening", gaps(|it| it.p_worsening)),
        (
            "reversals_exact",
            reversals.map_or(Value::Null, |it| it.exact.into()),
        ),
    ]
}

fn power(found: &Found) -> Vec<(&'static str, Value)> {
    let fitted = |read: fn(&PowerLaw) -> f64| number(found.power.as_ref().map(read));
    let maybe = |read: fn(&PowerLaw) -> Option<f64>| number(found.power.as_ref().and_then(read));
    let next = |read: fn(&Next) -> Option<f64>| number(found.next.as_ref().and_then(read));
    let interval = |power: &PowerLaw| match power.interval_is_exact {
        true => "chi_square",
        false => "likelihood",
    };
    let by = found.power.as_ref().map(interval);
    let now = found.power.as_ref().map(|it| it.rate_at(found.oldest));
    vec![
        ("power_law_beta", fitted(|it| it.beta)),
        ("power_law_beta_lower", fitted(|it| it.beta_lower)),
        ("power_law_beta_upper", fitted(|it| it.beta_upper)),
        (
            "power_law_beta_interval",
            by.map_or(Value::Null, Value::from),
        ),
        ("power_law_lambda", fitted(|it| it.lambda)),
        ("power_law_beta_unbiased", maybe(|it| it.beta_unbiased)),
        ("power_law_lambda_unbiased", maybe(|it| it.lambda_unbiased)),
        ("power_law_rate_now", number(now)),
        ("next_median", next(|it| Some(it.median))),
        ("next_lower", next(|it| Some(it.lower))),
        ("next_upper", next(|it| it.upper)),
    ]
}

fn number(value: Option<f64>) -> Value {
    value.map_or(Value::Null, Value::from)
}

fn step(step: &McfStep) -> Value {
    json!({
        "t": step.t,
        "at_risk": step.at_risk,
        "events": step.events,
        "mcf": step.mcf,
        "variance": step.variance,
        "variance_poisson": step.variance_poisson,
        "lower": step.lower,
        "upper": step.upper,
    })
}
