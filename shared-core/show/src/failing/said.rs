//! The plain line of a group, and whether it is getting worse. Small numbers are said to be small, and
//! nothing is called a trend that is not.

use sponson_readiness::keeps_failing::{Against, Said, Trend, TrendSaid};

use super::figure::Number;
use crate::units::print;

/// The plain line: `twice the county's usual; could be chance: 4 faults`.
pub(super) fn line(said: Said, against: Against) -> String {
    let of = Of(against);
    match said {
        Said::MoreThanUsual {
            times_milli,
            faults,
            could_be_chance,
        } => {
            let more = times_milli.map_or_else(
                || format!("more than {}: the rest had none", of.usual()),
                |milli| times(milli, of),
            );
            format!("{more}; {}: {}", chance(could_be_chance), of.count(faults))
        }
        Said::AsUsual { faults } => format!("about {}: {}", of.usual(), of.count(faults)),
        Said::LessThanUsual {
            times_milli,
            faults,
            could_be_chance,
        } => format!(
            "{}; {}: {}",
            times(times_milli, of),
            chance(could_be_chance),
            of.count(faults)
        ),
        Said::TooFew { faults, least } => format!(
            "too few to say anything: {}, and nothing is said below {least}",
            of.count(faults)
        ),
        Said::NothingToCompare { faults } => {
            format!("{}; there is nothing to set it against", of.count(faults))
        }
    }
}

/// The stable word.
pub(super) const fn said_id(said: Said) -> &'static str {
    match said {
        Said::MoreThanUsual {
            could_be_chance: false,
            ..
        } => "more_than_usual",
        Said::MoreThanUsual { .. } => "more_could_be_chance",
        Said::AsUsual { .. } => "as_usual",
        Said::LessThanUsual {
            could_be_chance: false,
            ..
        } => "less_than_usual",
        Said::LessThanUsual { .. } => "less_could_be_chance",
        Said::TooFew { .. } => "too_few",
        Said::NothingToCompare { .. } => "nothing_to_compare",
    }
}

/// Whether an eye should rest on it: more than chance explains, or getting worse.
pub(super) const fn stands_out(said: Said, trend: &Trend) -> bool {
    let more = matches!(
        said,
        Said::MoreThanUsual {
            could_be_chance: false,
            ..
        }
    );
    more || matches!(trend.said, TrendSaid::Worse)
}

/// Whether it is getting worse: the stable word, and what is said behind the plain line.
pub(super) const fn trend(said: TrendSaid) -> (&'static str, &'static str) {
    match said {
        TrendSaid::Worse => ("worse", "getting worse"),
        TrendSaid::Better => ("better", "getting better"),
        TrendSaid::NotShown => ("not_shown", "not shown to get worse or better"),
        TrendSaid::TooFew { .. } => ("too_few", ""),
        TrendSaid::NotLooked => ("not_looked", ""),
    }
}

const fn chance(could_be: bool) -> &'static str {
    if could_be {
        "could be chance"
    } else {
        "hardly chance"
    }
}

#[derive(Clone, Copy)]
struct Of(Against);

impl Of {
    const fn usual(self) -> &'static str {
        match self.0 {
            Against::Others => "the county's usual",
            Against::OtherParts => "the usual of the other parts",
            Against::SamePlace => "the usual of this place on the other craft",
            Against::SameClass => "the usual of this on other models",
            Against::OtherRepairs => "the usual of the other repairs",
        }
    }

    fn count(self, faults: u32) -> String {
        match self.0 {
            Against::OtherRepairs if faults == 1 => "1 repair that did not hold".to_owned(),
            Against::OtherRepairs => format!("{faults} repairs that did not hold"),
            Against::Others | Against::OtherParts | Against::SamePlace | Against::SameClass => {
                print::count(i64::from(faults), "fault")
            }
        }
    }
}

/// `twice the county's usual`, `1.7 times the county's usual`, `half the county's usual`, `no more than ...`.
fn times(milli: u64, of: Of) -> String {
    let usual = of.usual();
    let number = Number::thousandths(milli);
    match number.as_str() {
        "2" => format!("twice {usual}"),
        "3" => format!("three times {usual}"),
        "4" => format!("four times {usual}"),
        "5" => format!("five times {usual}"),
        "0.5" => format!("half {usual}"),
        "0" => format!("none, against {usual}"),
        number => format!("{number} times {usual}"),
    }
}

/// A probability in words: `3 times in 100 by chance`.
pub(super) fn by_chance(ppm: u32) -> String {
    match ppm {
        0..10 => "less than once in 100,000 by chance".to_owned(),
        10..1_000 => format!("{} by chance", often(ppm.div_ceil(10), "100,000")),
        1_000..10_000 => format!("{} by chance", often(ppm / 1_000, "1,000")),
        _ => format!("{} by chance", often((ppm + 5_000) / 10_000, "100")),
    }
}

fn often(times: u32, of: &str) -> String {
    match times {
        1 => format!("once in {of}"),
        times => format!("{times} times in {of}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn more(times_milli: Option<u64>, faults: u32, could_be_chance: bool) -> String {
        let said = Said::MoreThanUsual {
            times_milli,
            faults,
            could_be_chance,
        };
        line(said, Against::Others)
    }

    #[test]
    fn the_first_line_is_plain_and_small_numbers_are_said_to_be() {
        for (said, text) in [
            (
                more(Some(2_004), 4, true),
                "twice the county's usual; could be chance: 4 faults",
            ),
            (
                more(Some(3_412), 11, false),
                "3.41 times the county's usual; hardly chance: 11 faults",
            ),
            (
                more(None, 3, true),
                "more than the county's usual: the rest had none; could be chance: 3 faults",
            ),
            (
                line(
                    Said::TooFew {
                        faults: 1,
                        least: 3,
                    },
                    Against::SamePlace,
                ),
                "too few to say anything: 1 fault, and nothing is said below 3",
            ),
            (
                line(Said::AsUsual { faults: 7 }, Against::OtherRepairs),
                "about the usual of the other repairs: 7 repairs that did not hold",
            ),
        ] {
            assert_eq!(said, text);
        }
    }

    #[test]
    fn chance_in_words() {
        for (ppm, text) in [
            (3, "less than once in 100,000 by chance"),
            (420, "42 times in 100,000 by chance"),
            (1_000, "once in 1,000 by chance"),
            (31_000, "3 times in 100 by chance"),
            (1_000_000, "100 times in 100 by chance"),
        ] {
            assert_eq!(by_chance(ppm), text, "{ppm}");
        }
    }
}
