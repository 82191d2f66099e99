//! The prediction of one part as the answer shows it: the softest and the hardest of its sides.

use super::Held;
use super::judged::Judged;
use crate::answer::{InSun, PartPressure, PressureSpread};

/// None when no side has a value that can belong to the part.
pub(super) fn shown(held: Held<'_>, judged: &[Judged]) -> Option<PartPressure> {
    let plausible = || judged.iter().filter(|judged| judged.plausible);
    let softest = plausible().min_by_key(|judged| judged.predicted.low_pa)?;
    let hardest = plausible().max_by_key(|judged| judged.predicted.high_pa)?;
    let home = plausible().max_by_key(|judged| judged.home.gauge_pa)?;
    let most = |part: fn(&Judged) -> i64| plausible().map(part).max().unwrap_or(0);
    let least = |part: fn(&Judged) -> i64| plausible().map(part).min().unwrap_or(0);
    Some(PartPressure {
        part: held.part.id.clone(),
        read_gauge_pa: softest.gauge_pa,
        read_at: softest.read_at,
        launch_low_pa: softest.predicted.low_pa,
        launch_high_pa: hardest.predicted.high_pa,
        own_leak_pa: softest.own_leak_pa,
        range_pa: (held.rule.low_pa, held.rule.high_pa),
        spread: PressureSpread {
            least_pa: least(|judged| judged.spread.least_pa),
            most_pa: most(|judged| judged.spread.most_pa),
            gauge_pa: most(|judged| judged.spread.gauge_pa),
            ambient_pa: most(|judged| judged.spread.ambient_pa),
            moist_pa: most(|judged| judged.spread.moist_pa),
        },
        home_high_pa: home.home.gauge_pa,
        home_mc: home.home.temperature_mc,
        in_sun: InSun {
            temperature_mc: softest.sun.temperature_mc,
            high_pa: most(|judged| judged.sun.high_pa),
            then_low_pa: least(|judged| judged.sun.then_low_pa),
        },
    })
}
