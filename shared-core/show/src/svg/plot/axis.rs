//! Where an axis ends and where its marks stand.

/// Marks of an axis that begins at nothing: 1, 2 or 5 times a power of ten apart, at most so many, the
/// last at or above the greatest value. Of a count no mark stands between two whole numbers.
pub(super) fn marks(greatest: f64, most: usize, of: Of) -> Vec<f64> {
    let greatest = if greatest.is_finite() && greatest > 0.0 {
        greatest
    } else {
        1.0
    };
    let least = match of {
        Of::Counts => 1.0,
        Of::Amounts => 0.0,
    };
    let mut step = least;
    for power in -6..9 {
        for digit in [1.0, 2.0, 5.0] {
            step = digit * 10_f64.powi(power);
            if step >= least && greatest / step <= wide(most) {
                return up_to(greatest, step);
            }
        }
    }
    up_to(greatest, step)
}

/// Marks of an axis that begins below the least value and ends at or above the greatest.
pub(super) fn marks_between(least: f64, greatest: f64, most: usize) -> Vec<f64> {
    let span = (greatest - least).max(greatest.abs() * 0.05);
    let spread = marks(span, most, Of::Amounts);
    let step = spread.get(1).copied().unwrap_or(1.0);
    let first = (least / step).floor() * step;
    let over = up_to(least + span - first, step);
    over.into_iter().map(|mark| first + mark).collect()
}

/// What stands along an axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Of {
    Counts,
    Amounts,
}

fn up_to(greatest: f64, step: f64) -> Vec<f64> {
    let mut marks = vec![0.0];
    let mut at = 0.0;
    // A value a hair above a mark, by rounding, needs no further one.
    while at < greatest - step * 1e-9 {
        at += step;
        marks.push(at);
    }
    marks
}

/// A mark in words: no more places than tell it from the next.
pub(super) fn words(mark: f64, marks: &[f64]) -> String {
    let step = match marks {
        [first, second, ..] => second - first,
        [] | [_] => 1.0,
    };
    let places = if step >= 0.999 {
        0
    } else if step >= 0.099 {
        1
    } else if step >= 0.0099 {
        2
    } else {
        4
    };
    format!("{mark:.places$}")
}

#[expect(clippy::cast_precision_loss, reason = "marks of an axis are a handful")]
const fn wide(count: usize) -> f64 {
    count as f64
}
