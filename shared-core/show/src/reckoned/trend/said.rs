//! What was found, in sentences: first plainly, then the figures.

use sponson_readiness::recurrent::{Ended, McfStep, Next, PowerLaw, Reversals, Way};

use super::{Found, Said, TrendAsked};
use crate::units::print;

/// Steps of the mean cumulative function that are told: the JSON has them all.
const STEPS: usize = 12;

/// The sentences, the most important first.
pub(super) fn lines(asked: &TrendAsked, found: &Found) -> Vec<String> {
    let mut lines = vec![plainly(asked, found), rate(asked, found)];
    lines.extend(
        found
            .next
            .as_ref()
            .map(|next| to_the_next(asked, found, next)),
    );
    lines.extend(tests(found));
    lines.extend(
        found
            .power
            .as_ref()
            .map(|power| fitted(asked, found, power)),
    );
    lines.extend(cumulative(asked, &found.mcf));
    lines
}

fn plainly(asked: &TrendAsked, found: &Found) -> String {
    let events = print::count(found.events.into(), "event");
    match found.way {
        Said::TooFew if found.events == 0 => "no event: nothing can be said of a trend".to_owned(),
        Said::TooFew => format!(
            "{events}: too few to tell a trend, which is looked for from {} on",
            asked.least
        ),
        Said::NotShown => format!(
            "no trend is shown: the {events} could come so by chance without getting more or fewer"
        ),
        Said::Called(Way::Worse) => format!(
            "getting worse: the {events} come faster as time goes, {}",
            by_chance(found)
        ),
        Said::Called(Way::Better) => format!(
            "getting better: the {events} come slower as time goes, {}",
            by_chance(found)
        ),
    }
}

/// By the weaker of the two tests that decide.
fn by_chance(found: &Found) -> String {
    let laplace = found.laplace.map_or(1.0, |it| it.p_two_sided);
    let p = found.mil.map_or(1.0, |it| it.p_two_sided).max(laplace);
    let once_in = [10_000, 1_000, 500, 200, 100, 50, 20]
        .into_iter()
        .find(|often| p * f64::from(*often) <= 1.0);
    match once_in {
        Some(often) => format!("and by chance alone that is seen in less than 1 of {often}"),
        None => "though that is seen by chance alone now and then".to_owned(),
    }
}

fn rate(asked: &TrendAsked, found: &Found) -> String {
    let rate = &found.rate;
    let pooled = match asked.units.len() {
        1 => String::new(),
        units => format!(", {units} units taken together"),
    };
    format!(
        "{} in {} of time watched{pooled}: {} to each unit of time ({} from {} to {})",
        print::count(found.events.into(), "event"),
        plain(rate.exposure),
        figure(rate.rate),
        percent(asked.level),
        figure(rate.lower),
        figure(rate.upper)
    )
}

fn to_the_next(asked: &TrendAsked, found: &Found, next: &Next) -> String {
    let among = match asked.units.len() {
        1 => "the next",
        _ => "the next among all units",
    };
    let upper = next.upper.map_or_else(
        || "without an upper end: it may never come".to_owned(),
        |upper| format!("to {}", figure(upper)),
    );
    let few = match found.way {
        Said::TooFew => "; that rests on very little",
        Said::NotShown | Said::Called(_) => "",
    };
    format!(
        "{among}, if things go on as they did: as likely before as after {} from the end ({} from \
         {} {upper}){few}",
        figure(next.median),
        percent(asked.level),
        figure(next.lower)
    )
}

fn tests(found: &Found) -> Vec<String> {
    let laplace = found.laplace.map(|u| {
        format!(
            "Laplace: u {}, p {} (above 0 is worse)",
            figure(u.statistic),
            figure(u.p_two_sided)
        )
    });
    let mil = found.mil.map(|mil| {
        format!(
            "MIL-HDBK-189: chi-square {} with {} degrees of freedom, p {} of better, {} of worse",
            figure(mil.chi2),
            mil.df,
            figure(mil.p_improving),
            figure(mil.p_worsening)
        )
    });
    let reversals = found.reversals.as_ref().map(reversals);
    [laplace, mil, reversals].into_iter().flatten().collect()
}

fn reversals(gaps: &Reversals) -> String {
    let by = if gaps.exact {
        "exact"
    } else {
        "by the normal distribution"
    };
    format!(
        "reverse arrangements: {} of {}, {} without a trend, p {} of better, {} of worse ({by})",
        gaps.reversals,
        gaps.most,
        plain(gaps.expected),
        figure(gaps.p_improving),
        figure(gaps.p_worsening)
    )
}

fn fitted(asked: &TrendAsked, found: &Found, power: &PowerLaw) -> String {
    let unbiased = power.beta_unbiased.map_or_else(String::new, |beta| {
        format!(", {} with its bias taken out", figure(beta))
    });
    format!(
        "power law: beta {} ({} from {} to {}{unbiased}; below 1 gets better, above 1 worse), \
         lambda {}; {} to each unit of time at age {}",
        figure(power.beta),
        percent(asked.level),
        figure(power.beta_lower),
        figure(power.beta_upper),
        figure(power.lambda),
        figure(power.rate_at(found.oldest)),
        plain(found.oldest)
    )
}

/// The steps, or as many of them as a person reads, the last among them.
fn cumulative(asked: &TrendAsked, steps: &[McfStep]) -> Vec<String> {
    let every = steps.len().div_ceil(STEPS).max(1);
    let told = steps
        .iter()
        .enumerate()
        .filter(|(at, _)| (steps.len() - 1 - at).is_multiple_of(every));
    let mut lines: Vec<String> = told.map(|(_, step)| one_step(asked, step)).collect();
    if every > 1 {
        lines.push(format!("every step of {} is in the JSON", steps.len()));
    }
    if asked.ended == Ended::AtEvent && asked.units.len() > 1 {
        lines.push(
            "each unit was watched to its last event: means at late ages are of few units"
                .to_owned(),
        );
    }
    lines
}

fn one_step(asked: &TrendAsked, step: &McfStep) -> String {
    format!(
        "by {}: {} events a unit on average ({} from {} to {}), {} watched then",
        plain(step.t),
        figure(step.mcf),
        percent(asked.level),
        figure(step.lower),
        figure(step.upper),
        print::count(step.at_risk.into(), "unit")
    )
}

fn percent(level: f64) -> String {
    format!("{} %", plain(level * 100.0))
}

/// The same without zeros at its end: what was given, not estimated.
fn plain(value: f64) -> String {
    let text = figure(value);
    if text.contains('.') && !text.contains('e') {
        return text.trim_end_matches('0').trim_end_matches('.').to_owned();
    }
    text
}

/// Three digits that count.
fn figure(value: f64) -> String {
    let size = value.abs();
    if size >= 100.0 || size == 0.0 {
        return format!("{value:.0}");
    }
    let places = [(10.0, 1), (1.0, 2), (0.1, 3), (0.01, 4), (0.001, 5)];
    match places.into_iter().find(|(from, _)| size >= *from) {
        Some((_, places)) => format!("{value:.places$}"),
        None => format!("{value:.2e}"),
    }
}
