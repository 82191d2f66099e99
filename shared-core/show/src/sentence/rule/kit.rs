//! Sentences about what is aboard and of no use, and about signals that must add up.

use sponson_readiness::answer::Measure;

use super::Said;
use crate::clean::clean;

impl Said<'_> {
    pub(super) fn does_not_fit(&self) -> String {
        let it = &self.it;
        match self.measured() {
            Some(Measure::Word(is)) => {
                format!(
                    "{it}: does not fit ({} here), so it does not count",
                    clean(is)
                )
            }
            Some(_) | None => format!("{it}: does not fit here, so it does not count"),
        }
    }

    pub(super) fn without(&self) -> String {
        let it = &self.it;
        match self.measured() {
            Some(Measure::Word(needed)) => format!("{it}: aboard without {}", clean(needed)),
            Some(_) | None => format!("{it}: aboard without what it needs"),
        }
    }

    /// Kinds add up, so the number is of the kind that usually makes up the set.
    pub(super) fn signals(&self, when: &str) -> String {
        let it = &self.it;
        match (self.measured(), self.low()) {
            (Some(have), Some(need)) => format!(
                "{it} {when}: those that count make up {} of {}",
                self.say(have),
                self.say(need)
            ),
            (Some(_), None) | (None, _) => format!("{it} {when}: too few that count"),
        }
    }
}
