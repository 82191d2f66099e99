//! How a printed date is read that names no day, from the `[marks]` table of the policy.
//!
//! A policy that was signed before a setting existed stands for its default. No published rule says
//! how the marks of flares and extinguishers are read: each default is said here with its reason.

use serde::Deserialize;

/// How printed dates are read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct MarkPolicy {
    /// A month without a day. Default its last day: 33 CFR 175.125 does not say, and cylinders are
    /// read so, 49 CFR 180.205(c).
    pub month_only: MarkDay,
    /// A year without a month, on something that is good to then. Default its last day, as for a
    /// month: common practice, no source.
    pub year_only: MarkDay,
    /// The month from which a life counts when only the year of making is marked. Default January:
    /// it is worse for the craft.
    pub made_year_only: MadeMonth,
    /// Units without any date, where the sheet does not say. Default they do not count: nothing
    /// shows that they are good.
    pub undated: Undated,
}

/// Which day a mark without a day means.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum MarkDay {
    /// Good through the last day.
    #[default]
    LastDay,
    /// Good through the first day.
    FirstDay,
}

/// Which month a year of making means.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum MadeMonth {
    /// The first.
    #[default]
    January,
    /// The last.
    December,
}

/// What units without a date count.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Undated {
    /// Nothing.
    #[default]
    DoesNotCount,
    /// As good ones.
    Counts,
}

#[cfg(test)]
mod tests {
    use super::{MadeMonth, MarkDay, MarkPolicy, Undated};
    use crate::standard::Policy;

    /// A policy that was signed before there were these settings is read with their defaults, and
    /// the one that comes with the program writes them out.
    #[test]
    fn what_a_policy_does_not_say_is_its_default() {
        let text = Policy::default_text();
        let (before, after) = text.split_once("[marks]").expect("written out");
        let rest = after.split_once("\n[").map_or("", |(_, rest)| rest);
        for text in [text, &format!("{before}[{rest}")] {
            let policy = Policy::parse(text.trim_end_matches('[')).expect("reads");
            assert_eq!(policy.marks, MarkPolicy::default());
        }
        let other = text.replace("month_only = \"last-day\"", "month_only = \"first-day\"");
        let other = other.replace("january", "december");
        let other = other.replace("\"does-not-count\"", "\"counts\"");
        let marks = Policy::parse(&other).expect("reads").marks;
        assert_eq!(marks.month_only, MarkDay::FirstDay);
        assert_eq!(marks.made_year_only, MadeMonth::December);
        assert_eq!(marks.undated, Undated::Counts);
        let wrong = text.replace("\"last-day\"", "\"midday\"");
        let refused = Policy::parse(&wrong).expect_err("no such day").to_string();
        assert!(refused.contains("last-day"), "{refused}");
    }
}
