//! Sentences about what is counted, dated and done at intervals.

use chrono::NaiveDate;
use sponson_readiness::answer::Measure;

use super::Said;
use crate::units::print;

/// Milliseconds in a day.
const DAY_MS: i64 = 86_400_000;

impl Said<'_> {
    pub(super) fn kit_short(&self) -> String {
        let it = &self.it;
        match (self.measured(), self.low()) {
            (Some(have), Some(need)) => {
                format!(
                    "{it}: {} that count, {} needed",
                    self.say(have),
                    self.say(need)
                )
            }
            (Some(have), None) => format!("{it}: {} that count, more needed", self.say(have)),
            (None, Some(need)) => format!("{it}: short, {} needed", self.say(need)),
            (None, None) => format!("{it}: short"),
        }
    }

    pub(super) fn kit_not_counted(&self) -> String {
        let it = &self.it;
        match self.low() {
            Some(need) => format!("{it}: never counted, {} needed", self.say(need)),
            None => format!("{it}: never counted"),
        }
    }

    pub(super) fn kit_expired(&self) -> String {
        let it = &self.it;
        match self.measured() {
            Some(Measure::Count(number)) => {
                format!("{it}: {number} past their date, which do not count")
            }
            Some(Measure::Date(date)) => {
                let read = self.mark_read();
                format!("{it}: past their date ({date}{read}); those do not count")
            }
            Some(_) | None => format!("{it}: some are past their date and do not count"),
        }
    }

    pub(super) fn kit_expires_soon(&self) -> String {
        let it = &self.it;
        match self.date() {
            Some(date) => {
                let (days, read) = (self.days_to(date), self.mark_read());
                format!("{it}: date runs out on {date} ({days}{read})")
            }
            None => format!("{it}: date runs out soon"),
        }
    }

    /// `; marked 2026-02: good through its last day, a setting`, for a mark that names no day.
    fn mark_read(&self) -> String {
        match self.high() {
            Some(Measure::Mark(read)) => format!("; {}", super::super::measure::mark_text(*read)),
            Some(_) | None => String::new(),
        }
    }

    pub(super) fn kit_undated(&self) -> String {
        let it = &self.it;
        match self.measured() {
            Some(Measure::Count(1)) => {
                format!("{it}: 1 carries no date that can be read, and does not count")
            }
            Some(number) => format!(
                "{it}: {} carry no date that can be read, and do not count",
                self.say(number)
            ),
            None => format!("{it}: some carry no date that can be read, and do not count"),
        }
    }

    pub(super) fn used_hard(&self) -> String {
        let it = &self.it;
        match (self.measured(), self.high()) {
            (Some(half), Some(whole)) => format!(
                "{it}: used hard since it was last done, so it is due after {} and not {}",
                self.say(half),
                self.say(whole)
            ),
            (Some(_), None) | (None, _) => {
                format!("{it}: used hard since it was last done, so it is due twice as often")
            }
        }
    }

    pub(super) fn overdue(&self) -> String {
        let it = &self.it;
        let by_hours = [self.measured(), self.high()]
            .into_iter()
            .flatten()
            .find_map(engine_s);
        match (self.date(), self.measured(), by_hours) {
            (Some(due), ..) if self.days_since(due) > 0 => {
                let days = print::count(self.days_since(due), "day");
                format!("{it} {days} overdue (due {due})")
            }
            (Some(due), ..) => format!("{it} overdue (due {due})"),
            (None, Some(Measure::SpanMs(ms)), _) => format!("{it} {} overdue", print::span(*ms)),
            (None, _, Some(_)) => match (self.measured(), self.high()) {
                (Some(found), Some(limit)) => format!(
                    "{it} overdue: {} run since, every {} wanted",
                    self.say(found),
                    self.say(limit)
                ),
                (Some(only), None) | (None, Some(only)) => {
                    format!("{it} overdue by {}", self.say(only))
                }
                (None, None) => format!("{it} overdue"),
            },
            (None, _, None) => {
                format!("{it} overdue: when it was last done cannot be shown")
            }
        }
    }

    pub(super) fn due_soon(&self) -> String {
        let it = &self.it;
        match (self.date(), self.measured()) {
            (Some(due), _) => format!("{it} due on {due} ({})", self.days_to(due)),
            (None, Some(found @ (Measure::EngineS(_) | Measure::SpanMs(_)))) => {
                format!("{it} due soon ({})", self.say(found))
            }
            (None, _) => format!("{it} due soon"),
        }
    }

    pub(super) fn check_stale(&self) -> String {
        let wanted = self.every();
        match self.measured() {
            Some(Measure::SpanMs(ms)) => {
                format!("last full check {} ago{wanted}", print::span(*ms))
            }
            Some(Measure::Date(date)) => format!("last full check on {date}{wanted}"),
            Some(_) | None => format!("last full check too long ago{wanted}"),
        }
    }

    pub(super) fn not_answered(&self) -> String {
        match self.measured() {
            Some(Measure::NotLooked(why)) => {
                format!("{}: {}", self.it, crate::words::not_applicable(*why))
            }
            Some(_) | None => self.not_since("not answered", "last answered"),
        }
    }

    /// `it: verb 12 days ago, every 7 days wanted`, or `it: never` when no age is known.
    pub(super) fn not_since(&self, never: &str, verb: &str) -> String {
        let (it, every) = (&self.it, self.every());
        match self.measured() {
            Some(Measure::SpanMs(ms)) => format!("{it}: {verb} {} ago{every}", print::span(*ms)),
            Some(Measure::Date(date)) => format!("{it}: {verb} on {date}{every}"),
            Some(_) | None => format!("{it}: {never}{every}"),
        }
    }

    /// `; every 7 days wanted`, when a length of time is required.
    pub(super) fn every(&self) -> String {
        match self.high() {
            Some(Measure::SpanMs(ms)) => format!("; every {} wanted", print::span(*ms)),
            Some(_) | None => String::new(),
        }
    }

    /// The date that is required, else the one that was found.
    pub(super) fn date(&self) -> Option<NaiveDate> {
        [self.high(), self.low(), self.measured()]
            .into_iter()
            .flatten()
            .find_map(|measure| match measure {
                Measure::Date(date) => Some(*date),
                Measure::GaugePa(_)
                | Measure::Slack
                | Measure::Count(_)
                | Measure::SpanMs(_)
                | Measure::EngineS(_)
                | Measure::MassG(_)
                | Measure::VolumeMl(_)
                | Measure::Mix(_)
                | Measure::PowerW(_)
                | Measure::Persons(_)
                | Measure::Mark(_)
                | Measure::SpeedMmS(_)
                | Measure::Moment(_)
                | Measure::FreeAirMl(_)
                | Measure::NotLooked(_)
                | Measure::Word(_)
                | Measure::Said(_)
                | Measure::Leak(_)
                | Measure::Sides(_) => None,
            })
    }

    /// Local days from a date to the moment judged; below 0 when the date is still to come.
    pub(super) fn days_since(&self, date: NaiveDate) -> i64 {
        let offset_ms = i64::from(self.ctx.utc_offset_min) * 60_000;
        let today = self.as_of.plus_ms(offset_ms).0.div_euclid(DAY_MS);
        let then = date.signed_duration_since(NaiveDate::default()).num_days();
        today.saturating_sub(then)
    }

    pub(super) fn days_to(&self, date: NaiveDate) -> String {
        match self.days_since(date).saturating_neg() {
            0 => "today".to_owned(),
            days if days > 0 => format!("in {}", print::count(days, "day")),
            days => format!("{} ago", print::count(days.saturating_neg(), "day")),
        }
    }
}

fn engine_s(measure: &Measure) -> Option<u64> {
    if let Measure::EngineS(s) = measure {
        Some(*s)
    } else {
        None
    }
}
