//! What one reading meets until the launch, and back in the bay: airs, relief valve, own leak.

use super::Held;
use super::leak::{OwnLeak, own_leak};
use super::reading::{Taken, WhenRead, kept_readings};
use crate::answer::Asked;
use crate::engine::facts::Facts;
use crate::pressure::{Air, Course, Doubt, Relief, Valve};
use crate::standard::Sun;

/// One reading of one part, with everything between it and the launch.
pub(super) struct Between<'a> {
    pub(super) gauge_pa: i64,
    pub(super) read: WhenRead,
    pub(super) launch: Launch,
    pub(super) leak: OwnLeak,
    /// The bay that it comes home to.
    pub(super) home: Air,
    /// At the launch, in the sun.
    pub(super) sun: Air,
    facts: &'a Facts<'a>,
    relief_pa: Option<i64>,
    met: Vec<Air>,
}

/// The colder and the warmer of air and water, at the pressure of the launch.
#[derive(Clone, Copy)]
pub(super) struct Launch {
    pub(super) cold: Air,
    pub(super) warm: Air,
    /// Whether the air pressure there was measured.
    pub(super) ambient_measured: bool,
}

impl<'a> Between<'a> {
    pub(super) fn new(facts: &'a Facts<'a>, held: Held<'_>, taken: &Taken<'_>) -> Self {
        let policy = &facts.county.policy.pressure;
        let read = taken.when_read(facts, held.rule);
        let launch = launch(facts);
        let sun = Air {
            temperature_mc: policy.sun_mc.max(launch.warm.temperature_mc),
            ..launch.warm
        };
        let home = Air {
            temperature_mc: read
                .bay_mc
                .unwrap_or_else(|| policy.bay_mc.max(read.hot.temperature_mc)),
            ..read.cold
        };
        let mut met = vec![launch.warm];
        met.extend(met_since(facts, taken));
        if policy.sun == Sun::Judged {
            let in_bay = Air {
                temperature_mc: policy.sun_mc,
                ..read.hot
            };
            met.extend([sun, in_bay]);
        }
        Self {
            gauge_pa: taken.gauge_pa,
            leak: own_leak(facts, held, taken),
            relief_pa: held.rule.relief_pa,
            read,
            launch,
            home,
            sun,
            facts,
            met,
        }
    }

    /// From the reading to the launch, in the sun where the policy judges that.
    pub(super) fn course(&self) -> Course<'_> {
        let warm = match self.facts.county.policy.pressure.sun {
            Sun::Judged => self.sun,
            Sun::Shown => self.launch.warm,
        };
        self.to(warm)
    }

    /// From the reading to the launch in full sun, whatever the policy judges.
    pub(super) fn course_in_sun<'b>(&'b self, met: &'b [Air]) -> Course<'b> {
        let mut course = self.to(self.sun);
        if let Some(relief) = &mut course.relief {
            relief.met = met;
        }
        course
    }

    fn to(&self, warm: Air) -> Course<'_> {
        Course {
            gauge_pa: self.gauge_pa,
            read: (self.read.cold, self.read.hot),
            launch: (self.launch.cold, warm),
            relief: self.relief(self.valve_at(self.launch.cold)),
            lost_pa: self.leak.lost_pa,
        }
    }

    /// The relief valve in the bay.
    pub(super) fn relief_at_home(&self) -> Option<Relief<'_>> {
        self.relief(self.valve_at(self.home))
    }

    fn relief(&self, valve: Valve) -> Option<Relief<'_>> {
        Some(Relief {
            setting_pa: self.relief_pa?,
            met: &self.met,
            valve,
        })
    }

    /// A valve at or below freezing may not lift: the gauge alone tells.
    fn valve_at(&self, air: Air) -> Valve {
        if air.temperature_mc <= self.facts.county.policy.pressure.relief_ices_mc {
            Valve::MayStick
        } else {
            Valve::Lifts
        }
    }

    /// The airs of [`Between`] and the sun beside them.
    pub(super) fn met_in_sun(&self) -> Vec<Air> {
        let mut met = self.met.clone();
        met.push(self.sun);
        met
    }

    pub(super) fn doubt(&self) -> Doubt {
        let policy = &self.facts.county.policy.pressure;
        let measured = self.read.ambient_measured && self.launch.ambient_measured;
        Doubt {
            gauge_pa: policy.gauge_accuracy_pa,
            ambient_pa: if measured { 0 } else { policy.ambient_swing_pa },
            humidity_percent: policy.fill_humidity_percent,
        }
    }
}

pub(super) fn launch(facts: &Facts<'_>) -> Launch {
    let asked = facts.asked;
    let ambient_pa = launch_ambient_pa(asked);
    let at = |temperature_mc| Air {
        temperature_mc,
        ambient_pa,
    };
    Launch {
        cold: at(asked.air_mc.min(asked.water_mc)),
        warm: at(asked.air_mc.max(asked.water_mc)),
        ambient_measured: asked.conditions.ambient.is_some(),
    }
}

/// Pressure of the air at the launch: as read there, else from the altimeter setting and the
/// elevation, else that of the standard atmosphere.
pub(in crate::engine) fn launch_ambient_pa(asked: &Asked) -> f64 {
    asked.conditions.ambient_pa(asked.elevation_mm)
}

/// The airs that any reading of the craft may have shown since this one was taken: all its parts
/// stand in one bay.
fn met_since(facts: &Facts<'_>, taken: &Taken<'_>) -> Vec<Air> {
    let from = taken.origin.interval.earliest(facts.now);
    let kept = facts.record.readings.values().flat_map(kept_readings);
    kept.filter(|other| other.origin.interval.latest(facts.now) > from)
        .filter_map(|other| other.met(facts))
        .collect()
}
