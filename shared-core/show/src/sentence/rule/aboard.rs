//! Sentences about those who come home: trips, who cannot, whose life jacket is short.

use sponson_readiness::answer::{Measure, Subject};

use super::Said;

impl Said<'_> {
    pub(super) fn trips(&self) -> String {
        match self.measured() {
            Some(Measure::Count(trips)) => format!(
                "the people to bring home take {trips} trips: the plate does not hold them at once"
            ),
            Some(_) | None => "the people to bring home take more than one trip".to_owned(),
        }
    }

    pub(super) fn left_behind(&self) -> String {
        let who = match self.measured() {
            Some(Measure::Persons(1)) => "1 person".to_owned(),
            Some(Measure::Persons(persons)) => format!("{persons} persons"),
            Some(_) | None => "some people".to_owned(),
        };
        format!(
            "{who} cannot be brought home in it: the plate has no room for even one beside crew and kit"
        )
    }

    pub(super) fn jacket_short(&self) -> String {
        let label = match &self.finding.subject {
            Subject::Craft => "life jackets that fit those to be brought home".to_owned(),
            Subject::Part(..)
            | Subject::Line(..)
            | Subject::Fault(..)
            | Subject::Gear(..)
            | Subject::Station(..) => self.it.clone(),
        };
        match (self.measured(), self.low()) {
            (Some(have), Some(need)) => format!(
                "{label}: {} for the people of one trip, {} needed beside the crew's",
                self.say(have),
                self.say(need)
            ),
            (Some(_), None) | (None, _) => format!("{label}: short for the people of one trip"),
        }
    }
}
