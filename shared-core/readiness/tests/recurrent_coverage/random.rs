//! Draws from one seed: the same on every run and machine.

/// SplitMix64 (Steele, Lea and Flood 2014).
pub(crate) struct Random(u64);

impl Random {
    pub(crate) const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// Above 0 and below 1.
    pub(crate) fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^= mixed >> 31;
        let high = u32::try_from(mixed >> 32).expect("32 bits");
        (f64::from(high) + 0.5) / 4_294_967_296.0
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
