//! Everything that a test leaves to chance, from one seed: the same on every run and machine.
//!
//! Evenly spread numbers alone; what is spread otherwise a test makes of them.

/// SplitMix64 (Steele, Lea and Flood, 2014; constants from memory): any spread will do in a test.
#[derive(Clone, Debug)]
pub struct Seeded(u64);

impl Seeded {
    /// A spread from a seed.
    #[must_use]
    pub const fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// Any number at all.
    pub const fn any(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number below a limit. For small limits: the leaning of a remainder is nothing there.
    ///
    /// # Panics
    /// When the limit is 0.
    pub const fn below(&mut self, limit: u64) -> u64 {
        self.any() % limit
    }

    /// A number from `low` to less than `high`.
    ///
    /// # Panics
    /// When there is none.
    pub const fn between(&mut self, (low, high): (u64, u64)) -> u64 {
        low + self.below(high - low)
    }

    /// Once in so many times.
    ///
    /// # Panics
    /// When that is 0.
    pub const fn one_in(&mut self, times: u64) -> bool {
        self.below(times) == 0
    }

    /// A place among so many.
    ///
    /// # Panics
    /// When there is none.
    pub fn place(&mut self, count: usize) -> usize {
        let count = u64::try_from(count).expect("fits");
        usize::try_from(self.below(count)).expect("it was one")
    }

    /// One of these.
    ///
    /// # Panics
    /// When there is none.
    pub fn of_these<'a, T>(&mut self, these: &'a [T]) -> &'a T {
        &these[self.place(these.len())]
    }

    /// One of these by its weight.
    ///
    /// # Panics
    /// When all weights are 0.
    pub fn weighed<T: Copy>(&mut self, these: &[(u64, T)]) -> T {
        let whole = these.iter().map(|(weight, _)| weight).sum();
        let mut left = self.below(whole);
        for (weight, thing) in these {
            if left < *weight {
                return *thing;
            }
            left -= weight;
        }
        unreachable!("what is left is below the sum of the weights")
    }

    /// Places `0..count` in a random order (Fisher and Yates).
    #[must_use]
    pub fn shuffled(&mut self, count: usize) -> Vec<usize> {
        let mut places: Vec<usize> = (0..count).collect();
        for last in (1..count).rev() {
            let other = self.place(last + 1);
            places.swap(last, other);
        }
        places
    }

    /// Above 0 and below 1, in steps of 2^-32: for spreads that take a logarithm.
    pub fn share(&mut self) -> f64 {
        let high = u32::try_from(self.any() >> 32).expect("32 bits");
        (f64::from(high) + 0.5) / 4_294_967_296.0
    }
}
