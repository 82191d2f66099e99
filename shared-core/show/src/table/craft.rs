//! The whole answer for one craft: every finding with its basis, source and evidence.

use sponson_readiness::answer::{AirNeeded, Asked, CraftAnswer, Effect, Finding, PartPressure};
use sponson_readiness::moment::Moment;

use super::county::{asked as asked_lines, work_text};
use super::lines::Lines;
use super::load::load_lines;
use crate::clean::clean;
use crate::context::Context;
use crate::sentence::{
    air_from_text, air_needed_text, checked_text, craft_limit_text, finding_text, part_air_text,
    to_do_text, words_of,
};
use crate::units::print;
use crate::words;

/// The answer for one craft, at most 80 columns wide.
#[must_use]
pub fn craft_report(craft: &CraftAnswer, asked: &Asked, ctx: &Context) -> String {
    let as_of = asked.as_of;
    let mut lines = Lines::default();
    lines.wrapped(
        "",
        2,
        &format!(
            "{}: {}",
            clean(&craft.number),
            words::readiness(craft.readiness).to_uppercase()
        ),
    );
    lines.wrapped("", 2, &standing(craft, as_of, ctx));
    if let Some(work) = work_text(craft) {
        lines.hanging("", &work);
    }
    asked_lines(&mut lines, asked, ctx);
    if !craft.limits.is_empty() {
        heading(&mut lines, "LIMITS");
        for limit in &craft.limits {
            lines.hanging("  - ", &craft_limit_text(limit, craft, ctx));
        }
    }
    heading(
        &mut lines,
        if craft.why.is_empty() {
            "WHY: nothing found against it"
        } else {
            "WHY"
        },
    );
    for (number, one) in (1_usize..).zip(&craft.why) {
        finding(&mut lines, (number, one), craft, as_of, ctx);
    }
    pressures(&mut lines, craft, as_of, ctx);
    air(&mut lines, craft.air.as_ref(), ctx);
    load_lines(&mut lines, craft.load.as_ref(), ctx);
    crew(&mut lines, craft, ctx);
    lines.blank();
    lines.hanging("", crate::caution());
    lines.into_text()
}

pub(crate) fn standing(craft: &CraftAnswer, as_of: Moment, ctx: &Context) -> String {
    let stowage = craft.stowage.map(|stowage| stowage.id().to_owned());
    let pieces = [
        Some(format!("Model {}", clean(craft.model.as_str()))),
        Some(ctx.station_list(&craft.stations)),
        Some(words::status(&craft.status)),
        stowage,
        Some(checked_text(craft, as_of, ctx)),
    ];
    pieces.into_iter().flatten().collect::<Vec<_>>().join("; ")
}

fn finding(
    lines: &mut Lines,
    (number, finding): (usize, &Finding),
    craft: &CraftAnswer,
    as_of: Moment,
    ctx: &Context,
) {
    let prefix = format!("{number:>3}. ");
    lines.hanging(&prefix, &finding_text(finding, as_of, ctx));
    let effect = match &finding.effect {
        Effect::Limit(limit) => craft_limit_text(limit, craft, ctx),
        Effect::Note | Effect::Unproven | Effect::NotReady => {
            words::effect(&finding.effect).to_owned()
        }
    };
    let severity = finding.severity.id();
    lines.hanging("     ", &format!("{effect} ({severity})"));
    for to_do in &finding.to_do {
        lines.hanging("     to do: ", &to_do_text(to_do, &finding.subject, ctx));
    }
    let source = clean(&finding.source);
    let source = if source.trim().is_empty() {
        "no source given"
    } else {
        &source
    };
    let basis = finding.basis.id();
    lines.hanging("     ", &format!("source ({basis}): {source}"));
    if !finding.evidence.is_empty() {
        lines.hanging("     evidence: ", &evidence(finding, ctx));
    }
}

/// The events that show a finding.
pub(super) fn evidence(finding: &Finding, ctx: &Context) -> String {
    let events: Vec<String> = finding
        .evidence
        .iter()
        .map(|id| ctx.evidence(*id))
        .collect();
    events.join("; ")
}

fn pressures(lines: &mut Lines, craft: &CraftAnswer, as_of: Moment, ctx: &Context) {
    if craft.pressures.is_empty() {
        return;
    }
    heading(lines, "PRESSURE AT THE LAUNCH");
    for one in &craft.pressures {
        lines.wrapped("  ", 6, &pressure(one, as_of, ctx));
    }
    lines.wrapped("  ", 6, &own_leaks(craft, ctx));
}

/// What was taken off for leaks: nothing where none is known.
pub(crate) fn own_leaks(craft: &CraftAnswer, ctx: &Context) -> String {
    let known = craft.pressures.iter().filter_map(|one| {
        let taken = print::pressure(one.own_leak_pa?, ctx.units);
        Some(format!("{} {taken}", words_of(one.part.as_str())))
    });
    let known: Vec<String> = known.collect();
    match known.as_slice() {
        [] => "own leaks since the reading: none known, so nothing is taken off".to_owned(),
        known => format!(
            "own leaks since the reading: taken off {}; none known of other parts",
            known.join(", ")
        ),
    }
}

fn pressure(one: &PartPressure, as_of: Moment, ctx: &Context) -> String {
    let number = |pa| match pa {
        0 => "slack".to_owned(),
        pa => print::pressure_number(pa, ctx.units),
    };
    let unit = print::pressure_unit(ctx.units);
    let launch = if number(one.launch_low_pa) == number(one.launch_high_pa) {
        number(one.launch_low_pa)
    } else {
        format!(
            "{} to {}",
            number(one.launch_low_pa),
            number(one.launch_high_pa)
        )
    };
    let read_at = if print::is_known(one.read_at) {
        print::ago(as_of.since(one.read_at))
    } else {
        "at a time that is not known".to_owned()
    };
    format!(
        "{}: {launch} {unit} (wanted {} to {}; read {}, {read_at}; with gauge, weather and moist \
         air {} to {}{}{})",
        words_of(one.part.as_str()),
        number(one.range_pa.0),
        number(one.range_pa.1),
        number(one.read_gauge_pa),
        number(one.spread.least_pa),
        number(one.spread.most_pa),
        in_sun(one, ctx),
        at_home(one, ctx),
    )
}

/// What the sun would do, where that matters.
pub(crate) fn in_sun(one: &PartPressure, ctx: &Context) -> String {
    let sun = &one.in_sun;
    let at = print::temperature(sun.temperature_mc, ctx.units);
    let number = |pa| print::pressure_number(pa, ctx.units);
    if sun.high_pa > one.range_pa.1 {
        format!("; in the sun at {at} up to {}", number(sun.high_pa))
    } else if sun.then_low_pa < one.launch_low_pa {
        let then = number(sun.then_low_pa);
        format!("; after the sun at {at} {then}, its valve lets air out")
    } else {
        String::new()
    }
}

/// What it would be back in the bay, where that is too hard.
pub(crate) fn at_home(one: &PartPressure, ctx: &Context) -> String {
    if one.home_high_pa <= one.range_pa.1 {
        return String::new();
    }
    format!(
        "; back in the bay at {} up to {}",
        print::temperature(one.home_mc, ctx.units),
        print::pressure_number(one.home_high_pa, ctx.units)
    )
}

fn crew(lines: &mut Lines, craft: &CraftAnswer, ctx: &Context) {
    heading(lines, "CREW");
    let known = match &craft.crews {
        Some(crews) => format!("its station can raise {}", words::crews(crews, ctx)),
        None => "not known".to_owned(),
    };
    let least = match craft.crew_least {
        0 => String::new(),
        least => format!("; least crew {least}"),
    };
    lines.wrapped("  ", 4, &format!("{known}{least}"));
}

fn air(lines: &mut Lines, needed: Option<&AirNeeded>, ctx: &Context) {
    let Some(needed) = needed else { return };
    heading(lines, "AIR TO ITS WORKING PRESSURE");
    for part in &needed.parts {
        lines.wrapped("  ", 6, &part_air_text(part, ctx));
    }
    lines.wrapped("  ", 4, &air_needed_text(needed, ctx));
    if needed.from.is_empty() {
        lines.wrapped("  ", 4, "nothing aboard adds air");
    }
    for from in &needed.from {
        lines.wrapped("  from ", 6, &air_from_text(from, ctx));
    }
}

fn heading(lines: &mut Lines, text: &str) {
    lines.blank();
    lines.hanging("", text);
}
