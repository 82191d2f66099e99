//! One sentence for each rule of the engine.
//!
//! A rule says more when the finding carries what was measured and required, and still makes a
//! sentence when it does not.

use chrono::NaiveDate;
use sponson_readiness::answer::{Finding, Measure, Required, Rule};
use sponson_readiness::moment::Moment;

use super::measure::{measure_text, pressure_beside};
use super::subject_text;
use crate::clean::clean;
use crate::context::Context;
use crate::units::print;

/// Milliseconds in a day.
const DAY_MS: i64 = 86_400_000;

pub(super) fn text(finding: &Finding, as_of: Moment, ctx: &Context) -> String {
    let it = subject_text(&finding.subject, ctx);
    Said {
        finding,
        ctx,
        as_of,
        it,
    }
    .sentence()
}

/// What the sentences are made of.
struct Said<'a> {
    finding: &'a Finding,
    ctx: &'a Context,
    as_of: Moment,
    /// The subject in words.
    it: String,
}

impl Said<'_> {
    fn sentence(&self) -> String {
        let it = &self.it;
        match self.finding.rule {
            Rule::NoStandard => {
                "its registration, model or boat standard is not known here".to_owned()
            }
            Rule::MissionNotInStandard => {
                self.with("its boat standard does not list", "this mission")
            }
            Rule::Condemned => "condemned: never to be used again".to_owned(),
            Rule::OutOfService => self.with("declared out of service:", "no reason given"),
            Rule::Assigned => self.assigned(),
            Rule::PressureLow => self.pressure_low(),
            Rule::PressureHigh => self.pressure_high(),
            Rule::PressureNotRead => self.not_since("gauge not read", "read"),
            Rule::PressureProvisional => self.provisional(),
            Rule::PressureAfterAir => {
                format!("{it}: air was added after the last reading, and the gauge not read since")
            }
            Rule::PressureImplausible => self.implausible(),
            Rule::KitShort => self.kit_short(),
            Rule::KitNotCounted => self.kit_not_counted(),
            Rule::KitStale => self.not_since("counted too long ago", "last counted"),
            Rule::KitExpired => self.kit_expired(),
            Rule::KitExpiresSoon => self.kit_expires_soon(),
            Rule::GearInTwoPlaces => self.differ("is said to be in two places"),
            Rule::GearMissing => format!("{it}: nothing fitted, and the boat standard requires it"),
            Rule::InspectionOverdue => self.overdue(),
            Rule::InspectionDueSoon => self.due_soon(),
            Rule::InspectionNeverDone => format!("{it}: never recorded as done"),
            Rule::InspectionFailed => format!("{it}: failed when last done"),
            Rule::FaultOpen => self.fault(),
            Rule::LineNo => format!("{it}: answered 'no'"),
            Rule::LineNotAnswered => self.not_answered(),
            Rule::HoldRuns => self.hold(),
            Rule::CheckStale => self.check_stale(),
            Rule::NeverChecked => "no full check was ever recorded".to_owned(),
            Rule::PlateUnknown => {
                "the maker's plate is not recorded, so whom it can carry is not known".to_owned()
            }
            Rule::LoadOver => self.load_over(),
            Rule::PlaceDisputed => self.differ("where it is: stations differ"),
            Rule::SidesDiffer => self.differ("stations differ; the worse counts"),
            Rule::NumberTwice => self.with("another craft carries the same number", ""),
            Rule::SameAs => self.with("may be registered twice", ""),
            Rule::Unconfirmed => {
                format!("{it}: an entry that is not confirmed says something about it; go and look")
            }
            Rule::NeedsUpgrade => {
                "an entry about it is newer than this device understands".to_owned()
            }
            Rule::Rolled => "kept rolled up; it has to be rigged first".to_owned(),
            Rule::StationSilent => self.silent(),
            Rule::MotorImmersed => format!("{it}: was under water and not inspected since"),
            Rule::UsedSinceCheck => "used since its last full check".to_owned(),
        }
    }

    fn assigned(&self) -> String {
        match &self.finding.measured {
            Some(Measure::Word(incident)) => format!("assigned to incident {}", clean(incident)),
            Some(_) | None => "assigned to an incident".to_owned(),
        }
    }

    fn pressure_low(&self) -> String {
        let it = &self.it;
        match (self.measured(), self.low()) {
            (Some(Measure::Slack), Some(low)) => {
                format!(
                    "{it} would be slack at the launch; at least {} wanted",
                    self.say(low)
                )
            }
            (Some(Measure::Slack), None) => format!("{it} would be slack at the launch"),
            (Some(found), Some(low)) => {
                let (found, low) = self.pair(found, low);
                format!("{it} would be {found} at the launch; at least {low} wanted")
            }
            (Some(found), None) => {
                format!("{it} would be {} at the launch: too soft", self.say(found))
            }
            (None, _) => format!("{it} would be too soft at the launch"),
        }
    }

    fn pressure_high(&self) -> String {
        let it = &self.it;
        match (self.measured(), self.high()) {
            (Some(found), Some(high)) => {
                let (found, high) = self.pair(found, high);
                format!("{it} would be {found} at the launch; at most {high} allowed")
            }
            (Some(found), None) => {
                format!("{it} would be {} at the launch: too hard", self.say(found))
            }
            (None, _) => format!("{it} would be too hard at the launch"),
        }
    }

    fn provisional(&self) -> String {
        let why = "taken soon after inflating, or in a temperature that is not known";
        let worse = match self.measured() {
            Some(found @ (Measure::GaugePa(_) | Measure::Slack)) => {
                format!(
                    "reckoned as {} at the launch, the worse case",
                    self.say(found)
                )
            }
            Some(_) | None => "the worse case counts".to_owned(),
        };
        format!("{}: the reading is not settled ({why}); {worse}", self.it)
    }

    fn implausible(&self) -> String {
        let it = &self.it;
        match self.measured() {
            Some(found) => format!(
                "{it}: a reading of {} cannot belong to this part{}",
                self.say(found),
                self.plausible()
            ),
            None => format!("{it}: the reading cannot belong to this part"),
        }
    }

    fn kit_short(&self) -> String {
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

    fn kit_not_counted(&self) -> String {
        let it = &self.it;
        match self.low() {
            Some(need) => format!("{it}: never counted, {} needed", self.say(need)),
            None => format!("{it}: never counted"),
        }
    }

    fn kit_expired(&self) -> String {
        let it = &self.it;
        match self.measured() {
            Some(Measure::Count(number)) => {
                format!("{it}: {number} past their date, which do not count")
            }
            Some(Measure::Date(date)) => {
                format!("{it}: past their date ({date}); those do not count")
            }
            Some(_) | None => format!("{it}: some are past their date and do not count"),
        }
    }

    fn kit_expires_soon(&self) -> String {
        let it = &self.it;
        match self.date() {
            Some(date) => format!("{it}: date runs out on {date} ({})", self.days_to(date)),
            None => format!("{it}: date runs out soon"),
        }
    }

    fn overdue(&self) -> String {
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
            (None, _, None) => format!("{it} overdue"),
        }
    }

    fn due_soon(&self) -> String {
        let it = &self.it;
        match (self.date(), self.measured()) {
            (Some(due), _) => format!("{it} due on {due} ({})", self.days_to(due)),
            (None, Some(found @ (Measure::EngineS(_) | Measure::SpanMs(_)))) => {
                format!("{it} due soon ({})", self.say(found))
            }
            (None, _) => format!("{it} due soon"),
        }
    }

    fn fault(&self) -> String {
        let it = &self.it;
        match self.measured() {
            Some(Measure::Word(class)) => {
                format!("{} at {it}: not signed off", super::words_of(class))
            }
            Some(_) | None => format!("fault at {it}: not signed off"),
        }
    }

    fn not_answered(&self) -> String {
        match self.measured() {
            Some(Measure::NotLooked(why)) => {
                format!("{}: {}", self.it, crate::words::not_applicable(*why))
            }
            Some(_) | None => self.not_since("not answered", "last answered"),
        }
    }

    fn hold(&self) -> String {
        let it = &self.it;
        match self.measured() {
            Some(Measure::SpanMs(left)) => {
                format!("{it}: a repair has to rest {} more", print::span(*left))
            }
            Some(_) | None => format!("{it}: the time that a repair has to rest still runs"),
        }
    }

    fn check_stale(&self) -> String {
        let wanted = self.every();
        match self.measured() {
            Some(Measure::SpanMs(ms)) => {
                format!("last full check {} ago{wanted}", print::span(*ms))
            }
            Some(Measure::Date(date)) => format!("last full check on {date}{wanted}"),
            Some(_) | None => format!("last full check too long ago{wanted}"),
        }
    }

    fn load_over(&self) -> String {
        match (self.measured(), self.high()) {
            (Some(found), Some(most)) => format!(
                "crew, kit and motor make {}; the plate allows {}",
                self.say(found),
                self.say(most)
            ),
            (Some(_), None) | (None, _) => {
                "crew, kit and motor leave no room on the maker's plate".to_owned()
            }
        }
    }

    fn silent(&self) -> String {
        match self.measured() {
            Some(Measure::SpanMs(ms)) => format!("{} not heard for {}", self.it, print::span(*ms)),
            Some(_) | None => format!("{} not heard for long", self.it),
        }
    }

    /// `opening measured`, or `opening otherwise` when nothing was measured.
    fn with(&self, opening: &str, otherwise: &str) -> String {
        let found = self.measured().map(|found| self.say(found));
        let closing = found.as_deref().unwrap_or(otherwise);
        if closing.is_empty() {
            opening.to_owned()
        } else if opening.ends_with(':') || otherwise == "this mission" {
            format!("{opening} {closing}")
        } else {
            format!("{opening} ({closing})")
        }
    }

    /// `it: words (one / other)`.
    fn differ(&self, words: &str) -> String {
        let sides = self
            .measured()
            .map(|sides| format!(" ({})", self.say(sides)));
        format!("{}: {words}{}", self.it, sides.unwrap_or_default())
    }

    /// `it: verb 12 days ago, every 7 days wanted`, or `it: never` when no age is known.
    fn not_since(&self, never: &str, verb: &str) -> String {
        let (it, every) = (&self.it, self.every());
        match self.measured() {
            Some(Measure::SpanMs(ms)) => format!("{it}: {verb} {} ago{every}", print::span(*ms)),
            Some(Measure::Date(date)) => format!("{it}: {verb} on {date}{every}"),
            Some(_) | None => format!("{it}: {never}{every}"),
        }
    }

    /// `; every 7 days wanted`, when a length of time is required.
    fn every(&self) -> String {
        match self.high() {
            Some(Measure::SpanMs(ms)) => format!("; every {} wanted", print::span(*ms)),
            Some(_) | None => String::new(),
        }
    }

    /// ` (from 1 psi to 5 psi would)`, when both are given.
    fn plausible(&self) -> String {
        match (self.low(), self.high()) {
            (Some(low), Some(high)) => {
                format!(" (from {} to {} would)", self.say(low), self.say(high))
            }
            (Some(low), None) => format!(" (at least {} would)", self.say(low)),
            (None, Some(high)) => format!(" (at most {} would)", self.say(high)),
            (None, None) => String::new(),
        }
    }

    fn measured(&self) -> Option<&Measure> {
        self.finding.measured.as_ref()
    }

    fn required(&self) -> Option<&Required> {
        self.finding.required.as_ref()
    }

    fn low(&self) -> Option<&Measure> {
        self.required()?.low.as_ref()
    }

    fn high(&self) -> Option<&Measure> {
        self.required()?.high.as_ref()
    }

    fn say(&self, measure: &Measure) -> String {
        measure_text(measure, self.ctx)
    }

    /// Found and required, told apart even where rounding makes them alike.
    fn pair(&self, found: &Measure, limit: &Measure) -> (String, String) {
        match (found, limit) {
            (Measure::GaugePa(found), Measure::GaugePa(limit)) => (
                pressure_beside(*found, *limit, self.ctx),
                pressure_beside(*limit, *found, self.ctx),
            ),
            _ => (self.say(found), self.say(limit)),
        }
    }

    /// The date that is required, else the one that was found.
    fn date(&self) -> Option<NaiveDate> {
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
                | Measure::Persons(_)
                | Measure::NotLooked(_)
                | Measure::Word(_)
                | Measure::Sides(_) => None,
            })
    }

    /// Local days from a date to the moment judged; below 0 when the date is still to come.
    fn days_since(&self, date: NaiveDate) -> i64 {
        let offset_ms = i64::from(self.ctx.utc_offset_min) * 60_000;
        let today = self.as_of.plus_ms(offset_ms).0.div_euclid(DAY_MS);
        let then = date.signed_duration_since(NaiveDate::default()).num_days();
        today.saturating_sub(then)
    }

    fn days_to(&self, date: NaiveDate) -> String {
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
