//! Sentences about crews and operators. Members are numbers.

use sponson_readiness::answer::{Measure, Subject};

use super::Said;
use crate::sentence::words_of;

impl Said<'_> {
    pub(super) fn crew_short(&self) -> String {
        let it = &self.it;
        let least = match self.low() {
            Some(least) => format!("; at least {} wanted", self.say(least)),
            None => String::new(),
        };
        let asked = self.finding.subject == Subject::Craft;
        match self.measured() {
            Some(found) if asked => format!("a crew of {} was asked about{least}", self.say(found)),
            Some(Measure::Persons(0)) => format!("{it} can raise no crew{least}"),
            Some(found) => format!("{it} can raise {} in all{least}", self.say(found)),
            None => format!("{it} can raise fewer than the least crew{least}"),
        }
    }

    pub(super) fn operator_not_named(&self) -> String {
        format!("{}{}: no operator is named", self.it, self.wanted_level())
    }

    pub(super) fn operator_short(&self) -> String {
        let held = match self.measured() {
            Some(Measure::Sides(held)) if !held.is_empty() => {
                let held: Vec<String> = held.iter().map(|level| self.say(level)).collect();
                format!("those named hold {}", words_of(&held.join(", ")))
            }
            Some(_) | None => "no level of those named is recorded".to_owned(),
        };
        format!("{}{}: {held}", self.it, self.wanted_level())
    }

    pub(super) fn operator_lapsed(&self) -> String {
        let Some(Measure::Sides(sides)) = self.measured() else {
            return format!("{}: the level of an operator has lapsed", self.it);
        };
        let mut said = sides.iter().map(|side| self.say(side));
        let member = said.next().unwrap_or_default();
        let level = said.next().unwrap_or_default();
        let until = match said.next() {
            Some(day) => format!("was current until {day}"),
            None => "has lapsed".to_owned(),
        };
        format!("{}: member {member}, {} {until}", self.it, words_of(&level))
    }

    /// ` wants an operator of level swiftwater technician`, where one is said.
    fn wanted_level(&self) -> String {
        match self.low() {
            Some(Measure::Word(level)) => {
                format!(", operator of level {} wanted", words_of(level))
            }
            Some(_) | None => String::new(),
        }
    }
}
