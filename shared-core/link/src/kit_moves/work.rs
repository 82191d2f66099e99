//! How much of a search is left, counted in steps: the same on each machine, whatever the clock says.

/// Steps that may still be taken.
#[derive(Clone, Copy, Debug)]
pub(super) struct Work(u64);

impl Work {
    /// So many steps.
    pub(super) const fn new(steps: u64) -> Self {
        Self(steps)
    }

    /// As many as it takes.
    pub(super) const fn without_end() -> Self {
        Self(u64::MAX)
    }

    /// Takes steps; says whether there are any left.
    pub(super) const fn spend(&mut self, steps: u64) -> bool {
        self.0 = self.0.saturating_sub(steps);
        self.0 > 0
    }

    /// One part in so many, set aside for one search.
    pub(super) const fn part(self, of: u64) -> Self {
        Self(self.0 / of)
    }

    /// Steps left.
    pub(super) const fn left(self) -> u64 {
        self.0
    }

    /// Whether none is left.
    pub(super) const fn is_spent(self) -> bool {
        self.0 == 0
    }
}

/// A length as steps.
pub(super) fn steps(length: usize) -> u64 {
    u64::try_from(length).unwrap_or(u64::MAX)
}
