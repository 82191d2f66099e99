//! Probabilities and quantiles by `statrs`, for arguments that the callers have looked at.

use statrs::distribution::{
    Beta, Binomial, ChiSquared, Continuous as _, ContinuousCDF as _, Discrete as _,
    DiscreteCDF as _, Gamma, Normal, StudentsT,
};

/// P(Z <= z) of the standard normal.
pub(super) fn normal_below(z: f64) -> f64 {
    Normal::standard().cdf(z)
}

/// P(Z > z) of the standard normal.
pub(super) fn normal_above(z: f64) -> f64 {
    Normal::standard().sf(z)
}

/// Quantile of the standard normal.
pub(super) fn normal_quantile(p: f64) -> f64 {
    Normal::standard().inverse_cdf(p)
}

/// Quantile of Student's t.
pub(super) fn student_quantile(df: u32, p: f64) -> f64 {
    StudentsT::new(0.0, 1.0, f64::from(df)).map_or(f64::NAN, |known| known.inverse_cdf(p))
}

/// P(X <= x) and P(X > x) of chi-square.
pub(super) fn chi_square(x: f64, df: u32) -> (f64, f64) {
    ChiSquared::new(f64::from(df)).map_or((f64::NAN, f64::NAN), |d| (d.cdf(x), d.sf(x)))
}

/// Quantile of the gamma distribution with rate 1.
pub(super) fn gamma_quantile(shape: f64, p: f64) -> f64 {
    Gamma::new(shape, 1.0).map_or(f64::NAN, |known| {
        // Not its own quantile: that goes on for a hundred steps where the last digit never settles.
        let start = gamma_start(shape, p);
        quantile(start, p, |x| known.cdf(x), |x| known.pdf(x))
    })
}

/// Near the quantile: Wilson and Hilferty's, or by the first term of the series near 0.
fn gamma_start(shape: f64, p: f64) -> f64 {
    let root = 1.0 - 1.0 / (9.0 * shape) + normal_quantile(p) / (3.0 * shape.sqrt());
    if root > 0.3 {
        shape * root * root * root
    } else {
        libm::exp((libm::log(p) + libm::lgamma(shape + 1.0)) / shape)
    }
}

/// Most steps to a quantile: seven are enough from a near start, and each other one halves its range.
const STEPS: u32 = 60;

/// The value above 0 below which a probability lies: Newton's steps, held to a range that holds it.
pub(super) fn quantile(
    start: f64,
    p: f64,
    below: impl Fn(f64) -> f64,
    density: impl Fn(f64) -> f64,
) -> f64 {
    let (mut low, mut high, mut at) = (0.0, f64::INFINITY, start);
    for _ in 0..STEPS {
        let off = below(at) - p;
        if off < 0.0 {
            low = at;
        } else {
            high = at;
        }
        let newton = at - off / density(at);
        let next = if newton > low && newton < high {
            newton
        } else if high.is_finite() {
            (low + high) / 2.0
        } else {
            2.0 * at
        };
        if (next - at).abs() <= 1e-13 * at {
            return next;
        }
        at = next;
    }
    at
}

/// P(X <= x) of the gamma distribution with rate 1.
pub(super) fn gamma_below(shape: f64, x: f64) -> f64 {
    Gamma::new(shape, 1.0).map_or(f64::NAN, |known| known.cdf(x))
}

/// Density of the gamma distribution with rate 1.
pub(super) fn gamma_density(shape: f64, x: f64) -> f64 {
    Gamma::new(shape, 1.0).map_or(f64::NAN, |known| known.pdf(x))
}

/// Quantile of the beta distribution.
pub(crate) fn beta_quantile(a: f64, b: f64, p: f64) -> f64 {
    Beta::new(a, b).map_or(f64::NAN, |known| {
        let rough = known.inverse_cdf(p);
        refined(rough, p, |x| known.cdf(x), |x| known.pdf(x))
    })
}

/// Newton steps from a quantile that a library stopped short of by its own tolerance.
fn refined(rough: f64, p: f64, below: impl Fn(f64) -> f64, density: impl Fn(f64) -> f64) -> f64 {
    let step = |x: f64| {
        let next = x - (below(x) - p) / density(x);
        if next.is_finite() && next > 0.0 && (next - x).abs() < 0.01 * x {
            next
        } else {
            x
        }
    };
    step(step(rough))
}

/// Binomial probabilities of `n` draws.
pub(super) struct Draws {
    known: Option<Binomial>,
}

impl Draws {
    pub(super) fn new(p: f64, n: u32) -> Self {
        Self {
            known: Binomial::new(p, u64::from(n)).ok(),
        }
    }

    /// P(X = x).
    pub(super) fn exactly(&self, x: u32) -> f64 {
        let known = self.known.as_ref();
        known.map_or(f64::NAN, |known| known.pmf(u64::from(x)))
    }

    /// P(X <= x).
    pub(super) fn at_most(&self, x: u32) -> f64 {
        let known = self.known.as_ref();
        known.map_or(f64::NAN, |known| known.cdf(u64::from(x)))
    }

    /// P(X >= x).
    pub(super) fn at_least(&self, x: u32) -> f64 {
        match x.checked_sub(1) {
            None => 1.0,
            Some(before) => {
                let known = self.known.as_ref();
                known.map_or(f64::NAN, |known| known.sf(u64::from(before)))
            }
        }
    }
}
