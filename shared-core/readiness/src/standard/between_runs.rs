//! What the short check between runs looks at: the lines that a sheet marks, else a default.
//!
//! The default for a sheet without a mark is common practice, no source: pressure, life jackets,
//! lights, damage. Fuel belongs to it wherever the sheet asks for fuel.

use std::collections::BTreeSet;

use super::{FUEL, Question, RuleEffect, Standard};
use crate::ids::{LineId, PartId};

/// What the short check between runs looks at.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BetweenRuns {
    /// Parts whose gauge is read.
    pub parts: BTreeSet<PartId>,
    /// Items that are counted, questions that are answered, and [`FUEL`].
    pub lines: BTreeSet<LineId>,
}

impl Standard {
    /// What the short check between runs looks at.
    #[must_use]
    pub fn between_runs(&self) -> BetweenRuns {
        let marked = self.parts.iter().any(|part| part.between_runs)
            || self.items.iter().any(|item| item.between_runs)
            || self.questions.iter().any(|line| line.between_runs);
        let parts = self.parts.iter().filter(|part| match marked {
            true => part.between_runs,
            false => part.pressure.is_some(),
        });
        let items = self.items.iter().filter(|item| match marked {
            true => item.between_runs,
            false => item.wearer.is_some(),
        });
        let questions = self.questions.iter().filter(|line| match marked {
            true => line.between_runs,
            false => shows_lights_or_damage(line),
        });
        let items = items.map(|item| item.id.clone());
        let questions = questions.map(|line| line.id.clone());
        let fuel = self.fuel.iter().map(|_| LineId::from(FUEL));
        BetweenRuns {
            parts: parts.map(|part| part.id.clone()).collect(),
            lines: items.chain(questions).chain(fuel).collect(),
        }
    }
}

/// Lights: without them by daylight only. Damage: a fault of the craft as a whole that ends the job.
fn shows_lights_or_damage(line: &Question) -> bool {
    let damage = line.no_is_fault && line.part.is_none() && line.no == RuleEffect::NotReady;
    line.no == RuleEffect::DaylightOnly || damage
}
