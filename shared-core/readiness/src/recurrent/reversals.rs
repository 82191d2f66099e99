//! Is it getting worse or better, by the gaps alone: reverse arrangements.
//!
//! Counts the pairs of gaps of which the later is longer. Exact probabilities up to a limit, beyond
//! it the normal distribution.

use super::distribution::{normal_above, normal_below};
use super::{Ended, Unit, count, windows};

/// Most gaps of one unit, and most pairs together, for which probabilities are exact: 60 gaps have
/// 1,770 pairs, and ten such units together take some ten million additions.
const EXACT_GAPS: usize = 60;
const EXACT_PAIRS: u32 = 18_000;

/// The test of reverse arrangements.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reversals {
    /// Gaps that it rests on.
    pub gaps: u32,
    /// Pairs of gaps of which the later is longer. Equal gaps are none.
    pub reversals: u32,
    /// Pairs that are equal.
    pub ties: u32,
    /// Pairs there are.
    pub most: u32,
    /// Reversals without a trend.
    pub expected: f64,
    /// Standard deviation of that.
    pub sd: f64,
    /// (reversals - expected + 1/2) / sd, as NIST prints it.
    pub z: f64,
    /// Half a reversal nearer to none: for probabilities by the normal distribution.
    pub z_corrected: f64,
    /// Of getting better: as many reversals or more.
    pub p_improving: f64,
    /// Of getting worse: as few reversals or fewer; pairs that are equal are taken as reversals.
    pub p_worsening: f64,
    /// Of a trend either way: twice the smaller.
    pub p_two_sided: f64,
    /// Probabilities are exact, not by the normal distribution.
    pub exact: bool,
}

/// The test of reverse arrangements over the gaps of each unit, the first from the beginning of
/// watching; for several units by the sum over all. None without two gaps in one unit. The gap that
/// ends with the last event is a gap like any other, whatever ended the watching.
///
/// Source: NIST/SEMATECH e-Handbook 8.2.3.4.
#[must_use]
pub fn reverse_arrangements(units: &[Unit]) -> Option<Reversals> {
    let gaps: Vec<Vec<f64>> = windows(units, Ended::AtTime)
        .iter()
        .map(|window| gaps(window.from, &window.free))
        .filter(|gaps| gaps.len() > 1)
        .collect();
    (!gaps.is_empty()).then(|| Counted::of(&gaps).tested(&gaps))
}

fn gaps(from: f64, events: &[f64]) -> Vec<f64> {
    let mut before = from;
    let gap = |at: &f64| {
        let gap = at - before;
        before = *at;
        gap
    };
    events.iter().map(gap).collect()
}

/// Pairs of gaps, counted.
#[derive(Default)]
struct Counted {
    gaps: u32,
    reversals: u32,
    ties: u32,
    most: u32,
    variance: f64,
}

impl Counted {
    fn of(units: &[Vec<f64>]) -> Self {
        let mut all = Self::default();
        for gaps in units {
            for (at, gap) in gaps.iter().enumerate() {
                let later = gaps.get(at + 1..).unwrap_or_default();
                all.reversals += count(later.iter().filter(|next| gap < next).count());
                all.ties += count(later.iter().filter(|next| gap == *next).count());
            }
            let each = count(gaps.len());
            let r = f64::from(each);
            all.gaps += each;
            all.most += each * (each - 1) / 2;
            all.variance += (2.0 * r + 5.0) * (r - 1.0) * r / 72.0;
        }
        all
    }

    fn tested(&self, units: &[Vec<f64>]) -> Reversals {
        let expected = f64::from(self.most) / 2.0;
        let sd = self.variance.sqrt();
        let off = f64::from(self.reversals) - expected;
        let shrunk = (off.abs() - 0.5).max(0.0);
        let (p_improving, p_worsening, exact) = self.chances(units, expected, sd);
        Reversals {
            gaps: self.gaps,
            reversals: self.reversals,
            ties: self.ties,
            most: self.most,
            expected,
            sd,
            z: (off + 0.5) / sd,
            z_corrected: if off < 0.0 { -shrunk / sd } else { shrunk / sd },
            p_improving,
            p_worsening,
            p_two_sided: (2.0 * p_improving.min(p_worsening)).min(1.0),
            exact,
        }
    }

    /// P(as many or more), P(as few or fewer) and whether they are exact.
    fn chances(&self, units: &[Vec<f64>], expected: f64, sd: f64) -> (f64, f64, bool) {
        let few = self.reversals + self.ties;
        let is_short = units.iter().all(|gaps| gaps.len() <= EXACT_GAPS);
        if !is_short || self.most > EXACT_PAIRS {
            let more = normal_above((f64::from(self.reversals) - 0.5 - expected) / sd);
            let fewer = normal_below((f64::from(few) + 0.5 - expected) / sd);
            return (more, fewer, false);
        }
        let mut chances = vec![1.0];
        for gaps in units {
            for so_far in 1..=gaps.len() {
                chances = spread(&chances, so_far);
            }
        }
        let at = |reversals: u32| usize::try_from(reversals).unwrap_or(usize::MAX);
        let more = chances.iter().skip(at(self.reversals)).sum::<f64>();
        let fewer = chances.iter().take(at(few).saturating_add(1)).sum::<f64>();
        (more.min(1.0), fewer.min(1.0), true)
    }
}

/// Probability of each number of reversals among `gaps` gaps in any order, from 0 on.
#[must_use]
pub fn reversal_probabilities(gaps: usize) -> Vec<f64> {
    (1..=gaps).fold(vec![1.0], |chances, so_far| spread(&chances, so_far))
}

/// A further gap adds 0 to `so_far` - 1 reversals, each as likely.
fn spread(chances: &[f64], so_far: usize) -> Vec<f64> {
    let mut wider = vec![0.0; chances.len() + so_far - 1];
    let share = f64::from(count(so_far));
    for added in 0..so_far {
        for (place, chance) in wider.iter_mut().skip(added).zip(chances) {
            *place += chance / share;
        }
    }
    wider
}
