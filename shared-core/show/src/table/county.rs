//! The county answer for a terminal, in the order of a call by night: what was asked, who has not
//! been heard, which craft can go, which cannot and what would make them go.

use sponson_readiness::answer::{
    Asked, CountyAnswer, CraftAnswer, Effect, Finding, Limit, Load, Readiness, StationHeard, Status,
};
use sponson_readiness::moment::Moment;

use super::lines::Lines;
use super::lists::{disagreements, due_table, kit_table, number_prefix};
use crate::clean::clean;
use crate::context::Context;
use crate::sentence::{checked_text, finding_text, limit_text, to_do_text, words_of};
use crate::units::print;
use crate::words;

/// The county answer, at most 80 columns wide.
#[must_use]
pub fn county_report(answer: &CountyAnswer, ctx: &Context) -> String {
    let as_of = answer.asked.as_of;
    let mut lines = Lines::default();
    asked(&mut lines, &answer.asked, ctx);
    silent(&mut lines, &answer.stations, as_of, ctx);
    for readiness in [
        Readiness::Ready,
        Readiness::ReadyWithLimits,
        Readiness::Unproven,
        Readiness::NotReady,
    ] {
        section(&mut lines, answer, readiness, ctx);
    }
    list(&mut lines, "KIT SHORT", &kit_table(&answer.missing_kit));
    list(&mut lines, "OVERDUE", &due_table(&answer.overdue, ctx));
    list(
        &mut lines,
        "STATIONS DIFFER",
        &disagreements(&answer.disagreements, ctx),
    );
    stations(&mut lines, &answer.stations, as_of, ctx);
    known_by(&mut lines, answer);
    lines.blank();
    lines.hanging("", crate::caution());
    lines.into_text()
}

/// What was asked: moment, mission, weather, and what was assumed.
pub(super) fn asked(lines: &mut Lines, asked: &Asked, ctx: &Context) {
    let mission = asked.mission.as_ref().map_or_else(
        || "general".to_owned(),
        |mission| words_of(mission.as_str()),
    );
    let when = ctx.local(asked.as_of);
    let zone = print::offset(ctx.utc_offset_min);
    lines.hanging("", &format!("As of {when} ({zone}), mission: {mission}"));
    let units = ctx.units;
    lines.hanging(
        "",
        &format!(
            "Launch: air {}, water {}, elevation {}",
            print::temperature(asked.air_mc, units),
            print::temperature(asked.water_mc, units),
            print::elevation(asked.elevation_mm, units)
        ),
    );
    if !asked.assumed.is_empty() {
        let assumed: Vec<&str> = asked.assumed.iter().map(|a| words::assumed(*a)).collect();
        lines.hanging("Assumed: ", &assumed.join(", "));
    }
}

fn silent(lines: &mut Lines, stations: &[StationHeard], as_of: Moment, ctx: &Context) {
    let mut silent = stations.iter().filter(|station| station.silent).peekable();
    if silent.peek().is_none() {
        return;
    }
    heading(
        lines,
        "NOT HEARD FOR LONG: what they did since is not known here",
    );
    silent.for_each(|station| heard(lines, station, as_of, ctx));
}

fn section(lines: &mut Lines, answer: &CountyAnswer, readiness: Readiness, ctx: &Context) {
    let name = match readiness {
        Readiness::Ready => "CAN GO",
        Readiness::ReadyWithLimits => "CAN GO, WITH LIMITS",
        Readiness::Unproven => "NOT CHECKED",
        Readiness::NotReady => "CANNOT GO",
    };
    let craft: Vec<&CraftAnswer> = answer
        .craft
        .iter()
        .filter(|craft| craft.readiness == readiness)
        .collect();
    if craft.is_empty() {
        if readiness == Readiness::Ready {
            heading(lines, &format!("{name}: none"));
        }
        return;
    }
    heading(lines, &format!("{name} ({})", craft.len()));
    for one in craft {
        craft_lines(lines, one, answer.asked.as_of, ctx);
    }
}

/// One craft: a line of its own, then what limits it or keeps it back.
fn craft_lines(lines: &mut Lines, craft: &CraftAnswer, as_of: Moment, ctx: &Context) {
    let prefix = number_prefix(&craft.number);
    lines.hanging(&prefix, &headline(craft, as_of, ctx));
    for limit in bare_limits(craft) {
        lines.hanging("      - ", &limit_text(limit, ctx));
    }
    for finding in craft
        .why
        .iter()
        .filter(|finding| tells(craft.readiness, finding))
    {
        lines.hanging("      - ", &reason(finding, as_of, ctx));
        let to_do: Vec<String> = finding
            .to_do
            .iter()
            .map(|t| to_do_text(t, &finding.subject, ctx))
            .collect();
        if !to_do.is_empty() {
            lines.hanging("        to do: ", &to_do.join("; "));
        }
    }
}

fn headline(craft: &CraftAnswer, as_of: Moment, ctx: &Context) -> String {
    let place = ctx.station_list(&craft.stations);
    let status = match &craft.status {
        Status::Available => None,
        Status::Assigned { .. } | Status::OutOfService { .. } | Status::Condemned => {
            Some(words::status(&craft.status))
        }
    };
    let seats = match craft.readiness {
        Readiness::NotReady => None,
        Readiness::Ready | Readiness::ReadyWithLimits | Readiness::Unproven => {
            Some(seats(craft.load.as_ref()))
        }
    };
    let checked = Some(checked_text(craft, as_of, ctx));
    let work = work_text(craft);
    let pieces = match craft.readiness {
        Readiness::Unproven => [Some(place), checked, status, work, seats, None],
        Readiness::Ready | Readiness::ReadyWithLimits | Readiness::NotReady => {
            let readiness = Some(words::readiness(craft.readiness).to_owned());
            [Some(place), readiness, status, work, seats, checked]
        }
    };
    pieces.into_iter().flatten().collect::<Vec<_>>().join("; ")
}

/// What would make a craft go that cannot, as far as it is known.
pub(super) fn work_text(craft: &CraftAnswer) -> Option<String> {
    match (craft.readiness, craft.minutes_to_ready) {
        (Readiness::Ready | Readiness::ReadyWithLimits, _) | (Readiness::Unproven, None) => None,
        (Readiness::NotReady | Readiness::Unproven, Some(minutes)) => {
            Some(format!("{minutes} min of work would make it go"))
        }
        (Readiness::NotReady, None) => Some("no work known here would make it go".to_owned()),
    }
}

fn seats(load: Option<&Load>) -> String {
    load.map_or_else(
        || "seats not known".to_owned(),
        |load| {
            format!(
                "{} beyond a crew of {}",
                print::count(i64::from(load.seats), "seat"),
                load.crew
            )
        },
    )
}

/// Limits that no finding explains.
fn bare_limits(craft: &CraftAnswer) -> impl Iterator<Item = &Limit> {
    craft.limits.iter().filter(|limit| {
        !craft
            .why
            .iter()
            .any(|finding| finding.effect == Effect::Limit((*limit).clone()))
    })
}

/// Whether a finding belongs on the page of the whole county: what it only notes is for the report
/// on one craft.
fn tells(readiness: Readiness, finding: &Finding) -> bool {
    match finding.effect {
        Effect::Note => false,
        Effect::Limit(_) => readiness == Readiness::ReadyWithLimits,
        Effect::Unproven | Effect::NotReady => true,
    }
}

fn reason(finding: &Finding, as_of: Moment, ctx: &Context) -> String {
    let text = finding_text(finding, as_of, ctx);
    match &finding.effect {
        Effect::Limit(limit) => format!("{}: {text}", limit_text(limit, ctx)),
        Effect::Note | Effect::Unproven | Effect::NotReady => text,
    }
}

fn list(lines: &mut Lines, name: &str, text: &str) {
    if !text.is_empty() {
        heading(lines, name);
        lines.block(text);
    }
}

fn stations(lines: &mut Lines, stations: &[StationHeard], as_of: Moment, ctx: &Context) {
    let mut others = stations.iter().filter(|station| !station.silent).peekable();
    if others.peek().is_none() {
        return;
    }
    heading(lines, "STATIONS HEARD");
    others.for_each(|station| heard(lines, station, as_of, ctx));
}

fn heard(lines: &mut Lines, station: &StationHeard, as_of: Moment, ctx: &Context) {
    let when = match station.last_heard {
        Some(moment) => format!("last heard {}", ctx.local_and_age(moment, as_of)),
        None => "never heard".to_owned(),
    };
    lines.wrapped("  ", 4, &format!("{}: {when}", clean(&station.name)));
}

fn known_by(lines: &mut Lines, answer: &CountyAnswer) {
    let known = &answer.known_by;
    let base = match known.size {
        0 => "no entry of the county log".to_owned(),
        size => format!("{} of the county log", entries(size)),
    };
    let beyond = match known.beyond {
        0 => String::new(),
        more => format!(
            ", and {} held here that it does not prove yet",
            entries(more)
        ),
    };
    lines.blank();
    let rules = answer.engine;
    lines.wrapped(
        "",
        2,
        &format!("Rests on {base}{beyond}. Rules version {rules}."),
    );
}

fn entries(number: u64) -> String {
    if number == 1 {
        "1 entry".to_owned()
    } else {
        format!("{number} entries")
    }
}

fn heading(lines: &mut Lines, text: &str) {
    lines.blank();
    lines.hanging("", text);
}
