//! One craft in the form: its readiness, why, limits, pressures, load.

use chrono::NaiveDate;
use serde::Serialize;
use sponson_readiness::answer::{CraftAnswer, Finding, LeakRate, Measure, PartPressure, Required};
use sponson_readiness::event::Stowage;
use sponson_readiness::moment::Moment;

use super::air::{AirForm, air};
use super::form::{Crews, crews};
use super::load::{LoadForm, load};
use crate::context::Context;
use crate::sentence::{
    craft_limit_text, finding_text, measure_text, required_text, subject_text, to_do_text,
};
use crate::units::print;
use crate::words;

#[derive(Serialize)]
pub(super) struct Craft {
    craft: String,
    station: String,
    stations: Vec<String>,
    model: String,
    readiness: &'static str,
    status: String,
    why: Vec<Why>,
    limits: Vec<String>,
    pressures: Vec<Pressure>,
    load: Option<LoadForm>,
    air: Option<AirForm>,
    minutes_to_ready: Option<u32>,
    checked_at: Option<String>,
    stowage: Option<&'static str>,
    crews: Option<Crews>,
    crew_least: u32,
}

#[derive(Serialize)]
struct Why {
    rule: &'static str,
    severity: &'static str,
    effect: &'static str,
    subject: String,
    measured: Option<MeasureForm>,
    required: Option<RequiredForm>,
    evidence: Vec<String>,
    basis: &'static str,
    source: String,
    what_to_do: Vec<String>,
    text: String,
}

#[derive(Serialize)]
struct MeasureForm {
    kind: &'static str,
    value: Value,
    text: String,
}

#[derive(Serialize)]
#[serde(untagged)]
enum Value {
    Whole(i64),
    Natural(u64),
    Text(String),
    Several(Vec<MeasureForm>),
    Leak(LeakForm),
    None,
}

#[derive(Serialize)]
pub(super) struct LeakForm {
    pa_per_day: i64,
    pa_per_day_low: Option<i64>,
    pa_per_day_high: Option<i64>,
    readings: u32,
    over_ms: i64,
    below_on: Option<String>,
    below_first: Option<String>,
    below_last: Option<String>,
}

#[derive(Serialize)]
struct RequiredForm {
    low: Option<MeasureForm>,
    high: Option<MeasureForm>,
    text: String,
}

#[derive(Serialize)]
struct Pressure {
    part: String,
    read_gauge_pa: i64,
    read_at: Option<String>,
    launch_low_pa: i64,
    launch_high_pa: i64,
    own_leak_pa: Option<i64>,
    range_low_pa: i64,
    range_high_pa: i64,
    slack: bool,
    spread: SpreadForm,
    home_high_pa: i64,
    home_mc: i32,
    in_sun: InSunForm,
}

#[derive(Serialize)]
struct SpreadForm {
    least_pa: i64,
    most_pa: i64,
    gauge_pa: i64,
    ambient_pa: i64,
    moist_pa: i64,
}

#[derive(Serialize)]
struct InSunForm {
    temperature_mc: i32,
    high_pa: i64,
    then_low_pa: i64,
}

pub(super) fn craft(craft: &CraftAnswer, as_of: Moment, ctx: &Context) -> Craft {
    Craft {
        craft: craft.number.clone(),
        station: ctx.station_list(&craft.stations),
        stations: craft.stations.iter().map(|id| ctx.station(*id)).collect(),
        model: craft.model.0.clone(),
        readiness: craft.readiness.id(),
        status: words::status(&craft.status),
        why: craft.why.iter().map(|f| why(f, as_of, ctx)).collect(),
        limits: craft
            .limits
            .iter()
            .map(|l| craft_limit_text(l, craft, ctx))
            .collect(),
        pressures: craft.pressures.iter().map(pressure).collect(),
        load: craft.load.as_ref().map(load),
        air: craft.air.as_ref().map(|needed| air(needed, ctx)),
        minutes_to_ready: craft.minutes_to_ready,
        checked_at: craft.checked_at.and_then(known),
        stowage: craft.stowage.map(Stowage::id),
        crews: craft.crews.as_ref().map(crews),
        crew_least: craft.crew_least,
    }
}

fn why(finding: &Finding, as_of: Moment, ctx: &Context) -> Why {
    let to_do = finding.to_do.iter();
    Why {
        rule: finding.rule.id(),
        severity: finding.severity.id(),
        effect: finding.effect.id(),
        subject: subject_text(&finding.subject, ctx),
        measured: finding.measured.as_ref().map(|m| measure(m, ctx)),
        required: finding.required.as_ref().map(|r| required(r, ctx)),
        evidence: finding.evidence.iter().map(ToString::to_string).collect(),
        basis: finding.basis.id(),
        source: finding.source.clone(),
        what_to_do: to_do
            .map(|t| to_do_text(t, &finding.subject, ctx))
            .collect(),
        text: finding_text(finding, as_of, ctx),
    }
}

fn measure(measure: &Measure, ctx: &Context) -> MeasureForm {
    MeasureForm {
        kind: measure_id(measure),
        value: value(measure, ctx),
        text: measure_text(measure, ctx),
    }
}

/// Id of the sort of a quantity; the unit of its value is part of it.
const fn measure_id(measure: &Measure) -> &'static str {
    match measure {
        Measure::GaugePa(_) => "gauge_pa",
        Measure::Slack => "slack",
        Measure::Count(_) => "count",
        Measure::SpanMs(_) => "span_ms",
        Measure::EngineS(_) => "engine_s",
        Measure::Date(_) => "date",
        Measure::Mark(_) => "mark",
        Measure::MassG(_) => "mass_g",
        Measure::VolumeMl(_) => "volume_ml",
        Measure::Mix(_) => "mix",
        Measure::PowerW(_) => "power_w",
        Measure::Persons(_) => "persons",
        Measure::SpeedMmS(_) => "speed_mm_s",
        Measure::Moment(_) => "moment",
        Measure::FreeAirMl(_) => "free_air_ml",
        Measure::NotLooked(_) => "not_looked",
        Measure::Word(_) => "word",
        Measure::Said(_) => "said",
        Measure::Leak(_) => "leak",
        Measure::Sides(_) => "sides",
    }
}

fn value(found: &Measure, ctx: &Context) -> Value {
    match found {
        Measure::GaugePa(number) | Measure::SpanMs(number) => Value::Whole(*number),
        Measure::Slack => Value::None,
        Measure::Count(number)
        | Measure::Persons(number)
        | Measure::PowerW(number)
        | Measure::SpeedMmS(number)
        | Measure::Mix(number) => Value::Natural(u64::from(*number)),
        Measure::Moment(at) => Value::Text(print::rfc3339(*at)),
        Measure::EngineS(number)
        | Measure::MassG(number)
        | Measure::VolumeMl(number)
        | Measure::FreeAirMl(number) => Value::Natural(*number),
        Measure::Date(date) => Value::Text(date.to_string()),
        Measure::Mark(read) => Value::Text(print::date_mark(read.mark)),
        Measure::NotLooked(why) => Value::Text(why.id().to_owned()),
        Measure::Word(word) => Value::Text(word.clone()),
        Measure::Said(said) => Value::Text(said.id().to_owned()),
        Measure::Leak(rate) => Value::Leak(leak(rate)),
        Measure::Sides(sides) => {
            Value::Several(sides.iter().map(|side| measure(side, ctx)).collect())
        }
    }
}

pub(super) fn leak(rate: &LeakRate) -> LeakForm {
    let day = |day: Option<NaiveDate>| day.map(|day| day.to_string());
    LeakForm {
        pa_per_day: rate.pa_per_day,
        pa_per_day_low: rate.between_pa.map(|it| it.0),
        pa_per_day_high: rate.between_pa.map(|it| it.1),
        readings: rate.readings,
        over_ms: rate.over_ms,
        below_on: day(rate.below_on),
        below_first: day(rate.below_between.0),
        below_last: day(rate.below_between.1),
    }
}

fn required(required: &Required, ctx: &Context) -> RequiredForm {
    RequiredForm {
        low: required.low.as_ref().map(|low| measure(low, ctx)),
        high: required.high.as_ref().map(|high| measure(high, ctx)),
        text: required_text(required, ctx),
    }
}

fn pressure(pressure: &PartPressure) -> Pressure {
    Pressure {
        part: pressure.part.0.clone(),
        read_gauge_pa: pressure.read_gauge_pa,
        read_at: known(pressure.read_at),
        launch_low_pa: pressure.launch_low_pa,
        launch_high_pa: pressure.launch_high_pa,
        own_leak_pa: pressure.own_leak_pa,
        range_low_pa: pressure.range_pa.0,
        range_high_pa: pressure.range_pa.1,
        slack: pressure.launch_low_pa == 0,
        spread: SpreadForm {
            least_pa: pressure.spread.least_pa,
            most_pa: pressure.spread.most_pa,
            gauge_pa: pressure.spread.gauge_pa,
            ambient_pa: pressure.spread.ambient_pa,
            moist_pa: pressure.spread.moist_pa,
        },
        home_high_pa: pressure.home_high_pa,
        home_mc: pressure.home_mc,
        in_sun: InSunForm {
            temperature_mc: pressure.in_sun.temperature_mc,
            high_pa: pressure.in_sun.high_pa,
            then_low_pa: pressure.in_sun.then_low_pa,
        },
    }
}

fn known(moment: Moment) -> Option<String> {
    print::is_known(moment).then(|| print::rfc3339(moment))
}
