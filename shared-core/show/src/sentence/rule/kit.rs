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

    pub(super) fn fit_not_known(&self) -> String {
        let it = &self.it;
        format!(
            "{it}: counted, though what it must fit is not recorded, so whether it fits is not known"
        )
    }

    pub(super) fn on_manual(&self) -> String {
        let it = &self.it;
        format!("{it} is fitted, and its plate is for paddles or oars: no motor at all")
    }

    pub(super) fn fuel_not_recorded(&self) -> String {
        self.not_since("how much is aboard never recorded", "recorded")
    }

    pub(super) fn without(&self) -> String {
        let it = &self.it;
        match self.measured() {
            Some(Measure::Word(needed)) => format!("{it}: aboard without {}", clean(needed)),
            Some(_) | None => format!("{it}: aboard without what it needs"),
        }
    }

    pub(super) fn too_short(&self) -> String {
        let it = &self.it;
        match (self.measured(), self.low()) {
            (Some(ran), Some(least)) => format!(
                "{it}: ran for {}, and {} is asked, so it does not count",
                self.say(ran),
                self.say(least)
            ),
            (Some(_), None) | (None, _) => format!("{it}: ran too short, so it does not count"),
        }
    }

    pub(super) fn fuel_short(&self) -> String {
        let it = &self.it;
        match (self.measured(), self.low()) {
            (Some(have), Some(least)) => format!(
                "{it}: {} that can be burned, {} needed",
                self.say(have),
                self.say(least)
            ),
            (Some(_), None) | (None, _) => format!("{it}: too little that can be burned"),
        }
    }

    pub(super) fn fuel_old(&self) -> String {
        let it = &self.it;
        match (self.measured(), self.high()) {
            (Some(age), Some(most)) => format!(
                "{it}: filled {} ago, and {} is the county's limit",
                self.say(age),
                self.say(most)
            ),
            (Some(_), None) | (None, _) => format!("{it}: old"),
        }
    }

    pub(super) fn fuel_mix(&self) -> String {
        let it = &self.it;
        match (self.measured(), self.low()) {
            (Some(is), Some(wanted)) => format!(
                "{it}: {}, and the motor takes {}; it does not count",
                self.say(is),
                self.say(wanted)
            ),
            (Some(_), None) | (None, _) => {
                format!("{it}: not the mix that the motor takes, so it does not count")
            }
        }
    }

    pub(super) fn gear_does_not_fit(&self) -> String {
        let it = &self.it;
        match (self.measured(), self.low()) {
            (Some(is), Some(wanted)) => format!(
                "{it}: its connector ({}) is not the motor's ({})",
                self.say(is),
                self.say(wanted)
            ),
            (Some(_), None) | (None, _) => format!("{it}: its connector is not the motor's"),
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
