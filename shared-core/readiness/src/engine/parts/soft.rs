//! What soft means, place by place: the sheet's line decides.
//!
//! | found at the launch | cause | effect |
//! |---|---|---|
//! | too soft, rule `top-up` | cold, or a known leak that holds; something aboard adds air | limit: top up |
//! | too soft, rule `no-power` | same | limit: no power |
//! | too soft, rule `no-swiftwater` | any, another mission | limit: not for swiftwater |
//! | too soft, rule `no-swiftwater` | as for `top-up`, swiftwater asked | limit: top up |
//! | too soft, where something adds air | counted too long ago to be known | unproven |
//! | too soft | anything else: cause unknown, a known leak too fast for the job, or nothing to top up with | not ready |
//!
//! Soft by cold is what is in its range as read, or would be at the temperature at which the
//! county calls a part full, and has not lost air since an earlier reading.

use std::collections::BTreeSet;

use super::judged::{Case, gauge};
use super::leak::Through;
use super::reading::kept_readings;
use crate::answer::{Action, Effect, Finding, Limit, Rule};
use crate::engine::air;
use crate::engine::kit::{AirSource, Stores};
use crate::ids::MissionId;
use crate::pressure::{Air, gauge_elsewhere_pa};
use crate::standard::SoftRule;

/// Why a part is soft.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Cause {
    /// It is colder, or higher air pressure stands round it, than when it was filled; or its relief
    /// valve let air out in the warm.
    Cold,
    /// Its own leak, slow enough for the job once it is topped up.
    SlowLeak,
    /// Its own leak, too fast for the job whatever is put in.
    FastLeak,
    /// Nothing known says.
    NotKnown,
}

impl Case<'_> {
    pub(super) fn soft(&self, stores: &Stores<'_>) -> Option<Finding> {
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
        let finding = match self.cause() {
            Cause::Cold | Cause::SlowLeak => finding,
            Cause::NotKnown => finding.needing(Action::FindLeak(part.clone()), None),
            // Whatever is put in is gone before the job is done.
            Cause::FastLeak => return Some(finding.needing(Action::FindLeak(part.clone()), None)),
        };
        Some(self.bring_to(finding, self.between.launch.cold, minutes))
    }

    fn cause(&self) -> Cause {
        let low_pa = self.held.rule.low_pa;
        let in_range = self.taken.gauge_pa >= low_pa;
        let by_cold = self.when_full_pa() >= low_pa && !self.lost_before();
        match self.between.leak.through {
            Through::Holds => Cause::SlowLeak,
            Through::TooFast => Cause::FastLeak,
            Through::NotKnown if in_range || by_cold => Cause::Cold,
            Through::NotKnown => Cause::NotKnown,
        }
    }

    /// What it would show at the temperature at which a part in its range is full. Read at the
    /// hottest that it can have been: the least that cold can explain.
    fn when_full_pa(&self) -> i64 {
        let hot = self.between.read.hot;
        let full = Air {
            temperature_mc: self.facts.county.policy.pressure.full_mc,
            ..hot
        };
        gauge_elsewhere_pa(self.taken.gauge_pa, hot, full)
    }

    /// Whether an earlier reading, brought to this one's conditions, was higher by more than two
    /// gauges can differ: then cold is not all of it.
    fn lost_before(&self) -> bool {
        let facts = self.facts;
        let Some(readings) = facts.record.readings.get(&self.held.part.id) else {
            return false;
        };
        let policy = &facts.county.policy.pressure;
        let off_pa = i64::from(policy.gauge_accuracy_pa) * 2 + i64::from(policy.ambient_swing_pa);
        let here = self.between.read.hot;
        let latest = self.taken.origin.interval.latest(facts.now);
        kept_readings(readings)
            .filter(|other| other.origin.event != self.taken.origin.event)
            .filter(|other| other.origin.interval.earliest(facts.now) <= latest)
            .any(|other| {
                let then = other.when_read(facts, self.held.rule).hot;
                let now_pa = gauge_elsewhere_pa(other.gauge_pa, then, here);
                now_pa > self.taken.gauge_pa + off_pa
            })
    }

    fn source(&self, stores: &Stores<'_>) -> AirSource {
        let low_pa = Some(self.predicted.low_pa);
        air::source_for(self.facts, stores, self.held.part, low_pa)
    }

    pub(super) fn soft_effect(&self, stores: &Stores<'_>) -> Effect {
        let source = match self.cause() {
            Cause::Cold | Cause::SlowLeak => self.source(stores),
            Cause::FastLeak | Cause::NotKnown => AirSource::None,
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
}
