//! Two rates against each other, exactly: given both counts together, the first is binomial.
//!
//! Exact tests and intervals are careful with small counts: a p of 0.05 means at most that.

use super::distribution::{Draws, beta_quantile};

/// R's allowance for values that are equal but for rounding (`binom.test`).
const AS_LIKELY: f64 = 1.0 + 1e-7;

/// The first rate against the second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Compared {
    /// First rate by second; infinite where the second has no event, none where neither has.
    pub ratio: Option<f64>,
    /// Lower end of the ratio's interval (Clopper and Pearson).
    pub lower: f64,
    /// Upper end of it; infinite where the second has no event.
    pub upper: f64,
    /// That the rates differ: what is no likelier than what was seen.
    pub p_two_sided: f64,
    /// That the first is the higher.
    pub p_greater: f64,
    /// That the first is the lower.
    pub p_less: f64,
    /// The same three with half of what was seen: less careful, nearer to its level.
    pub mid_p: MidP,
}

/// Probabilities that count what was seen by half.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MidP {
    /// That the rates differ.
    pub two_sided: f64,
    /// That the first is the higher.
    pub greater: f64,
    /// That the first is the lower.
    pub less: f64,
}

/// Compares two rates; none where one was not watched.
///
/// Source: Przyborowski and Wilenski 1940, as R's `poisson.test` does it.
#[must_use]
pub fn compare(
    (count1, exposure1): (u32, f64),
    (count2, exposure2): (u32, f64),
    level: f64,
) -> Option<Compared> {
    compare_at((count1, exposure1), (count2, exposure2), 1.0, level)
}

/// Compares two rates whose ratio is asked to be other than `ratio`.
#[must_use]
pub fn compare_at(
    (count1, exposure1): (u32, f64),
    (count2, exposure2): (u32, f64),
    ratio: f64,
    level: f64,
) -> Option<Compared> {
    let is_watched = |exposure: f64| exposure > 0.0 && exposure.is_finite();
    let total = count1.checked_add(count2)?;
    if !is_watched(exposure1) || !is_watched(exposure2) || ratio <= 0.0 {
        return None;
    }
    let share = ratio * exposure1 / (ratio * exposure1 + exposure2);
    let draws = Draws::new(share, total);
    let seen = draws.exactly(count1);
    let (greater, less) = (draws.at_least(count1), draws.at_most(count1));
    let two_sided = as_unlikely(&draws, count1, total);
    let (lower, upper) = shares(count1, count2, level);
    let odds = |share: f64| share / (1.0 - share) * exposure2 / exposure1;
    Some(Compared {
        ratio: (total > 0).then(|| f64::from(count1) * exposure2 / (f64::from(count2) * exposure1)),
        lower: odds(lower),
        upper: odds(upper),
        p_two_sided: two_sided,
        p_greater: greater,
        p_less: less,
        mid_p: MidP {
            two_sided: two_sided - seen / 2.0,
            greater: greater - seen / 2.0,
            less: less - seen / 2.0,
        },
    })
}

/// Probability of all that is no likelier than what was seen.
fn as_unlikely(draws: &Draws, count: u32, total: u32) -> f64 {
    let most = draws.exactly(count) * AS_LIKELY;
    let chances = (0..=total).map(|x| draws.exactly(x));
    chances
        .filter(|chance| *chance <= most)
        .sum::<f64>()
        .min(1.0)
}

/// Clopper and Pearson's interval of the first's share of the events.
fn shares(count1: u32, count2: u32, level: f64) -> (f64, f64) {
    let tail = (1.0 - level) / 2.0;
    let (first, second) = (f64::from(count1), f64::from(count2));
    let lower = match count1 {
        0 => 0.0,
        _ => beta_quantile(first, second + 1.0, tail),
    };
    let upper = match count2 {
        0 => 1.0,
        _ => beta_quantile(first + 1.0, second, 1.0 - tail),
    };
    (lower, upper)
}
