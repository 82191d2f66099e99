//! Which way is north, and how far it is: two bars, miles and kilometres.

use maud::{Markup, html};

use super::frame::Frame;
use crate::svg::number;

/// The international mile, metres.
const MILE_M: f64 = 1_609.344;

/// Longest bar, units of the sheet.
const BAR_MAX: f64 = 110.0;

/// The room that both take, at the foot of the sheet on the left; and at its head on the right.
pub(super) const BARS: (f64, f64) = (150.0, 33.0);
pub(super) const NORTH: (f64, f64) = (26.0, 44.0);

pub(super) fn north_and_bars(frame: &Frame) -> Markup {
    let sheet = frame.sheet();
    let (right, foot) = (sheet.width - 16.0, sheet.height - 12.0);
    html! {
        path class="map-north" d=(format!("M{} 34L{} 8L{} 34L{} 28Z",
            number(right - 7.0), number(right), number(right + 7.0), number(right))) {}
        text class="map-scale-word" x=(number(right)) y="46" text-anchor="middle" { "N" }
        (bar(frame, foot - 14.0, MILE_M, "mi"))
        (bar(frame, foot, 1_000.0, "km"))
    }
}

fn bar(frame: &Frame, y: f64, unit_m: f64, unit: &str) -> Markup {
    let (count, words) = round_length(BAR_MAX / (unit_m * frame.units_per_m()));
    let end = 10.0 + count * unit_m * frame.units_per_m();
    let data = format!(
        "M10 {}V{}H{}V{}",
        number(y - 5.0),
        number(y),
        number(end),
        number(y - 5.0)
    );
    html! {
        path class="map-bar" d=(data) {}
        text class="map-scale-word" x=(number(end + 5.0)) y=(number(y + 1.0)) { (words) " " (unit) }
    }
}

/// The longest of 1, 2, 5, 10, ... that is not above a length, with its words; 0.1 at least.
pub(super) fn round_length(most: f64) -> (f64, String) {
    let mut best = 0.1;
    for power in [0.1, 1.0, 10.0, 100.0, 1_000.0, 10_000.0] {
        for step in [1.0, 2.0, 5.0] {
            if power * step <= most {
                best = power * step;
            }
        }
    }
    let words = if best < 0.95 {
        format!("{best:.1}")
    } else {
        format!("{best:.0}")
    };
    (best, words)
}
