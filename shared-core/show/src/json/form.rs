//! The outer fields of the form: the question, what was known, stations, and the lists over all
//! craft.

use serde::Serialize;
use sponson_readiness::answer::{CountyAnswer, CrewsAt, MissingKit, Overdue, StationHeard};
use sponson_readiness::conditions::{Ambient, Tow, Visibility};
use sponson_readiness::load::Party;
use sponson_readiness::moment::Moment;

use super::SCHEMA;
use super::callout::{CalloutAskedForm, CalloutForm, callout, callout_asked};
use super::craft::{Craft, craft};
use super::differ::{Differ, differ};
use super::report::{ReportForm, weather_report};
use super::together::{TogetherAskedForm, TogetherForm, together, together_asked};
use super::without::{TakenForm, WithoutForm, taken_away, without};
use crate::context::Context;
use crate::units::print;

#[derive(Serialize)]
pub(super) struct County {
    schema: &'static str,
    as_of: String,
    asked_at: String,
    known_by: KnownBy,
    asked: AskedForm,
    engine: u32,
    stations: Vec<Station>,
    craft: Vec<Craft>,
    missing_kit: Vec<Missing>,
    overdue: Vec<Late>,
    disagreements: Vec<Differ>,
    together: Option<TogetherForm>,
    #[serde(skip_serializing_if = "Option::is_none")]
    callout: Option<CalloutForm>,
    #[serde(skip_serializing_if = "Option::is_none")]
    taken_away: Option<Vec<TakenForm>>,
    caution: &'static str,
}

#[derive(Serialize)]
struct KnownBy {
    log_id: String,
    size: u64,
    root: String,
    beyond: u64,
}

#[derive(Serialize)]
struct AskedForm {
    mission: Option<String>,
    air_c: f64,
    water_c: f64,
    elevation_m: f64,
    crew: Option<u32>,
    crew_mass_g: Option<u64>,
    people: Vec<PeopleForm>,
    place: Option<PlaceForm>,
    duration_s: u32,
    dark: &'static str,
    sunset: Option<String>,
    sunrise: Option<String>,
    lights_from: Option<String>,
    visibility: Option<&'static str>,
    visibility_m: Option<u32>,
    wind_m_s: Option<f64>,
    current_m_s: Option<f64>,
    tow: bool,
    ambient_pa: Option<i64>,
    altimeter_pa: Option<i64>,
    station_pa: i64,
    together: Option<TogetherAskedForm>,
    #[serde(skip_serializing_if = "Option::is_none")]
    callout: Option<CalloutAskedForm>,
    #[serde(skip_serializing_if = "Option::is_none")]
    weather_report: Option<ReportForm>,
    #[serde(skip_serializing_if = "Option::is_none")]
    without: Option<WithoutForm>,
    assumed: Vec<&'static str>,
    clock: Option<ClockForm>,
}

#[derive(Serialize)]
struct PeopleForm {
    size: &'static str,
    lying: bool,
    count: u32,
    mass_g: Option<u64>,
}

#[derive(Serialize)]
struct PlaceForm {
    lat_deg: f64,
    lon_deg: f64,
}

#[derive(Serialize)]
struct ClockForm {
    doubt: &'static str,
    by_s: i64,
    other: Option<String>,
}

#[derive(Serialize)]
struct Station {
    station: String,
    last_heard: Option<String>,
    age_s: Option<i64>,
    silent: bool,
    crews: Option<Crews>,
}

#[derive(Serialize)]
pub(super) struct Crews {
    crews: u32,
    persons: Option<u32>,
    until: String,
    operators: Vec<String>,
}

#[derive(Serialize)]
struct Missing {
    craft: String,
    item: String,
    label: String,
    have: u32,
    need: u32,
}

#[derive(Serialize)]
struct Late {
    craft: String,
    inspection: String,
    label: String,
    due: Option<String>,
    days_over: Option<i64>,
    engine_hours_over: Option<f64>,
    effect: &'static str,
}

pub(super) fn county(answer: &CountyAnswer, ctx: &Context) -> County {
    let as_of = answer.asked.as_of;
    County {
        schema: SCHEMA,
        as_of: print::rfc3339(as_of),
        asked_at: print::rfc3339(answer.asked.now),
        known_by: KnownBy {
            log_id: hex(&answer.known_by.log_id),
            size: answer.known_by.size,
            root: hex(&answer.known_by.root),
            beyond: answer.known_by.beyond,
        },
        asked: asked(answer, ctx),
        engine: answer.engine,
        stations: answer.stations.iter().map(|s| station(s, as_of)).collect(),
        craft: answer.craft.iter().map(|c| craft(c, as_of, ctx)).collect(),
        missing_kit: answer.missing_kit.iter().map(missing).collect(),
        overdue: answer.overdue.iter().map(late).collect(),
        disagreements: answer
            .disagreements
            .iter()
            .map(|d| differ(d, ctx))
            .collect(),
        together: answer.together.as_ref().map(|it| together(it, ctx)),
        callout: answer.callout.as_ref().map(|it| callout(it, answer, ctx)),
        taken_away: taken_away(answer, ctx),
        caution: crate::caution(),
    }
}

fn asked(answer: &CountyAnswer, ctx: &Context) -> AskedForm {
    let asked = &answer.asked;
    let given = &asked.conditions;
    let (sunset, sunrise) = asked.night();
    let (visibility, visibility_m) = match given.visibility {
        None => (None, None),
        Some(Visibility::Clear) => (Some("clear"), None),
        Some(Visibility::Restricted) => (Some("restricted"), None),
        Some(Visibility::Metres(m)) => (Some("metres"), Some(m)),
    };
    let (ambient_pa, altimeter_pa) = match given.ambient {
        None => (None, None),
        Some(Ambient::StationPa(pa)) => (Some(pa), None),
        Some(Ambient::AltimeterPa(pa)) => (None, Some(pa)),
    };
    let per_s = |mm_s: u32| f64::from(mm_s) / 1000.0;
    let degrees = |e7: i32| f64::from(e7) / 1e7;
    AskedForm {
        place: given.position.map(|it| PlaceForm {
            lat_deg: degrees(it.lat_e7),
            lon_deg: degrees(it.lon_e7),
        }),
        duration_s: asked.duration_s,
        dark: asked.dark.id(),
        sunset: sunset.map(print::rfc3339),
        sunrise: sunrise.map(print::rfc3339),
        lights_from: asked.lights.from().map(print::rfc3339),
        visibility,
        visibility_m,
        wind_m_s: given.wind_mm_s.map(per_s),
        current_m_s: given.current_mm_s.map(per_s),
        tow: given.tow == Tow::Yes,
        ambient_pa,
        altimeter_pa,
        station_pa: whole_pa(given.ambient_pa(asked.elevation_mm)),
        together: asked.together.as_ref().map(|it| together_asked(it, ctx)),
        callout: asked.callout.as_ref().map(|it| callout_asked(it, ctx)),
        weather_report: asked.weather_report.as_ref().map(weather_report),
        without: without(&answer.asked.without, answer, ctx),
        mission: asked.mission.as_ref().map(|mission| mission.0.clone()),
        air_c: f64::from(asked.air_mc) / 1000.0,
        water_c: f64::from(asked.water_mc) / 1000.0,
        elevation_m: f64::from(asked.elevation_mm) / 1000.0,
        crew: asked.crew.count,
        crew_mass_g: asked.crew.mass_g,
        people: asked.people.iter().map(people).collect(),
        assumed: asked.assumed.iter().map(|a| a.id()).collect(),
        clock: asked.clock.by_ms().map(|by_ms| ClockForm {
            doubt: asked.clock.id(),
            by_s: by_ms.div_euclid(1000),
            other: asked.clock.other().map(print::rfc3339),
        }),
    }
}

fn people(party: &Party) -> PeopleForm {
    PeopleForm {
        size: party.size.id(),
        lying: party.lying,
        count: party.count,
        mass_g: party.mass_g,
    }
}

fn station(station: &StationHeard, as_of: Moment) -> Station {
    let heard = station.last_heard.filter(|moment| print::is_known(*moment));
    Station {
        station: station.name.clone(),
        last_heard: heard.map(print::rfc3339),
        age_s: heard.map(|moment| as_of.since(moment).div_euclid(1000)),
        silent: station.silent,
        crews: station.crews.as_ref().map(crews),
    }
}

pub(super) fn crews(crews: &CrewsAt) -> Crews {
    Crews {
        crews: crews.crews,
        persons: crews.persons,
        until: print::rfc3339(crews.until),
        operators: crews.operators.clone(),
    }
}

fn missing(missing: &MissingKit) -> Missing {
    Missing {
        craft: missing.number.clone(),
        item: missing.item.0.clone(),
        label: missing.label.clone(),
        have: missing.have,
        need: missing.need,
    }
}

fn late(late: &Overdue) -> Late {
    Late {
        craft: late.number.clone(),
        inspection: late.inspection.0.clone(),
        label: late.label.clone(),
        due: late.due.map(|due| due.to_string()),
        days_over: late.days_over,
        engine_hours_over: late.engine_s_over.map(engine_hours),
        effect: late.effect.id(),
    }
}

/// Hours to a tenth; exact up to 2^53 tenths, far beyond any motor.
fn engine_hours(s: u64) -> f64 {
    (s / 360) as f64 / 10.0
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "an air pressure is far inside the range"
)]
fn whole_pa(pa: f64) -> i64 {
    pa.round() as i64
}
