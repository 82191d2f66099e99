//! What is far from the formulas on a plate that was typed in: asked back, never refused for good.

use super::exact::{Lb, hp_of_watts};
use super::weight::{motor_weight, persons_of};
use crate::event::Plate;

/// What cannot well stand on one plate.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Doubt {
    /// Persons and pounds of persons do not belong together: the formula gives so many persons.
    Persons {
        /// As typed.
        typed: u32,
        /// (pounds + 32) / 141 (33 CFR 183.41(b)).
        formula: u32,
    },
    /// Persons, motor and gear weigh less than persons alone.
    TotalBelowPersons,
    /// What is left for motor and gear is far from the motor of the plate's power.
    Motor {
        /// Total less persons, grams.
        left_g: u64,
        /// The motor's weight with what belongs to it, grams.
        motor_g: u64,
    },
}

/// How many persons more than the formula a plate may say: older plates were made by other rules.
const PERSONS_MORE: u32 = 1;

/// A plate may say fewer, but hardly less than one in so many.
const PERSONS_FEWER: u32 = 2;

/// The most that what is left may differ from the motor's weight, as a factor: the table of motors
/// was made anew in 2017, so older plates stand on lighter ones.
const MOTOR_APART: u64 = 2;

/// What is far from the formulas; none when nothing is. Only for boats that they apply to: ask
/// [`super::applies`] first.
#[must_use]
pub fn doubt(plate: &Plate) -> Option<Doubt> {
    persons(plate).or_else(|| total(plate))
}

fn persons(plate: &Plate) -> Option<Doubt> {
    let typed = plate.persons?;
    let formula = persons_of(Lb::from_g(plate.persons_mass_g?));
    let is_far = typed > formula.saturating_add(PERSONS_MORE)
        || typed.saturating_mul(PERSONS_FEWER) < formula;
    is_far.then_some(Doubt::Persons { typed, formula })
}

fn total(plate: &Plate) -> Option<Doubt> {
    let (persons_g, total_g) = (plate.persons_mass_g?, plate.total_mass_g?);
    let Some(left_g) = total_g.checked_sub(persons_g) else {
        return Some(Doubt::TotalBelowPersons);
    };
    let motor_g = motor_weight(hp_of_watts(plate.power_w?))?.total.to_g();
    let is_far = left_g.saturating_mul(MOTOR_APART) < motor_g
        || left_g
            > motor_g
                .saturating_mul(MOTOR_APART)
                .saturating_mul(MOTOR_APART);
    is_far.then_some(Doubt::Motor { left_g, motor_g })
}
