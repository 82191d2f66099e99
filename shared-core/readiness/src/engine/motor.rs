//! The motor: engine hours from meters, and what happens when it was under water.

use std::collections::BTreeMap;

use super::facts::{Facts, MOTOR, number};
use super::index::Whereabouts;
use super::load;
use super::sides::{counts_against, is_trusted, trusted};
use crate::answer::{Action, Effect, Finding, Measure, Rule, Subject};
use crate::event::{GearKind, Severity, Use};
use crate::ids::{EventId, PartId};
use crate::moment::Moment;
use crate::record::{Record, Side};
use crate::standard::Propulsion;

/// Plates and makers round horsepower, kilowatt and pounds apart by less than one part in this.
const ROUNDING: u32 = 100;

/// Engine seconds past due: negative before it, none when no meter says.
///
/// A meter that shows less than at the inspection is another meter: nothing can be told from it.
pub(super) fn past_due_s(facts: &Facts<'_>, every_s: u64, at_s: u64) -> Option<i64> {
    let run_s = meter(facts)?.value.checked_sub(at_s)?;
    let (run_s, every_s) = (i64::try_from(run_s).ok()?, i64::try_from(every_s).ok()?);
    Some(run_s.saturating_sub(every_s))
}

/// What the meter shows: the highest of all sides, of the fitted motor, else of the craft.
pub(super) fn meter<'a>(facts: &Facts<'a>) -> Option<&'a Side<u64>> {
    let motor = facts.motor();
    let of_motor = motor.into_iter().flat_map(|motor| motor.meters.values());
    let kept_by_craft = motor.and_then(|motor| facts.record.meters.get(&Some(motor.subject)));
    let own = facts.record.meters.get(&None);
    of_motor
        .chain(kept_by_craft)
        .chain(own)
        .flat_map(trusted)
        .max_by_key(|side| side.value)
}

/// Uses after a moment in which it was used hard.
pub(super) fn hard_use_since(facts: &Facts<'_>, done: Moment) -> Vec<EventId> {
    uses(facts)
        .filter(|side| is_trusted(&side.origin) && side.value.hard)
        .filter(|side| side.origin.interval.latest(facts.now) > done)
        .map(|side| side.origin.event)
        .collect()
}

/// Uses of the craft and of the motor that is on it, less those of a motor that served before.
fn uses<'a, 'f: 'a>(facts: &'f Facts<'a>) -> impl Iterator<Item = &'a Side<Use>> {
    let motor = facts.motor().map(|motor| &motor.uses);
    let all = facts.record.uses.iter().chain(motor.into_iter().flatten());
    all.filter(|side| !is_of_other(facts, side.origin.event))
}

/// Under water and not inspected since by a line that clears it: not ready. A craft that capsizes
/// under power takes its motor with it (TM 5-1940-321-13&P, capsizing).
pub(super) fn immersed(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let cleared = cleared_at(facts);
    let mut events = BTreeMap::new();
    let has_motor = facts
        .standard
        .parts
        .iter()
        .any(|part| part.id.as_str() == MOTOR);
    let was_under = |used: &Use| used.motor_immersed || used.capsized && has_motor;
    for side in uses(facts).filter(|side| was_under(&side.value)) {
        if cleared.is_none_or(|cleared| cleared <= side.origin.interval.latest(facts.now)) {
            events.insert(side.origin.event, &side.origin);
        }
    }
    if events.is_empty() {
        return;
    }
    let mut finding = Finding::own(
        Rule::MotorImmersed,
        Severity::Disabling,
        Effect::NotReady,
        facts.part(&PartId::from(MOTOR)),
    )
    .evidence(events.keys().copied());
    let mut clearing = facts.standard.inspections.iter();
    finding = match clearing.find(|line| line.clears_immersion) {
        Some(line) => finding.needing(Action::Inspect(line.id.clone()), line.minutes),
        None => finding.needing(Action::AskLead, None),
    };
    if events.values().any(|origin| counts_against(origin)) {
        found.push(finding);
    } else {
        found.push(finding.at_most_unproven());
    }
}

/// A motor more powerful than the plate allows, or heavier: not ready until it is changed.
pub(super) fn over_plate(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    let Some(motor) = facts.motor() else {
        return;
    };
    let plate = load::plate(facts);
    let own = || trusted(&motor.gear).map(|side| &side.value);
    let power = own()
        .filter_map(|gear| gear.power_w)
        .max()
        .zip(plate.power_w);
    let mass = own()
        .filter_map(|gear| gear.mass_g)
        .max()
        .zip(plate.motor_mass_g);
    let power = power.map(|(power_w, most_w)| {
        let is_over = power_w > most_w.saturating_add(most_w / ROUNDING);
        (is_over, Measure::PowerW(power_w), Measure::PowerW(most_w))
    });
    let mass = mass.map(|(mass_g, most_g)| {
        let is_over = mass_g > most_g.saturating_add(most_g / ROUNDING);
        let grams = |grams| Measure::MassG(u64::from(grams));
        (is_over, grams(mass_g), grams(most_g))
    });
    for (is_over, measured, most) in power.into_iter().chain(mass) {
        if is_over {
            let part = facts.part(&PartId::from(MOTOR));
            let finding = Finding::own(
                Rule::MotorOverPlate,
                Severity::Restrictive,
                Effect::NotReady,
                part,
            )
            .measured(measured)
            .at_most(most)
            .evidence(trusted(&motor.gear).map(|side| side.origin.event))
            .needing(Action::AskLead, None);
            found.push(finding);
        }
    }
}

/// A plate of the manual sort has no line for a motor: any motor is out of limits (33 CFR
/// 183.25(b)(4)). One that nobody trusted says is here sends somebody to look.
pub(super) fn on_manual(facts: &Facts<'_>, found: &mut Vec<Finding>) {
    if facts.standard.propulsion == Propulsion::Motor {
        return;
    }
    let motors = facts.index.gear_at(facts.record.subject).iter();
    let motors = motors.filter(|kept| {
        let mut sides = kept.record.gear.iter();
        sides.any(|side| side.value.kind == GearKind::Motor)
    });
    for kept in motors.filter(|kept| kept.whereabouts != Whereabouts::Elsewhere) {
        let record = kept.record;
        let subject = Subject::Gear(record.subject, number(Some(record), record.subject));
        let finding = Finding::own(
            Rule::MotorOnManual,
            Severity::Restrictive,
            Effect::NotReady,
            subject,
        )
        .evidence(record.place.iter().map(|side| side.origin.event))
        .needing(Action::AskLead, None);
        found.push(match kept.whereabouts.may_be_here() {
            true => finding,
            false => finding.at_most_unproven(),
        });
    }
}

/// Whether what the craft keeps of an event was about a motor that served before.
fn is_of_other(facts: &Facts<'_>, event: EventId) -> bool {
    let motor = facts.motor();
    motor.is_some_and(|motor| facts.index.is_about_other_gear(event, motor.subject))
}

/// When the motor was last inspected so that it may run again, at the earliest.
fn cleared_at(facts: &Facts<'_>) -> Option<Moment> {
    let lines = facts.standard.inspections.iter();
    let records: Vec<&Record> = facts.motor().into_iter().chain([facts.record]).collect();
    lines
        .filter(|line| line.clears_immersion)
        .flat_map(|line| {
            let sides = records
                .iter()
                .filter_map(|record| record.inspections.get(&line.id));
            sides.flat_map(trusted)
        })
        .filter(|side| side.value.passed && !is_of_other(facts, side.origin.event))
        .map(|side| side.origin.interval.earliest(facts.now))
        .max()
}
