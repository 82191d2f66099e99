//! What a person is told when the clock of her device is known to be wrong.
//!
//! Nothing is refused for it: what was done is kept, and the words say how its time will be read.

use sponson_link::programs;
use sponson_log::sync::program::Program;
use sponson_proto::service::v1::{ClockDoubt, StationClock};
use sponson_readiness::moment::{CLOCK_TOLERANCE_MS, Moment};
use sponson_show::clean;
use sponson_show::units::print;
use sponson_show::words::against;

/// What is said after an entry.
#[must_use]
pub fn entry(clock: &ClockDoubt, utc_offset_min: i32) -> String {
    let local = |unix_ms| print::local(Moment(unix_ms), utc_offset_min);
    let says = format!("this device's clock says {}", local(clock.device_unix_ms));
    match clock.doubt.as_str() {
        "off" => format!(
            "{says}, {} the county's: set it. The entry is kept with the county's time, {}",
            against(clock.by_ms),
            local(clock.device_unix_ms.saturating_add(clock.by_ms))
        ),
        "before_county" => {
            let newest = clock.newest_unix_ms.unwrap_or(clock.device_unix_ms);
            format!(
                "{says}, which is past: set it. The entry is kept with a time between {} and when \
                 the county gets it",
                local(newest)
            )
        }
        "was_off" => format!(
            "{says}, and was {} the county's at the last sync: see that it is right, or sync",
            against(clock.by_ms)
        ),
        _ => format!(
            "{says}, and was set since the device was started: what was recorded since then is \
             kept with a time between the last sync and when the county gets it"
        ),
    }
}

/// The clock against the county's, as last measured.
#[must_use]
pub fn measured(county_minus_device_ms: i64) -> String {
    if is_off(county_minus_device_ms) {
        format!(
            "{} the county's at the last sync",
            against(county_minus_device_ms)
        )
    } else {
        format!(
            "right within {} at the last sync",
            print::span(CLOCK_TOLERANCE_MS)
        )
    }
}

/// A station's clock, as the county saw it.
#[must_use]
pub fn of_station(clock: &StationClock, utc_offset_min: i32) -> String {
    let heard = print::local(Moment(clock.heard_unix_ms), utc_offset_min);
    let stood = if is_off(clock.county_minus_device_ms) {
        format!("{} the county's", against(clock.county_minus_device_ms))
    } else {
        "right".to_owned()
    };
    let program = Program::said(clock.engine_version, &clock.program_version);
    let program = match programs::words(&program) {
        said if said.is_empty() => String::new(),
        said => format!(", {said}"),
    };
    format!("{}: {stood}, heard {heard}{program}", clean(&clock.name))
}

/// More than a clock may be off without a word: as far as the log lets a claimed time lie outside
/// what is known. No rule counts in less than an hour, and this is 1/30 of one.
#[must_use]
pub fn is_off(difference_ms: i64) -> bool {
    difference_ms.unsigned_abs() > CLOCK_TOLERANCE_MS.unsigned_abs()
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOUR: i64 = 3_600_000;

    fn said(doubt: &str, by_ms: i64) -> String {
        let clock = ClockDoubt {
            doubt: doubt.to_owned(),
            by_ms,
            device_unix_ms: 1_773_478_800_000,
            newest_unix_ms: Some(1_773_478_800_000 + 5 * HOUR),
        };
        entry(&clock, 0)
    }

    #[test]
    fn every_doubt_says_what_to_do_or_how_the_time_is_read() {
        insta::assert_snapshot!(said("off", 3 * HOUR + 720_000), @"this device's clock says 2026-03-14 09:00, 3 h 12 min behind the county's: set it. The entry is kept with the county's time, 2026-03-14 12:12");
        insta::assert_snapshot!(said("off", -26 * HOUR), @"this device's clock says 2026-03-14 09:00, 26 h ahead of the county's: set it. The entry is kept with the county's time, 2026-03-13 07:00");
        insta::assert_snapshot!(said("before_county", 5 * HOUR), @"this device's clock says 2026-03-14 09:00, which is past: set it. The entry is kept with a time between 2026-03-14 14:00 and when the county gets it");
        insta::assert_snapshot!(said("was_off", -3 * HOUR), @"this device's clock says 2026-03-14 09:00, and was 3 h ahead of the county's at the last sync: see that it is right, or sync");
        insta::assert_snapshot!(said("changed", -3 * HOUR), @"this device's clock says 2026-03-14 09:00, and was set since the device was started: what was recorded since then is kept with a time between the last sync and when the county gets it");
    }

    #[test]
    fn a_clock_within_the_tolerance_is_right() {
        insta::assert_snapshot!(measured(-120_000), @"right within 2 min at the last sync");
        insta::assert_snapshot!(measured(120_001), @"2 min behind the county's at the last sync");
        let clock = StationClock {
            station: Vec::new().into(),
            name: "North Landing".to_owned(),
            county_minus_device_ms: -25 * HOUR,
            heard_unix_ms: 1_773_478_800_000,
            ..StationClock::default()
        };
        insta::assert_snapshot!(of_station(&clock, 0), @"North Landing: 25 h ahead of the county's, heard 2026-03-14 09:00");
        let clock = StationClock {
            engine_version: 3,
            program_version: "0.1.0".to_owned(),
            ..clock
        };
        insta::assert_snapshot!(of_station(&clock, 0), @"North Landing: 25 h ahead of the county's, heard 2026-03-14 09:00, version 0.1.0, rules version 3");
    }
}
