//! The air needed, part by part, and what each source does about it.

use super::sources::{Kind, Source};
use super::{feed, here, wanted};
use crate::air::{Amount, Reference};
use crate::answer::{AirFrom, AirNeeded, Gives, PartAir, PartPressure};
use crate::engine::facts::Facts;
use crate::engine::standing;
use crate::event::Stowage;
use crate::standard::PressureRule;

/// One part that wants air.
struct Wants<'a> {
    part: PartAir,
    rule: &'a PressureRule,
    amount: Option<Amount>,
}

/// What free air is told at.
pub(super) fn reference(facts: &Facts<'_>) -> Reference {
    Reference {
        temperature_mc: facts.county.policy.free_air.reference_mc,
        pressure_pa: Reference::STANDARD_PA,
    }
}

/// The air needed; none when every part has its wanted gauge at the launch, or nothing was read.
pub(super) fn needed(
    facts: &Facts<'_>,
    sources: &[Source<'_>],
    pressures: &[PartPressure],
) -> Option<AirNeeded> {
    let flat = standing::stowage(facts.record) == Some(Stowage::Rolled);
    let wants: Vec<Wants<'_>> = facts
        .standard
        .parts
        .iter()
        .filter_map(|part| {
            let rule = part.pressure.as_ref()?;
            let from_pa = match flat {
                true => None,
                false => {
                    let mut read = pressures.iter();
                    Some(read.find(|one| one.part == part.id)?.launch_low_pa)
                }
            };
            if from_pa.is_some_and(|from_pa| from_pa >= rule.nominal_pa) {
                return None;
            }
            let amount = wanted(facts, rule, from_pa);
            let part = PartAir {
                part: part.id.clone(),
                from_pa,
                to_pa: rule.nominal_pa,
                free_air_ml: amount.map(|amount| amount.free_ml(reference(facts))),
                feed: feed(facts, rule),
            };
            Some(Wants { part, rule, amount })
        })
        .collect();
    if wants.is_empty() {
        return None;
    }
    let policy = &facts.county.policy.free_air;
    let all = sum(wants.iter());
    let from = sources.iter().map(|source| from(facts, source, &wants));
    Some(AirNeeded {
        reference_mc: policy.reference_mc,
        reference_pa: Reference::STANDARD_PA,
        growth_ppm: policy.growth_ppm,
        losses_ppm: policy.pump_losses_ppm,
        free_air_ml: all.free_ml(reference(facts)),
        from: from.collect(),
        parts: wants.into_iter().map(|wants| wants.part).collect(),
    })
}

fn sum<'w, 'a: 'w>(wants: impl Iterator<Item = &'w Wants<'a>>) -> Amount {
    wants
        .filter_map(|one| one.amount)
        .fold(Amount::NONE, Amount::and)
}

fn from(facts: &Facts<'_>, source: &Source<'_>, wants: &[Wants<'_>]) -> AirFrom {
    let fed: Vec<&Wants<'_>> = wants
        .iter()
        .filter(|one| source.reaches(facts, one.rule))
        .collect();
    let amount = sum(fed.iter().copied());
    let is_reckoned = fed.iter().all(|one| one.amount.is_some()) && !fed.is_empty();
    let down_to_pa = fed.iter().map(|one| one.part.to_pa).max().unwrap_or(0);
    let here = here(facts);
    let gives = match &source.kind {
        Kind::Cylinder(_) | Kind::HighPressure => {
            let cylinder = source.cylinder();
            let asked = cylinder.filter(|_| is_reckoned);
            Gives::Cylinder {
                gauge_pa: cylinder.map(|cylinder| cylinder.gauge_in_pa(here)),
                after_pa: asked.and_then(|it| it.after_pa(amount, down_to_pa, here)),
                cylinders: asked.and_then(|it| it.count(amount, down_to_pa, here)),
                breathing: source.breathing(),
            }
        }
        Kind::Pump {
            most_pa, runs_on, ..
        } => {
            let pump = source.pump(facts.county.policy.free_air.pump_losses_ppm);
            Gives::Pump {
                strokes: pump
                    .filter(|_| is_reckoned)
                    .and_then(|it| it.strokes(amount, here)),
                most_pa: *most_pa,
                runs_on: *runs_on,
            }
        }
    };
    AirFrom {
        source: source.subject.clone(),
        parts: fed.iter().map(|one| one.part.part.clone()).collect(),
        gives,
    }
}
