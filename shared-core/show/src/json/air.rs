//! The air that a craft's parts want at the launch, in the form.

use serde::Serialize;
use sponson_readiness::answer::{AirFrom, AirNeeded, Breathing, Feed, Gives, PartAir};
use sponson_readiness::event::PumpPower;

use crate::context::Context;
use crate::sentence::{air_from_text, subject_text};

#[derive(Serialize)]
pub(super) struct AirForm {
    reference_mc: i32,
    reference_pa: u32,
    growth_ppm: u32,
    losses_ppm: u32,
    free_air_ml: u64,
    parts: Vec<PartForm>,
    from: Vec<FromForm>,
}

#[derive(Serialize)]
struct PartForm {
    part: String,
    from_pa: Option<i64>,
    to_pa: i64,
    free_air_ml: Option<u64>,
    feed: &'static str,
}

#[derive(Serialize)]
struct FromForm {
    source: String,
    sort: &'static str,
    parts: Vec<String>,
    gauge_pa: Option<i64>,
    after_pa: Option<i64>,
    cylinders: Option<u64>,
    strokes: Option<u64>,
    most_pa: Option<i64>,
    runs_on: Option<&'static str>,
    text: String,
}

pub(super) fn air(needed: &AirNeeded, ctx: &Context) -> AirForm {
    AirForm {
        reference_mc: needed.reference_mc,
        reference_pa: needed.reference_pa,
        growth_ppm: needed.growth_ppm,
        losses_ppm: needed.losses_ppm,
        free_air_ml: needed.free_air_ml,
        parts: needed.parts.iter().map(part).collect(),
        from: needed.from.iter().map(|one| from(one, ctx)).collect(),
    }
}

fn part(part: &PartAir) -> PartForm {
    PartForm {
        part: part.part.0.clone(),
        from_pa: part.from_pa,
        to_pa: part.to_pa,
        free_air_ml: part.free_air_ml,
        feed: Feed::id(part.feed),
    }
}

fn from(from: &AirFrom, ctx: &Context) -> FromForm {
    let mut form = FromForm {
        source: subject_text(&from.source, ctx),
        sort: sort(from.gives),
        parts: from.parts.iter().map(|part| part.0.clone()).collect(),
        gauge_pa: None,
        after_pa: None,
        cylinders: None,
        strokes: None,
        most_pa: None,
        runs_on: None,
        text: air_from_text(from, ctx),
    };
    match from.gives {
        Gives::Cylinder {
            gauge_pa,
            after_pa,
            cylinders,
            breathing: _,
        } => {
            (form.gauge_pa, form.after_pa, form.cylinders) = (gauge_pa, after_pa, cylinders);
        }
        Gives::Pump {
            strokes,
            most_pa,
            runs_on,
        } => {
            (form.strokes, form.most_pa) = (strokes, most_pa);
            form.runs_on = runs_on.map(PumpPower::id);
        }
    }
    form
}

const fn sort(gives: Gives) -> &'static str {
    match gives {
        Gives::Cylinder {
            breathing: Breathing::Set,
            ..
        } => "breathing_set",
        Gives::Cylinder {
            breathing: Breathing::No,
            ..
        } => "cylinder",
        Gives::Pump { .. } => "pump",
    }
}
