//! Lengths of time that people type, each no longer than it can be: a slip of the finger is refused
//! while it can still be put right. None of these limits has a published source: common practice.

use sponson_show::units::{UnitError, span_to};

/// Longest use, seconds: a craft is looked at between runs, and 31 days is longer than any deployment
/// during which nobody could write one down.
pub const USE_S_MAX: u32 = 31 * 86_400;

/// Most that a meter of hours shows, seconds: 100,000 h, one more than five digits hold, is eleven
/// years by day and night.
pub const METER_S_MAX: u32 = 100_000 * 3_600;

/// Longest time that something has stood or is to rest, seconds: a year. Nothing that is asked for
/// here changes after days.
pub const REST_S_MAX: u32 = 366 * 86_400;

/// Reads how long a craft was used or an engine ran at once.
///
/// # Errors
/// Names the field, the value, and what is accepted.
pub fn of_use(field: &str, text: &str) -> Result<u32, UnitError> {
    span_to(field, text, USE_S_MAX, "from 0 to 31 days")
}

/// Reads what a meter shows.
///
/// # Errors
/// As for [`of_use`].
pub fn of_meter(field: &str, text: &str) -> Result<u32, UnitError> {
    span_to(field, text, METER_S_MAX, "from 0 to 100,000 h")
}

/// Reads how long something stood, or is to rest.
///
/// # Errors
/// As for [`of_use`].
pub fn of_rest(field: &str, text: &str) -> Result<u32, UnitError> {
    span_to(field, text, REST_S_MAX, "from 0 to 366 days")
}
