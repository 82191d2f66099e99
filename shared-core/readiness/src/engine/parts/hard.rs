//! What hard means, at the launch and back in the bay.
//!
//! | found | as read | effect |
//! |---|---|---|
//! | too hard at the launch | no relief valve, and too hard where it was read | not ready |
//! | too hard at the launch | too soft as well, in the colder of air and water | noted: soft counts |
//! | too hard at the launch | anything else | limit: let air out |
//! | too hard only back in the bay | too hard where it was read, firm at the launch | limit: let air out |
//! | too hard only back in the bay | anything else: topped up in the cold | limit: let air out at home |
//!
//! A relief valve that lifts keeps a part from getting too hard; one that may be frozen shut does
//! not.

use super::judged::{Case, gauge};
use super::read_gauge;
use crate::answer::{Action, Effect, Finding, Limit, Measure, Rule};
use crate::pressure::gauge_elsewhere_pa;

impl Case<'_> {
    pub(super) fn hard(&self) -> Option<Finding> {
        if self.predicted.high_pa <= self.held.rule.high_pa {
            return None;
        }
        let finding = self
            .finding(Rule::PressureHigh, self.hard_effect())
            .measured(gauge(self.predicted.high_pa));
        let launch = self.between.launch;
        let wanted_pa = self.wanted_pa(launch.warm);
        let then_pa = gauge_elsewhere_pa(wanted_pa, self.here(), launch.cold);
        // Right in the air and too soft in the water: no value now serves both, and soft is the
        // worse. The gauge decides at the launch.
        if self.predicted.low_pa.min(then_pa) < self.held.rule.low_pa {
            return Some(read_gauge(finding, self.held));
        }
        let minutes = Some(self.held.rule.top_up_minutes);
        Some(self.bring_to(finding, launch.warm, minutes))
    }

    pub(super) fn hard_effect(&self) -> Effect {
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

    /// Right at the launch, and too hard once it is back in the bay: topped up in the cold, or too
    /// hard where it was read.
    pub(super) fn hard_at_home(&self) -> Option<Finding> {
        let rule = self.held.rule;
        if self.home.gauge_pa <= rule.high_pa || self.predicted.high_pa > rule.high_pa {
            return None;
        }
        let part = self.held.part.id.clone();
        let measured = Measure::GaugePa(self.home.gauge_pa);
        let minutes = Some(rule.top_up_minutes);
        // Nobody is told to let air out now of a part that is soft at the launch.
        let is_firm = self.predicted.low_pa >= rule.low_pa;
        if self.taken.gauge_pa > rule.high_pa && is_firm {
            let limit = Effect::Limit(Limit::LetOut(part));
            let finding = self
                .finding(Rule::PressureHighAtHome, limit)
                .measured(measured);
            return Some(self.bring_to(finding, self.between.launch.cold, minutes));
        }
        let limit = Effect::Limit(Limit::LetOutAtHome(part.clone()));
        let finding = self
            .finding(Rule::PressureHighAtHome, limit)
            .measured(measured);
        Some(finding.needing(Action::BringToAtHome(part, rule.nominal_pa), minutes))
    }
}
