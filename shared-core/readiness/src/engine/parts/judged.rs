//! One gauge value judged: soft, hard, implausible, provisional.
//!
//! | found at the launch | as read | effect |
//! |---|---|---|
//! | too soft, rule `top-up` | in range, and something aboard reaches the pressure | limit: top up |
//! | too soft, rule `no-power` | same | limit: no power |
//! | too soft, rule `no-swiftwater` | any, another mission | limit: not for swiftwater |
//! | too soft, rule `no-swiftwater` | in range, something adds air, swiftwater asked | limit: top up |
//! | too soft, where something adds air | counted too long ago to be known | unproven |
//! | too soft | anything else: cause unknown, or nothing to top up with | not ready |
//! | too hard | no relief valve, and too hard where it was read | not ready |
//! | too hard | too soft as well, in the colder of air and water | noted: soft counts |
//! | too hard | anything else | limit: let air out |
//! | belongs to another sort of part | | unproven at best, else as soft or hard |

use std::collections::BTreeSet;

use super::reading::{Settled, Spread, Taken};
use super::{Held, about, read_gauge};
use crate::answer::{Action, Effect, Finding, Limit, Measure, Rule};
use crate::engine::facts::Facts;
use crate::engine::kit::{AirSource, Stores};
use crate::ids::MissionId;
use crate::moment::Moment;
use crate::pressure::{
    Air, Cap, Predicted, bring_to_pa, gauge_elsewhere_pa, predicted, standard_pressure_pa,
};
use crate::standard::SoftRule;

/// What one gauge value says about the launch.
pub(super) struct Judged {
    pub(super) gauge_pa: i64,
    pub(super) read_at: Moment,
    pub(super) predicted: Predicted,
    pub(super) plausible: bool,
    pub(super) findings: Vec<Finding>,
}

/// The colder and the warmer of air and water, at the elevation of the launch.
struct Launch {
    cold: Air,
    warm: Air,
}

/// Judges one gauge value.
pub(super) fn judge(
    facts: &Facts<'_>,
    held: Held<'_>,
    taken: &Taken<'_>,
    stores: &Stores<'_>,
) -> Judged {
    let rule = held.rule;
    let launch = launch(facts);
    let spread = taken.spread(facts, rule);
    let cap = rule.relief_pa.map(|relief_pa| Cap {
        relief_pa,
        hottest: launch.warm,
    });
    let predicted = predicted(
        taken.gauge_pa,
        (spread.cold, spread.hot),
        (launch.cold, launch.warm),
        cap,
    );
    let mut findings = Vec::new();
    let plausible =
        (rule.implausible_below_pa..=rule.implausible_above_pa).contains(&taken.gauge_pa);
    let case = Case {
        facts,
        held,
        taken,
        spread,
        launch,
        predicted,
    };
    if plausible {
        findings.extend(case.soft(stores));
        findings.extend(case.hard());
        findings.extend(case.provisional());
    } else {
        findings.push(case.implausible(stores));
    }
    Judged {
        gauge_pa: taken.gauge_pa,
        read_at: taken.origin.interval.earliest(facts.now),
        predicted,
        plausible,
        findings,
    }
}

fn launch(facts: &Facts<'_>) -> Launch {
    let asked = facts.asked;
    let ambient_pa = standard_pressure_pa(asked.elevation_mm);
    let at = |temperature_mc| Air {
        temperature_mc,
        ambient_pa,
    };
    Launch {
        cold: at(asked.air_mc.min(asked.water_mc)),
        warm: at(asked.air_mc.max(asked.water_mc)),
    }
}

struct Case<'a> {
    facts: &'a Facts<'a>,
    held: Held<'a>,
    taken: &'a Taken<'a>,
    spread: Spread,
    launch: Launch,
    predicted: Predicted,
}

impl Case<'_> {
    fn soft(&self, stores: &Stores<'_>) -> Option<Finding> {
        if self.predicted.low_pa >= self.held.rule.low_pa {
            return None;
        }
        let part = &self.held.part.id;
        let finding = self
            .finding(Rule::PressureLow, self.soft_effect(stores))
            .measured(gauge(self.predicted.low_pa));
        let minutes = match self.source(stores) {
            AirSource::Aboard | AirSource::NotKnown => Some(self.held.rule.top_up_minutes),
            AirSource::None => None,
        };
        // Air alone does not make a part safe that lost it for no known reason.
        let finding = match self.is_soft_by_cold() {
            true => finding,
            false => finding.needing(Action::FindLeak(part.clone()), None),
        };
        Some(self.bring_to(finding, self.launch.cold, minutes))
    }

    fn is_soft_by_cold(&self) -> bool {
        self.taken.gauge_pa >= self.held.rule.low_pa
    }

    fn source(&self, stores: &Stores<'_>) -> AirSource {
        stores.adds_air(self.facts, self.held.rule.nominal_pa)
    }

    fn soft_effect(&self, stores: &Stores<'_>) -> Effect {
        let source = match self.is_soft_by_cold() {
            true => self.source(stores),
            false => AirSource::None,
        };
        match source {
            AirSource::Aboard => self.soft_effect_with(true),
            AirSource::None => self.soft_effect_with(false),
            AirSource::NotKnown => self.soft_effect_with(false).min(Effect::Unproven),
        }
    }

    fn soft_effect_with(&self, can_top_up: bool) -> Effect {
        let part = self.held.part.id.clone();
        let swiftwater = MissionId::from("swiftwater");
        match self.held.rule.soft {
            SoftRule::TopUp if can_top_up => Effect::Limit(Limit::TopUp(part)),
            SoftRule::NoPower if can_top_up => Effect::Limit(Limit::NoPower),
            SoftRule::NoSwiftwater if self.facts.mission() != Some(&swiftwater) => {
                Effect::Limit(Limit::NotFor(BTreeSet::from([swiftwater])))
            }
            SoftRule::NoSwiftwater if can_top_up => Effect::Limit(Limit::TopUp(part)),
            SoftRule::TopUp | SoftRule::NoPower | SoftRule::NoSwiftwater | SoftRule::NotReady => {
                Effect::NotReady
            }
        }
    }

    fn hard(&self) -> Option<Finding> {
        if self.predicted.high_pa <= self.held.rule.high_pa {
            return None;
        }
        let finding = self
            .finding(Rule::PressureHigh, self.hard_effect())
            .measured(gauge(self.predicted.high_pa));
        let here = self.here();
        let wanted_pa = self.wanted_pa(self.launch.warm);
        let then_pa = gauge_elsewhere_pa(wanted_pa, here, self.launch.cold);
        // Right in the air and too soft in the water: no value now serves both, and soft is the
        // worse. The gauge decides at the launch.
        if self.predicted.low_pa.min(then_pa) < self.held.rule.low_pa {
            return Some(read_gauge(finding, self.held));
        }
        let minutes = Some(self.held.rule.top_up_minutes);
        Some(self.bring_to(finding, self.launch.warm, minutes))
    }

    fn hard_effect(&self) -> Effect {
        let rule = self.held.rule;
        if rule.relief_pa.is_none() && self.taken.gauge_pa > rule.high_pa {
            return Effect::NotReady;
        }
        // Too soft as well, which counts: nobody is told to let air out of a soft part.
        if self.predicted.low_pa < rule.low_pa {
            return Effect::Note;
        }
        Effect::Limit(Limit::LetOut(self.held.part.id.clone()))
    }

    fn provisional(&self) -> Option<Finding> {
        match self.spread.settled {
            Settled::Settled => None,
            Settled::Provisional => {
                let finding = self
                    .finding(Rule::PressureProvisional, Effect::Note)
                    .measured(gauge(self.taken.gauge_pa));
                Some(read_gauge(finding, self.held))
            }
        }
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

    fn finding(&self, rule: Rule, effect: Effect) -> Finding {
        let range = self.held.rule;
        about(self.facts, self.held, rule, effect)
            .between(
                Measure::GaugePa(range.low_pa),
                Measure::GaugePa(range.high_pa),
            )
            .evidence([self.taken.origin.event])
    }

    fn bring_to(&self, finding: Finding, launch: Air, minutes: Option<u32>) -> Finding {
        let part = self.held.part.id.clone();
        finding.needing(Action::BringTo(part, self.wanted_pa(launch)), minutes)
    }

    /// What to bring it to where it stands, at the temperature last known there, so that it is at
    /// nominal at the launch; never more than it may hold where it stands.
    fn wanted_pa(&self, launch: Air) -> i64 {
        let rule = self.held.rule;
        let most_pa = match rule.relief_pa {
            Some(relief_pa) => relief_pa.min(rule.high_pa),
            None => rule.high_pa,
        };
        bring_to_pa(rule.nominal_pa, self.here(), launch, most_pa)
    }

    fn here(&self) -> Air {
        let (cold, hot) = (self.spread.cold, self.spread.hot);
        Air {
            temperature_mc: cold.temperature_mc.midpoint(hot.temperature_mc),
            ambient_pa: hot.ambient_pa,
        }
    }
}

fn gauge(gauge_pa: i64) -> Measure {
    if gauge_pa > 0 {
        Measure::GaugePa(gauge_pa)
    } else {
        Measure::Slack
    }
}
