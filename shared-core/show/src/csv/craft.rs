//! The table of craft.

use sponson_readiness::answer::{CountyAnswer, CraftAnswer, Status};

use super::cell::{Cell, Table, list, moment, yes_no};
use super::table;
use crate::context::Context;
use crate::sentence::{craft_limit_text, finding_text, to_do_text};
use crate::table::{Group, is_silent};
use crate::words;

const COLUMNS: [&str; 22] = [
    "group",
    "craft",
    "craft_id",
    "model",
    "stations",
    "station_silent",
    "readiness",
    "status",
    "incident",
    "ready_in_min",
    "seats",
    "crew",
    "crew_least",
    "trips",
    "mass_left_g",
    "checked_at",
    "stowage",
    "crews_at_station",
    "crews_until",
    "limits",
    "why",
    "what_to_do",
];

/// Every craft, those that can go first.
pub(super) fn who(answer: &CountyAnswer, ctx: &Context) -> String {
    let mut all = table(answer, &COLUMNS);
    for group in Group::ALL {
        for craft in group.of_answer(answer) {
            line(&mut all, group, craft, answer, ctx);
        }
    }
    all.into_text()
}

fn line(all: &mut Table, group: Group, craft: &CraftAnswer, answer: &CountyAnswer, ctx: &Context) {
    let load = craft.load.as_ref();
    let trips = load.and_then(|load| Some(load.homeward.as_ref()?.packed.trips.len()));
    let incident = match &craft.status {
        Status::Assigned { incident } => incident.as_str().into(),
        Status::Available | Status::OutOfService { .. } | Status::Condemned => Cell::Empty,
    };
    let stations = craft.stations.iter().map(|id| ctx.station(*id));
    let limits = craft.limits.iter();
    let (why, to_do) = reasons(craft, answer, ctx);
    all.line([
        group.short().into(),
        craft.number.as_str().into(),
        craft.id.to_string().into(),
        craft.model.as_str().into(),
        list(stations),
        yes_no(is_silent(craft, &answer.stations)),
        craft.readiness.id().into(),
        words::status(&craft.status).into(),
        incident,
        craft.minutes_to_ready.into(),
        load.map(|load| load.seats).into(),
        load.map(|load| load.crew).into(),
        craft.crew_least.into(),
        trips.into(),
        load.and_then(|load| load.mass_left_g).into(),
        craft.checked_at.map_or(Cell::Empty, moment),
        craft.stowage.map(|stowage| stowage.id()).into(),
        craft.crews.as_ref().map(|at| at.crews).into(),
        craft
            .crews
            .as_ref()
            .map_or(Cell::Empty, |at| moment(at.until)),
        list(limits.map(|limit| craft_limit_text(limit, craft, ctx))),
        list(why),
        list(to_do),
    ]);
}

/// What was found, and what is to be done about it, each once.
fn reasons(
    craft: &CraftAnswer,
    answer: &CountyAnswer,
    ctx: &Context,
) -> (Vec<String>, Vec<String>) {
    let mut why = Vec::new();
    let mut all_to_do: Vec<String> = Vec::new();
    for finding in &craft.why {
        why.push(finding_text(finding, answer.asked.as_of, ctx));
        for to_do in &finding.to_do {
            let text = to_do_text(to_do, &finding.subject, ctx);
            if !all_to_do.contains(&text) {
                all_to_do.push(text);
            }
        }
    }
    (why, all_to_do)
}
