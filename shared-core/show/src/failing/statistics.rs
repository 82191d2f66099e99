//! The statistics behind a plain line, as rounded figures.

use sponson_readiness::keeps_failing::{
    Group, McfPoint, Per, PowerSaid, Rate, ShrunkRate, TestSaid, Times, Trend,
};

use super::StepSaid;
use super::figure::{Figure, Figures, Number};
use super::said::by_chance;

/// In what exposure is counted.
pub(super) const fn exposure_unit(per: Per) -> &'static str {
    match per {
        Per::Days => "days",
        Per::EngineHours => "engine hours",
        Per::Uses => "uses",
    }
}

/// For what a rate is told.
pub(super) const fn rate_unit(per: Per) -> &'static str {
    match per {
        Per::Days => "faults for each and year",
        Per::EngineHours => "faults in 100 engine hours",
        Per::Uses => "faults in 100 uses",
    }
}

/// Seconds, engine seconds or uses in the unit of [`exposure_unit`].
pub(super) fn exposure(units: u64, per: Per) -> Number {
    let of = match per {
        Per::Days => 86_400,
        Per::EngineHours => 3_600,
        Per::Uses => 1,
    };
    Number::parts(units, of)
}

/// Figures of a rate.
pub(super) fn rate(of: &Rate, per: Per) -> Figures {
    Figures(rate_figures(of, per))
}

fn rate_figures(of: &Rate, per: Per) -> Vec<Figure> {
    vec![
        Figure::new("faults", "Faults", Some(Number::whole(of.faults))),
        Figure::new("exposure", "Watched", Some(exposure(of.exposure, per)))
            .unit(exposure_unit(per)),
        Figure::new("rate", "How often", Some(Number::millionths(of.micro)))
            .unit(rate_unit(per))
            .between(
                Number::millionths(of.low_micro),
                Some(Number::millionths(of.high_micro)),
            ),
    ]
}

/// Figures of a group.
pub(super) fn group(group: &Group, per: Per) -> Figures {
    let mut all = rate_figures(&group.rate, per);
    all.push(Figure::new(
        "units",
        "Craft, gear or repairs watched",
        Some(Number::whole(group.units)),
    ));
    all.extend(group.usual.as_ref().map(|usual| usual_rate(usual, per)));
    all.extend(group.times.as_ref().into_iter().flat_map(against_usual));
    all.extend(
        group
            .shrunk
            .as_ref()
            .into_iter()
            .flat_map(|it| shrunk(it, per)),
    );
    all.extend(trend(&group.trend));
    all.extend(
        group
            .power
            .as_ref()
            .into_iter()
            .flat_map(|it| power(it, per)),
    );
    Figures(all)
}

fn usual_rate(usual: &Rate, per: Per) -> Figure {
    Figure::new(
        "usual",
        "The usual: how often with the rest",
        Some(Number::millionths(usual.micro)),
    )
    .unit(rate_unit(per))
    .between(
        Number::millionths(usual.low_micro),
        Some(Number::millionths(usual.high_micro)),
    )
}

fn against_usual(times: &Times) -> Vec<Figure> {
    vec![
        Figure::new(
            "times_usual",
            "Times the usual",
            times.milli.map(Number::thousandths),
        )
        .between(
            Number::thousandths(times.low_milli),
            times.high_milli.map(Number::thousandths),
        ),
        p("p", "So far from the usual by chance alone", times.p_ppm),
        p(
            "p_adjusted",
            "The same, with all groups that were looked at in mind",
            times.p_adjusted_ppm,
        ),
    ]
}

fn shrunk(shrunk: &ShrunkRate, per: Per) -> Vec<Figure> {
    vec![
        Figure::new(
            "drawn_to_usual",
            "How often, drawn towards the usual as far as its numbers are small",
            Some(Number::millionths(shrunk.micro)),
        )
        .unit(rate_unit(per))
        .between(
            Number::millionths(shrunk.low_micro),
            Some(Number::millionths(shrunk.high_micro)),
        ),
        Figure::new(
            "drawn_times_usual",
            "The same, times the mean of the groups",
            Some(Number::thousandths(shrunk.times_milli)),
        ),
    ]
}

/// Each test has its statistic and both probabilities, a figure each.
fn trend(trend: &Trend) -> Vec<Figure> {
    let laplace = trend.laplace.as_ref().map(|test| {
        tested(
            test,
            ["laplace_u", "laplace_p_worse", "laplace_p_better"],
            "Laplace's test",
            None,
        )
    });
    let mil_hdbk = trend.mil_hdbk.as_ref().map(|test| {
        tested(
            test,
            ["mil_hdbk_chi2", "mil_hdbk_p_worse", "mil_hdbk_p_better"],
            "Test of MIL-HDBK-189",
            Some(("mil_hdbk_df", "degrees of freedom")),
        )
    });
    let reversals = trend.reversals.as_ref().map(|test| {
        tested(
            test,
            ["reversals", "reversals_p_worse", "reversals_p_better"],
            "Reverse arrangements",
            Some(("reversals_most", "the most there can be")),
        )
    });
    [laplace, mil_hdbk, reversals]
        .into_iter()
        .flatten()
        .flatten()
        .collect()
}

fn tested(
    test: &TestSaid,
    [statistic, worse, better]: [&'static str; 3],
    name: &str,
    of: Option<(&'static str, &str)>,
) -> Vec<Figure> {
    let statistic_shown = Number::signed_parts(test.statistic_milli, 1_000);
    let mut all = vec![Figure::new(statistic, name, Some(statistic_shown))];
    all.extend(of.map(|(id, words)| {
        Figure::new(
            id,
            &format!("{name}: {words}"),
            Some(Number::whole(test.of)),
        )
    }));
    all.push(p(
        worse,
        &format!("{name}: looks so much like getting worse"),
        test.p_worse_ppm,
    ));
    all.push(p(
        better,
        &format!("{name}: looks so much like getting better"),
        test.p_better_ppm,
    ));
    all
}

fn power(power: &PowerSaid, per: Per) -> Vec<Figure> {
    let beta = Figure::new(
        "power_law_beta",
        "Power of age (above 1: faults come faster with age)",
        Some(Number::thousandths(power.beta_milli)),
    )
    .between(
        Number::thousandths(power.beta_low_milli),
        Some(Number::thousandths(power.beta_high_milli)),
    );
    let now = Figure::new(
        "rate_now",
        "How often now, by that power",
        Some(Number::millionths(power.now_micro)),
    )
    .unit(rate_unit(per));
    let next = power.next.as_ref().map(|next| {
        Figure::new(
            "next",
            "Until the next fault in this group",
            Some(exposure(next.median, per)),
        )
        .unit(exposure_unit(per))
        .between(
            exposure(next.low, per),
            next.high.map(|high| exposure(high, per)),
        )
    });
    [Some(beta), Some(now), next]
        .into_iter()
        .flatten()
        .collect()
}

fn p(id: &'static str, name: &str, ppm: u32) -> Figure {
    Figure::new(id, name, Some(Number::millionths(u64::from(ppm)))).says(by_chance(ppm))
}

/// Steps of the mean number of faults so far.
pub(super) fn steps(points: &[McfPoint], per: Per) -> Vec<StepSaid> {
    let step = |point: &McfPoint| StepSaid {
        t: exposure(point.at, per),
        at_risk: Number::whole(point.at_risk),
        mcf: Number::millionths(point.micro),
        lower: Number::millionths(point.low_micro),
        upper: Number::millionths(point.high_micro),
    };
    points.iter().map(step).collect()
}
