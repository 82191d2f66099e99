//! What was late, in the form.

use serde::Serialize;
use sponson_readiness::ahead::{DoneLate, InTime, Late, Past};

use super::{Names, StationForm};
use crate::ahead::{in_time_text, late_text, percent};

#[derive(Serialize)]
pub(super) struct LateForm {
    county: Option<InTimeForm>,
    by_station: Vec<OfStation>,
    by_craft: Vec<OfCraft>,
    by_inspection: Vec<OfLine>,
    done: Vec<DoneForm>,
}

#[derive(Serialize)]
struct InTimeForm {
    due: u32,
    in_time: u32,
    percent_low: u32,
    percent_high: u32,
    median_days_late: Option<i64>,
    text: String,
}

#[derive(Serialize)]
struct OfStation {
    station: StationForm,
    in_time: InTimeForm,
}

#[derive(Serialize)]
struct OfCraft {
    craft: String,
    craft_id: String,
    in_time: InTimeForm,
}

#[derive(Serialize)]
struct OfLine {
    inspection: String,
    label: String,
    in_time: InTimeForm,
}

#[derive(Serialize)]
struct DoneForm {
    craft: String,
    craft_id: String,
    station: Option<StationForm>,
    inspection: String,
    label: String,
    due: Option<String>,
    done: Option<String>,
    entry: Option<String>,
    days_late: Option<i64>,
    engine_s_late: Option<u64>,
    in_grace: bool,
    text: String,
}

pub(super) fn late(late: &Late, names: &Names<'_>) -> LateForm {
    LateForm {
        county: late.county.as_ref().map(in_time),
        by_station: late
            .by_station
            .iter()
            .map(|(id, share)| OfStation {
                station: names.of(*id),
                in_time: in_time(share),
            })
            .collect(),
        by_craft: late
            .by_craft
            .iter()
            .map(|(id, number, share)| OfCraft {
                craft: number.clone(),
                craft_id: id.to_string(),
                in_time: in_time(share),
            })
            .collect(),
        by_inspection: late
            .by_line
            .iter()
            .map(|(line, label, share)| OfLine {
                inspection: line.to_string(),
                label: label.clone(),
                in_time: in_time(share),
            })
            .collect(),
        done: late.done.iter().map(|it| done(it, names)).collect(),
    }
}

fn in_time(share: &InTime) -> InTimeForm {
    InTimeForm {
        due: share.due,
        in_time: share.in_time,
        percent_low: percent(share.share.0),
        percent_high: percent(share.share.1),
        median_days_late: share.median_days_late,
        text: in_time_text(share),
    }
}

fn done(late: &DoneLate, names: &Names<'_>) -> DoneForm {
    let (done, entry) = match late.past {
        Past::Done(day, event) => (Some(day.to_string()), Some(event.to_string())),
        Past::StillRunning => (None, None),
    };
    DoneForm {
        craft: late.number.clone(),
        craft_id: late.craft.to_string(),
        station: late.station.map(|id| names.of(id)),
        inspection: late.inspection.to_string(),
        label: late.label.clone(),
        due: late.due.map(|day| day.to_string()),
        done,
        entry,
        days_late: late.days,
        engine_s_late: late.engine_s,
        in_grace: late.in_grace,
        text: late_text(late),
    }
}
