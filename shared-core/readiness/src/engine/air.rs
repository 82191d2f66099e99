//! Air: what the parts want at the launch, what aboard may give it, and what is to be said of
//! cylinders, breathing sets and relief valves.
//!
//! A high-pressure source never counts for a part without a working relief valve, nor for one whose
//! valve may be iced at the launch. Whether a part is soft is judged in `parts`.

mod cylinders;
mod needed;
mod sources;

pub(super) use cylinders::dates_of as cylinder_dates;
use sources::Source;

use super::facts::Facts;
use super::kit::{AirSource, Stores};
use super::parts::launch_ambient_pa;
use crate::air::{Amount, From, TopUp};
use crate::answer::{
    AirNeeded, Breathing, Effect, Feed, Finding, Gives, Measure, Overdue, PartAir, PartPressure,
    Rule, Subject,
};
use crate::event::{AnswerValue, Severity};
use crate::ids::{LineId, MissionId};
use crate::pressure::Air;
use crate::record::{Inspection, Sides};
use crate::standard::{Part, PressureRule, SoftRule};

/// What is to be said of cylinders and relief valves, and the air that the craft wants.
pub(super) fn check(
    facts: &Facts<'_>,
    stores: &Stores<'_>,
    pressures: &[PartPressure],
    found: &mut Vec<Finding>,
    overdue: &mut Vec<Overdue>,
) -> Option<AirNeeded> {
    iced(facts, found);
    cylinders::check(facts, found, overdue);
    let sources = sources::aboard(facts, stores);
    let needed = needed::needed(facts, &sources, pressures)?;
    by_pump_only(facts, &needed, &sources, found);
    not_enough(facts, &needed, &sources, found);
    breathing(facts, &needed, found);
    Some(needed)
}

/// Whether something aboard brings a part from what it has, none for flat, to its wanted gauge.
pub(super) fn source_for(
    facts: &Facts<'_>,
    stores: &Stores<'_>,
    part: &Part,
    from_pa: Option<i64>,
) -> AirSource {
    let Some(rule) = &part.pressure else {
        return AirSource::None;
    };
    let wanted = wanted(facts, rule, from_pa);
    let sources = sources::aboard(facts, stores);
    let known = sources.iter().filter(|source| source.reaches(facts, rule));
    let each = known.map(|source| source.for_one(rule, wanted, here(facts)));
    each.max().unwrap_or(AirSource::None)
}

/// The colder of air and water at the launch: a part wants most air there.
fn here(facts: &Facts<'_>) -> Air {
    let asked = facts.asked;
    Air {
        temperature_mc: asked.air_mc.min(asked.water_mc),
        ambient_pa: launch_ambient_pa(asked),
    }
}

/// The air that a part wants; none when the sheet does not say its volume.
fn wanted(facts: &Facts<'_>, rule: &PressureRule, from_pa: Option<i64>) -> Option<Amount> {
    let top_up = TopUp {
        volume_ml: u64::from(rule.volume_ml?),
        from: from_pa.map_or(From::Flat, From::GaugePa),
        to_pa: rule.nominal_pa,
        growth_ppm: facts.county.policy.free_air.growth_ppm,
    };
    Some(top_up.wanted(here(facts)))
}

/// What may feed a part.
fn feed(facts: &Facts<'_>, rule: &PressureRule) -> Feed {
    if rule.relief_pa.is_none() || relief_fails(facts, rule) {
        return Feed::NoRelief;
    }
    if may_be_iced(facts) {
        Feed::Iced
    } else {
        Feed::Any
    }
}

fn may_be_iced(facts: &Facts<'_>) -> bool {
    here(facts).temperature_mc <= facts.county.policy.pressure.relief_ices_mc
}

/// Whether anybody found that the relief valves do not work: the line that shows it failed, or was
/// answered 'no' and nobody signed that off.
fn relief_fails(facts: &Facts<'_>, rule: &PressureRule) -> bool {
    let Some(line) = &rule.relief_line else {
        return false;
    };
    let record = facts.record;
    let no = |sides: &Sides<AnswerValue>| sides.iter().any(|side| side.value == AnswerValue::No);
    let failed = |sides: &Sides<Inspection>| sides.iter().any(|side| !side.value.passed);
    record.answers.get(line).is_some_and(no)
        || record.inspections.get(line).is_some_and(failed)
        || record.open_noes.values().any(|side| side.value == *line)
}

fn iced(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let parts = facts.standard.parts.iter();
    let with_relief = parts.filter_map(|part| {
        let rule = part.pressure.as_ref()?;
        rule.relief_pa.is_some().then_some((part, rule.iced))
    });
    let worst = with_relief.max_by_key(|(_, effect)| *effect);
    let Some((part, effect)) = worst.filter(|_| may_be_iced(facts)) else {
        return;
    };
    let effect = facts.effect(effect, &LineId::from(part.id.as_str()), &[].into());
    let subject = facts.part(&part.id);
    found.push(Finding::cited(
        Rule::ReliefIced,
        Severity::Minor,
        effect,
        subject,
        &crate::standard::Cited {
            basis: crate::answer::Basis::Trade,
            source: "common practice, no source".to_owned(),
        },
    ));
}

/// Parts that no cylinder may feed, where a cylinder is at hand.
fn by_pump_only(
    facts: &Facts<'_>,
    needed: &AirNeeded,
    sources: &[Source<'_>],
    found: &mut Vec<Finding>,
) {
    if !sources.iter().any(Source::is_high) {
        return;
    }
    for part in needed.parts.iter().filter(|part| part.feed != Feed::Any) {
        let why = match part.feed {
            Feed::Iced => "iced",
            Feed::NoRelief | Feed::Any => "no_relief",
        };
        let finding = Finding::own(
            Rule::ByPumpOnly,
            Severity::Major,
            Effect::Note,
            facts.part(&part.part),
        );
        found.push(finding.measured(Measure::Word(why.to_owned())));
    }
}

/// Parts that only cylinders reach want more than is in them all. Each part alone is judged in
/// `parts`; here the sum is what nobody else sees.
fn not_enough(
    facts: &Facts<'_>,
    needed: &AirNeeded,
    sources: &[Source<'_>],
    found: &mut Vec<Finding>,
) {
    let cylinders: Vec<&Source<'_>> = sources.iter().filter(|one| one.is_cylinder()).collect();
    let by_others = |rule: &PressureRule| {
        let mut others = sources.iter().filter(|one| !one.is_cylinder());
        others.any(|source| source.reaches(facts, rule))
    };
    let rules = needed.parts.iter().filter_map(|part| {
        let rule = facts.standard.parts.iter().find(|it| it.id == part.part)?;
        Some((part, rule.pressure.as_ref()?))
    });
    let only_so: Vec<_> = rules
        .filter(|(part, rule)| stands_against(facts, part, rule))
        .filter(|(part, rule)| part.feed == Feed::Any && !by_others(rule))
        .collect();
    let highest = only_so.iter().map(|(_, rule)| rule.nominal_pa).max();
    let Some(highest) = highest.filter(|_| !cylinders.is_empty()) else {
        return;
    };
    let wants = only_so
        .iter()
        .filter_map(|(part, rule)| wanted(facts, rule, part.from_pa));
    let wants = wants.fold(Amount::NONE, Amount::and);
    let holds = cylinders
        .iter()
        .filter_map(|source| source.gives(highest, here(facts)))
        .fold(Amount::NONE, Amount::and);
    if holds.less(wants).is_some() {
        return;
    }
    let effect = match cylinders.iter().any(|one| one.known == AirSource::NotKnown) {
        true => Effect::Unproven,
        false => Effect::NotReady,
    };
    let reference = needed::reference(facts);
    let finding = Finding::own(
        Rule::AirNotEnough,
        Severity::Restrictive,
        effect,
        Subject::Craft,
    );
    found.push(
        finding
            .measured(Measure::FreeAirMl(holds.free_ml(reference)))
            .at_least(Measure::FreeAirMl(wants.free_ml(reference))),
    );
}

/// Whether a part that gets no air makes the craft not ready: see the table in `parts::judged`.
fn stands_against(facts: &Facts<'_>, part: &PartAir, rule: &PressureRule) -> bool {
    let Some(from_pa) = part.from_pa else {
        return true;
    };
    let in_swiftwater = facts.mission() == Some(&MissionId::from("swiftwater"));
    from_pa < rule.low_pa
        && match rule.soft {
            SoftRule::TopUp | SoftRule::NoPower | SoftRule::NotReady => true,
            SoftRule::NoSwiftwater => in_swiftwater,
        }
}

/// A breathing set spent on a boat is a firefighter's air: how long it would have lasted is said.
fn breathing(facts: &Facts<'_>, needed: &AirNeeded, found: &mut Vec<Finding>) {
    let rate = facts.county.policy.free_air.breathing_ml_min;
    let seconds = crate::air::breathing_s(needed.free_air_ml, rate).unwrap_or(0);
    for from in needed.from.iter().filter(|from| !from.parts.is_empty()) {
        if let Gives::Cylinder {
            breathing: Breathing::Set,
            ..
        } = from.gives
        {
            let ms = i64::try_from(seconds.saturating_mul(1000)).unwrap_or(i64::MAX);
            let finding = Finding::own(
                Rule::BreathingAir,
                Severity::Minor,
                Effect::Note,
                from.source.clone(),
            );
            found.push(finding.measured(Measure::SpanMs(ms)));
        }
    }
}
