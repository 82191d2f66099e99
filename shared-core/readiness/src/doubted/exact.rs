//! Exact figures for small numbers: a share with its interval, two shares compared, the middle of
//! differences with its interval. Distributions are those of `statrs`.

use statrs::distribution::{Beta, Binomial, ContinuousCDF as _, DiscreteCDF as _, Hypergeometric};

use super::Share;
use crate::recurrent::LEVEL;

impl Share {
    /// So many of so many, by Clopper and Pearson (1934).
    pub(super) fn of(count: u32, of: u32) -> Self {
        let quantile = |shape: (u32, u32), p: f64| {
            let law = Beta::new(f64::from(shape.0), f64::from(shape.1));
            law.ok().map(|law| law.inverse_cdf(p))
        };
        let tail = (1.0 - LEVEL) / 2.0;
        let least = match count {
            0 => None,
            count => quantile((count, of - count.min(of) + 1), tail),
        };
        let most = if count < of {
            quantile((count + 1, of - count), 1.0 - tail)
        } else {
            None
        };
        Self {
            count,
            of,
            between: (least.unwrap_or(0.0), most.unwrap_or(1.0)),
        }
    }
}

/// Chance of `of.count` or more among `of`, if it came as often as among the others: Fisher's exact
/// test, one-sided; none without others.
pub(super) fn more_often(of: Share, others: Share) -> Option<f64> {
    if others.of == 0 || of.of == 0 {
        return None;
    }
    let all = u64::from(of.of) + u64::from(others.of);
    let hits = u64::from(of.count) + u64::from(others.count);
    let law = Hypergeometric::new(all, hits, u64::from(of.of)).ok()?;
    Some(match u64::from(of.count).checked_sub(1) {
        None => 1.0,
        Some(below) => law.sf(below),
    })
}

/// Chance of such signs if the middle lay within `within` of 0: two-sided sign test against both ends.
pub(super) fn beyond(differences: &[f64], within: f64) -> Option<f64> {
    let n = u64::try_from(differences.len()).ok().filter(|n| *n > 0)?;
    let law = Binomial::new(0.5, n).ok()?;
    let count = |is: &dyn Fn(f64) -> bool| differences.iter().filter(|it| is(**it)).count();
    let at_least = |count: usize| match count.checked_sub(1) {
        None => 1.0,
        Some(below) => law.sf(below as u64),
    };
    let (high, low) = (count(&|it| it > within), count(&|it| it < -within));
    Some((2.0 * at_least(high).min(at_least(low))).min(1.0))
}

/// The middle value; of an even number the mean of the two. None without values.
pub(super) fn median(values: &[f64]) -> Option<f64> {
    let sorted = sorted(values);
    let (half, is_odd) = (sorted.len() / 2, sorted.len() % 2 == 1);
    let upper = *sorted.get(half)?;
    let lower = if is_odd {
        upper
    } else {
        *sorted.get(half.checked_sub(1)?)?
    };
    Some((lower + upper) / 2.0)
}

/// Interval of the middle by the order of the values, at least 95 %; none for fewer than six.
///
/// Conover, Practical Nonparametric Statistics, 3.2: from the k-th to the k-th from above, k the most
/// for which a fair coin shows fewer than k heads with half of 5 % at most.
pub(super) fn median_between(values: &[f64]) -> Option<(f64, f64)> {
    let sorted = sorted(values);
    let law = Binomial::new(0.5, sorted.len() as u64).ok()?;
    let tail = (1.0 - LEVEL) / 2.0;
    let mut ranks = (0..sorted.len() / 2).filter(|below| law.cdf(*below as u64) <= tail);
    let place = ranks.next_back()?;
    let above = sorted.len().checked_sub(place + 1)?;
    Some((*sorted.get(place)?, *sorted.get(above)?))
}

fn sorted(values: &[f64]) -> Vec<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted
}

#[cfg(test)]
mod tests;
