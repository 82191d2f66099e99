//! Life jackets by body weight: whom each label serves, and whose is short. No size stands in for
//! another (33 CFR 175.21: the right size for the wearer, as labelled).

use super::people::{Size, Sizes};

/// An end of a range of body weights.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Bound {
    /// Grams.
    pub mass_g: u64,
    /// The weight itself belongs to the range.
    pub is_included: bool,
}

/// Body weights that a label serves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Wearer {
    /// Lightest; none for any.
    pub low: Option<Bound>,
    /// Heaviest; none for any.
    pub high: Option<Bound>,
}

impl Wearer {
    /// Whether it fits a body of so many grams.
    #[must_use]
    pub fn fits(&self, mass_g: u64) -> bool {
        let above = self.low.is_none_or(|low| match low.is_included {
            true => mass_g >= low.mass_g,
            false => mass_g > low.mass_g,
        });
        let below = self.high.is_none_or(|high| match high.is_included {
            true => mass_g <= high.mass_g,
            false => mass_g < high.mass_g,
        });
        above && below
    }

    /// Whether it fits everybody of another range.
    #[must_use]
    pub fn fits_all(&self, other: Self) -> bool {
        let reaches_down = match (self.low, other.low) {
            (None, _) => true,
            (Some(_), None) => false,
            (Some(mine), Some(its)) => {
                mine.mass_g < its.mass_g
                    || mine.mass_g == its.mass_g && (mine.is_included || !its.is_included)
            }
        };
        let reaches_up = match (self.high, other.high) {
            (None, _) => true,
            (Some(_), None) => false,
            (Some(mine), Some(its)) => {
                mine.mass_g > its.mass_g
                    || mine.mass_g == its.mass_g && (mine.is_included || !its.is_included)
            }
        };
        reaches_down && reaches_up
    }
}

/// Whom a jacket has to fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fit {
    /// A body of so many grams.
    Mass(u64),
    /// Anybody of a size: the weight is not known.
    Anybody(Size),
}

/// Jackets of one label.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Jacket {
    /// Whom they serve.
    pub wearer: Wearer,
    /// How many.
    pub count: u32,
}

/// People who need jackets at one time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Need {
    /// Whom it has to fit.
    pub fit: Fit,
    /// How many of them.
    pub count: u32,
}

/// What is short for one need.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Short {
    /// Whom it has to fit.
    pub fit: Fit,
    /// Needed.
    pub need: u32,
    /// Without one that fits.
    pub short: u32,
}

/// Gives each person one that fits, as far as there are any, those named first first.
#[must_use]
pub fn short_of(needs: &[Need], jackets: &[Jacket], sizes: &Sizes) -> Vec<Short> {
    let serves: Vec<Vec<usize>> = needs
        .iter()
        .map(|need| {
            let labels = jackets.iter().enumerate();
            let fits = |jacket: &Jacket| match need.fit {
                Fit::Mass(mass_g) => jacket.wearer.fits(mass_g),
                Fit::Anybody(size) => jacket.wearer.fits_all(sizes.of(size)),
            };
            labels
                .filter(|(_, jacket)| fits(jacket))
                .map(|(label, _)| label)
                .collect()
        })
        .collect();
    let mut given = Given {
        serves: &serves,
        left: jackets.iter().map(|jacket| jacket.count).collect(),
        worn: vec![vec![0; jackets.len()]; needs.len()],
    };
    let needs = needs.iter().enumerate();
    needs
        .map(|(at, need)| {
            let served = (0..need.count).take_while(|_| given.one_more(at)).count();
            let served = u32::try_from(served).unwrap_or(need.count);
            Short {
                fit: need.fit,
                need: need.count,
                short: need.count - served,
            }
        })
        .collect()
}

/// Who wears what so far.
struct Given<'a> {
    serves: &'a [Vec<usize>],
    left: Vec<u32>,
    /// By need and label.
    worn: Vec<Vec<u32>>,
}

impl Given<'_> {
    /// One more jacket for a need, if others change theirs for it.
    fn one_more(&mut self, need: usize) -> bool {
        let mut seen = vec![false; self.left.len()];
        self.find(need, &mut seen)
    }

    fn find(&mut self, need: usize, seen: &mut [bool]) -> bool {
        for label in self.serves[need].clone() {
            if std::mem::replace(&mut seen[label], true) {
                continue;
            }
            if self.left[label] > 0 {
                self.left[label] -= 1;
                self.worn[need][label] += 1;
                return true;
            }
            for other in 0..self.worn.len() {
                if self.worn[other][label] > 0 && self.find(other, seen) {
                    self.worn[other][label] -= 1;
                    self.worn[need][label] += 1;
                    return true;
                }
            }
        }
        false
    }
}
