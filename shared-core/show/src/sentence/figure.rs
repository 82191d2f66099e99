//! What an entry means at the launch, beside its field: the gauge as read, what it becomes there,
//! and whether that is what the sheet wants.
//!
//! The figures are the engine's, of the answer as if the check were recorded; nothing is reckoned
//! here.

use std::collections::BTreeSet;

use sponson_readiness::answer::{Asked, Assumed, CraftAnswer, PartPressure, Rule, Subject};
use sponson_readiness::asked_back::FieldRef;
use sponson_readiness::dates::day;
use sponson_readiness::event::{Check, Reading, ReadingMoment, Stowage};
use sponson_readiness::ids::PartId;
use sponson_readiness::standard::{PressureRule, Standard};

use crate::context::Context;
use crate::units::print;

/// What each gauge value of a check means at the launch, in the order of the check: of a part that
/// was read as found and as left, the value as left.
#[must_use]
pub fn figures(
    check: &Check,
    craft: &CraftAnswer,
    (standard, asked): (&Standard, &Asked),
    ctx: &Context,
) -> Vec<(FieldRef, String)> {
    let left: BTreeSet<&PartId> = check
        .readings
        .iter()
        .filter(|reading| reading.moment == ReadingMoment::AsLeft)
        .map(|reading| &reading.part)
        .collect();
    let stands = |reading: &&Reading| {
        reading.moment == ReadingMoment::AsLeft || !left.contains(&reading.part)
    };
    let readings = check.readings.iter().filter(stands);
    let said = readings.filter_map(|reading| {
        let mut parts = standard.parts.iter();
        let part = parts.find(|part| part.id == reading.part)?;
        let rule = part.pressure.as_ref()?;
        let text = figure_text(reading, rule, (craft, asked), ctx);
        Some((FieldRef::Reading(part.id.clone(), reading.moment), text))
    });
    said.collect()
}

/// One gauge value: '3.40 psi at 41 °F becomes 3.10 psi at today's launch at 33 °F: soft, wanted
/// 3.77 psi (3.48 to 4.06)'.
#[must_use]
pub fn figure_text(
    reading: &Reading,
    rule: &PressureRule,
    (craft, asked): (&CraftAnswer, &Asked),
    ctx: &Context,
) -> String {
    let read = as_read(reading, ctx);
    let wanted = wanted(rule, ctx);
    if craft.stowage == Some(Stowage::Rolled) {
        return format!("{read}: rolled up, it is read again once rigged; wanted {wanted}");
    }
    let mut pressures = craft.pressures.iter();
    let Some(predicted) = pressures.find(|known| known.part == reading.part) else {
        return format!("{read}: wanted {wanted}");
    };
    if predicted.read_gauge_pa != reading.gauge_pa {
        let other = print::pressure(predicted.read_gauge_pa, ctx.units);
        let worse = format!("{read}; another reading stands beside it and is worse: {other}, ");
        return format!(
            "{worse}{}",
            meaning(predicted, &wanted, (craft, asked), ctx)
        );
    }
    format!(
        "{read} {}",
        meaning(predicted, &wanted, (craft, asked), ctx)
    )
}

fn as_read(reading: &Reading, ctx: &Context) -> String {
    let gauge = print::pressure(reading.gauge_pa, ctx.units);
    match reading.fabric_mc.or(reading.air_mc) {
        Some(mc) => format!("{gauge} at {}", print::temperature(mc, ctx.units)),
        None => gauge,
    }
}

fn wanted(rule: &PressureRule, ctx: &Context) -> String {
    format!(
        "{} ({} to {})",
        print::pressure(rule.nominal_pa, ctx.units),
        print::pressure_number(rule.low_pa, ctx.units),
        print::pressure_number(rule.high_pa, ctx.units)
    )
}

fn meaning(
    predicted: &PartPressure,
    wanted: &str,
    (craft, asked): (&CraftAnswer, &Asked),
    ctx: &Context,
) -> String {
    let (low, high) = (predicted.launch_low_pa, predicted.launch_high_pa);
    let low_number = print::pressure_number(low, ctx.units);
    let high_number = print::pressure_number(high, ctx.units);
    let becomes = match low_number == high_number {
        true => print::pressure(low, ctx.units),
        false => format!("{low_number} to {}", print::pressure(high, ctx.units)),
    };
    let verdict = verdict(craft, &predicted.part);
    format!(
        "becomes {becomes} at {}: {verdict}, wanted {wanted}",
        launch(asked, ctx)
    )
}

/// Where: 'today's launch at 33 °F', 'the launch in air of 33 °F and water of 39 °F'.
fn launch(asked: &Asked, ctx: &Context) -> String {
    let of_day = |moment| day(moment, ctx.utc_offset_min);
    let launch = match of_day(asked.as_of) == of_day(asked.now) {
        true => "today's launch",
        false => "the launch",
    };
    let air = print::temperature(asked.air_mc, ctx.units);
    let assumed = match asked.assumed.contains(&Assumed::Air) {
        true => ", assumed",
        false => "",
    };
    if asked.air_mc == asked.water_mc {
        return format!("{launch} at {air}{assumed}");
    }
    let water = print::temperature(asked.water_mc, ctx.units);
    format!("{launch} in air of {air}{assumed} and water of {water}")
}

/// What the engine found about the part, in a word or two.
fn verdict(craft: &CraftAnswer, part: &PartId) -> String {
    let found = |rule: Rule| {
        let mut why = craft.why.iter();
        why.any(|finding| {
            finding.rule == rule && matches!(&finding.subject, Subject::Part(id, _) if id == part)
        })
    };
    let words = [
        (Rule::PressureImplausible, "not believed"),
        (Rule::PressureLow, "soft"),
        (Rule::PressureHigh, "too hard"),
        (Rule::PressureNearLimit, "near the limit"),
        (Rule::PressureJoined, "not read by itself"),
        (Rule::PressureProvisional, "not settled yet"),
    ];
    let mut said: Vec<&str> = words
        .into_iter()
        .filter(|(rule, _)| found(*rule))
        .map(|(_, word)| word)
        .collect();
    let judged = [
        Rule::PressureImplausible,
        Rule::PressureLow,
        Rule::PressureHigh,
    ];
    if !judged.into_iter().any(found) {
        said.insert(0, "good");
    }
    said.join(", ")
}

#[cfg(test)]
mod tests;
