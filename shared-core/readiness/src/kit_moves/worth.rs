//! What a plan of kit moves is worth, in whole numbers, and whether it can be carried out at all.

use std::cmp::{Ordering, Reverse};
use std::collections::BTreeMap;

use super::{Plan, Problem, Stock, Taker, Want};

/// What a plan is worth. The greater the better: most craft, then fewest units, then fewest units
/// whose way is not known, then the least way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Worth {
    /// Craft made ready.
    pub craft: u32,
    /// Units moved.
    pub units: u64,
    /// Of those, units whose way is not known.
    pub way_not_known: u64,
    /// Metres, added over all other units: a way counts once for each unit that goes it.
    pub metres: u64,
}

impl Ord for Worth {
    fn cmp(&self, other: &Self) -> Ordering {
        let key = |worth: &Self| {
            let least = (worth.units, worth.way_not_known, worth.metres);
            (worth.craft, Reverse(least))
        };
        key(self).cmp(&key(other))
    }
}

impl PartialOrd for Worth {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// Why a plan cannot be carried out.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PlanError {
    /// A move names a craft, a line or a stock that there is not.
    #[error("move {at} names what is not in the problem")]
    Unknown {
        /// Position of the move.
        at: usize,
    },
    /// Moves are not in order, or one stands twice.
    #[error("move {at} is out of order")]
    Order {
        /// Position of the move.
        at: usize,
    },
    /// No units.
    #[error("move {at} moves nothing")]
    Nothing {
        /// Position of the move.
        at: usize,
    },
    /// What is moved does not count for the want.
    #[error("move {at} brings what does not count there")]
    DoesNotFit {
        /// Position of the move.
        at: usize,
    },
    /// More is given than is spare.
    #[error("stock {stock} gives {given} units; it has {spare} to spare")]
    TooMany {
        /// Position of the stock.
        stock: usize,
        /// Units given.
        given: u64,
        /// Units that it has to spare.
        spare: u32,
    },
    /// A craft that is made ready gets other than what it lacks, or one that is not gets anything.
    #[error("taker {taker}, line {want}: gets {given} units; it is to get {lacks}")]
    Filled {
        /// Position of the craft.
        taker: usize,
        /// Position of the line.
        want: usize,
        /// Units that come.
        given: u64,
        /// Units that are to come.
        lacks: u32,
    },
}

impl Problem {
    /// What a plan is worth.
    ///
    /// # Errors
    ///
    /// When it cannot be carried out: more given than there is, kit that does not count, a craft
    /// that is filled by halves.
    pub fn worth(&self, plan: &Plan) -> Result<Worth, PlanError> {
        let mut worth = Worth::default();
        let mut given: BTreeMap<usize, u64> = BTreeMap::new();
        let mut gets: BTreeMap<(usize, usize), u64> = BTreeMap::new();
        let mut before = None;
        for (at, one) in plan.moves.iter().enumerate() {
            let key = (one.taker, one.want, one.stock);
            if before.replace(key).is_some_and(|before| before >= key) {
                return Err(PlanError::Order { at });
            }
            let (taker, want, stock) = self.named(key).ok_or(PlanError::Unknown { at })?;
            if one.units == 0 {
                return Err(PlanError::Nothing { at });
            }
            if !self.fits(taker, want, stock) {
                return Err(PlanError::DoesNotFit { at });
            }
            let units = u64::from(one.units);
            *given.entry(one.stock).or_default() += units;
            *gets.entry((one.taker, one.want)).or_default() += units;
            worth.units += units;
            match self.way(stock.station, taker.station) {
                Some(metres) => worth.metres += units * u64::from(metres),
                None => worth.way_not_known += units,
            }
        }
        self.not_too_many(&given)?;
        worth.craft = self.filled(plan, &gets)?;
        Ok(worth)
    }

    fn named(
        &self,
        (taker, want, stock): (usize, usize, usize),
    ) -> Option<(&Taker, &Want, &Stock)> {
        let taker = self.takers.get(taker)?;
        Some((taker, taker.wants.get(want)?, self.stocks.get(stock)?))
    }

    fn not_too_many(&self, given: &BTreeMap<usize, u64>) -> Result<(), PlanError> {
        for (stock, given) in given {
            let spare = self.stocks.get(*stock).map_or(0, |stock| stock.spare);
            if *given > u64::from(spare) {
                return Err(PlanError::TooMany {
                    stock: *stock,
                    given: *given,
                    spare,
                });
            }
        }
        Ok(())
    }

    /// How many craft are made ready: each of them gets all that it lacks, and no other anything.
    fn filled(&self, plan: &Plan, gets: &BTreeMap<(usize, usize), u64>) -> Result<u32, PlanError> {
        if let Some(at) = plan.ready.iter().find(|at| **at >= self.takers.len()) {
            return Err(PlanError::Unknown { at: *at });
        }
        let mut craft = 0;
        for (at, taker) in self.takers.iter().enumerate() {
            let is_ready = plan.ready.contains(&at);
            craft += u32::from(is_ready);
            for (want, line) in taker.wants.iter().enumerate() {
                let given = gets.get(&(at, want)).copied().unwrap_or(0);
                let lacks = if is_ready { line.units } else { 0 };
                if given != u64::from(lacks) {
                    return Err(PlanError::Filled {
                        taker: at,
                        want,
                        given,
                        lacks,
                    });
                }
            }
        }
        Ok(craft)
    }
}
