//! The tables over all craft: short, overdue, where stations differ, stations.

use sponson_readiness::answer::{CountyAnswer, Disagreement, Stated};
use sponson_readiness::event::Trust;

use super::cell::{Cell, list, moment, yes_no};
use super::table;
use crate::context::Context;
use crate::sentence::{differ_text, settle_text, side_text, until_text};
use crate::table::consequence;

/// Items short.
pub(super) fn short(answer: &CountyAnswer) -> String {
    let columns = ["craft", "item", "label", "have", "need", "short"];
    let mut all = table(answer, &columns);
    for item in &answer.missing_kit {
        all.line([
            item.number.as_str().into(),
            item.item.as_str().into(),
            item.label.as_str().into(),
            item.have.into(),
            item.need.into(),
            item.need.saturating_sub(item.have).into(),
        ]);
    }
    all.into_text()
}

/// What is past due.
pub(super) fn overdue(answer: &CountyAnswer, ctx: &Context) -> String {
    let columns = [
        "craft",
        "line",
        "label",
        "due",
        "days_over",
        "engine_s_over",
        "effect",
        "consequence",
    ];
    let mut all = table(answer, &columns);
    for late in &answer.overdue {
        all.line([
            late.number.as_str().into(),
            late.inspection.as_str().into(),
            late.label.as_str().into(),
            late.due.map(|day| day.to_string()).into(),
            late.days_over.into(),
            late.engine_s_over.into(),
            late.effect.id().into(),
            consequence(&late.effect, ctx).into(),
        ]);
    }
    all.into_text()
}

/// Where stations differ; what follows stands in the line of every side.
pub(super) fn disagreements(answer: &CountyAnswer, ctx: &Context) -> String {
    let columns = [
        "disagreement",
        "subject",
        "differ",
        "what",
        "side",
        "value",
        "station",
        "member",
        "device",
        "claimed_at",
        "confirmed",
        "entry",
        "until_settled",
        "to_settle",
    ];
    let mut all = table(answer, &columns);
    for (number, one) in (1_usize..).zip(&answer.disagreements) {
        for (at, side) in (1_usize..).zip(&one.sides) {
            let author = &side.origin.author;
            let device = author.key.iter().map(|byte| format!("{byte:02x}"));
            all.line([
                number.into(),
                one.number.as_str().into(),
                one.differ.id().into(),
                differ_text(one, ctx).into(),
                at.into(),
                side_text(side, one, ctx).into(),
                author.station.map(|id| ctx.station(id)).into(),
                author.member.as_str().into(),
                device.collect::<String>().into(),
                moment(side.origin.interval.claimed),
                confirmed(side),
                side.origin.event.to_string().into(),
                until_text(one, ctx).into(),
                to_settle(one),
            ]);
        }
    }
    all.into_text()
}

fn confirmed(side: &Stated) -> Cell {
    match side.origin.trust {
        Trust::Trusted => yes_no(true),
        Trust::Unconfirmed(_) => yes_no(false),
    }
}

fn to_settle(one: &Disagreement) -> Cell {
    list(one.settle.iter().map(settle_text))
}

/// When stations were heard, and what they can raise.
pub(super) fn stations(answer: &CountyAnswer) -> String {
    let columns = [
        "station",
        "station_id",
        "last_heard",
        "age_s",
        "silent",
        "crews",
        "persons",
        "crews_until",
        "operators",
    ];
    let mut all = table(answer, &columns);
    for station in &answer.stations {
        let heard = station.last_heard;
        let heard = heard.filter(|at| crate::units::print::is_known(*at));
        let age = heard.map(|at| answer.asked.as_of.since(at).div_euclid(1000));
        let crews = station.crews.as_ref();
        all.line([
            station.name.as_str().into(),
            station.id.to_string().into(),
            heard.map_or(Cell::Empty, moment),
            age.into(),
            yes_no(station.silent),
            crews.map(|at| at.crews).into(),
            crews.and_then(|at| at.persons).into(),
            crews.map_or(Cell::Empty, |at| moment(at.until)),
            crews.map_or(Cell::Empty, |at| list(at.operators.clone())),
        ]);
    }
    all.into_text()
}
