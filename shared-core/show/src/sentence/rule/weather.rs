//! Sentences about light, wind, current and towing.

use sponson_readiness::answer::{Effect, Measure};

use super::Said;

impl Said<'_> {
    /// More wind or current than its boat standard allows.
    pub(super) fn over(&self, what: &str) -> String {
        match (self.measured(), self.high()) {
            (Some(found), Some(most)) => format!(
                "{what} {}; its boat standard allows {}",
                self.say(found),
                self.say(most)
            ),
            (Some(_), None) | (None, _) => format!("more {what} than its boat standard allows"),
        }
    }

    /// What was asked about and is not limited.
    pub(super) fn limit_not_set(&self) -> String {
        let what = match self.measured() {
            Some(Measure::Sides(sides)) => {
                let words: Vec<String> = sides.iter().map(|side| self.say(side)).collect();
                words.join(" or ")
            }
            Some(_) | None => "this".to_owned(),
        };
        format!("its boat standard sets no limit for {what}; ask the lead")
    }

    /// By daylight only, and from when that is not enough.
    pub(super) fn lights_needed(&self) -> String {
        let from = match self.measured() {
            Some(from @ Measure::Moment(_)) => format!(" from {}", self.say(from)),
            Some(_) | None => String::new(),
        };
        let why = match self.finding.effect {
            Effect::Unproven => "and nothing shows that it has them",
            Effect::Note | Effect::Limit(_) | Effect::NotReady => "and it may go by daylight only",
        };
        format!("lights needed{from}, in the dark or in restricted visibility, {why}")
    }
}
