//! One gauge value judged: soft, hard, implausible, provisional.
//!
//! | found at the launch | as read | effect |
//! |---|---|---|
//! | too soft, rule `top-up` | in range, and something aboard adds air | limit: top up |
//! | too soft, rule `no-power` | same | limit: no power |
//! | too soft, rule `no-swiftwater` | any, another mission | limit: not for swiftwater |
//! | too soft, rule `no-swiftwater` | in range, something adds air, swiftwater asked | limit: top up |
//! | too soft | anything else: cause unknown, or nothing to top up with | not ready |
//! | too hard | no relief valve, and too hard where it was read | not ready |
//! | too hard | anything else | limit: let air out |
//! | belongs to another sort of part | | unproven at best, else as soft or hard |

use std::collections::BTreeSet;

use super::reading::{Settled, Spread, Taken};
use super::{Held, about, read_gauge};
use crate::answer::{Action, Effect, Finding, Limit, Measure, Rule};
use crate::engine::facts::Facts;
use crate::engine::kit::Stores;
use crate::ids::MissionId;
use crate::moment::Moment;
use crate::pressure::{Air, Cap, Predicted, bring_to_pa, predicted, standard_pressure_pa};
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
        let by_cold = self.taken.gauge_pa >= self.held.rule.low_pa;
        let can_top_up = by_cold && stores.adds_air();
        let finding = self
            .finding(Rule::PressureLow, self.soft_effect(can_top_up))
            .measured(gauge(self.predicted.low_pa));
        Some(self.bring_to(finding, self.launch.cold))
    }

    fn soft_effect(&self, can_top_up: bool) -> Effect {
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
        Some(self.bring_to(finding, self.launch.warm))
    }

    fn hard_effect(&self) -> Effect {
        let rule = self.held.rule;
        if rule.relief_pa.is_none() && self.taken.gauge_pa > rule.high_pa {
            return Effect::NotReady;
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
            self.soft_effect(self.taken.gauge_pa >= rule.low_pa && stores.adds_air())
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

    /// What to bring it to where it stands, at the temperature last known there, so that it is at
    /// nominal at the launch; never more than it may hold where it stands.
    fn bring_to(&self, finding: Finding, launch: Air) -> Finding {
        let rule = self.held.rule;
        let most_pa = match rule.relief_pa {
            Some(relief_pa) => relief_pa.min(rule.high_pa),
            None => rule.high_pa,
        };
        let middle_mc = self
            .spread
            .cold
            .temperature_mc
            .midpoint(self.spread.hot.temperature_mc);
        let here = Air {
            temperature_mc: middle_mc,
            ambient_pa: self.spread.hot.ambient_pa,
        };
        let wanted_pa = bring_to_pa(rule.nominal_pa, here, launch, most_pa);
        finding.needing(
            Action::BringTo(self.held.part.id.clone(), wanted_pa),
            Some(rule.top_up_minutes),
        )
    }
}

fn gauge(gauge_pa: i64) -> Measure {
    if gauge_pa > 0 {
        Measure::GaugePa(gauge_pa)
    } else {
        Measure::Slack
    }
}
