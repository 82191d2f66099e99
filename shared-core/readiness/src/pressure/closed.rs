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
    fn kelvin(self) -> f64 {
        // Far below any weather: keeps a damaged value from dividing by nothing.
        (f64::from(self.temperature_mc) / 1000.0 + ZERO_C_K).max(1.0)
    }
}

/// A relief valve and the hottest air that the part meets before it cools.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cap {
    /// Setting of the valve, pascal gauge.
    pub relief_pa: i64,
    /// The hottest air that is known of since the reading.
    pub hottest: Air,
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
/// `read_hot` and `read_cold` are the hottest and coldest that the part can have been when it was
/// read: equal for a settled reading. `launch_cold` and `launch_warm` are the colder and warmer of
/// air and water. The lowest comes from hot to cold, the highest from cold to warm. A relief valve
/// lets out what exceeds its setting, at the reading and at the hottest known of, so it can only
/// lower both.
#[must_use]
pub fn predicted(
    gauge_pa: i64,
    (read_cold, read_hot): (Air, Air),
    (launch_cold, launch_warm): (Air, Air),
    cap: Option<Cap>,
) -> Predicted {
    let read = match cap {
        Some(cap) => gauge_pa.min(cap.relief_pa),
        None => gauge_pa,
    };
    let straight = gauge_elsewhere(wide(read), read_hot, launch_cold);
    let low = match cap {
        Some(cap) => {
            let vented = gauge_elsewhere(wide(cap.relief_pa), cap.hottest, launch_cold);
            straight.min(vented)
        }
        None => straight,
    };
    let warm = gauge_elsewhere(wide(gauge_pa), read_cold, launch_warm);
    let high = match cap {
        Some(cap) => warm.min(wide(cap.relief_pa)),
        None => warm,
    };
    Predicted {
        low_pa: whole_pa(low),
        high_pa: whole_pa(high),
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
fn whole_pa(pa: f64) -> i64 {
    pa.round().max(0.0) as i64
}
