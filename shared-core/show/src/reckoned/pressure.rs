//! What a gauge will show elsewhere, in words: carried to another temperature and air pressure.

use serde_json::Value;
use sponson_readiness::pressure::{
    Air, Course, Doubt, Relief, Valve, altimeter_setting_pa, bring_to_pa, gauge_elsewhere_pa,
    predicted, spread, standard_pressure_pa, station_pressure_pa,
};
use sponson_readiness::standard::PressurePolicy;

use super::Reckoned;

mod told;

use told::{Told, assumed, sources};

/// What is asked: base units, as everywhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PressureAsked {
    /// As read, pascal gauge.
    pub gauge_pa: i64,
    /// Temperature at the reading, milli-degree Celsius.
    pub from_mc: i32,
    /// Temperature there, milli-degree Celsius.
    pub to_mc: i32,
    /// Air pressure at the reading.
    pub from: AirOutside,
    /// Air pressure there; the same when none.
    pub to: Option<AirOutside>,
    /// Setting of the relief valve, pascal gauge.
    pub relief_pa: Option<i64>,
    /// The hottest since the reading, milli-degree Celsius.
    pub hottest_mc: Option<i32>,
    /// The gauge that is wanted there, pascal.
    pub wanted_pa: Option<i64>,
}

/// How the air pressure outside was given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AirOutside {
    /// Nothing: that of the standard atmosphere at sea level.
    NotGiven,
    /// As measured there, pascal.
    Measured(u32),
    /// By elevation, millimetres: that of the standard atmosphere.
    Elevation(i32),
    /// By altimeter setting, pascal, and elevation, millimetres.
    Altimeter(u32, i32),
}

impl AirOutside {
    fn pa(self) -> f64 {
        match self {
            Self::NotGiven => standard_pressure_pa(0),
            Self::Measured(pa) => f64::from(pa),
            Self::Elevation(mm) => standard_pressure_pa(mm),
            Self::Altimeter(pa, mm) => station_pressure_pa(pa, mm),
        }
    }

    const fn is_measured(self) -> bool {
        match self {
            Self::Measured(_) | Self::Altimeter(..) => true,
            Self::NotGiven | Self::Elevation(_) => false,
        }
    }

    fn setting_pa(self) -> Option<i64> {
        match self {
            Self::Altimeter(pa, _) => Some(i64::from(pa)),
            Self::Elevation(mm) => Some(whole(altimeter_setting_pa(self.pa(), mm))),
            Self::NotGiven | Self::Measured(_) => None,
        }
    }
}

/// What the gauge will show there, how far that can be off, and what to bring it to.
#[must_use]
pub fn pressure(asked: &PressureAsked, policy: &PressurePolicy) -> Reckoned {
    let to = asked.to.unwrap_or(asked.from);
    let here = air(asked.from_mc, asked.from);
    let there = air(asked.to_mc, to);
    let met = met(asked, here, there);
    let course = Course {
        gauge_pa: asked.gauge_pa,
        read: (here, here),
        launch: (there, there),
        relief: asked.relief_pa.map(|setting_pa| Relief {
            setting_pa,
            met: &met,
            valve: Valve::Lifts,
        }),
        lost_pa: 0,
    };
    let measured = asked.from.is_measured() && to.is_measured();
    let doubt = Doubt {
        gauge_pa: policy.gauge_accuracy_pa,
        ambient_pa: if measured { 0 } else { policy.ambient_swing_pa },
        humidity_percent: policy.fill_humidity_percent,
    };
    let found = predicted(&course);
    let vented = gauge_elsewhere_pa(asked.gauge_pa, here, there).saturating_sub(found.low_pa);
    let told = Told {
        asked,
        here,
        there,
        found,
        spread: spread(&course, found, doubt),
        vented_pa: vented,
        bring: bring(asked, here, there, &met),
    };
    Reckoned {
        what: "pressure",
        given: given(asked, here, there, to),
        figures: told.figures(),
        lines: told.lines(),
        assumed: assumed(asked, policy, measured),
        sources: sources(asked, to),
    }
}

fn air(temperature_mc: i32, outside: AirOutside) -> Air {
    Air {
        temperature_mc,
        ambient_pa: outside.pa(),
    }
}

/// Where the valve may have lifted: there, and at the hottest, where it was read.
fn met(asked: &PressureAsked, here: Air, there: Air) -> Vec<Air> {
    let hottest = asked.hottest_mc.map(|temperature_mc| Air {
        temperature_mc,
        ..here
    });
    [there].into_iter().chain(hottest).collect()
}

/// What to bring it to where it was read.
#[derive(Clone, Copy)]
struct Bring {
    to_pa: i64,
    reaches: bool,
}

fn bring(asked: &PressureAsked, here: Air, there: Air, met: &[Air]) -> Option<Bring> {
    let wanted_pa = asked.wanted_pa?;
    let to_pa = bring_to_pa(wanted_pa, here, there, asked.relief_pa.unwrap_or(i64::MAX));
    let course = Course {
        gauge_pa: to_pa,
        read: (here, here),
        launch: (there, there),
        relief: asked.relief_pa.map(|setting_pa| Relief {
            setting_pa,
            met,
            valve: Valve::Lifts,
        }),
        lost_pa: 0,
    };
    // A pascal either way is rounding.
    let reaches = predicted(&course).low_pa >= wanted_pa - 1;
    Some(Bring { to_pa, reaches })
}

fn given(
    asked: &PressureAsked,
    here: Air,
    there: Air,
    to: AirOutside,
) -> Vec<(&'static str, Value)> {
    vec![
        ("gauge_pa", asked.gauge_pa.into()),
        ("from_mc", asked.from_mc.into()),
        ("to_mc", asked.to_mc.into()),
        ("ambient_from_pa", whole(here.ambient_pa).into()),
        ("ambient_to_pa", whole(there.ambient_pa).into()),
        ("altimeter_from_pa", asked.from.setting_pa().into()),
        ("altimeter_to_pa", to.setting_pa().into()),
        ("relief_pa", asked.relief_pa.into()),
        ("hottest_mc", asked.hottest_mc.into()),
        ("wanted_pa", asked.wanted_pa.into()),
    ]
}

/// Pressures of a boat are far inside what a float holds exactly.
#[expect(
    clippy::cast_precision_loss,
    reason = "a gauge of a boat is far below 2^53 pascal"
)]
fn in_mbar(pa: i64) -> f64 {
    pa as f64 / 100.0
}

#[expect(
    clippy::cast_precision_loss,
    reason = "a gauge of a boat is far below 2^53 pascal"
)]
fn psi(pa: i64) -> f64 {
    (pa as f64 / 6_894.757_293_168_361 * 100_000.0).round() / 100_000.0
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "an air pressure is far inside the range"
)]
fn whole(pa: f64) -> i64 {
    pa.round() as i64
}

#[cfg(test)]
mod tests;
