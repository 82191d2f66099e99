//! One sentence for each rule of the engine.
//!
//! A rule says more when the finding carries what was measured and required, and still makes a
//! sentence when it does not.

mod aboard;
mod air;
mod due;
mod kit;
pub(super) mod leak;
mod people;
mod pressure;
mod weather;

use sponson_readiness::answer::{Action, Effect, Finding, Measure, Required, Rule, Subject, ToDo};
use sponson_readiness::event::Severity;
use sponson_readiness::moment::Moment;

use super::disagreement::settled_tail;
use super::measure::measure_text;
use super::subject_text;
use crate::clean::clean;
use crate::context::Context;
use crate::units::print;

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
    #[expect(
        clippy::too_many_lines,
        reason = "a table: one line for each rule, and no branch"
    )]
    fn sentence(&self) -> String {
        let it = &self.it;
        match self.finding.rule {
            Rule::NoStandard => {
                "its registration, model or boat standard is not known here".to_owned()
            }
            Rule::MissionNotInStandard => self.mission(),
            Rule::Condemned => "condemned: never to be used again".to_owned(),
            Rule::OutOfService => self.out_of_service(),
            Rule::Assigned => self.assigned(),
            Rule::PressureLow => self.pressure_low(),
            Rule::PressureHigh => self.pressure_high(),
            Rule::PressureNotRead => self.not_since("gauge not read", "read"),
            Rule::PressureHighAtHome => self.pressure_high_at_home(),
            Rule::PressureProvisional => self.provisional(),
            Rule::PressureNearLimit => self.near_limit(),
            Rule::PressureJoined => format!(
                "{it}: read with the valves to other chambers open, which proves one chamber only; \
                 shut them and read each"
            ),
            Rule::PressureAfterAir => {
                format!("{it}: air was added after the last reading, and the gauge not read since")
            }
            Rule::PressureImplausible => self.implausible(),
            Rule::KitShort => self.kit_short(),
            Rule::KitNotCounted => self.kit_not_counted(),
            Rule::KitStale => self.not_since("counted too long ago", "last counted"),
            Rule::CountOwed => self.count_owed(),
            Rule::KitExpired => self.kit_expired(),
            Rule::KitExpiresSoon => self.kit_expires_soon(),
            Rule::KitDoesNotFit => self.does_not_fit(),
            Rule::KitFitNotKnown => self.fit_not_known(),
            Rule::KitNotForMission => format!("{it}: not for this mission, so they do not count"),
            Rule::KitWithout => self.without(),
            Rule::SignalsShortByDay => self.signals("by day"),
            Rule::SignalsShortByNight => self.signals("by night"),
            Rule::KitUndated => self.kit_undated(),
            Rule::GearInTwoPlaces => {
                format!("{it} is said to be in two places{}", self.bracketed())
            }
            Rule::GearMissing => format!("{it}: nothing fitted, and the boat standard requires it"),
            Rule::FuelShort => self.fuel_short(),
            Rule::FuelOld => self.fuel_old(),
            Rule::FuelMixWrong => self.fuel_mix(),
            Rule::FuelNotRecorded => self.fuel_not_recorded(),
            Rule::GearDoesNotFit => self.gear_does_not_fit(),
            Rule::InspectionOverdue => self.overdue(),
            Rule::InspectionDueSoon => self.due_soon(),
            Rule::InspectionNeverDone => format!("{it}: never recorded as done"),
            Rule::UsedHard => self.used_hard(),
            Rule::InspectionFailed => self.inspection_failed(),
            Rule::InspectionTooShort => self.too_short(),
            Rule::FaultOpen => self.fault(),
            Rule::LineNo => format!("{it}: answered 'no'"),
            Rule::LineNotAnswered => self.not_answered(),
            Rule::HoldRuns => self.hold(),
            Rule::CheckStale => self.check_stale(),
            Rule::CheckedInParts => self.in_parts(),
            Rule::NeverChecked => "no full check was ever recorded".to_owned(),
            Rule::PlateUnknown => {
                "the maker's plate is not recorded, so whom it can carry is not known".to_owned()
            }
            Rule::LoadOver => self.load_over(),
            Rule::PlaceDisputed => format!("stations differ about where it is{}", self.bracketed()),
            Rule::SidesDiffer => self.sides_differ(),
            Rule::NumberTwice => self.other(
                "another craft carries the same number",
                "another craft is numbered",
            ),
            Rule::SameAs => self.other(
                "registered twice, judged as one",
                "registered twice, judged as one; also",
            ),
            Rule::Unconfirmed => format!("an entry about {it} is not confirmed; go and look"),
            Rule::NeedsUpgrade => {
                format!("an entry about {it} is newer than this device understands")
            }
            Rule::Rolled => self.rolled().to_owned(),
            Rule::StationSilent => self.silent(),
            Rule::MotorImmersed => format!("{it} was under water and has not been inspected since"),
            Rule::MotorOverPlate => self.over_plate(),
            Rule::MotorOnManual => self.on_manual(),
            Rule::LeakShows | Rule::LeakOver => self.leak(),
            Rule::BaffleLeaks => self.baffle(),
            Rule::ReadingsNeverMove => self.never_moves(),
            Rule::HoldProvesNothing => self.hold_proves_nothing(),
            Rule::UsedSinceCheck => self.used(),
            Rule::WindOver => self.over("wind"),
            Rule::CurrentOver => self.over("current"),
            Rule::TowNotAllowed => "its boat standard does not let it tow".to_owned(),
            Rule::LimitNotSet => self.limit_not_set(),
            Rule::LightsNeeded => self.lights_needed(),
            Rule::HeldCountyWide => format!("{it}: held across the county{}", self.bracketed()),
            Rule::TripsNeeded => self.trips(),
            Rule::PeopleLeftBehind => self.left_behind(),
            Rule::ReliefIced => self.relief_iced(),
            Rule::ByPumpOnly => self.by_pump_only(),
            Rule::AirNotEnough => self.air_not_enough(),
            Rule::BreathingAir => self.breathing_air(),
            Rule::CylinderNotRead => {
                format!(
                    "{it}: what is in it is not known: its gauge was not read lately, or air was taken since"
                )
            }
            Rule::CylinderLow => self.cylinder_low(),
            Rule::CylinderNotDated => {
                format!("{it}: when it is due is not known: its mark or its dates are not recorded")
            }
            Rule::CylinderDueSoon => self.cylinder_due_soon(),
            Rule::CylinderOverdue => self.cylinder_overdue(),
            Rule::CylinderLifeOver => self.cylinder_life_over(),
            Rule::JacketShort => self.jacket_short(),
            Rule::CrewNotKnown => format!("crew not known: {it} has not said what it can raise"),
            Rule::CrewShort => self.crew_short(),
            Rule::OperatorNotNamed => self.operator_not_named(),
            Rule::OperatorLevelShort => self.operator_short(),
            Rule::OperatorLevelLapsed => self.operator_lapsed(),
            Rule::OwedAfterUse => self.owed_after_use(),
            Rule::ReportDue => self.report("to be reported"),
            Rule::CasualtyReportDue => self.report("a casualty report is due"),
        }
    }

    /// Where to, and, where it is known, by whom, when and why.
    fn assigned(&self) -> String {
        let what = match &self.finding.measured {
            Some(Measure::Word(incident)) => format!("assigned to incident {}", clean(incident)),
            Some(_) | None => "assigned to an incident".to_owned(),
        };
        let mut evidence = self.finding.evidence.iter();
        let Some(sent) = evidence.find_map(|event| self.ctx.witnesses.get(event)) else {
            return what;
        };
        let why = match clean(&sent.why) {
            why if why.is_empty() => why,
            why => format!(": {why}"),
        };
        format!("{what} by {}{why}", self.ctx.witness(sent))
    }

    fn owed_after_use(&self) -> String {
        match self.measured() {
            Some(Measure::Word(water)) => {
                format!("{}: owed after {} water", self.it, clean(water))
            }
            Some(_) | None => format!("{}: owed after use", self.it),
        }
    }

    /// `fault at tube 1, open for 3 h: to be reported (within 1 h)`.
    fn report(&self, what: &str) -> String {
        let open = match self.measured() {
            Some(Measure::SpanMs(ms)) => format!(", open for {}", print::span(*ms)),
            Some(_) | None => String::new(),
        };
        let within = match self.high() {
            Some(Measure::SpanMs(0)) => " (at once)".to_owned(),
            Some(Measure::SpanMs(ms)) => format!(" (within {})", print::span(*ms)),
            Some(_) | None => String::new(),
        };
        format!("fault at {}{open}: {what}{within}", self.it)
    }

    fn fault(&self) -> String {
        let it = &self.it;
        let by_repairer = |one: &ToDo| matches!(one.action, Action::SignOffByAnother(_));
        if self.finding.to_do.iter().any(by_repairer) {
            let class = match self.measured() {
                Some(Measure::Word(class)) => super::words_of(class),
                Some(_) | None => "fault".to_owned(),
            };
            return format!(
                "{class} at {it}: signed off by whoever repaired it, which does not count here"
            );
        }
        match self.measured() {
            Some(Measure::Word(class)) => {
                format!("{} at {it}: not signed off", super::words_of(class))
            }
            Some(_) | None => format!("fault at {it}: not signed off"),
        }
    }

    fn hold(&self) -> String {
        let to = match self.measured() {
            Some(Measure::Word(what)) => format!(" to {}", clean(what)),
            Some(_) | None => String::new(),
        };
        let needed = match self.low() {
            Some(span @ Measure::SpanMs(_)) => format!(": {} needed", self.say(span)),
            Some(_) | None => String::new(),
        };
        format!("a repair has not rested long enough{to}{needed}")
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

    fn mission(&self) -> String {
        let mission = match self.measured() {
            Some(Measure::Word(mission)) => super::words_of(mission),
            Some(_) | None => "this mission".to_owned(),
        };
        format!("its boat standard does not list {mission}")
    }

    fn out_of_service(&self) -> String {
        match self.measured() {
            Some(reason) => format!("declared out of service: {}", self.say(reason)),
            None => "declared out of service".to_owned(),
        }
    }

    /// About another craft, by its number where the finding names it.
    fn other(&self, alone: &str, before_number: &str) -> String {
        match &self.finding.subject {
            Subject::Gear(..) => format!("{before_number} {}", self.it),
            Subject::Craft
            | Subject::Part(..)
            | Subject::Line(..)
            | Subject::Fault(..)
            | Subject::Station(..) => alone.to_owned(),
        }
    }

    fn over_plate(&self) -> String {
        let it = &self.it;
        match (self.measured(), self.high()) {
            (Some(found), Some(most)) => format!(
                "{it}: {}; the maker's plate allows {}",
                self.say(found),
                self.say(most)
            ),
            (Some(_), None) | (None, _) => format!("{it}: more than the maker's plate allows"),
        }
    }

    fn rolled(&self) -> &'static str {
        match self.finding.effect {
            Effect::Note | Effect::Limit(_) => "kept rolled up; it has to be rigged first",
            Effect::Unproven => {
                "kept rolled up, and what would inflate it was counted too long ago"
            }
            Effect::NotReady => "kept rolled up, and nothing aboard inflates it to its pressure",
        }
    }

    fn used(&self) -> String {
        match (&self.finding.effect, self.finding.severity) {
            (Effect::Note, _) | (_, Severity::Minor) => "used since its last full check".to_owned(),
            (Effect::Limit(_) | Effect::Unproven | Effect::NotReady, _) => {
                "used, and not checked since".to_owned()
            }
        }
    }

    /// ` (one / other)`, when sides were found.
    /// Both values, each with who recorded it and when where that is known.
    fn sides_differ(&self) -> String {
        let it = &self.it;
        let mut to_do = self.finding.to_do.iter();
        let settle = to_do.find_map(|one| {
            if let Action::Settle(settle) = &one.action {
                Some(settle)
            } else {
                None
            }
        });
        let counts = settled_tail(settle);
        let Some(Measure::Sides(sides)) = self.measured() else {
            return format!("{it}: stations differ, {counts}{}", self.bracketed());
        };
        let mut evidence = self.finding.evidence.iter();
        let sides = sides.iter().map(|side| {
            let event = evidence.next();
            let witness = event.and_then(|event| self.ctx.witnesses.get(event));
            let by = witness.map(|witness| format!(" ({})", self.ctx.witness(witness)));
            format!("{}{}", self.say(side), by.unwrap_or_default())
        });
        let sides: Vec<String> = sides.collect();
        format!("{it}: stations differ, {counts}: {}", sides.join(" / "))
    }

    fn bracketed(&self) -> String {
        self.measured()
            .map(|sides| format!(" ({})", self.say(sides)))
            .unwrap_or_default()
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
}
