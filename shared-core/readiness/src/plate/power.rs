//! Greatest power: the factor, Table 183.53 and the formulas beyond it (33 CFR 183.53).

use super::applies::{Hull, NotApplied, Propulsion, applies_to_power};
use super::exact::{Um, product};

/// How it is steered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Steering {
    /// By the tiller of the motor.
    Tiller,
    /// From a helm.
    Remote,
}

/// Its bottom.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Bottom {
    /// Flat with hard chines.
    FlatHardChine,
    /// Any other.
    Other,
}

/// What the power formula asks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PowerAsked {
    /// Hull.
    pub hull: Hull,
    /// Propulsion.
    pub propulsion: Propulsion,
    /// Length.
    pub length: Um,
    /// Greatest width of the transom, handles and fittings left out; of a boat without a full
    /// transom, the broadest beam in the aftermost quarter.
    pub transom_width: Um,
    /// Height of the transom.
    pub transom_height: Option<Um>,
    /// Steering.
    pub steering: Steering,
    /// Bottom.
    pub bottom: Bottom,
}

/// Greatest power.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Power {
    /// Length by width, hundredths of a square foot, what is over left out.
    pub factor_hundredths: u64,
    /// As table or formula gives it, tenths of a horsepower.
    pub power_tenths: u32,
    /// What it may be raised to, tenths of a horsepower: the next multiple of 5 hp where the
    /// formula gives none, the same elsewhere (33 CFR 183.53(a)(3)).
    pub raised_tenths: u32,
}

/// Why no power can be said.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PowerRefused {
    /// The formula does not apply to the boat.
    NotApplied(NotApplied),
    /// The factor is 52.5 exactly: the table goes to 52, the formulas begin above 52.5. Ask the
    /// maker.
    Between,
    /// Flat bottom and a factor of 35 or less: the table has no step below 3 hp to go down to.
    BelowTable,
}

/// Steps of Table 183.53: the greatest whole factor, and tenths of a horsepower.
const TABLE: [(u64, u32); 5] = [(35, 30), (39, 50), (42, 75), (45, 100), (52, 150)];

/// Factor, in hundredths, beyond which the formulas stand.
const FORMULA_FROM: u64 = 5_250;

/// Transom height that remote steering needs for the greater formula.
const TRANSOM_HEIGHT: Um = Um::from_in(20);

/// Greatest power by 33 CFR 183.53(a).
///
/// # Errors
///
/// [`PowerRefused`]: the boat is not one of those, or the regulation leaves it open.
pub fn power(asked: &PowerAsked) -> Result<Power, PowerRefused> {
    applies_to_power(asked.hull, asked.length, asked.propulsion)
        .map_err(PowerRefused::NotApplied)?;
    let (factor_hundredths, is_exact) = product(asked.length, asked.transom_width);
    if factor_hundredths == FORMULA_FROM && is_exact {
        return Err(PowerRefused::Between);
    }
    if factor_hundredths >= FORMULA_FROM {
        let power_tenths = formula(asked, factor_hundredths);
        return Ok(Power {
            factor_hundredths,
            power_tenths,
            raised_tenths: power_tenths.div_ceil(50) * 50,
        });
    }
    let power_tenths = step(asked.bottom, (factor_hundredths + 50) / 100)?;
    Ok(Power {
        factor_hundredths,
        power_tenths,
        raised_tenths: power_tenths,
    })
}

/// The step of the table for a factor to the nearest whole number; one lower for a flat bottom.
fn step(bottom: Bottom, factor: u64) -> Result<u32, PowerRefused> {
    // Below 52.5 the nearest whole number is at most 52, which the last step holds.
    let at = TABLE.iter().position(|(most, _)| factor <= *most);
    let at = at.unwrap_or(TABLE.len() - 1);
    let at = match bottom {
        Bottom::Other => Some(at),
        Bottom::FlatHardChine => at.checked_sub(1),
    };
    at.map(|at| TABLE[at].1).ok_or(PowerRefused::BelowTable)
}

/// Beyond the table, tenths of a horsepower to the nearest.
fn formula(asked: &PowerAsked, factor_hundredths: u64) -> u32 {
    let is_high = asked
        .transom_height
        .is_some_and(|height| height >= TRANSOM_HEIGHT);
    // Thousandths of a horsepower: factor in hundredths times ten is its thousandths.
    let thousandths = match (asked.steering, asked.bottom) {
        (Steering::Remote, Bottom::FlatHardChine | Bottom::Other) if is_high => {
            20 * factor_hundredths - 90_000
        }
        (Steering::Remote | Steering::Tiller, Bottom::FlatHardChine) => {
            5 * factor_hundredths - 15_000
        }
        (Steering::Remote | Steering::Tiller, Bottom::Other) => 8 * factor_hundredths - 25_000,
    };
    u32::try_from((thousandths + 50) / 100).unwrap_or(u32::MAX)
}
