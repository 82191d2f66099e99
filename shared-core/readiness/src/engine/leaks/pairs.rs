//! Two chambers side by side: one falls while the other rises.

use super::history::History;
use super::{of_part, whole, wide};
use crate::answer::{Action, Finding, Measure, Rule};
use crate::engine::facts::Facts;
use crate::event::Severity;
use crate::ids::EventId;
use crate::leak::{Between, baffle};
use crate::standard::{Part, PressureRule};

type Kept<'a> = (&'a Part, &'a PressureRule, History);

/// Baffles that leak, by the readings of both chambers in the same checks.
pub(super) fn baffles(facts: &Facts<'_>, kept: &[Kept<'_>]) -> Vec<Finding> {
    let mut found = Vec::new();
    for (place, one) in kept.iter().enumerate() {
        let others = kept.iter().skip(place + 1);
        for other in others.filter(|other| are_joined(one.0, other.0)) {
            found.extend(between(facts, one, other));
        }
    }
    found
}

fn are_joined(one: &Part, other: &Part) -> bool {
    one.joined_to.contains(&other.id) || other.joined_to.contains(&one.id)
}

fn between(facts: &Facts<'_>, one: &Kept<'_>, other: &Kept<'_>) -> Option<Finding> {
    let least_pa = wide(facts.county.policy.leak.baffle_pa);
    let (of_one, of_other) = (one.2.newest_read(), other.2.newest_read());
    let common = |(event, known): &(EventId, _)| {
        let same = of_other.iter().find(|(theirs, _)| theirs == event)?;
        Some((*event, *known, same.1))
    };
    let both: Vec<_> = of_one.iter().filter_map(common).collect();
    let (first, last) = (both.first()?, both.last()?);
    let change_one = Between {
        first: first.1,
        last: last.1,
    };
    let change_other = Between {
        first: first.2,
        last: last.2,
    };
    let (falling, fell, rising, rose) = if baffle(&change_one, &change_other, least_pa) {
        (one.0, change_one, other.0, change_other)
    } else if baffle(&change_other, &change_one, least_pa) {
        (other.0, change_other, one.0, change_one)
    } else {
        return None;
    };
    let effect = of_part(facts.county.policy.leak.baffle, &falling.id);
    let finding = Finding::own(
        Rule::BaffleLeaks,
        Severity::Restrictive,
        effect,
        facts.part(&falling.id),
    );
    let finding = finding
        .measured(Measure::Sides(vec![
            Measure::GaugePa(whole(-fell.change_pa())),
            Measure::GaugePa(whole(rose.change_pa())),
            Measure::Word(rising.label.clone()),
        ]))
        .evidence([first.0, last.0])
        .needing(Action::ReadGauge(falling.id.clone()), None)
        .needing(Action::ReadGauge(rising.id.clone()), None);
    Some(finding)
}
