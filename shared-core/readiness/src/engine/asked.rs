//! The question as judged: what was not given is assumed, and said to be.

use std::collections::BTreeSet;

use super::Question;
use crate::answer::{Asked, AskerClock, Assumed};
use crate::conditions::{Conditions, Dark, Lights, Visibility};
use crate::moment::Moment;
use crate::standard::Policy;
use crate::weather_report::ReportAsked;

/// Fills in what a question leaves open from the county's settings.
#[must_use]
pub fn asked(policy: &Policy, question: &Question) -> Asked {
    let mut assumed = aboard(question);
    let conditions = &question.conditions;
    if question.mission.is_none() {
        assumed.insert(Assumed::Mission);
    }
    let air_mc = question.air_mc.unwrap_or_else(|| {
        assumed.insert(Assumed::Air);
        policy.air_mc
    });
    let water_mc = question.water_mc.unwrap_or_else(|| {
        assumed.insert(Assumed::Water);
        air_mc
    });
    let elevation_mm = question.elevation_mm.unwrap_or_else(|| {
        assumed.insert(Assumed::Elevation);
        policy.elevation_mm
    });
    let duration_s = conditions.duration_s.unwrap_or(policy.duration_s);
    let (from, to) = job(question.as_of, duration_s);
    let dark = dark(conditions, from, to);
    assumed.extend(not_given(conditions));
    Asked {
        as_of: question.as_of,
        now: question.now,
        mission: question.mission.clone(),
        air_mc,
        water_mc,
        elevation_mm,
        crew: question.crew,
        people: question.people.clone(),
        duration_s,
        dark,
        lights: lights(policy, conditions, dark, from),
        conditions: conditions.clone(),
        together: question.together.clone(),
        weather_report: report(policy, question),
        without: question.without.clone(),
        callout: question.callout.clone(),
        assumed,
        clock: AskerClock::NotDoubted,
    }
}

/// The report of a question, as old as it is at the judged moment.
fn report(policy: &Policy, question: &Question) -> Option<ReportAsked> {
    let report = question.weather_report.clone()?;
    Some(ReportAsked {
        age_s: question.as_of.since(report.at) / 1_000,
        old_above_s: policy.report_old_s,
        report,
    })
}

/// What is not given of crew and people.
fn aboard(question: &Question) -> BTreeSet<Assumed> {
    let crew = match (question.crew.count, question.crew.mass_g) {
        (None, _) => Some(Assumed::Crew),
        (Some(_), None) => Some(Assumed::CrewWeight),
        (Some(_), Some(_)) => None,
    };
    let is_open = question.people.iter().any(|party| party.mass_g.is_none());
    let people = is_open.then_some(Assumed::PeopleWeight);
    crew.into_iter().chain(people).collect()
}

/// Conditions that were not given.
fn not_given(conditions: &Conditions) -> impl Iterator<Item = Assumed> {
    let given = [
        (Assumed::Place, conditions.position.is_some()),
        (Assumed::Duration, conditions.duration_s.is_some()),
        (Assumed::Visibility, conditions.visibility.is_some()),
        (Assumed::Wind, conditions.wind_mm_s.is_some()),
        (Assumed::Current, conditions.current_mm_s.is_some()),
        (Assumed::Ambient, conditions.ambient.is_some()),
    ];
    given
        .into_iter()
        .filter(|(_, given)| !given)
        .map(|(what, _)| what)
}

/// From when to when a job lasts.
fn job(from: Moment, duration_s: u32) -> (Moment, Moment) {
    (
        from,
        from.plus_ms(i64::from(duration_s).saturating_mul(1_000)),
    )
}

fn dark(conditions: &Conditions, from: Moment, to: Moment) -> Dark {
    let stretches = conditions.light.iter();
    stretches
        .map(|light| light.during(from, to))
        .find(|dark| *dark != Dark::NotKnown)
        .unwrap_or(Dark::NotKnown)
}

/// Rule 20 of the navigation rules (33 CFR 83.20): from sunset to sunrise, and in restricted
/// visibility.
fn lights(policy: &Policy, conditions: &Conditions, dark: Dark, from: Moment) -> Lights {
    let restricted = match conditions.visibility {
        None | Some(Visibility::Clear) => false,
        Some(Visibility::Restricted) => true,
        Some(Visibility::Metres(m)) => m < policy.restricted_visibility_m,
    };
    if restricted {
        return Lights::NeededFrom(from);
    }
    match dark {
        Dark::Yes => Lights::NeededFrom(from),
        Dark::Partly { from: dark, .. } => Lights::NeededFrom(dark),
        Dark::No => Lights::NotNeeded,
        Dark::NotKnown => Lights::NotKnown,
    }
}
