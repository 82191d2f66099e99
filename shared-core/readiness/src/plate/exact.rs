//! Feet and pounds kept exactly, since the regulation counts in them: a boat of 20.0 ft is not
//! less than 20 ft, and a millimetre more or less must not move a boat over a step of the table.

/// Micrometres in a foot: exact.
const FT_UM: u64 = 304_800;

/// A length in micrometres.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Um(pub u64);

impl Um {
    /// So many thousandths of a foot.
    #[must_use]
    pub const fn from_milli_ft(milli_ft: u64) -> Self {
        Self(milli_ft * FT_UM / 1000)
    }

    /// So many feet.
    #[must_use]
    pub const fn from_ft(ft: u64) -> Self {
        Self(ft * FT_UM)
    }

    /// So many inches.
    #[must_use]
    pub const fn from_in(inches: u64) -> Self {
        Self(inches * FT_UM / 12)
    }
}

/// Square micrometres in a hundredth of a square foot.
const CENTI_FT2: u128 = FT_UM as u128 * FT_UM as u128 / 100;

/// The product of two lengths in hundredths of a square foot with what is left over, so that a
/// limit can be met exactly.
pub(super) fn product(one: Um, other: Um) -> (u64, bool) {
    let square = u128::from(one.0) * u128::from(other.0);
    // Two lengths of at most 100 m give at most 107,639 square feet.
    let hundredths = u64::try_from(square / CENTI_FT2).unwrap_or(u64::MAX);
    (hundredths, square.is_multiple_of(CENTI_FT2))
}

/// A weight in hundredths of a pound: a weight that was typed in pounds and kept in grams comes
/// back as it was typed, since a hundredth of a pound is 4.5 g.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Lb(pub i64);

/// Ten-thousandths of a gram in a hundredth of a pound, 0.453 592 37 kg (NIST SP 811, exact).
const CENTI_LB_G: i128 = 45_359_237;
/// See [`CENTI_LB_G`].
const G: i128 = 10_000_000;

impl Lb {
    /// So many whole pounds.
    #[must_use]
    pub const fn whole(pounds: i64) -> Self {
        Self(pounds * 100)
    }

    /// From grams, to the nearest hundredth.
    #[must_use]
    pub fn from_g(grams: u64) -> Self {
        let hundredths = (i128::from(grams) * G + CENTI_LB_G / 2) / CENTI_LB_G;
        Self(i64::try_from(hundredths).unwrap_or(i64::MAX))
    }

    /// In grams, to the nearest; below zero is nothing.
    #[must_use]
    pub fn to_g(self) -> u64 {
        let grams = (i128::from(self.0.max(0)) * CENTI_LB_G + G / 2) / G;
        u64::try_from(grams).unwrap_or(u64::MAX)
    }

    /// Whole pounds, what is over left out.
    #[must_use]
    pub const fn floor(self) -> i64 {
        self.0.div_euclid(100)
    }
}

/// Tenths of a horsepower of 550 foot-pounds a second (NIST SP 811: 745.6999 W) in a power, to the
/// nearest.
#[must_use]
pub fn hp_of_watts(watts: u32) -> u32 {
    let tenths = (u64::from(watts) * 100_000 + 3_728_500) / 7_457_000;
    u32::try_from(tenths).unwrap_or(u32::MAX)
}
