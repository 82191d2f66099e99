//! When something falls due, in words: by days and by engine hours, whichever comes first.

use chrono::NaiveDate;
use serde_json::Value;
use sponson_readiness::dates::{self, Margins, Older, PastDue, Stage};
use sponson_readiness::event::DateMark;
use sponson_readiness::standard::{Every, MarkDay, MarkPolicy};

use super::Reckoned;
use crate::units::print;

/// What is asked: base units, as everywhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DueAsked {
    /// When it was last done, or made.
    pub last: DateMark,
    /// Interval by days or months.
    pub every: Option<Every>,
    /// Interval by engine hours.
    pub engine: Option<EngineAsked>,
    /// What hard use since halves.
    pub hard: Hard,
    /// The day on which it is asked.
    pub today: Option<NaiveDate>,
    /// Days before the due day from which it is due soon.
    pub soon_days: u32,
    /// Days after it during which it is let be.
    pub grace_days: u32,
    /// Which day a month without a day means.
    pub month_only: Option<MarkDay>,
    /// Another interval from an age on, and when the thing was made.
    pub older: Option<(DateMark, Older)>,
}

/// Engine hours by the meter, seconds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct EngineAsked {
    /// The interval.
    pub every_s: u32,
    /// The meter when it was last done.
    pub last_s: u32,
    /// The meter now.
    pub now_s: u32,
    /// Engine time before the interval ends from which it is due soon.
    pub soon_s: u32,
}

/// What hard use halves.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Hard {
    /// It was not used hard.
    #[default]
    No,
    /// The interval by engine hours.
    Hours,
    /// That and the one by days.
    Both,
}

/// When it falls due again; none when a mark is no day of the calendar.
#[must_use]
pub fn due(asked: &DueAsked) -> Option<Reckoned> {
    let marks = MarkPolicy {
        month_only: asked.month_only.unwrap_or_default(),
        ..MarkPolicy::default()
    };
    let due = match asked.every {
        Some(every) => Some(due_day(asked, every, marks)?),
        None => None,
    };
    let past = PastDue {
        days: due
            .zip(asked.today)
            .map(|(due, today)| today.signed_duration_since(due).num_days()),
        engine_s: asked.engine.map(|engine| past_due_s(engine, asked.hard)),
    };
    let known = past.days.is_some() || past.engine_s.is_some();
    let stage = known.then(|| past.stage(margins(asked)));
    Some(Reckoned {
        what: "due",
        given: given(asked),
        figures: vec![
            ("due", due.map(|due| due.to_string()).into()),
            ("days_left", past.days.map(|days| -days).into()),
            ("engine_left_s", past.engine_s.map(|over_s| -over_s).into()),
            ("soon", stage.map(|stage| stage == Stage::Soon).into()),
            ("overdue", stage.map(|stage| stage >= Stage::Grace).into()),
            ("in_grace", stage.map(|stage| stage == Stage::Grace).into()),
        ],
        lines: lines(due, past, stage),
        assumed: assumed(asked),
        sources: sources(asked),
    })
}

fn due_day(asked: &DueAsked, every: Every, marks: MarkPolicy) -> Option<NaiveDate> {
    let whole = dates::due_of_mark(asked.last, every, marks)?;
    let whole = match asked.older {
        Some((made, older)) => {
            let anchor = dates::last_day(asked.last, marks)?;
            let by_age = dates::due_by_age(anchor, every, dates::first_day(made)?, older);
            by_age.min(whole)
        }
        None => whole,
    };
    match asked.hard {
        Hard::Both => {
            let anchor = dates::first_day(asked.last)?;
            Some(dates::due_halved(anchor, every).min(whole))
        }
        Hard::No | Hard::Hours => Some(whole),
    }
}

/// Engine seconds past due. A meter that shows less than when it was last done is another meter:
/// whoever asks is told before this.
fn past_due_s(engine: EngineAsked, hard: Hard) -> i64 {
    let every_s = match hard {
        Hard::No => engine.every_s,
        Hard::Hours | Hard::Both => engine.every_s / 2,
    };
    let run_s = engine.now_s.saturating_sub(engine.last_s);
    i64::from(run_s) - i64::from(every_s)
}

fn margins(asked: &DueAsked) -> Margins {
    Margins {
        soon_days: asked.soon_days,
        grace_days: asked.grace_days,
        soon_engine_s: asked.engine.map_or(0, |engine| u64::from(engine.soon_s)),
    }
}

fn given(asked: &DueAsked) -> Vec<(&'static str, Value)> {
    let every = |every: Option<Every>| match every {
        Some(Every::Days(days)) => (Some(days), None),
        Some(Every::Months(months)) => (None, Some(months)),
        None => (None, None),
    };
    let (days, months) = every(asked.every);
    let engine = asked.engine;
    let hard = match asked.hard {
        Hard::No => "no",
        Hard::Hours => "hours",
        Hard::Both => "both",
    };
    let mut given: Vec<(&'static str, Value)> = vec![
        ("last", print::date_mark(asked.last).into()),
        ("every_days", days.into()),
        ("every_months", months.into()),
        ("every_engine_s", engine.map(|it| it.every_s).into()),
        ("engine_last_s", engine.map(|it| it.last_s).into()),
        ("engine_now_s", engine.map(|it| it.now_s).into()),
        ("soon_engine_s", engine.map(|it| it.soon_s).into()),
        ("hard_use", hard.into()),
        ("today", asked.today.map(|day| day.to_string()).into()),
        ("soon_days", asked.soon_days.into()),
        ("grace_days", asked.grace_days.into()),
    ];
    if let Some((made, older)) = asked.older {
        given.push(("made", print::date_mark(made).into()));
        given.push(("older_than", every_text(older.than).into()));
        given.push(("then_every", every_text(older.every).into()));
    }
    given
}

fn every_text(every: Every) -> String {
    match every {
        Every::Days(days) => print::count(i64::from(days), "day"),
        Every::Months(months) => print::count(i64::from(months), "month"),
    }
}

fn lines(due: Option<NaiveDate>, past: PastDue, stage: Option<Stage>) -> Vec<String> {
    let days = past.days.map(|days| match days {
        0 => "today".to_owned(),
        over if over > 0 => format!("{} ago", print::count(over, "day")),
        left => format!("in {}", print::count(-left, "day")),
    });
    let mut lines = Vec::new();
    if let Some(due) = due {
        let days = days.map_or(String::new(), |days| format!(", {days}"));
        lines.push(format!("due {due}{days}"));
    }
    if let Some(over_s) = past.engine_s {
        let hours = print::engine(over_s.unsigned_abs());
        lines.push(match over_s {
            over_s if over_s > 0 => format!("{hours} past due by the meter"),
            _ => format!("{hours} left by the meter"),
        });
    }
    lines.extend(stage.map(|stage| {
        let word = match stage {
            Stage::InTime => "in time",
            Stage::Soon => "due soon",
            Stage::Grace => "overdue, within the grace",
            Stage::Over => "overdue",
        };
        word.to_owned()
    }));
    lines
}

fn assumed(asked: &DueAsked) -> Vec<String> {
    let mut assumed = Vec::new();
    if asked.every.is_some() && asked.today.is_none() {
        assumed.push("no day was given with --today, so how many are left is not told".to_owned());
    }
    let without_day = asked.last.day.is_none();
    match (without_day, asked.last.month, asked.month_only) {
        (true, Some(_), None | Some(MarkDay::LastDay)) => assumed.push(
            "a month without a day lasts through its last day: a setting of the county; no rule is \
             published for flares and extinguishers"
                .to_owned(),
        ),
        (true, Some(_), Some(MarkDay::FirstDay)) => {
            assumed.push("a month without a day means its first day: as given".to_owned());
        }
        (true, None, _) => assumed
            .push("a year without a month means January, the safe one: a setting".to_owned()),
        (false, ..) => {}
    }
    if asked.hard == Hard::Hours {
        assumed
            .push("hard use halves the hours and not the days: a setting of the sheet".to_owned());
    }
    assumed
}

fn sources(asked: &DueAsked) -> Vec<String> {
    let mut sources =
        vec!["counted from the original day; a day that a month lacks is its last".to_owned()];
    if asked.last.day.is_none() && asked.last.month.is_some() {
        sources.push("cylinders: good through the due month, 49 CFR 180.205(c)".to_owned());
    }
    if asked.hard != Hard::No {
        let chart = "hard use: service twice as often, Yamaha F150B maintenance chart";
        sources.push(chart.to_owned());
    }
    if asked.older.is_some() {
        let suits = "another interval from an age on: as for suits, MSC/Circ.1114 and MGN 529 1.2";
        sources.push(suits.to_owned());
    }
    sources
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(last: (i32, Option<u32>, Option<u32>), every: Option<Every>) -> DueAsked {
        let (year, month, day) = last;
        DueAsked {
            last: DateMark { year, month, day },
            every,
            engine: None,
            hard: Hard::No,
            today: None,
            soon_days: 30,
            grace_days: 0,
            month_only: None,
            older: None,
        }
    }

    fn figures(asked: &DueAsked) -> String {
        let found = due(asked).expect("a day").figures;
        let found: Vec<String> = found
            .iter()
            .map(|(name, value)| format!("{name} {value}"))
            .collect();
        found.join(", ").replace('"', "")
    }

    /// 46 CFR 160.021-5(b): 42 months from making; the month-end row C09 of calendar-intervals.csv.
    #[test]
    fn by_days() {
        let months = Some(Every::Months(42));
        for (last, today, month_only, found) in [
            (
                (2021, Some(8), Some(31)),
                None,
                None,
                "due 2025-02-28, days_left null, engine_left_s null, soon null, overdue null, \
                 in_grace null",
            ),
            (
                (2022, Some(3), None),
                Some("2025-09-30"),
                None,
                "due 2025-09-30, days_left 0, engine_left_s null, soon true, overdue false, \
                 in_grace false",
            ),
            (
                (2022, Some(3), None),
                Some("2025-09-30"),
                Some(MarkDay::FirstDay),
                "due 2025-09-01, days_left -29, engine_left_s null, soon false, overdue true, \
                 in_grace false",
            ),
            (
                (2022, None, None),
                Some("2025-01-01"),
                None,
                "due 2025-07-31, days_left 211, engine_left_s null, soon false, overdue false, \
                 in_grace false",
            ),
        ] {
            let asked = DueAsked {
                today: today.map(|day| day.parse().expect("a day")),
                month_only,
                ..asked(last, months)
            };
            assert_eq!(figures(&asked), found, "{last:?}");
        }
        assert_eq!(due(&asked((2022, Some(2), Some(30)), months)), None);
    }

    /// Mercury 100 EFI manual p. 36: every 100 h or 12 months, whichever first. 96 h and 11 months:
    /// due soon; 97 h and 13 months: overdue. Hard use: twice as often, Yamaha F150B chart.
    #[test]
    fn by_engine_hours_or_days_whichever_comes_first() {
        let hours = |now: u32, today: &str, hard| {
            let asked = DueAsked {
                engine: Some(EngineAsked {
                    every_s: 100 * 3_600,
                    last_s: 20 * 3_600,
                    now_s: (20 + now) * 3_600,
                    soon_s: 10 * 3_600,
                }),
                today: today.parse().ok(),
                hard,
                ..asked((2025, Some(1), Some(15)), Some(Every::Months(12)))
            };
            figures(&asked)
        };
        let soon = hours(96, "2025-12-16", Hard::No);
        assert!(
            soon.ends_with("soon true, overdue false, in_grace false"),
            "{soon}"
        );
        assert!(soon.contains("days_left 30, engine_left_s 14400"), "{soon}");
        let over = hours(97, "2026-02-15", Hard::No);
        assert!(
            over.contains("days_left -31, engine_left_s 10800"),
            "{over}"
        );
        assert!(over.contains("overdue true"), "{over}");
        let hard = hours(60, "2025-03-01", Hard::Hours);
        assert!(hard.starts_with("due 2026-01-15"), "{hard}");
        assert!(
            hard.contains("engine_left_s -36000, soon false, overdue true"),
            "{hard}"
        );
        let both = hours(40, "2025-07-16", Hard::Both);
        assert!(both.starts_with("due 2025-07-15, days_left -1"), "{both}");
        assert!(both.contains("overdue true"), "{both}");
    }

    /// MSC/Circ.1114 and MGN 529 1.2: a suit of 11 years that was tested 25 months ago is overdue.
    #[test]
    fn by_age() {
        let made = |year| {
            let made = DateMark {
                year,
                month: Some(2),
                day: Some(1),
            };
            let older = Older {
                than: Every::Months(120),
                every: Every::Months(24),
            };
            let asked = DueAsked {
                today: "2026-03-01".parse().ok(),
                older: Some((made, older)),
                ..asked((2024, Some(2), Some(1)), Some(Every::Months(36)))
            };
            figures(&asked)
        };
        assert!(
            made(2015).starts_with("due 2026-02-01, days_left -28"),
            "{}",
            made(2015)
        );
        assert!(made(2020).starts_with("due 2027-02-01"), "{}", made(2020));
    }

    #[test]
    fn in_words() {
        let asked = DueAsked {
            today: "2025-12-20".parse().ok(),
            hard: Hard::Hours,
            engine: Some(EngineAsked {
                every_s: 360_000,
                last_s: 0,
                now_s: 198_000,
                soon_s: 36_000,
            }),
            ..asked((2025, Some(1), None), Some(Every::Months(12)))
        };
        insta::assert_snapshot!(due(&asked).expect("a day").to_text(), @r"
        due 2026-01-31, in 42 days
        5.0 engine hours past due by the meter
        overdue
        assumed: a month without a day lasts through its last day: a setting of the county; no rule is published for flares and extinguishers
        assumed: hard use halves the hours and not the days: a setting of the sheet
        source: counted from the original day; a day that a month lacks is its last
        source: cylinders: good through the due month, 49 CFR 180.205(c)
        source: hard use: service twice as often, Yamaha F150B maintenance chart
        Advice only: local procedure, the maker's manual and the person in charge decide.
        ");
    }
}
