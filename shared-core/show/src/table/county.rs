//! The county answer for a terminal, in the order of a call by night: what was asked, who has not
//! been heard, which craft can go, which cannot and what would make them go.

use sponson_readiness::answer::{
    Asked, CountyAnswer, CraftAnswer, Effect, Finding, Load, Readiness, Rule, StationHeard, Status,
};
use sponson_readiness::moment::Moment;

use super::conditions::{job_text, launch_text};
use super::lines::Lines;
use super::lists::{disagreements, due_table, kit_table, number_prefix, short_number};
use super::reasons::reasons;
use super::summary::{Group, is_silent, not_for_mission, summary};
use super::together::together_lines;
use crate::clean::clean;
use crate::context::Context;
use crate::people::people_text;
use crate::sentence::{checked_text, finding_text, words_of};
use crate::units::print;
use crate::weather_report::report_lines;
use crate::without::{as_if, taken};
use crate::words;

/// The county answer, at most 80 columns wide.
#[must_use]
pub fn county_report(answer: &CountyAnswer, ctx: &Context) -> String {
    let as_of = answer.asked.as_of;
    let mut lines = Lines::default();
    if let Some(as_if) = as_if(answer, ctx) {
        lines.hanging("AS IF: ", &as_if);
    }
    asked(&mut lines, &answer.asked, ctx);
    silent(&mut lines, &answer.stations, as_of, ctx);
    summary(&mut lines, answer);
    for group in Group::ALL {
        section(&mut lines, answer, group, ctx);
    }
    taken_away(&mut lines, answer, ctx);
    if let Some(together) = &answer.together {
        heading(&mut lines, "TOGETHER");
        together_lines(&mut lines, together, ctx);
    }
    list(&mut lines, "KIT SHORT", &kit_table(&answer.missing_kit));
    list(&mut lines, "OVERDUE", &due_table(&answer.overdue, ctx));
    list(
        &mut lines,
        "STATIONS DIFFER",
        &disagreements(&answer.disagreements, ctx),
    );
    stations(&mut lines, &answer.stations, as_of);
    crews(&mut lines, &answer.stations, ctx);
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
    if let Some(clock) = words::asker_clock(asked.clock) {
        lines.hanging("CLOCK: ", &clock);
    }
    lines.hanging("Launch: ", &launch_text(asked, ctx));
    if let Some(aboard) = aboard_text(asked, ctx) {
        lines.hanging("Aboard: ", &aboard);
    }
    if let Some(job) = job_text(asked, ctx) {
        lines.hanging("Job: ", &job);
    }
    for (before, text) in report_lines(asked, ctx) {
        lines.hanging(before, &text);
    }
    if !asked.assumed.is_empty() {
        let assumed: Vec<&str> = asked.assumed.iter().map(|a| words::assumed(*a)).collect();
        lines.hanging("Assumed: ", &assumed.join(", "));
    }
}

/// Crew and people as given; none when neither was.
pub(crate) fn aboard_text(asked: &Asked, ctx: &Context) -> Option<String> {
    let each = asked.crew.mass_g.map(|mass_g| {
        let mass_g = i64::try_from(mass_g).unwrap_or(i64::MAX);
        format!(" of {} each", print::mass(mass_g, ctx.units))
    });
    let crew = match (asked.crew.count, each) {
        (Some(count), each) => Some(format!("crew of {count}{}", each.unwrap_or_default())),
        (None, Some(each)) => Some(format!("crew{each}")),
        (None, None) => None,
    };
    let people = (!asked.people.is_empty())
        .then(|| format!("to bring home {}", people_text(&asked.people, ctx.units)));
    let said: Vec<String> = crew.into_iter().chain(people).collect();
    (!said.is_empty()).then(|| said.join("; "))
}

pub(super) fn silent(lines: &mut Lines, stations: &[StationHeard], as_of: Moment, ctx: &Context) {
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

fn section(lines: &mut Lines, answer: &CountyAnswer, group: Group, ctx: &Context) {
    let craft: Vec<&CraftAnswer> = group.of_answer(answer).collect();
    if craft.is_empty() {
        return;
    }
    heading(lines, &format!("{} ({})", group.heading(), craft.len()));
    let (condemned, others): (Vec<_>, Vec<_>) = craft
        .into_iter()
        .partition(|craft| craft.status == Status::Condemned);
    let (not_listed, others): (Vec<_>, Vec<_>) =
        others.into_iter().partition(|craft| not_for_mission(craft));
    for one in others {
        craft_lines(lines, one, answer, ctx);
    }
    // Nothing that anybody does tonight changes these: a name is enough.
    named(
        lines,
        "not for this mission by the boat standard",
        &not_listed,
    );
    named(lines, "condemned", &condemned);
}

fn named(lines: &mut Lines, what: &str, craft: &[&CraftAnswer]) {
    if craft.is_empty() {
        return;
    }
    let numbers: Vec<String> = craft.iter().map(|one| short_number(&one.number)).collect();
    lines.wrapped("  ", 4, &format!("{what}: {}", numbers.join(", ")));
}

/// One craft: a line of its own, then what limits it or keeps it back.
fn craft_lines(lines: &mut Lines, craft: &CraftAnswer, answer: &CountyAnswer, ctx: &Context) {
    let as_of = answer.asked.as_of;
    let prefix = number_prefix(&craft.number);
    lines.hanging(&prefix, &headline(craft, &answer.stations, as_of, ctx));
    for reason in reasons(craft, as_of, ctx) {
        lines.hanging("      - ", &reason);
    }
}

/// A craft in one line: where, declared, what would make it go, seats, last check.
pub(crate) fn headline(
    craft: &CraftAnswer,
    stations: &[StationHeard],
    as_of: Moment,
    ctx: &Context,
) -> String {
    let mut place = ctx.station_list(&craft.stations);
    if is_silent(craft, stations) {
        place.push_str(" (not heard for long)");
    }
    let status = match &craft.status {
        Status::Available => None,
        Status::Assigned { .. } => Some(assigned_text(craft, as_of, ctx)),
        Status::OutOfService { .. } | Status::Condemned => Some(words::status(&craft.status)),
    };
    let seats = match craft.readiness {
        Readiness::NotReady => None,
        Readiness::Ready | Readiness::ReadyWithLimits | Readiness::Unproven => {
            Some(seats(craft.load.as_ref()))
        }
    };
    let checked = Some(checked_text(craft, as_of, ctx));
    [Some(place), status, work_text(craft), seats, checked]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join("; ")
}

/// Where a craft was sent, by whom and when: each assignment that stands.
fn assigned_text(craft: &CraftAnswer, as_of: Moment, ctx: &Context) -> String {
    let why = craft.why.iter();
    let assigned = why.filter(|one| one.rule == Rule::Assigned && one.effect == Effect::Note);
    let sent: Vec<String> = assigned.map(|one| finding_text(one, as_of, ctx)).collect();
    if sent.is_empty() {
        return words::status(&craft.status);
    }
    sent.join(" and ")
}

/// What would make a craft go that cannot, as far as it is known. Silent where the reasons say what
/// to do and only the minutes are not known.
pub(super) fn work_text(craft: &CraftAnswer) -> Option<String> {
    let hopeless =
        |finding: &Finding| finding.effect >= Effect::Unproven && finding.to_do.is_empty();
    match (craft.readiness, craft.minutes_to_ready) {
        (Readiness::Ready | Readiness::ReadyWithLimits, _) => None,
        (Readiness::NotReady | Readiness::Unproven, Some(minutes)) => {
            Some(format!("{minutes} min of work would make it go"))
        }
        (Readiness::NotReady | Readiness::Unproven, None) => craft
            .why
            .iter()
            .any(hopeless)
            .then(|| "nothing known here would make it go".to_owned()),
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

/// Craft that the answer is given without.
fn taken_away(lines: &mut Lines, answer: &CountyAnswer, ctx: &Context) {
    if answer.taken_away.is_empty() {
        return;
    }
    heading(lines, &format!("TAKEN AWAY ({})", answer.taken_away.len()));
    for one in &answer.taken_away {
        lines.hanging("  ", &taken(one, ctx));
    }
}

fn list(lines: &mut Lines, name: &str, text: &str) {
    if !text.is_empty() {
        heading(lines, name);
        lines.block(text);
    }
}

pub(super) fn stations(lines: &mut Lines, stations: &[StationHeard], as_of: Moment) {
    let others = stations.iter().filter(|station| !station.silent);
    let heard: Vec<String> = others
        .filter_map(|station| {
            let ago = print::ago(as_of.since(station.last_heard?));
            Some(format!("{} {ago}", clean(&station.name)))
        })
        .collect();
    if !heard.is_empty() {
        lines.blank();
        lines.wrapped("", 2, &format!("Stations heard: {}", heard.join(", ")));
    }
}

/// What each station can raise; silence is 'crew not known', said once for all of them.
pub(super) fn crews(lines: &mut Lines, stations: &[StationHeard], ctx: &Context) {
    let mut said = Vec::new();
    let mut not_known = Vec::new();
    for station in stations {
        match &station.crews {
            Some(crews) => said.push(format!(
                "{} {}",
                clean(&station.name),
                words::crews(crews, ctx)
            )),
            None => not_known.push(clean(&station.name)),
        }
    }
    if said.is_empty() && not_known.len() > 1 {
        lines.wrapped(
            "",
            2,
            "Crew not known: no station has said what it can raise",
        );
        return;
    }
    if !said.is_empty() {
        lines.wrapped("", 2, &format!("Crews: {}", said.join("; ")));
    }
    if !not_known.is_empty() {
        lines.wrapped("", 2, &format!("Crew not known: {}", not_known.join(", ")));
    }
}

fn heard(lines: &mut Lines, station: &StationHeard, as_of: Moment, ctx: &Context) {
    let when = match station.last_heard {
        Some(moment) => format!("last heard {}", ctx.local_and_age(moment, as_of)),
        None => "never heard".to_owned(),
    };
    lines.wrapped("  ", 4, &format!("{}: {when}", clean(&station.name)));
}

pub(super) fn known_by(lines: &mut Lines, answer: &CountyAnswer) {
    lines.blank();
    lines.wrapped("", 2, &rests_text(answer));
}

/// What an answer rests on, as one sentence.
pub(crate) fn rests_text(answer: &CountyAnswer) -> String {
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
    let rules = answer.engine;
    format!("Rests on {base}{beyond}. Rules version {rules}.")
}

fn entries(number: u64) -> String {
    if number == 1 {
        "1 entry".to_owned()
    } else {
        format!("{number} entries")
    }
}

pub(super) fn heading(lines: &mut Lines, text: &str) {
    lines.blank();
    lines.hanging("", text);
}
