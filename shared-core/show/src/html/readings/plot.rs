//! The plot of one chamber: its numbers in the units that people read.

use chrono::{DateTime, NaiveDate};
use maud::{Markup, html};
use sponson_readiness::leak::Cut;
use sponson_readiness::moment::Moment;
use sponson_readiness::read_back::{ChamberReadings, Happened, ReadingShown};
use sponson_readiness::standard::PressureUnit;

use crate::context::Context;
use crate::svg::plot::{AirMark, GaugePlot, GaugeRead, Likely, gauge_plot};
use crate::units::print;

/// Milliseconds of a day.
const DAY_MS: f64 = 86_400_000.0;

/// The figure; nothing where nothing was read.
pub(super) fn plot(one: &ChamberReadings, id: &str, name: &str, ctx: &Context) -> Markup {
    let read = one
        .happened
        .iter()
        .filter_map(shown)
        .map(|shown| shown.past.at);
    let Some(first) = read.min() else {
        return html! {};
    };
    let scale = Scale::of(first, ctx);
    let readings = one
        .happened
        .iter()
        .filter_map(shown)
        .map(|shown| GaugeRead {
            day: scale.day(shown.past.at),
            read: scale.gauge(shown.past.reading.gauge_pa),
            corrected: shown.corrected_pa.map(|pa| scale.gauge(pa)),
        });
    let readings: Vec<GaugeRead> = readings.collect();
    let air: Vec<AirMark> = one.happened.iter().filter_map(|it| scale.air(it)).collect();
    let points = one.curve.curve.iter().flat_map(|curve| &curve.points);
    let line = points.map(|point| {
        let value = scale.gauge(point.line_pa);
        let between = point
            .between_pa
            .map(|(low, high)| (scale.gauge(low), scale.gauge(high)));
        Likely {
            day: scale.day(point.at),
            value,
            between: between.unwrap_or((value, value)),
        }
    });
    let line: Vec<Likely> = line.collect();
    let days = readings
        .iter()
        .map(|one| one.day)
        .chain(line.iter().map(|one| one.day));
    gauge_plot(&GaugePlot {
        id,
        name,
        unit: print::pressure_unit(ctx.units),
        places: scale.places,
        corrected_to: "15 °C",
        first: scale.first_day,
        last_day: days.fold(1.0, f64::max) + 1.0,
        readings: &readings,
        air: &air,
        line: &line,
        least: Some(scale.gauge(one.curve.least_pa)),
    })
}

fn shown(happened: &Happened) -> Option<&ReadingShown> {
    match happened {
        Happened::Read(shown) => Some(shown),
        Happened::Cut(..) => None,
    }
}

/// Pascal and moments as the plot takes them.
struct Scale {
    first_day: NaiveDate,
    midnight: Moment,
    pa: f64,
    places: usize,
}

impl Scale {
    fn of(first: Moment, ctx: &Context) -> Self {
        let offset_ms = i64::from(ctx.utc_offset_min) * 60_000;
        let local = DateTime::from_timestamp_millis(first.plus_ms(offset_ms).0);
        let first_day = local.unwrap_or_default().date_naive();
        let midnight = first_day.and_time(chrono::NaiveTime::MIN).and_utc();
        let (pa, places) = match ctx.units.pressure {
            PressureUnit::Psi => (6_894.757_293_168_361, 2),
            PressureUnit::Mbar => (100.0, 0),
            PressureUnit::Kpa => (1_000.0, 1),
        };
        Self {
            first_day,
            midnight: Moment(midnight.timestamp_millis()).plus_ms(-offset_ms),
            pa,
            places,
        }
    }

    fn gauge(&self, pa: i64) -> f64 {
        wide(pa) / self.pa
    }

    fn day(&self, at: Moment) -> f64 {
        wide(at.since(self.midnight)) / DAY_MS
    }

    fn air(&self, happened: &Happened) -> Option<AirMark> {
        let (at, added) = match happened {
            Happened::Cut(at, Cut::AirAdded | Cut::Inflated) => (at, true),
            Happened::Cut(at, Cut::AirLetOut) => (at, false),
            Happened::Cut(_, Cut::Repaired) | Happened::Read(_) => return None,
        };
        Some(AirMark {
            day: self.day(*at),
            added,
        })
    }
}

#[expect(
    clippy::cast_precision_loss,
    reason = "pascal and milliseconds here are far below 2^53"
)]
const fn wide(number: i64) -> f64 {
    number as f64
}
