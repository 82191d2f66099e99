//! A call-out for a terminal, for one look by night: who is there first and why, what limits it,
//! what it lacks and who brings that; then what cannot go, and what would make it go.

use sponson_readiness::answer::{
    AirNeeded, Callout, Candidate, CountyAnswer, CraftAnswer, Limit, Reach, Readiness,
};
use sponson_readiness::ids::SubjectId;

use super::county::{asked, crews, heading, known_by, silent, stations};
use super::lines::Lines;
use super::lists::{number_prefix, short_number};
use super::summary::not_for_mission;
use crate::clean::clean;
use crate::context::Context;
use crate::sentence::callout::{
    cover_text, crew_text, kit_text, parts_text, place_text, room_text, said_at_text, second_text,
    setting_text, shared_text, station_text, to_do_list, total_text, way_text, would_go_text,
};
use crate::sentence::{air_from_text, checked_text, craft_limit_text};
use crate::units::print;
use crate::words;

/// Limits told of one craft: with more, one asks about it alone.
const LIMITS_MAX: usize = 4;

/// The call-out, at most 80 columns wide; empty when none was asked.
#[must_use]
pub fn callout_report(answer: &CountyAnswer, ctx: &Context) -> String {
    let Some(callout) = &answer.callout else {
        return String::new();
    };
    let as_of = answer.asked.as_of;
    let mut lines = Lines::default();
    asked(&mut lines, &answer.asked, ctx);
    let place = answer.asked.callout.as_ref();
    let place = place.and_then(|asked| place_text(asked.launch.as_ref()?));
    if let Some(place) = place {
        lines.hanging("Goes in at: ", &place);
    }
    silent(&mut lines, &answer.stations, as_of, ctx);
    for reach in Reach::ALL {
        section(&mut lines, (answer, callout), *reach, ctx);
    }
    if let Some(together) = bring_home(callout) {
        heading(&mut lines, &together);
    }
    settings(&mut lines, callout, ctx);
    stations(&mut lines, &answer.stations, as_of);
    crews(&mut lines, &answer.stations, ctx);
    known_by(&mut lines, answer);
    lines.blank();
    lines.hanging("", crate::caution());
    lines.into_text()
}

const fn title(reach: Reach) -> &'static str {
    match reach {
        Reach::ByTime => "WHO CAN GO, by time to water",
        Reach::ByLine => "CAN GO, BUT ONLY THE STRAIGHT LINE IS KNOWN: not by road",
        Reach::WayNotKnown => "CAN GO, BUT THE WAY IS NOT KNOWN",
        Reach::NotChecked => "NOT CHECKED: would go if",
        Reach::CannotGo => "CANNOT GO: would go if",
    }
}

fn section(
    lines: &mut Lines,
    (answer, callout): (&CountyAnswer, &Callout),
    reach: Reach,
    ctx: &Context,
) {
    let here = callout.candidates.iter().filter(|one| one.reach == reach);
    let here: Vec<_> = here.map(|one| (one, craft_of(answer, one))).collect();
    if here.is_empty() {
        if reach == Reach::ByTime {
            heading(lines, "WHO CAN GO, by time to water: none");
        }
        return;
    }
    heading(lines, &format!("{} ({})", title(reach), here.len()));
    let (not_listed, others): (Vec<_>, Vec<_>) = here
        .into_iter()
        .partition(|(_, craft)| craft.is_some_and(not_for_mission));
    for (one, craft) in others {
        match reach {
            Reach::ByTime | Reach::ByLine | Reach::WayNotKnown => {
                goes(lines, (one, craft), (answer, callout), ctx);
            }
            Reach::NotChecked | Reach::CannotGo => {
                let text = would_go_text(one, craft, ctx);
                lines.hanging(&number_prefix(&one.number), &text);
            }
        }
    }
    if !not_listed.is_empty() {
        let numbers: Vec<String> = not_listed
            .iter()
            .map(|(one, _)| short_number(&one.number))
            .collect();
        let text = format!(
            "not for this mission by the boat standard: {}",
            numbers.join(", ")
        );
        lines.wrapped("  ", 4, &text);
    }
}

fn craft_of<'a>(answer: &'a CountyAnswer, candidate: &Candidate) -> Option<&'a CraftAnswer> {
    let mut craft = answer.craft.iter();
    craft.find(|craft| craft.id == candidate.craft)
}

/// One that can go: its time in one line, then what is to be known before it is sent.
fn goes(
    lines: &mut Lines,
    (one, craft): (&Candidate, Option<&CraftAnswer>),
    (answer, callout): (&CountyAnswer, &Callout),
    ctx: &Context,
) {
    let time = format!(
        "{}: {}",
        total_text(&one.time, ctx),
        parts_text(&one.time, one.launch)
    );
    lines.hanging(&number_prefix(&one.number), &time);
    let mut say = |text: &str| lines.hanging("      - ", text);
    say(&format!(
        "{}; {}",
        station_text(one, ctx),
        way_text(one.way, ctx)
    ));
    if let Some(craft) = craft {
        let readiness = words::readiness(craft.readiness);
        let checked = checked_text(craft, answer.asked.as_of, ctx);
        let room = room_text(one.seats, one.trips);
        say(&format!("{readiness}; {checked}; {room}"));
        limits(craft, ctx).iter().for_each(|limit| say(limit));
        if let Some(needed) = &craft.air {
            say(&air_text(needed, ctx));
        }
    }
    say(&crew_text(&one.crew, ctx));
    let first = to_do_list(&one.to_do, craft, ctx);
    if !first.is_empty() {
        say(&format!("before it goes: {}", first.join(", ")));
    }
    one.at_ramp.iter().for_each(|kit| say(&kit_text(kit, ctx)));
    second_text(&one.second)
        .iter()
        .for_each(|second| say(second));
    for said in &one.disputed {
        say(&said_at_text(said, ctx));
    }
    for shared in &one.shared {
        say(&shared_text(shared, |id| number_of(callout, id), ctx));
    }
    if let Some(left) = &one.cover_left {
        say(&cover_text(left, ctx));
    }
}

/// The air to take along, and what aboard gives it.
fn air_text(needed: &AirNeeded, ctx: &Context) -> String {
    let air = print::litres(needed.free_air_ml);
    let from = needed.from.iter().find(|from| !from.parts.is_empty());
    let from = from.map_or_else(
        || "nothing aboard gives it".to_owned(),
        |from| air_from_text(from, ctx),
    );
    format!("air to take along: {air} of free air; {from}")
}

/// Limits that matter on the way and on the water, those of the load left to its own line.
fn limits(craft: &CraftAnswer, ctx: &Context) -> Vec<String> {
    if craft.readiness == Readiness::Ready {
        return Vec::new();
    }
    let told = craft.limits.iter().filter(|limit| {
        !matches!(
            limit,
            Limit::Trips(_) | Limit::DoSoon(_) | Limit::LetOutAtHome(_)
        )
    });
    let mut told: Vec<String> = told.map(|it| craft_limit_text(it, craft, ctx)).collect();
    let more = told.len().saturating_sub(LIMITS_MAX);
    if more > 0 {
        told.truncate(LIMITS_MAX);
        told.push(format!(
            "and {more} more limits: ask about this craft alone"
        ));
    }
    told
}

fn number_of(callout: &Callout, id: SubjectId) -> String {
    let mut all = callout.candidates.iter();
    let found = all.find(|one| one.craft == id);
    found.map_or_else(
        || format!("{:.8}", id.to_string()),
        |one| clean(&one.number),
    )
}

/// Craft that together bring everybody home at once.
fn bring_home(callout: &Callout) -> Option<String> {
    let home = callout.bring_home.as_ref()?;
    let numbers: Vec<String> = home
        .craft
        .iter()
        .map(|id| number_of(callout, *id))
        .collect();
    if numbers.is_empty() {
        return Some("ALL HOME AT ONCE: no craft together can; it takes more trips".to_owned());
    }
    let fewest = if home.is_fewest {
        ""
    } else {
        " (fewer may do)"
    };
    let when = home.total.map_or_else(
        || "when the last is in the water is not known".to_owned(),
        |minutes| format!("the last in the water in {minutes} min"),
    );
    Some(format!(
        "ALL HOME AT ONCE: {}{fewest}, {when}",
        numbers.join(", ")
    ))
}

/// What the times rest on: the county's own settings, each with where it comes from.
fn settings(lines: &mut Lines, callout: &Callout, ctx: &Context) {
    if callout.settings.is_empty() {
        return;
    }
    lines.blank();
    let said: Vec<String> = callout
        .settings
        .iter()
        .map(|setting| setting_text(setting, ctx))
        .collect();
    let text = format!(
        "Times rest on {} of the county's: {}",
        print::count(i64::try_from(said.len()).unwrap_or(i64::MAX), "setting"),
        said.join("; ")
    );
    lines.wrapped("", 2, &text);
}

#[cfg(test)]
mod tests;
