//! The power law where only counts between two times are known.

/// Events counted between two times of one unit's age.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CountedSpan {
    /// Its beginning; the end of the span before it.
    pub from: f64,
    /// Its end.
    pub until: f64,
    /// Events in it.
    pub count: u32,
}

/// A power law fitted to counts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroupedPowerLaw {
    /// Maximum likelihood.
    pub beta: f64,
    /// Maximum likelihood.
    pub lambda: f64,
}

/// Range in which beta is looked for, and halvings of it.
const BETA_MIN: f64 = 1e-4;
const BETA_MAX: f64 = 100.0;
const HALVINGS: u32 = 80;

/// Fits spans that follow each other from age 0; none where no beta is likelier than those beside
/// it (no events, or all in the first span).
///
/// Source: MIL-HDBK-189, grouped data.
#[must_use]
pub fn grouped_power_law(spans: &[CountedSpan]) -> Option<GroupedPowerLaw> {
    let until = spans.last()?.until;
    let total: f64 = spans.iter().map(|span| f64::from(span.count)).sum();
    let slope = |beta: f64| -> f64 {
        let each = |span: &CountedSpan| {
            let (low, high) = (span.from / until, span.until / until);
            let gained = libm::pow(high, beta) - libm::pow(low, beta);
            f64::from(span.count) * (power_log(high, beta) - power_log(low, beta)) / gained
        };
        spans.iter().filter(|span| span.count > 0).map(each).sum()
    };
    let (mut low, mut high) = (BETA_MIN, BETA_MAX);
    if !(slope(low) > 0.0 && slope(high) < 0.0) {
        // The slope rises from below: a flat or empty history has no crossing.
        return None;
    }
    for _ in 0..HALVINGS {
        let middle = (low + high) / 2.0;
        if slope(middle) > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    let beta = (low + high) / 2.0;
    Some(GroupedPowerLaw {
        beta,
        lambda: total / libm::pow(until, beta),
    })
}

/// t^beta ln t, 0 at 0.
fn power_log(t: f64, beta: f64) -> f64 {
    if t > 0.0 {
        libm::pow(t, beta) * libm::log(t)
    } else {
        0.0
    }
}
