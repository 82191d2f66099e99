//! Sentences about air, cylinders, breathing sets and relief valves.

use sponson_readiness::answer::Measure;

use super::Said;
use crate::units::print;

impl Said<'_> {
    pub(super) fn relief_iced(&self) -> String {
        "at the launch the relief valves may be frozen shut: add no more air than the gauge says"
            .to_owned()
    }

    pub(super) fn by_pump_only(&self) -> String {
        let it = &self.it;
        match self.measured() {
            Some(Measure::Word(why)) if why == "iced" => format!(
                "{it}: by hand or foot pump only, not from a cylinder: its relief valve may be \
                 frozen shut"
            ),
            Some(_) | None => format!(
                "{it}: by hand or foot pump only, not from a cylinder: it has no working relief \
                 valve"
            ),
        }
    }

    pub(super) fn air_not_enough(&self) -> String {
        match (self.measured(), self.low()) {
            (Some(held), Some(wanted)) => format!(
                "its parts want {} of free air and only cylinders aboard can give it: {} is in them",
                self.say(wanted),
                self.say(held)
            ),
            (_, _) => "its parts want more air than the cylinders aboard hold".to_owned(),
        }
    }

    pub(super) fn breathing_air(&self) -> String {
        let it = &self.it;
        match self.measured() {
            Some(Measure::SpanMs(ms)) => format!(
                "{it} is a firefighter's: the air that the boat wants is {} of breathing",
                print::span(*ms)
            ),
            Some(_) | None => format!("{it} is a firefighter's: spent on a boat it is gone"),
        }
    }

    pub(super) fn cylinder_low(&self) -> String {
        let it = &self.it;
        match (self.measured(), self.low()) {
            (Some(found), Some(least)) => format!(
                "{it} shows {}; at least {} wanted",
                self.say(found),
                self.say(least)
            ),
            (_, _) => format!("{it} is charged less than wanted"),
        }
    }

    pub(super) fn cylinder_due_soon(&self) -> String {
        let it = &self.it;
        match self.date() {
            Some(last) => format!("{it} is in date until {last} ({})", self.days_to(last)),
            None => format!("{it} falls due soon"),
        }
    }

    pub(super) fn cylinder_overdue(&self) -> String {
        let it = &self.it;
        let due = self
            .date()
            .map(|last| format!(" since {last}"))
            .unwrap_or_default();
        format!("{it}: requalification overdue{due}; may be used until empty, not refilled")
    }

    pub(super) fn cylinder_life_over(&self) -> String {
        let it = &self.it;
        let ended = self
            .date()
            .map(|last| format!(" on {last}"))
            .unwrap_or_default();
        format!("{it}: its service life ended{ended}; not to be refilled, and it counts as no air")
    }
}
