//! Sentences about pressure: what a part would be at the launch, and readings that do not tell.

use sponson_readiness::answer::{Action, Effect, Limit, Measure, ToDo};

use super::Said;
use crate::sentence::measure::pressure_beside;

impl Said<'_> {
    pub(super) fn pressure_low(&self) -> String {
        format!("{}{}", self.how_soft(), self.why_soft())
    }

    /// Why air alone does not make it go, as far as the finding tells.
    fn why_soft(&self) -> &'static str {
        let finding = self.finding;
        let leaks: fn(&ToDo) -> bool = |to_do| matches!(to_do.action, Action::FindLeak(_));
        let bring: fn(&ToDo) -> bool = |to_do| matches!(to_do.action, Action::BringTo(..));
        let has = |what: fn(&ToDo) -> bool| finding.to_do.iter().any(what);
        if has(leaks) && !has(bring) {
            return "; it leaks too fast to hold through the job, whatever is put in";
        }
        match finding.effect {
            Effect::NotReady | Effect::Limit(_) if has(leaks) => {
                "; it was soft when read, and why is not known"
            }
            Effect::NotReady => "; nothing aboard brings it there",
            Effect::Unproven => "; what would bring it there was counted too long ago",
            Effect::Limit(_) | Effect::Note => "",
        }
    }

    fn how_soft(&self) -> String {
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

    pub(super) fn pressure_high(&self) -> String {
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

    pub(super) fn pressure_high_at_home(&self) -> String {
        let it = &self.it;
        let leaves_now = matches!(self.finding.effect, Effect::Limit(Limit::LetOut(_)));
        let when = if leaves_now {
            "where it stands"
        } else {
            "once topped up in the cold and back in the bay"
        };
        match (self.measured(), self.high()) {
            (Some(found), Some(high)) => {
                let (found, high) = self.pair(found, high);
                format!("{it} would be {found} {when}; at most {high} allowed")
            }
            (Some(_) | None, _) => format!("{it} would be too hard {when}"),
        }
    }

    pub(super) fn near_limit(&self) -> String {
        let it = &self.it;
        let found = match self.measured() {
            Some(found) => format!("would be {} at the launch", self.say(found)),
            None => "would be in its range at the launch".to_owned(),
        };
        let range = match (self.low(), self.high()) {
            (Some(low), Some(high)) => {
                format!(" ({} to {} wanted)", self.say(low), self.say(high))
            }
            (Some(_) | None, _) => String::new(),
        };
        format!(
            "{it} {found}, so near its limit{range} that gauge, weather or moist air may take it \
             over: read the gauge there"
        )
    }

    pub(super) fn provisional(&self) -> String {
        let reading = match self.measured() {
            Some(found @ (Measure::GaugePa(_) | Measure::Slack)) => {
                format!("the reading of {}", self.say(found))
            }
            Some(_) | None => "the reading".to_owned(),
        };
        format!(
            "{}: {reading} is not settled (taken soon after inflating, or in a temperature that \
             is not known), so the worse case counts",
            self.it
        )
    }

    pub(super) fn implausible(&self) -> String {
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

    /// Found and required, told apart even where rounding makes them alike.
    pub(super) fn pair(&self, found: &Measure, limit: &Measure) -> (String, String) {
        match (found, limit) {
            (Measure::GaugePa(found), Measure::GaugePa(limit)) => (
                pressure_beside(*found, *limit, self.ctx),
                pressure_beside(*limit, *found, self.ctx),
            ),
            _ => (self.say(found), self.say(limit)),
        }
    }

    /// ` (from 1 psi to 5 psi would)`, when both are given.
    pub(super) fn plausible(&self) -> String {
        match (self.low(), self.high()) {
            (Some(low), Some(high)) => {
                format!(" (from {} to {} can)", self.say(low), self.say(high))
            }
            (Some(low), None) => format!(" (at least {} can)", self.say(low)),
            (None, Some(high)) => format!(" (at most {} can)", self.say(high)),
            (None, None) => String::new(),
        }
    }
}
