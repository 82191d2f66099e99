//! The plain verdict on a group: what is said first.

/// What is said of a group. One rule decides, see `of`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Said {
    /// More than the usual.
    MoreThanUsual {
        /// Its rate by the usual, thousandths; none where the rest had no fault.
        times_milli: Option<u64>,
        /// Faults that this rests on.
        faults: u32,
        /// It could be chance.
        could_be_chance: bool,
    },
    /// About the usual, as far as such numbers can say.
    AsUsual {
        /// Faults that this rests on.
        faults: u32,
    },
    /// Less than the usual.
    LessThanUsual {
        /// Its rate by the usual, thousandths.
        times_milli: u64,
        /// Faults that this rests on.
        faults: u32,
        /// It could be chance.
        could_be_chance: bool,
    },
    /// Too few to say anything.
    TooFew {
        /// Faults there are.
        faults: u32,
        /// From which something is said.
        least: u32,
    },
    /// There is no rest to set it against.
    NothingToCompare {
        /// Faults there are.
        faults: u32,
    },
}
