//! How sure a line is: intervals, p, what a later reading may show, and when it reaches a minimum.
//!
//! Statistics. They stand beside a finding and decide nothing.

use statrs::distribution::{ContinuousCDF as _, StudentsT};

use super::line::Line;

/// A line of at least three points with Student's t for an interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    line: Line,
    t: f64,
    /// Variance of one reading about the line.
    variance: f64,
    df: f64,
}

/// What the line says of a day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prediction {
    /// y of the line.
    pub mean: f64,
    /// Standard error of that.
    pub mean_se: f64,
    /// Interval of the line.
    pub mean_interval: (f64, f64),
    /// Interval of one reading.
    pub reading_interval: (f64, f64),
}

/// Days on which the line may be at a value (Fieller's theorem).
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Crossing {
    /// Between two days.
    Bounded(f64, f64),
    /// Before the first or after the second: the slope may be either way, so the interval is open.
    Outside(f64, f64),
    /// Any day: the readings do not tell.
    Anywhere,
}

impl Spread {
    /// The line with two-sided intervals of `level`, for example 0.95; none for fewer than three
    /// points, or a level that is not between 0 and 1.
    #[must_use]
    pub fn of(line: Line, level: f64) -> Option<Self> {
        let df = f64::from(Some(line.df).filter(|df| *df > 0)?);
        if !(level > 0.0 && level < 1.0) {
            return None;
        }
        Some(Self {
            line,
            t: quantile(df, 0.5 + level / 2.0)?,
            variance: line.residual_ss / df,
            df,
        })
    }

    /// Student's t of the interval.
    #[must_use]
    pub const fn t(&self) -> f64 {
        self.t
    }

    /// Standard deviation of a reading about the line.
    #[must_use]
    pub fn residual_sd(&self) -> f64 {
        self.variance.sqrt()
    }

    /// Share of the readings' variation that the line takes up.
    #[must_use]
    pub fn r_squared(&self) -> f64 {
        1.0 - self.line.residual_ss / self.line.syy
    }

    /// Standard error of the slope.
    #[must_use]
    pub fn slope_se(&self) -> f64 {
        (self.variance / self.line.sxx).sqrt()
    }

    /// Standard error of the intercept.
    #[must_use]
    pub fn intercept_se(&self) -> f64 {
        self.mean_variance(0.0).sqrt()
    }

    /// Interval of the slope.
    #[must_use]
    pub fn slope_interval(&self) -> (f64, f64) {
        self.about(self.line.slope, self.slope_se())
    }

    /// Interval of the intercept.
    #[must_use]
    pub fn intercept_interval(&self) -> (f64, f64) {
        self.about(self.line.intercept, self.intercept_se())
    }

    /// Two-sided p of a slope of 0; none where every reading lies on the line.
    #[must_use]
    pub fn slope_p(&self) -> Option<f64> {
        let t = (self.line.slope / self.slope_se()).abs();
        if !t.is_finite() {
            return None;
        }
        let law = StudentsT::new(0.0, 1.0, self.df).ok()?;
        Some(2.0 * law.sf(t))
    }

    /// What the line says of a day.
    #[must_use]
    pub fn prediction(&self, t_days: f64) -> Prediction {
        let mean = self.line.at(t_days);
        let mean_variance = self.mean_variance(t_days);
        let mean_se = mean_variance.sqrt();
        Prediction {
            mean,
            mean_se,
            mean_interval: self.about(mean, mean_se),
            reading_interval: self.about(mean, (mean_variance + self.variance).sqrt()),
        }
    }

    /// Days on which the line may be at y.
    #[must_use]
    pub fn crossing(&self, y: f64) -> Crossing {
        match self.roots(y, self.t, 0.0) {
            Roots::Inside(first, last) => Crossing::Bounded(first, last),
            Roots::Outside(first, last) => Crossing::Outside(first, last),
            Roots::None => Crossing::Anywhere,
        }
    }

    /// Standard error of the crossing by the delta method: too small where the slope is unsure.
    #[must_use]
    pub fn crossing_se(&self, y: f64) -> Option<f64> {
        let day = self.line.reaches(y)?;
        Some((self.mean_variance(day)).sqrt() / self.line.slope.abs())
    }

    /// First day on which the lower limit of the line itself is at y; none when it never falls there.
    #[must_use]
    pub fn line_may_reach(&self, y: f64) -> Option<f64> {
        self.falls_to(&self.roots(y, self.t, 0.0))
    }

    /// First day on which the lower limit of one reading is at y.
    #[must_use]
    pub fn reading_may_reach(&self, y: f64) -> Option<f64> {
        self.falls_to(&self.roots(y, self.t, 1.0))
    }

    /// The same by a one-sided limit of `level`.
    #[must_use]
    pub fn reading_may_reach_one_sided(&self, y: f64, level: f64) -> Option<f64> {
        let t = quantile(self.df, level)?;
        self.falls_to(&self.roots(y, t, 1.0))
    }

    fn falls_to(&self, roots: &Roots) -> Option<f64> {
        match roots {
            Roots::Inside(first, _) => (self.line.slope < 0.0).then_some(*first),
            Roots::Outside(_, last) => Some(*last),
            Roots::None => None,
        }
    }

    fn about(&self, middle: f64, se: f64) -> (f64, f64) {
        (middle - self.t * se, middle + self.t * se)
    }

    fn mean_variance(&self, t_days: f64) -> f64 {
        let from_mean = t_days - self.line.t_mean;
        self.variance * (1.0 / f64::from(self.line.level_n) + from_mean * from_mean / self.line.sxx)
    }

    /// Days at which y lies on the edge of the interval of the line, or of a reading where
    /// `of_reading` is 1: (y - line)² = t² · variance, a quadratic in the days from their mean.
    fn roots(&self, y: f64, t: f64, of_reading: f64) -> Roots {
        let line = &self.line;
        let q = t * t * self.variance;
        let below = y - line.y_mean;
        let a = line.slope * line.slope - q / line.sxx;
        let half_b = -line.slope * below;
        let c = below * below - q * (1.0 / f64::from(line.level_n) + of_reading);
        let within = half_b * half_b - a * c;
        if a == 0.0 || within < 0.0 || !within.is_finite() {
            return Roots::None;
        }
        let (one, other) = (
            line.t_mean + (-half_b - within.sqrt()) / a,
            line.t_mean + (-half_b + within.sqrt()) / a,
        );
        let (first, last) = (one.min(other), one.max(other));
        if a > 0.0 {
            Roots::Inside(first, last)
        } else {
            Roots::Outside(first, last)
        }
    }
}

enum Roots {
    Inside(f64, f64),
    Outside(f64, f64),
    None,
}

fn quantile(df: f64, p: f64) -> Option<f64> {
    let law = StudentsT::new(0.0, 1.0, df).ok()?;
    (p > 0.0 && p < 1.0).then(|| law.inverse_cdf(p))
}
