//! What a shelf has to hold, in the form.

use serde::Serialize;
use sponson_readiness::ahead::{NeedFor, ShelfNeed};

use super::{Names, StationForm};
use crate::ahead::{shelf_text, wanted_text};

#[derive(Serialize)]
pub(super) struct ShelfForm {
    station: Option<StationForm>,
    item: String,
    label: String,
    there: u32,
    runs_out_unused: u32,
    not_counted: u32,
    wanted: Vec<WantedForm>,
    short: u32,
    by: Option<String>,
    order_by: Option<String>,
    text: String,
}

#[derive(Serialize)]
struct WantedForm {
    day: String,
    count: u32,
    short: u32,
    what_for: &'static str,
    inspection: Option<String>,
    craft: Option<String>,
    craft_id: Option<String>,
    text: String,
}

pub(super) fn shelf(need: &ShelfNeed, names: &Names<'_>) -> ShelfForm {
    let wanted = need.wanted.iter().map(|one| {
        let (what_for, inspection) = match &one.for_what {
            NeedFor::ShortNow => ("lacking_now", None),
            NeedFor::RunsOut => ("runs_out", None),
            NeedFor::Inspection(line, _) => ("inspection", Some(line.to_string())),
            NeedFor::RunsOutAgain => ("runs_out_again", None),
        };
        WantedForm {
            day: one.day.to_string(),
            count: one.count,
            short: one.short,
            what_for,
            inspection,
            craft: one.craft.map(|_| one.number.clone()),
            craft_id: one.craft.map(|id| id.to_string()),
            text: wanted_text(one),
        }
    });
    ShelfForm {
        station: need.station.map(|id| names.of(id)),
        item: need.item.to_string(),
        label: need.label.clone(),
        there: need.there,
        runs_out_unused: need.runs_out_unused,
        not_counted: need.not_counted,
        wanted: wanted.collect(),
        short: need.short,
        by: need.by.map(|day| day.to_string()),
        order_by: need.order_by.map(|day| day.to_string()),
        text: shelf_text(need, names.0.from),
    }
}
