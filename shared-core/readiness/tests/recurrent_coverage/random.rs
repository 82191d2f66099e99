//! Draws from one seed: the same on every run and machine.

use sponson_made::Seeded;

/// What is drawn from one seed.
pub(crate) struct Random(Seeded);

impl Random {
    pub(crate) const fn new(seed: u64) -> Self {
        Self(Seeded::new(seed))
    }

    /// Above 0 and below 1.
    pub(crate) fn share(&mut self) -> f64 {
        self.0.share()
    }

    /// Exponential with mean 1.
    pub(crate) fn exponential(&mut self) -> f64 {
        -libm::log(self.share())
    }

    /// Gamma with a whole shape and mean 1.
    pub(crate) fn frailty(&mut self, shape: u32) -> f64 {
        (0..shape).map(|_| self.exponential()).sum::<f64>() / f64::from(shape)
    }

    /// Poisson with that mean.
    pub(crate) fn poisson(&mut self, mean: f64) -> u32 {
        let mut events = 0;
        let mut at = self.exponential();
        while at < mean {
            events += 1;
            at += self.exponential();
        }
        events
    }
}
