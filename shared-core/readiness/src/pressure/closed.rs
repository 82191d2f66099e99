//! A closed, rigid part carried to another temperature and ambient pressure.

/// Zero Celsius, kelvin.
const ZERO_C_K: f64 = 273.15;

/// Temperature of a part's air and the ambient pressure round it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Temperature, milli-degree Celsius.
    pub temperature_mc: i32,
    /// Ambient pressure, pascal.
    pub ambient_pa: f64,
}

impl Air {
    pub(super) fn kelvin(self) -> f64 {
        // Far below any weather: keeps a damaged value from dividing by nothing.
        (f64::from(self.temperature_mc) / 1000.0 + ZERO_C_K).max(1.0)
    }
}

/// What is known of one part between a reading and the launch.
#[derive(Clone, Copy, Debug)]
pub struct Course<'a> {
    /// As read, pascal gauge.
    pub gauge_pa: i64,
    /// The coldest and the hottest that the part can have been when read: equal when settled.
    pub read: (Air, Air),
    /// The colder and the warmer of air and water at the launch.
    pub launch: (Air, Air),
    /// Its relief valve, when it has one.
    pub relief: Option<Relief<'a>>,
    /// Most that it has lost by a leak of its own since, pascal.
    pub lost_pa: i64,
}

/// A relief valve, and the air that the part has met since the reading.
#[derive(Clone, Copy, Debug)]
pub struct Relief<'a> {
    /// Setting of the valve, pascal gauge.
    pub setting_pa: i64,
    /// The airs in which it may have lifted since the reading.
    pub met: &'a [Air],
    /// Whether it can be relied on to lift.
    pub valve: Valve,
}

/// Whether a relief valve can be relied on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Valve {
    /// It lifts at its setting.
    Lifts,
    /// It may be frozen shut: it may have lifted, and it may not.
    MayStick,
}

/// What a gauge is predicted to show at the launch, from the softest to the hardest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Predicted {
    /// Lowest, pascal gauge; never negative: 0 is a slack part.
    pub low_pa: i64,
    /// Highest, pascal gauge; never negative.
    pub high_pa: i64,
}

/// Gauge pressure of a closed, rigid part after its air went from one state to another, pascal.
///
/// Negative for a part that has gone slack.
#[must_use]
pub fn gauge_elsewhere(gauge_pa: f64, from: Air, to: Air) -> f64 {
    (gauge_pa + from.ambient_pa) * to.kelvin() / from.kelvin() - to.ambient_pa
}

/// Same as [`gauge_elsewhere`], rounded to whole pascal, 0 when slack.
#[must_use]
pub fn gauge_elsewhere_pa(gauge_pa: i64, from: Air, to: Air) -> i64 {
    whole_pa(gauge_elsewhere(wide(gauge_pa), from, to))
}

/// Predicts the gauge at the launch from one reading.
///
/// The lowest comes from hot to cold, the highest from cold to warm. A relief valve lets out what
/// exceeds its setting, at the reading and in every air met since: so it can only lower both, and
/// one that may stick lowers the lowest alone. A leak of its own lowers the lowest alone.
#[must_use]
pub fn predicted(course: &Course<'_>) -> Predicted {
    let ((read_cold, read_hot), (launch_cold, launch_warm)) = (course.read, course.launch);
    let gauge_pa = wide(course.gauge_pa);
    let low = match course.relief {
        Some(relief) => {
            let setting_pa = wide(relief.setting_pa);
            let straight = gauge_elsewhere(gauge_pa.min(setting_pa), read_hot, launch_cold);
            let vented = relief.met.iter();
            vented.fold(straight, |least, met| {
                least.min(gauge_elsewhere(setting_pa, *met, launch_cold))
            })
        }
        None => gauge_elsewhere(gauge_pa, read_hot, launch_cold),
    };
    let warm = gauge_elsewhere(gauge_pa, read_cold, launch_warm);
    Predicted {
        low_pa: whole_pa(low - wide(course.lost_pa)),
        high_pa: whole_pa(relieved(warm, course.relief)),
    }
}

/// The highest gauge once the craft is back in the bay, pascal.
///
/// As it is, and as it will be once `topped_up_pa` was put in at the launch, in the colder of air
/// and water there. `relief` is the valve as it works in the bay.
#[must_use]
pub fn back_home_pa(
    course: &Course<'_>,
    home: Air,
    topped_up_pa: Option<i64>,
    relief: Option<Relief<'_>>,
) -> i64 {
    let as_it_is = gauge_elsewhere(wide(course.gauge_pa), course.read.0, home);
    let highest = match topped_up_pa {
        Some(put_in_pa) => as_it_is.max(gauge_elsewhere(wide(put_in_pa), course.launch.0, home)),
        None => as_it_is,
    };
    whole_pa(relieved(highest, relief))
}

fn relieved(gauge_pa: f64, relief: Option<Relief<'_>>) -> f64 {
    match relief {
        Some(Relief {
            setting_pa,
            valve: Valve::Lifts,
            ..
        }) => gauge_pa.min(wide(setting_pa)),
        Some(Relief {
            valve: Valve::MayStick,
            ..
        })
        | None => gauge_pa,
    }
}

/// Gauge to bring a part to, where it stands, so that it shows `wanted_pa` at the launch.
///
/// Never more than `most_pa`: what the part may hold where it stands.
#[must_use]
pub fn bring_to_pa(wanted_pa: i64, here: Air, launch: Air, most_pa: i64) -> i64 {
    gauge_elsewhere_pa(wanted_pa, launch, here).min(most_pa)
}

/// Gauges are far below 2^53 pascal, where floating point is exact.
#[expect(
    clippy::cast_precision_loss,
    reason = "a gauge of a boat is far below 2^53 pascal"
)]
fn wide(pa: i64) -> f64 {
    pa as f64
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a cast from f64 to i64 saturates; pressures are far inside"
)]
pub(super) fn whole_pa(pa: f64) -> i64 {
    pa.round().max(0.0) as i64
}
