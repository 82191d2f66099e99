//! Weights: what the boat may carry, what of that persons may weigh, and how many persons that is
//! (33 CFR 183.35 to 183.43), with the motor weights that stand in 33 CFR 183.75.

use super::exact::Lb;

/// Weight of a motor of some power with what belongs to it: ABYC S-30 table 1A, one motor, as read
/// in a secondary copy (newboatbuilders.com); its adoption as the table of 33 CFR 183.75 is from
/// memory. Pounds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MotorWeight {
    /// Running weight, controls and rigging, dry battery, full portable tank.
    pub total: Lb,
    /// The full portable tank.
    pub fuel: Lb,
    /// The dry battery.
    pub battery: Lb,
}

/// Tenths of a horsepower up to which a row stands, then total, fuel, battery.
const MOTORS: [(u32, i64, i64, i64); 10] = [
    (20, 32, 0, 0),
    (39, 44, 0, 0),
    (69, 94, 25, 0),
    (109, 185, 50, 20),
    (229, 234, 50, 45),
    (349, 350, 100, 45),
    (649, 459, 100, 45),
    (949, 628, 100, 45),
    (1_049, 649, 100, 45),
    (1_449, 723, 100, 45),
];

/// Weight of one motor of so many tenths of a horsepower; none beyond the table.
#[must_use]
pub fn motor_weight(power_tenths: u32) -> Option<MotorWeight> {
    let row = MOTORS.iter().find(|(most, ..)| power_tenths <= *most)?;
    Some(MotorWeight {
        total: Lb::whole(row.1),
        fuel: Lb::whole(row.2),
        battery: Lb::whole(row.3),
    })
}

/// What the weight formulas ask.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WeightAsked {
    /// Maximum displacement.
    pub displacement: Lb,
    /// Hull, deck, fixed gear, full fixed tanks.
    pub boat: Lb,
}

impl WeightAsked {
    const fn spare(self) -> i64 {
        let spare = self.displacement.0 - self.boat.0;
        if spare < 0 { 0 } else { spare }
    }
}

/// Greatest weight of an outboard boat: a fifth of displacement less boat (33 CFR 183.35(a)).
/// 'Not more than': what is over a whole pound is left out.
#[must_use]
pub const fn weight_max_outboard(asked: WeightAsked) -> Lb {
    Lb::whole(asked.spare() / 500)
}

/// Greatest weight of a boat that is paddled, or has 2 hp or less: three tenths (33 CFR 183.37(a)).
#[must_use]
pub const fn weight_max_paddled(asked: WeightAsked) -> Lb {
    Lb::whole(asked.spare() * 3 / 1000)
}

/// What persons may weigh, and how many that is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Persons {
    /// Pounds of persons.
    pub weight: Lb,
    /// Whole persons.
    pub persons: u32,
    /// The stability test is owed and its result was not given: both figures are at most these.
    pub needs_stability: bool,
}

/// From this weight of persons on no stability test is asked.
const STABILITY_BELOW: Lb = Lb::whole(550);

/// An outboard boat (33 CFR 183.41(a)): greatest weight less the motor's; below 550 lb also at most
/// the weight of the stability test over 0.6, whole pounds, what is over left out as the handbook
/// does.
#[must_use]
pub fn persons_outboard(weight_max: Lb, motor: Lb, stability: Option<Lb>) -> Persons {
    let by_weight = Lb((weight_max.0 - motor.0).max(0));
    let owed = by_weight < STABILITY_BELOW;
    let by_stability = stability
        .filter(|_| owed)
        .map(|weight| Lb::whole(weight.0 * 10 / 600));
    let weight = by_stability.map_or(by_weight, |most| by_weight.min(most));
    Persons {
        weight,
        persons: persons_of(weight),
        needs_stability: owed && by_stability.is_none(),
    }
}

/// A boat that is paddled: 90 % of the greatest weight; with a motor of 2 hp or less 25 lb less
/// (33 CFR 183.43).
#[must_use]
pub fn persons_paddled(weight_max: Lb, has_motor: bool) -> Persons {
    let motor = if has_motor { 2_500 } else { 0 };
    let weight = Lb((weight_max.0 * 9 / 10 - motor).max(0));
    Persons {
        weight,
        persons: persons_of(weight),
        needs_stability: false,
    }
}

/// Whole persons of a weight: (pounds + 32) / 141, a half goes up (33 CFR 183.41(b)).
#[must_use]
pub fn persons_of(weight: Lb) -> u32 {
    let persons = (2 * (weight.0 + 3_200) + 14_100) / 28_200;
    u32::try_from(persons).unwrap_or(0)
}
