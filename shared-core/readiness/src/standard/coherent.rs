//! What must agree between the lines of a sheet: ids, references, ranges.

mod carried;
mod stops;

use std::collections::BTreeSet;

use super::quantity::Spot;
use super::{
    AfterUse, Cited, CraftClass, InspectionLine, Item, Part, PressureRule, RuleEffect, SoftRule,
    Standard, StandardError,
};
use crate::ids::{MissionId, PartId};

/// Greatest count of one item: far more than a small boat carries, and small enough that sums of
/// all lines of a sheet stay inside 32 bits (60 KiB hold fewer than 1,000 lines).
const COUNT_MAX: u32 = 1_000;

/// Greatest crew: a boat of this size carries fewer than 30.
const CREW_MAX: u32 = 30;

/// Greatest number of minutes that a line may say: a day.
const MINUTES_MAX: u32 = 1_440;

/// Refuses a sheet whose lines do not agree.
pub(super) fn check(standard: &Standard) -> Result<(), StandardError> {
    head(standard)?;
    ids(standard)?;
    standard
        .parts
        .iter()
        .try_for_each(|line| part(standard, line))?;
    chambers(standard)?;
    carried::check(standard)?;
    standard
        .items
        .iter()
        .try_for_each(|line| item(standard, line))?;
    standard
        .inspections
        .iter()
        .try_for_each(|line| inspection(standard, line))?;
    standard.after_use.iter().try_for_each(after_use)?;
    standard
        .questions
        .iter()
        .try_for_each(|line| question(standard, line))?;
    standard
        .parts
        .iter()
        .try_for_each(|part| joined(standard, part))?;
    stops::check(standard)
}

fn head(standard: &Standard) -> Result<(), StandardError> {
    let at = |field| Spot {
        place: "sheet",
        field,
    };
    word(at("model"), standard.model.as_str())?;
    text(at("label"), &standard.label)?;
    if standard.revision == 0 {
        return Err(at("revision").refuse("0", "revisions count from 1: give 1 or more"));
    }
    crew(at("crew_min"), standard.crew_min)?;
    if let Some(level) = &standard.operator_level {
        word(at("operator_level"), level)?;
    }
    minutes(at("rig_minutes"), standard.rig_minutes)?;
    if standard.missions.is_empty() {
        return Err(at("missions").refuse("none", "name at least one mission"));
    }
    for (id, mission) in &standard.missions {
        let at = |field| Spot {
            place: id.as_str(),
            field,
        };
        word(at("id"), id.as_str())?;
        text(at("label"), &mission.label)?;
        if let Some(count) = mission.crew_min {
            crew(at("crew_min"), count)?;
        }
        if let Some(level) = &mission.operator_level {
            word(at("operator_level"), level)?;
        }
    }
    let check = &standard.check;
    let at = |field| Spot {
        place: "check",
        field,
    };
    if check.every_days == 0 {
        return Err(at("every").refuse("0 days", "give at least 1 day"));
    }
    minutes(at("minutes"), Some(check.minutes))?;
    no_mission_effect(at("count_owed"), check.count_owed)?;
    cited("check", &check.cited)?;
    match &standard.limits.cited {
        Some(limits) => cited("limits", limits),
        None => Ok(()),
    }
}

fn ids(standard: &Standard) -> Result<(), StandardError> {
    let mut parts = BTreeSet::new();
    for part in &standard.parts {
        let spot = Spot {
            place: part.id.as_str(),
            field: "id",
        };
        word(spot, part.id.as_str())?;
        if !parts.insert(&part.id) {
            return Err(spot.refuse(part.id.as_str(), "two parts have this id: rename one"));
        }
    }
    let items = standard.items.iter().map(|line| &line.id);
    let inspections = standard.inspections.iter().map(|line| &line.id);
    let questions = standard.questions.iter().map(|line| &line.id);
    let after_use = standard.after_use.iter().map(|line| &line.id);
    let mut lines = BTreeSet::new();
    for id in items.chain(inspections).chain(questions).chain(after_use) {
        let spot = Spot {
            place: id.as_str(),
            field: "id",
        };
        word(spot, id.as_str())?;
        if !lines.insert(id) {
            return Err(spot.refuse(id.as_str(), "two lines have this id: rename one"));
        }
    }
    Ok(())
}

fn part(standard: &Standard, part: &Part) -> Result<(), StandardError> {
    let place = part.id.as_str();
    let at = |field| Spot { place, field };
    text(at("label"), &part.label)?;
    if let Some(rule) = &part.pressure {
        pressure(place, rule)?;
        relief(standard, place, rule)?;
    }
    if part.between_runs && part.pressure.is_none() {
        let limit = "only a part that holds air is read between runs: drop it, or mark a question";
        return Err(at("between_runs").refuse("true", limit));
    }
    if let Some(gear) = &part.gear {
        no_mission_effect(at("missing"), gear.effect)?;
    }
    cited(place, &part.cited)
}

/// A craft that floats on air has two chambers at least: one that lies flat after a single cut is
/// no rescue craft. All parts of ISO 6185 leave single-chamber boats out of their scope. Keel and
/// floor, whose softness only rules out swiftwater, do not hold it up.
fn chambers(standard: &Standard) -> Result<(), StandardError> {
    let holds_up = |part: &&Part| {
        let rule = part.pressure.as_ref();
        rule.is_some_and(|rule| rule.soft != SoftRule::NoSwiftwater)
    };
    let count = standard.parts.iter().filter(holds_up).count();
    if standard.class == CraftClass::FlatBottom || count > 1 {
        return Ok(());
    }
    let spot = Spot {
        place: "sheet",
        field: "part",
    };
    let limit = "a rescue craft that floats on air has at least two (ISO 6185, scope): name them";
    Err(spot.refuse(&format!("{count} chambers that hold it up"), limit))
}

/// A baffle stands between two chambers that both hold air.
fn joined(standard: &Standard, part: &Part) -> Result<(), StandardError> {
    let spot = Spot {
        place: part.id.as_str(),
        field: "joined_to",
    };
    for other in &part.joined_to {
        let known = standard.parts.iter().find(|known| known.id == *other);
        let holds_air = known.is_some_and(|known| known.pressure.is_some());
        if *other == part.id || !holds_air || part.pressure.is_none() {
            let limit = "a chamber is joined to another part of this sheet that holds air: \
                         correct it or drop it";
            return Err(spot.refuse(other.as_str(), limit));
        }
    }
    Ok(())
}

fn pressure(place: &str, rule: &PressureRule) -> Result<(), StandardError> {
    let ordered = [
        ("implausible_below", rule.implausible_below_pa),
        ("low", rule.low_pa),
        ("nominal", rule.nominal_pa),
        ("high", rule.high_pa),
        ("implausible_above", rule.implausible_above_pa),
    ];
    for pair in ordered.windows(2) {
        if let [(below, low), (field, high)] = pair
            && low > high
        {
            let limit =
                format!("must be at least {below}, which is {low} Pa: swap or correct them");
            return Err(Spot { place, field }.refuse(&format!("{high} Pa"), &limit));
        }
    }
    if let Some(relief) = rule.relief_pa
        && relief < rule.nominal_pa
    {
        let spot = Spot {
            place,
            field: "relief",
        };
        let limit = format!(
            "a valve that lifts below nominal, {} Pa, cannot hold it: raise it or leave it out",
            rule.nominal_pa
        );
        return Err(spot.refuse(&format!("{relief} Pa"), &limit));
    }
    let at = |field| Spot { place, field };
    minutes(at("top_up_minutes"), Some(rule.top_up_minutes))?;
    minutes(at("read_minutes"), Some(rule.read_minutes))
}

/// The line that shows whether a relief valve works is one of the sheet's, about a valve that is
/// there.
fn relief(standard: &Standard, place: &str, rule: &PressureRule) -> Result<(), StandardError> {
    let at = |field| Spot { place, field };
    no_mission_effect(at("iced"), rule.iced)?;
    let Some(line) = &rule.relief_line else {
        return Ok(());
    };
    let questions = standard.questions.iter().map(|question| &question.id);
    let inspections = standard.inspections.iter().map(|inspection| &inspection.id);
    let known = questions.chain(inspections).any(|id| id == line);
    if rule.relief_pa.is_none() || !known {
        let limit =
            "name a question or inspection of the sheet, at a part with a relief valve, or drop it";
        return Err(at("relief_line").refuse(line.as_str(), limit));
    }
    Ok(())
}

fn item(standard: &Standard, line: &Item) -> Result<(), StandardError> {
    let place = line.id.as_str();
    let at = |field| Spot { place, field };
    text(at("label"), &line.label)?;
    missions(standard, at("missions"), line.missions.iter())?;
    missions(standard, at("count_for"), line.count_for.keys())?;
    mission_effect(at("short"), line.short, &line.missions)?;
    minutes(at("count_minutes"), line.count_minutes)?;
    for count in line.count_for.values().chain([&line.count]) {
        if *count > COUNT_MAX {
            return Err(at("count").refuse(&count.to_string(), "give at most 1000"));
        }
    }
    let stands_in = |other: &Item| other.alternatives.contains(&line.id);
    let is_of_use = line.signal.is_some() || carried::is_wanted(standard, &line.id);
    if line.count == 0
        && line.count_for.is_empty()
        && !is_of_use
        && !standard.items.iter().any(stands_in)
    {
        let limit =
            "a line that asks for nothing and stands in for nothing: give a count, or drop it";
        return Err(at("count").refuse("0", limit));
    }
    let of_air = [
        ("stroke", line.stroke_ml.is_some()),
        ("high_pressure", line.high_pressure),
    ];
    for (field, given) in of_air {
        if given && !line.adds_air {
            let limit = "only means something where adds_air is true: set that, or drop it";
            return Err(at(field).refuse("given", limit));
        }
    }
    if line.air_up_to_pa.is_some() && !line.adds_air {
        let limit = "only means something where adds_air is true: set that, or drop it";
        return Err(at("air_up_to").refuse("given", limit));
    }
    for other in &line.alternatives {
        if *other == line.id || !standard.items.iter().any(|item| item.id == *other) {
            let limit = "must be the id of another item of this sheet: correct it or drop it";
            return Err(at("alternatives").refuse(other.as_str(), limit));
        }
    }
    carried::item(standard, line)?;
    cited(place, &line.cited)
}

fn inspection(standard: &Standard, line: &InspectionLine) -> Result<(), StandardError> {
    let place = line.id.as_str();
    let at = |field| Spot { place, field };
    text(at("label"), &line.label)?;
    known_part(standard, at("part"), line.part.as_ref())?;
    if line.every.is_none() && line.every_engine_s.is_none() {
        return Err(at("every").refuse("missing", "give every, every_engine, or both"));
    }
    if line.every_engine_s.is_some_and(|every| every < 3_600) {
        return Err(at("every_engine").refuse("under 1 h", "give at least 1 h"));
    }
    no_mission_effect(at("overdue"), line.overdue)?;
    no_mission_effect(at("never"), line.never)?;
    no_mission_effect(at("failed"), line.failed)?;
    minutes(at("minutes"), line.minutes)?;
    cited(place, &line.cited)
}

fn question(standard: &Standard, line: &super::Question) -> Result<(), StandardError> {
    let place = line.id.as_str();
    let at = |field| Spot { place, field };
    text(at("label"), &line.label)?;
    known_part(standard, at("part"), line.part.as_ref())?;
    missions(standard, at("missions"), line.missions.iter())?;
    mission_effect(at("no"), line.no, &line.missions)?;
    mission_effect(at("unanswered"), line.unanswered, &line.missions)?;
    minutes(at("minutes"), line.minutes)?;
    cited(place, &line.cited)
}

/// An id: 1 to 40 small letters, digits and hyphens, so that it can be typed and spoken.
fn after_use(line: &AfterUse) -> Result<(), StandardError> {
    let place = line.id.as_str();
    let at = |field| Spot { place, field };
    text(at("label"), &line.label)?;
    no_mission_effect(at("owed"), line.owed)?;
    minutes(at("minutes"), line.minutes)?;
    cited(place, &line.cited)
}

fn word(spot: Spot<'_>, id: &str) -> Result<(), StandardError> {
    let fits =
        |letter: char| letter.is_ascii_lowercase() || letter.is_ascii_digit() || letter == '-';
    if id.is_empty() || id.len() > 40 || !id.chars().all(fits) {
        return Err(spot.refuse(id, "give 1 to 40 small letters, digits and hyphens"));
    }
    Ok(())
}

fn text(spot: Spot<'_>, words: &str) -> Result<(), StandardError> {
    if words.trim().is_empty() || words.chars().count() > 200 {
        return Err(spot.refuse(words, "give 1 to 200 characters of words"));
    }
    Ok(())
}

fn cited(place: &str, cited: &Cited) -> Result<(), StandardError> {
    let spot = Spot {
        place,
        field: "source",
    };
    if cited.source.trim().is_empty() {
        let limit = "name the source, or write \"common practice, no source\"";
        return Err(spot.refuse("empty", limit));
    }
    text(spot, &cited.source)
}

fn crew(spot: Spot<'_>, count: u32) -> Result<(), StandardError> {
    if count == 0 || count > CREW_MAX {
        return Err(spot.refuse(&count.to_string(), "give from 1 to 30 persons"));
    }
    Ok(())
}

fn minutes(spot: Spot<'_>, minutes: Option<u32>) -> Result<(), StandardError> {
    match minutes {
        Some(count) if count > MINUTES_MAX => Err(spot.refuse(
            &count.to_string(),
            "give at most 1440 minutes, or leave it out",
        )),
        Some(_) | None => Ok(()),
    }
}

fn missions<'a>(
    standard: &Standard,
    spot: Spot<'_>,
    mut named: impl Iterator<Item = &'a MissionId>,
) -> Result<(), StandardError> {
    match named.find(|id| !standard.missions.contains_key(*id)) {
        Some(id) => {
            let limit = "must be a mission of this sheet: add it under [missions] or correct it";
            Err(spot.refuse(id.as_str(), limit))
        }
        None => Ok(()),
    }
}

fn known_part(
    standard: &Standard,
    spot: Spot<'_>,
    part: Option<&PartId>,
) -> Result<(), StandardError> {
    match part {
        Some(id) if !standard.parts.iter().any(|part| part.id == *id) => Err(spot.refuse(
            id.as_str(),
            "must be a part of this sheet: add it or correct it",
        )),
        Some(_) | None => Ok(()),
    }
}

fn mission_effect(
    spot: Spot<'_>,
    effect: RuleEffect,
    missions: &BTreeSet<MissionId>,
) -> Result<(), StandardError> {
    if missions.is_empty() {
        return no_mission_effect(spot, effect);
    }
    Ok(())
}

fn no_mission_effect(spot: Spot<'_>, effect: RuleEffect) -> Result<(), StandardError> {
    if effect == RuleEffect::NotForMission {
        let limit = "needs missions on the same line: name them, or choose another effect";
        return Err(spot.refuse("not-for-mission", limit));
    }
    Ok(())
}
