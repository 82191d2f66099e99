//! `reckon due`: the day on which something falls due again.

use clap::Args;
use sponson_readiness::dates::{Day, Older, last_day};
use sponson_readiness::event::DateMark;
use sponson_readiness::standard::{Every, MarkDay, MarkPolicy};
use sponson_show::reckoned::{self, DueAsked, EngineAsked, Hard, Reckoned};
use sponson_show::{clean, dates, units};

use crate::error::CommandError;

/// The day on which something falls due again, by days or engine hours, whichever comes first.
#[derive(Args, Debug)]
pub(super) struct DueArgs {
    /// When it was last done or made, as far as it is marked, for example 2026-03-31 or 2026-03.
    #[arg(long, value_name = "DATE")]
    last: String,
    /// How often it is done, for example 42months or 7days.
    #[arg(
        long,
        value_name = "INTERVAL",
        required_unless_present = "every_engine"
    )]
    every: Option<String>,
    /// The day on which it is asked: without it nothing is said to be overdue by days.
    #[arg(long, value_name = "DATE")]
    today: Option<String>,
    /// How often by the engine's meter, for example 100h.
    #[arg(long, value_name = "TIME", requires = "engine_now")]
    every_engine: Option<String>,
    /// The meter when it was last done.
    #[arg(
        long,
        value_name = "TIME",
        default_value = "0h",
        requires = "every_engine"
    )]
    engine_last: String,
    /// The meter now.
    #[arg(long, value_name = "TIME", requires = "every_engine")]
    engine_now: Option<String>,
    /// Used hard since: frequent starts, heavy loads, dirty water. Halves the hours, or both.
    #[arg(long, value_enum, value_name = "WHAT", num_args = 0..=1, default_missing_value = "hours")]
    hard: Option<HardWord>,
    /// From so many days before it is due soon.
    #[arg(long, value_name = "INTERVAL", default_value = "30days")]
    soon: String,
    /// From so much engine time before it is due soon.
    #[arg(long, value_name = "TIME", default_value = "10h")]
    soon_engine: String,
    /// For so many days after it is let be. None when not given.
    #[arg(long, value_name = "INTERVAL")]
    grace: Option<String>,
    /// Which day a month without a day means.
    #[arg(long, value_enum, value_name = "DAY")]
    month_only: Option<MonthOnly>,
    /// When the thing was made, where another interval counts from an age on.
    #[arg(long, value_name = "DATE", requires_all = ["older_than", "then_every", "every"])]
    made: Option<String>,
    /// The age from which that other interval counts, for example 10years.
    #[arg(long, value_name = "INTERVAL", requires = "made")]
    older_than: Option<String>,
    /// The other interval, for example 24months.
    #[arg(long, value_name = "INTERVAL", requires = "made")]
    then_every: Option<String>,
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum HardWord {
    Hours,
    Both,
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum MonthOnly {
    LastDay,
    FirstDay,
}

impl DueArgs {
    /// # Errors
    /// When a value cannot be.
    pub(super) fn reckon(&self) -> Result<Reckoned, CommandError> {
        let every = |field, text: &Option<String>| -> Result<Option<Every>, CommandError> {
            let text = text.as_deref();
            Ok(text.map(|text| dates::every(field, text)).transpose()?)
        };
        let asked = DueAsked {
            last: dates::date_mark("--last", &self.last)?,
            every: every("--every", &self.every)?,
            engine: self.engine()?,
            hard: match self.hard {
                None => Hard::No,
                Some(HardWord::Hours) => Hard::Hours,
                Some(HardWord::Both) => Hard::Both,
            },
            today: self.today()?,
            soon_days: days("--soon", &self.soon)?,
            grace_days: match &self.grace {
                None => 0,
                Some(text) => days("--grace", text)?,
            },
            month_only: self.month_only.map(|day| match day {
                MonthOnly::LastDay => MarkDay::LastDay,
                MonthOnly::FirstDay => MarkDay::FirstDay,
            }),
            older: self.older()?,
        };
        reckoned::due(&asked).ok_or_else(|| CommandError::Argument {
            field: "--last",
            value: clean(&self.last),
            limit: "no calendar has that day".to_owned(),
        })
    }

    fn engine(&self) -> Result<Option<EngineAsked>, CommandError> {
        let (Some(every), Some(now)) = (&self.every_engine, &self.engine_now) else {
            return Ok(None);
        };
        let asked = EngineAsked {
            every_s: units::span("--every-engine", every)?,
            last_s: units::span("--engine-last", &self.engine_last)?,
            now_s: units::span("--engine-now", now)?,
            soon_s: units::span("--soon-engine", &self.soon_engine)?,
        };
        if asked.now_s < asked.last_s {
            return Err(CommandError::Argument {
                field: "--engine-now",
                value: clean(now),
                limit: format!(
                    "a meter that shows less than {} when it was last done is another meter: go by \
                     the days",
                    clean(&self.engine_last)
                ),
            });
        }
        Ok(Some(asked))
    }

    fn today(&self) -> Result<Option<Day>, CommandError> {
        let Some(text) = &self.today else {
            return Ok(None);
        };
        let mark = dates::date_mark("--today", text)?;
        let day = mark.day.and_then(|_| last_day(mark, MarkPolicy::default()));
        day.map(Some).ok_or_else(|| CommandError::Argument {
            field: "--today",
            value: clean(text),
            limit: "give a day, for example 2026-03-31".to_owned(),
        })
    }

    fn older(&self) -> Result<Option<(DateMark, Older)>, CommandError> {
        let (Some(made), Some(than), Some(every)) =
            (&self.made, &self.older_than, &self.then_every)
        else {
            return Ok(None);
        };
        let older = Older {
            than: dates::every("--older-than", than)?,
            every: dates::every("--then-every", every)?,
        };
        Ok(Some((dates::date_mark("--made", made)?, older)))
    }
}

/// A number of days.
fn days(field: &'static str, text: &str) -> Result<u32, CommandError> {
    match dates::every(field, text)? {
        Every::Days(days) => Ok(days),
        Every::Months(_) => Err(CommandError::Argument {
            field,
            value: clean(text),
            limit: "give it in days or weeks, for example 30days".to_owned(),
        }),
    }
}

#[cfg(test)]
mod tests {
    use clap::Parser;

    use super::*;

    #[derive(Parser)]
    struct Typed {
        #[command(flatten)]
        args: DueArgs,
    }

    fn reckoned(typed: &str) -> Result<String, String> {
        let typed = Typed::try_parse_from(["due"].into_iter().chain(typed.split_whitespace()));
        let args = typed.map_err(|error| error.to_string())?.args;
        let reckoned = args.reckon().map_err(|error| error.to_string())?;
        Ok(reckoned.to_json())
    }

    /// The month ends of calendar-intervals.csv; Mercury 100 EFI manual p. 36 for the hours.
    #[test]
    fn what_is_typed_is_reckoned() {
        for (typed, said) in [
            (
                "--last 2022-03-31 --every 42months",
                "\"due\": \"2025-09-30\"",
            ),
            ("--last 2022-03 --every 42months", "\"due\": \"2025-09-30\""),
            (
                "--last 2022-03 --every 42months --month-only first-day",
                "\"due\": \"2025-09-01\"",
            ),
            (
                "--last 2025-01-15 --every 12months --today 2025-12-16 --every-engine 100h \
                 --engine-now 96h",
                "\"soon\": true",
            ),
            (
                "--last 2025-01-15 --every-engine 100h --engine-last 20h --engine-now 80h --hard",
                "\"overdue\": true",
            ),
            (
                "--last 2025-01-31 --every 12months --hard both",
                "\"due\": \"2025-07-31\"",
            ),
            (
                "--last 2024-02-01 --every 36months --made 2015-02-01 --older-than 10years \
                 --then-every 24months",
                "\"due\": \"2026-02-01\"",
            ),
            (
                "--last 2026-03-01 --every 7days --today 2026-03-10 --grace 7days",
                "\"in_grace\": true",
            ),
        ] {
            let json = reckoned(typed).expect(typed);
            assert!(json.contains(said), "{typed}: {json}");
        }
    }

    #[test]
    fn what_cannot_be_is_refused_with_what_to_do() {
        for (typed, said) in [
            ("--last 2022-02-30 --every 42months", "2022-02-30"),
            ("--last 2022-02-28", "--every"),
            ("--last 2022-02-28 --every 42miles", "42months"),
            (
                "--last 2022-02-28 --every 1month --today 2026-03",
                "give a day",
            ),
            (
                "--last 2022-02-28 --every 1month --soon 2months",
                "in days or weeks",
            ),
            (
                "--last 2022-02-28 --every 1month --made 2015",
                "--older-than",
            ),
            (
                "--last 2022-02-28 --every-engine 100h --engine-last 90h --engine-now 80h",
                "another meter: go by the days",
            ),
        ] {
            let refused = reckoned(typed).expect_err(typed);
            assert!(refused.contains(said), "{typed}: {refused}");
        }
    }
}
