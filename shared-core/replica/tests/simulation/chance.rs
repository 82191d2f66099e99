//! Everything that is left to chance, from one seed.

use sponson_made::Seeded;

/// What is drawn from a seed.
#[derive(Clone, Debug)]
pub(crate) struct Chance(Seeded);

impl Chance {
    pub(crate) const fn new(seed: u64) -> Self {
        Self(Seeded::new(seed))
    }

    /// Below `limit`; 0 where that is 0.
    pub(crate) fn below(&mut self, limit: u64) -> u64 {
        self.0.below(limit.max(1))
    }

    /// From `least` on, below `limit`.
    pub(crate) fn between(&mut self, least: i64, limit: i64) -> i64 {
        let span = u64::try_from(limit - least).expect("least stands before the limit");
        least + i64::try_from(self.below(span)).expect("a small number")
    }

    /// A position in a list of this length.
    pub(crate) fn index(&mut self, length: usize) -> usize {
        self.0.place(length.max(1))
    }

    /// Once in so many times.
    pub(crate) fn one_in(&mut self, times: u64) -> bool {
        self.below(times) == 0
    }

    /// One of a list; none of an empty one.
    pub(crate) fn pick<'a, T>(&mut self, list: &'a [T]) -> Option<&'a T> {
        if list.is_empty() {
            return None;
        }
        list.get(self.index(list.len()))
    }

    /// One of a list by its weight.
    pub(crate) fn weighed<T: Copy>(&mut self, list: &[(u64, T)]) -> T {
        self.0.weighed(list)
    }
}
