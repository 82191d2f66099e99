//! Until when a cylinder is in date.

use chrono::NaiveDate;

use crate::dates::life_end;
use crate::event::DateMark;
use crate::standard::{CylinderRule, MarkPolicy};

/// The dates of one cylinder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CylinderDates {
    /// Last day before its requalification is overdue; none when neither that nor its making is
    /// known.
    pub requalify_by: Option<NaiveDate>,
    /// Last day of its service life; none when it has no fixed one, or its making is not known.
    pub life_ends: Option<NaiveDate>,
}

/// How a cylinder stands on a day, the best first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CylinderStanding {
    /// It may be used and refilled.
    InDate,
    /// Its requalification is overdue: filled before, it may stay in use until emptied, and is not
    /// refilled (49 CFR 180.205(c)).
    Overdue,
    /// Its service life is over: not refilled (49 CFR 180.205(c)), and retired.
    LifeOver,
}

impl CylinderDates {
    /// The dates by its specification. A new cylinder was tested when it was made. A due month is
    /// good through its last day (49 CFR 180.205(c)), so days on the marks do not count.
    #[must_use]
    pub fn of(rule: &CylinderRule, made: Option<DateMark>, requalified: Option<DateMark>) -> Self {
        let month = |mark: DateMark| DateMark { day: None, ..mark };
        let tested = requalified.or(made).map(month);
        // Not the county's reading of printed marks: the law has one of its own for cylinders.
        let ends = |mark, months| life_end(mark, months, MarkPolicy::default());
        let lives = made.map(month).zip(rule.life_months);
        Self {
            requalify_by: tested.and_then(|mark| ends(mark, rule.requalify_months)),
            life_ends: lives.and_then(|(mark, months)| ends(mark, months)),
        }
    }

    /// How it stands on a day; none when it is not known.
    #[must_use]
    pub fn on(&self, day: NaiveDate) -> Option<CylinderStanding> {
        let is_past = |last: Option<NaiveDate>| last.is_some_and(|last| day > last);
        if is_past(self.life_ends) {
            return Some(CylinderStanding::LifeOver);
        }
        self.requalify_by.map(|last| match day > last {
            true => CylinderStanding::Overdue,
            false => CylinderStanding::InDate,
        })
    }
}

impl CylinderStanding {
    /// Whether it may be filled again.
    #[must_use]
    pub const fn may_be_filled(self) -> bool {
        match self {
            Self::InDate => true,
            Self::Overdue | Self::LifeOver => false,
        }
    }

    /// Whether the air in it may be used: what was filled in time may, until it is empty.
    #[must_use]
    pub const fn may_be_emptied(self) -> bool {
        match self {
            Self::InDate | Self::Overdue => true,
            Self::LifeOver => false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standard::Policy;

    fn mark(year: i32, month: u32) -> Option<DateMark> {
        Some(DateMark {
            year,
            month: Some(month),
            day: None,
        })
    }

    fn standing(
        specification: &str,
        (made, tested): (Option<DateMark>, Option<DateMark>),
        day: &str,
    ) -> Option<CylinderStanding> {
        let policy = Policy::parse(Policy::default_text()).expect("settings");
        let rule = policy.free_air.cylinder(specification).expect("a rule");
        CylinderDates::of(rule, made, tested).on(day.parse().expect("a day"))
    }

    /// Row 50. Source: 49 CFR 180.209 and 180.205(c), five years, due month inclusive.
    #[test]
    fn a_3al_is_in_date_through_its_due_month() {
        let tested = (None, mark(2021, 4));
        let on = |day| standing("3AL", tested, day);
        assert_eq!(on("2026-04-30"), Some(CylinderStanding::InDate));
        assert_eq!(on("2026-05-01"), Some(CylinderStanding::Overdue));
        assert!(!CylinderStanding::Overdue.may_be_filled());
        let on_a_day = DateMark {
            day: Some(2),
            ..tested.1.expect("a mark")
        };
        let day = standing("3AL", (None, Some(on_a_day)), "2026-04-30");
        assert_eq!(day, Some(CylinderStanding::InDate));
    }

    /// Row 51. Source: 49 CFR 180.205(c): filled in 2026-03, still full in 2026-08.
    #[test]
    fn one_filled_in_time_may_be_emptied_and_not_refilled() {
        let standing = standing("3AL", (None, mark(2021, 4)), "2026-08-15").expect("known");
        assert!(standing.may_be_emptied());
        assert!(!standing.may_be_filled());
    }

    /// Source: DOT-CFFC, 15-year life and 5-year retest (3mscott.com/product-update, safteng.net).
    #[test]
    fn a_composite_ends_after_fifteen_years_whatever_its_test() {
        let dates = (mark(2010, 6), mark(2024, 6));
        let on = |day| standing("composite", dates, day);
        assert_eq!(on("2025-06-30"), Some(CylinderStanding::InDate));
        assert_eq!(on("2025-07-01"), Some(CylinderStanding::LifeOver));
        assert!(!CylinderStanding::LifeOver.may_be_emptied());
    }

    #[test]
    fn a_new_one_counts_from_its_making_and_an_unmarked_one_is_not_known() {
        let on = |day| standing("3AA", (mark(2024, 1), None), day);
        assert_eq!(on("2029-01-31"), Some(CylinderStanding::InDate));
        assert_eq!(on("2029-02-01"), Some(CylinderStanding::Overdue));
        assert_eq!(standing("3AA", (None, None), "2029-02-01"), None);
        assert_eq!(
            standing("3HT", (None, mark(2024, 1)), "2027-02-01"),
            Some(CylinderStanding::Overdue)
        );
    }
}
