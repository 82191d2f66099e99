//! Sentences about what is aboard and of no use, and about signals that must add up.

use sponson_readiness::answer::Measure;

use super::Said;
use crate::clean::clean;
use crate::units::print;

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

    /// `full check done in parts, by 2 entries; every line was looked at within the last 3 h`.
    pub(super) fn in_parts(&self) -> String {
        let entries = i64::try_from(self.finding.evidence.len()).unwrap_or(i64::MAX);
        let within = match self.measured() {
            Some(Measure::SpanMs(ms)) => {
                format!(
                    "; every line was looked at within the last {}",
                    print::span(*ms)
                )
            }
            Some(_) | None => String::new(),
        };
        format!(
            "full check done in parts, in {}{within}",
            print::count(entries, "entry")
        )
    }

    /// `Bag B3: seal 124, and 123 was noted when all in it was last counted`.
    pub(super) fn count_owed(&self) -> String {
        let it = &self.it;
        match (self.measured(), self.low()) {
            (Some(date @ Measure::Date(_)), _) => format!(
                "{it}: the earliest date on its tag, {}, has passed, so its seal vouches for nothing",
                self.say(date)
            ),
            (Some(Measure::Word(found)), Some(Measure::Word(noted))) => format!(
                "{it}: seal {}, and {} was noted when all in it was last counted",
                clean(found),
                clean(noted)
            ),
            (Some(Measure::Word(found)), _) => format!(
                "{it}: seal {}, which is not the one that was noted",
                clean(found)
            ),
            (Some(_) | None, _) => format!("{it}: its seal is broken or gone"),
        }
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
