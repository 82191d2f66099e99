//! One gauge value judged: soft, hard, back in the bay, implausible, provisional, near a limit.
//!
//! What soft and hard do stands in the tables of the files `soft` and `hard`. What is left:
//!
//! | found | effect |
//! |---|---|
//! | belongs to another sort of part | unproven at best, else as soft or hard |
//! | not settled | noted: the worse temperature counts |
//! | in range, but a limit lies within the spread of gauge, weather and moisture | noted |
//!
//! The spread decides nothing: the low and the high that are judged take the worse temperature
//! already, and a gauge at the launch settles the rest.

use super::course::Between;
use super::reading::{Settled, Taken};
use super::{Held, about, read_gauge};
use crate::answer::{Action, Effect, Finding, Measure, Rule};
use crate::engine::facts::Facts;
use crate::engine::kit::Stores;
use crate::moment::Moment;
use crate::pressure::{Air, Predicted, Spread, back_home_pa, bring_to_pa, predicted, spread};

/// What one gauge value says about the launch.
pub(super) struct Judged {
    pub(super) gauge_pa: i64,
    pub(super) read_at: Moment,
    pub(super) predicted: Predicted,
    pub(super) spread: Spread,
    pub(super) home: Home,
    pub(super) sun: InSun,
    /// Taken off for its own leak, pascal; none when none is known.
    pub(super) own_leak_pa: Option<i64>,
    pub(super) plausible: bool,
    pub(super) findings: Vec<Finding>,
}

/// The hardest that it will be back in the bay.
#[derive(Clone, Copy)]
pub(super) struct Home {
    pub(super) gauge_pa: i64,
    pub(super) temperature_mc: i32,
}

/// What the sun at the launch would make of it.
#[derive(Clone, Copy)]
pub(super) struct InSun {
    pub(super) temperature_mc: i32,
    pub(super) high_pa: i64,
    pub(super) then_low_pa: i64,
}

/// Judges one gauge value.
pub(super) fn judge(
    facts: &Facts<'_>,
    held: Held<'_>,
    taken: &Taken<'_>,
    stores: &Stores<'_>,
) -> Judged {
    let rule = held.rule;
    let between = Between::new(facts, held, taken);
    let course = between.course();
    let found = predicted(&course);
    let topped_up = (found.low_pa < rule.low_pa).then_some(rule.nominal_pa);
    let home = Home {
        gauge_pa: back_home_pa(&course, between.home, topped_up, between.relief_at_home()),
        temperature_mc: between.home.temperature_mc,
    };
    let case = Case {
        facts,
        held,
        taken,
        predicted: found,
        spread: spread(&course, found, between.doubt()),
        home,
        between: &between,
    };
    let plausible =
        (rule.implausible_below_pa..=rule.implausible_above_pa).contains(&taken.gauge_pa);
    let mut findings = Vec::new();
    if plausible {
        findings.extend(case.soft(stores));
        findings.extend(case.hard());
        findings.extend(case.hard_at_home());
        findings.extend(case.provisional());
        findings.extend(case.near_limit());
    } else {
        findings.push(case.implausible(stores));
    }
    Judged {
        gauge_pa: taken.gauge_pa,
        read_at: taken.origin.interval.earliest(facts.now),
        predicted: found,
        spread: case.spread,
        home,
        sun: in_sun(&between),
        own_leak_pa: between.leak.known_pa(),
        plausible,
        findings,
    }
}

fn in_sun(between: &Between<'_>) -> InSun {
    let met = between.met_in_sun();
    let found = predicted(&between.course_in_sun(&met));
    InSun {
        temperature_mc: between.sun.temperature_mc,
        high_pa: found.high_pa,
        then_low_pa: found.low_pa,
    }
}

/// One gauge value, with what was reckoned from it.
pub(super) struct Case<'a> {
    pub(super) facts: &'a Facts<'a>,
    pub(super) held: Held<'a>,
    pub(super) taken: &'a Taken<'a>,
    pub(super) between: &'a Between<'a>,
    pub(super) predicted: Predicted,
    pub(super) spread: Spread,
    pub(super) home: Home,
}

impl Case<'_> {
    fn provisional(&self) -> Option<Finding> {
        match self.between.read.settled {
            Settled::Settled => None,
            Settled::Provisional => {
                let finding = self
                    .finding(Rule::PressureProvisional, Effect::Note)
                    .measured(gauge(self.taken.gauge_pa));
                Some(read_gauge(finding, self.held))
            }
        }
    }

    /// In range by the prediction, and a limit within what the prediction cannot know.
    fn near_limit(&self) -> Option<Finding> {
        let (rule, found) = (self.held.rule, self.predicted);
        if found.low_pa < rule.low_pa || found.high_pa > rule.high_pa {
            return None;
        }
        let near_pa = if self.spread.least_pa < rule.low_pa {
            found.low_pa
        } else if self.spread.most_pa > rule.high_pa {
            found.high_pa
        } else {
            return None;
        };
        let finding = self
            .finding(Rule::PressureNearLimit, Effect::Note)
            .measured(gauge(near_pa));
        Some(read_gauge(finding, self.held))
    }

    /// Not read, as far as the craft's favour goes; against it, the value counts as it stands, so
    /// that a lower gauge is never readier.
    fn implausible(&self, stores: &Stores<'_>) -> Finding {
        let rule = self.held.rule;
        let (below, above) = (rule.implausible_below_pa, rule.implausible_above_pa);
        let as_it_stands = if self.taken.gauge_pa < below {
            self.soft_effect(stores)
        } else {
            self.hard_effect()
        };
        let effect = as_it_stands.max(Effect::Unproven);
        let finding = about(self.facts, self.held, Rule::PressureImplausible, effect)
            .measured(Measure::GaugePa(self.taken.gauge_pa))
            .between(Measure::GaugePa(below), Measure::GaugePa(above))
            .evidence([self.taken.origin.event]);
        read_gauge(finding, self.held)
    }

    pub(super) fn finding(&self, rule: Rule, effect: Effect) -> Finding {
        let range = self.held.rule;
        about(self.facts, self.held, rule, effect)
            .between(
                Measure::GaugePa(range.low_pa),
                Measure::GaugePa(range.high_pa),
            )
            .evidence([self.taken.origin.event])
    }

    pub(super) fn bring_to(&self, finding: Finding, launch: Air, minutes: Option<u32>) -> Finding {
        let part = self.held.part.id.clone();
        finding.needing(Action::BringTo(part, self.wanted_pa(launch)), minutes)
    }

    /// What to bring it to where it stands, at the temperature last known there, so that it is at
    /// nominal at the launch; never more than it may hold where it stands.
    pub(super) fn wanted_pa(&self, launch: Air) -> i64 {
        let rule = self.held.rule;
        let most_pa = match rule.relief_pa {
            Some(relief_pa) => relief_pa.min(rule.high_pa),
            None => rule.high_pa,
        };
        bring_to_pa(rule.nominal_pa, self.here(), launch, most_pa)
    }

    pub(super) fn here(&self) -> Air {
        let (cold, hot) = (self.between.read.cold, self.between.read.hot);
        Air {
            temperature_mc: cold.temperature_mc.midpoint(hot.temperature_mc),
            ambient_pa: hot.ambient_pa,
        }
    }
}

pub(super) fn gauge(gauge_pa: i64) -> Measure {
    if gauge_pa > 0 {
        Measure::GaugePa(gauge_pa)
    } else {
        Measure::Slack
    }
}
