//! The county answer as messages, in the words of the JSON form.
//!
//! Judges nothing: one field goes to one field. What is not known is absent, never zero.

mod air;
mod called;
mod load;

use bytes::Bytes;
use sponson_proto::answer::v1 as wire;
use sponson_readiness::answer::{
    Asked, CountyAnswer, CraftAnswer, CrewsAt, Disagreement, Finding, MissingKit, Overdue,
    PartPressure, Stated, StationHeard,
};
use sponson_readiness::event::{Stowage, Trust};
use sponson_readiness::ids::SubjectId;
use sponson_readiness::moment::Moment;
use sponson_show::sentence::{
    differ_text, finding_text, limit_text, measure_text, required_text, settle_text, subject_text,
    to_do_text, until_text,
};
use sponson_show::{Context, words};

use crate::aboard;
use crate::callout;
use crate::conditions;
use crate::together;
use crate::weather_report;
use crate::without;

/// Writes an answer as messages.
#[must_use]
pub fn to_wire(answer: &CountyAnswer, ctx: &Context) -> wire::CountyAnswer {
    let as_of = answer.asked.as_of;
    wire::CountyAnswer {
        schema: sponson_show::json::SCHEMA.to_owned(),
        as_of_unix_ms: as_of.0,
        known_by: Some(wire::KnownBy {
            log_id: Bytes::copy_from_slice(&answer.known_by.log_id),
            size: answer.known_by.size,
            root: Bytes::copy_from_slice(&answer.known_by.root),
            beyond: answer.known_by.beyond,
        }),
        asked: Some(asked(&answer.asked)),
        stations: answer.stations.iter().map(|s| station(s, as_of)).collect(),
        craft: answer.craft.iter().map(|c| craft(c, as_of, ctx)).collect(),
        missing_kit: answer.missing_kit.iter().map(missing).collect(),
        overdue: answer.overdue.iter().map(overdue).collect(),
        disagreements: answer
            .disagreements
            .iter()
            .map(|d| disagreement(d, ctx))
            .collect(),
        engine: answer.engine,
        caution: sponson_show::caution().to_owned(),
        together: answer
            .together
            .as_ref()
            .map(|together| together::to_wire(together, ctx)),
        callout: answer
            .callout
            .as_ref()
            .map(|it| called::callout(it, answer, ctx)),
        taken_away: taken_away(answer, ctx),
    }
}

fn taken_away(answer: &CountyAnswer, ctx: &Context) -> Vec<wire::TakenAway> {
    let taken = answer.taken_away.iter();
    taken.map(|it| without::taken_to_wire(it, ctx)).collect()
}

fn asked(asked: &Asked) -> wire::Asked {
    wire::Asked {
        mission: asked
            .mission
            .as_ref()
            .map(|mission| mission.0.clone())
            .unwrap_or_default(),
        air_mc: asked.air_mc,
        water_mc: asked.water_mc,
        elevation_mm: asked.elevation_mm,
        assumed: asked
            .assumed
            .iter()
            .map(|assumed| assumed.id().to_owned())
            .collect(),
        now_unix_ms: asked.now.0,
        clock_doubt: asked
            .clock
            .by_ms()
            .map_or_else(String::new, |_| asked.clock.id().to_owned()),
        clock_doubt_ms: asked.clock.by_ms(),
        clock_other_unix_ms: asked.clock.other().map(|other| other.0),
        crew: aboard::crew_to_wire(asked.crew),
        people: asked.people.iter().map(aboard::people_to_wire).collect(),
        conditions: Some(conditions::to_wire(&asked.conditions)),
        light: asked
            .conditions
            .light
            .iter()
            .map(conditions::light_to_wire)
            .collect(),
        duration_s: asked.duration_s,
        dark: asked.dark.id().to_owned(),
        lights_from_unix_ms: asked.lights.from().map(|from| from.0),
        together: asked.together.as_ref().map(together::asked_to_wire),
        callout: asked.callout.as_ref().map(callout::asked_to_wire),
        without: without::to_wire(&asked.without),
        weather_report: asked.weather_report.as_ref().map(weather_report::to_wire),
    }
}

fn station(station: &StationHeard, as_of: Moment) -> wire::StationHeard {
    let heard = station.last_heard.and_then(known);
    wire::StationHeard {
        id: Bytes::copy_from_slice(station.id.as_bytes()),
        station: station.name.clone(),
        last_heard_unix_ms: heard,
        age_s: heard.map(|heard| as_of.since(Moment(heard)).div_euclid(1000)),
        silent: station.silent,
        crews: station.crews.as_ref().map(crews),
    }
}

fn crews(crews: &CrewsAt) -> wire::CrewsKnown {
    wire::CrewsKnown {
        crews: crews.crews,
        persons: crews.persons,
        until_unix_ms: crews.until.0,
        operators: crews.operators.clone(),
    }
}

fn craft(craft: &CraftAnswer, as_of: Moment, ctx: &Context) -> wire::CraftAnswer {
    wire::CraftAnswer {
        id: Bytes::copy_from_slice(craft.id.as_bytes()),
        craft: craft.number.clone(),
        model: craft.model.0.clone(),
        stations: craft.stations.iter().map(|id| ctx.station(*id)).collect(),
        readiness: craft.readiness.id().to_owned(),
        status: words::status(&craft.status),
        why: craft.why.iter().map(|f| finding(f, as_of, ctx)).collect(),
        limits: craft.limits.iter().map(|l| limit_text(l, ctx)).collect(),
        pressures: craft.pressures.iter().map(pressure).collect(),
        load: craft.load.as_ref().map(load::load),
        air: craft.air.as_ref().map(|needed| air::air(needed, ctx)),
        minutes_to_ready: craft.minutes_to_ready,
        checked_at_unix_ms: craft.checked_at.and_then(known),
        stowage: craft.stowage.map(Stowage::id).unwrap_or("").to_owned(),
        crews: craft.crews.as_ref().map(crews),
        crew_least: craft.crew_least,
    }
}

fn finding(finding: &Finding, as_of: Moment, ctx: &Context) -> wire::Finding {
    wire::Finding {
        rule: finding.rule.id().to_owned(),
        severity: finding.severity.id().to_owned(),
        effect: finding.effect.id().to_owned(),
        subject: subject_text(&finding.subject, ctx),
        measured: finding
            .measured
            .as_ref()
            .map(|measured| measure_text(measured, ctx))
            .unwrap_or_default(),
        required: finding
            .required
            .as_ref()
            .map(|required| required_text(required, ctx))
            .unwrap_or_default(),
        evidence: finding
            .evidence
            .iter()
            .map(|id| Bytes::copy_from_slice(id.as_bytes()))
            .collect(),
        basis: finding.basis.id().to_owned(),
        source: finding.source.clone(),
        to_do: finding
            .to_do
            .iter()
            .map(|to_do| to_do_text(to_do, &finding.subject, ctx))
            .collect(),
        text: finding_text(finding, as_of, ctx),
    }
}

fn pressure(pressure: &PartPressure) -> wire::PartPressure {
    wire::PartPressure {
        part: pressure.part.0.clone(),
        read_gauge_pa: pressure.read_gauge_pa,
        read_at_unix_ms: pressure.read_at.0,
        launch_low_pa: pressure.launch_low_pa,
        launch_high_pa: pressure.launch_high_pa,
        range_low_pa: pressure.range_pa.0,
        range_high_pa: pressure.range_pa.1,
        least_pa: pressure.spread.least_pa,
        most_pa: pressure.spread.most_pa,
        of_gauge_pa: pressure.spread.gauge_pa,
        of_ambient_pa: pressure.spread.ambient_pa,
        of_moisture_pa: pressure.spread.moist_pa,
        home_high_pa: pressure.home_high_pa,
        home_mc: pressure.home_mc,
        sun_mc: pressure.in_sun.temperature_mc,
        sun_high_pa: pressure.in_sun.high_pa,
        after_sun_low_pa: pressure.in_sun.then_low_pa,
        own_leak_pa: pressure.own_leak_pa,
    }
}

fn missing(missing: &MissingKit) -> wire::MissingKit {
    wire::MissingKit {
        craft: missing.number.clone(),
        item: missing.item.0.clone(),
        label: missing.label.clone(),
        have: missing.have,
        need: missing.need,
    }
}

fn overdue(overdue: &Overdue) -> wire::Overdue {
    wire::Overdue {
        craft: overdue.number.clone(),
        inspection: overdue.inspection.0.clone(),
        label: overdue.label.clone(),
        due: overdue.due.map(|due| due.to_string()).unwrap_or_default(),
        days_over: overdue.days_over,
        engine_s_over: overdue.engine_s_over,
        effect: overdue.effect.id().to_owned(),
    }
}

fn disagreement(one: &Disagreement, ctx: &Context) -> wire::Disagreement {
    let bytes = |id: &SubjectId| Bytes::copy_from_slice(id.as_bytes());
    wire::Disagreement {
        subject: one.number.clone(),
        about: subject_text(&one.about, ctx),
        sides: one.sides.iter().map(|side| stated(side, ctx)).collect(),
        subject_id: bytes(&one.subject),
        craft_ids: one.craft.iter().map(bytes).collect(),
        differ: one.differ.id().to_owned(),
        text: differ_text(one, ctx),
        until: until_text(one, ctx),
        settle: one.settle.iter().map(settle_text).collect(),
    }
}

fn stated(side: &Stated, ctx: &Context) -> wire::DisagreementSide {
    let origin = &side.origin;
    let station = origin.author.station;
    wire::DisagreementSide {
        value: measure_text(&side.value, ctx),
        station: station.map(|id| ctx.station(id)).unwrap_or_default(),
        event: Bytes::copy_from_slice(origin.event.as_bytes()),
        member: origin.author.member.clone(),
        device: Bytes::copy_from_slice(&origin.author.key),
        claimed_unix_ms: known(origin.interval.claimed),
        unconfirmed: match origin.trust {
            Trust::Trusted => String::new(),
            Trust::Unconfirmed(_) => "unconfirmed".to_owned(),
        },
    }
}

/// A moment that somebody claimed; the ends of time stand for 'not known'.
fn known(moment: Moment) -> Option<i64> {
    sponson_show::units::print::is_known(moment).then_some(moment.0)
}
