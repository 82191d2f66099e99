//! Chambers that lose air, one a line.

use sponson_readiness::chambers::ChamberLeaks;

use super::cell::{Cell, Table, moment, yes_no};
use crate::context::Context;
use crate::sentence::leaks::{leak_rate_text, soft_on_text};

/// Degrees Celsius of milli-degrees.
fn celsius(mc: i32) -> Cell {
    let sign = if mc < 0 { "-" } else { "" };
    let mc = mc.unsigned_abs();
    Cell::Number(format!("{sign}{}.{:03}", mc / 1_000, mc % 1_000))
}

/// The table.
pub(super) fn table(leaks: &ChamberLeaks, ctx: &Context) -> String {
    let columns = [
        "craft",
        "craft_id",
        "stations",
        "part",
        "label",
        "too_soft_on",
        "too_soft_first",
        "too_soft_last",
        "lost_pa_per_day",
        "lost_pa_per_day_low",
        "lost_pa_per_day_high",
        "over_limit",
        "readings",
        "last_read",
        "rate",
        "soft",
    ];
    let first = [
        ("as_of", moment(leaks.as_of)),
        ("air_c", celsius(leaks.air_mc)),
        ("water_c", celsius(leaks.water_mc)),
    ];
    let mut all = Table::new(&columns, first);
    for one in &leaks.leaking {
        let (chamber, rate) = (&one.chamber, &one.rate);
        let day = |day: Option<sponson_readiness::dates::Day>| day.map(|day| day.to_string());
        all.line([
            chamber.number.as_str().into(),
            chamber.craft.to_string().into(),
            ctx.station_list(&chamber.stations).into(),
            chamber.part.as_str().into(),
            chamber.label.as_str().into(),
            day(rate.below_on).into(),
            day(rate.below_between.0).into(),
            day(rate.below_between.1).into(),
            rate.pa_per_day.into(),
            rate.between_pa.map(|it| it.0).into(),
            rate.between_pa.map(|it| it.1).into(),
            yes_no(one.is_over),
            rate.readings.into(),
            chamber.last_read.map_or(Cell::Empty, moment),
            leak_rate_text(rate, ctx).into(),
            soft_on_text(one, leaks, ctx).into(),
        ]);
    }
    all.into_text()
}
