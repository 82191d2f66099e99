//! How far a predicted gauge can be off: the gauge itself, the weather, moist air.
//!
//! What the temperature leaves open is in the prediction already, which takes the worse end. The
//! spread is shown beside it; it decides nothing.

use super::closed::{Air, Course, Predicted, Valve, whole_pa};

/// What a prediction cannot know.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Doubt {
    /// How far the gauge may read off, pascal either way.
    pub gauge_pa: u32,
    /// How far the air pressure may have moved where it was not measured, pascal either way.
    pub ambient_pa: u32,
    /// Humidity of the air inside at the reading, percent of saturation.
    pub humidity_percent: u32,
}

/// A prediction with everything that can make it be off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spread {
    /// Least that the gauge may show at the launch, pascal; 0 is a slack part.
    pub least_pa: i64,
    /// Most that it may show, pascal.
    pub most_pa: i64,
    /// Of it by the gauge, pascal either way.
    pub gauge_pa: i64,
    /// Of it by the weather, pascal either way.
    pub ambient_pa: i64,
    /// Of it by moisture that condenses, pascal, downwards only.
    pub moist_pa: i64,
}

/// Widens a prediction by what cannot be known. A valve that lifts bounds the most.
#[must_use]
pub fn spread(course: &Course<'_>, predicted: Predicted, doubt: Doubt) -> Spread {
    let (cold, hot) = (course.launch.0, course.read.1);
    // A wrong gauge is off by the same share of absolute pressure after a change of temperature.
    let widest = (course.launch.1.kelvin() / course.read.0.kelvin()).max(1.0);
    let gauge_pa = whole_pa(f64::from(doubt.gauge_pa) * widest);
    let ambient_pa = i64::from(doubt.ambient_pa);
    let moist_pa = whole_pa(condensed_pa(doubt.humidity_percent, hot, cold));
    let most_pa = predicted.high_pa + gauge_pa + ambient_pa;
    let held_pa = course.relief.filter(|relief| relief.valve == Valve::Lifts);
    Spread {
        least_pa: (predicted.low_pa - gauge_pa - ambient_pa - moist_pa).max(0),
        most_pa: held_pa.map_or(most_pa, |relief| {
            most_pa.min(relief.setting_pa.max(predicted.high_pa))
        }),
        gauge_pa,
        ambient_pa,
        moist_pa,
    }
}

/// Pressure that a part loses beyond the dry-air figure because moisture in it condenses, pascal.
///
/// The mixture is ideal (Dalton): vapour follows the temperature until it saturates. At 100 percent
/// it is the bound; it does not depend on the gauge. Held against IAPWS-95 values within 20 Pa.
#[must_use]
pub fn condensed_pa(humidity_percent: u32, from: Air, to: Air) -> f64 {
    let vapour = saturation_pa(from.temperature_mc) * f64::from(humidity_percent) / 100.0;
    let carried = vapour * to.kelvin() / from.kelvin();
    (carried - saturation_pa(to.temperature_mc)).max(0.0)
}

/// Saturation pressure of water vapour, over ice below freezing, pascal.
///
/// Buck (1981), J. Appl. Meteorol. 20, 1527, with the constants of the 1996 revision (from memory;
/// held against IAPWS-95 from 0 to 30 °C).
#[must_use]
pub fn saturation_pa(temperature_mc: i32) -> f64 {
    // The formulas hold from -80 to 50 °C; a damaged value is kept inside.
    let celsius = f64::from(temperature_mc.clamp(-80_000, 80_000)) / 1000.0;
    if temperature_mc >= 0 {
        611.21 * libm::exp((18.678 - celsius / 234.5) * (celsius / (257.14 + celsius)))
    } else {
        611.15 * libm::exp((23.036 - celsius / 333.7) * (celsius / (279.82 + celsius)))
    }
}

#[cfg(test)]
mod tests {
    use super::{Doubt, spread};
    use crate::pressure::{Air, Course, Relief, Valve, predicted};

    const DOUBT: Doubt = Doubt {
        gauge_pa: 500,
        ambient_pa: 300,
        humidity_percent: 100,
    };

    fn at(celsius: i32) -> Air {
        Air {
            temperature_mc: celsius * 1_000,
            ambient_pa: 101_325.0,
        }
    }

    #[test]
    fn the_spread_holds_the_prediction_and_adds_each_doubt() {
        let course = Course {
            gauge_pa: 24_000,
            read: (at(30), at(30)),
            launch: (at(10), at(10)),
            relief: None,
            lost_pa: 0,
        };
        let found = predicted(&course);
        let wide = spread(&course, found, DOUBT);
        // 30 °C saturated to 10 °C loses 2738.6 Pa more than dry air (IAPWS-95).
        assert!((wide.moist_pa - 2_739).abs() <= 20, "{wide:?}");
        assert_eq!(wide.least_pa, found.low_pa - 500 - 300 - wide.moist_pa);
        assert_eq!(wide.most_pa, found.high_pa + 500 + 300);
    }

    #[test]
    fn a_valve_that_lifts_bounds_the_most_and_one_that_may_stick_does_not() {
        let met = [at(20)];
        let most_pa = |valve| {
            let course = Course {
                gauge_pa: 28_000,
                read: (at(20), at(20)),
                launch: (at(20), at(20)),
                relief: Some(Relief {
                    setting_pa: 28_000,
                    met: &met,
                    valve,
                }),
                lost_pa: 0,
            };
            spread(&course, predicted(&course), DOUBT).most_pa
        };
        assert_eq!(most_pa(Valve::Lifts), 28_000);
        assert_eq!(most_pa(Valve::MayStick), 28_800);
    }
}
