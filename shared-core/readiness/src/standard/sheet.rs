//! A boat standard from TOML text: fields one by one. What must agree between lines is checked in
//! `coherent`.

mod carried;
mod raw;

use std::collections::BTreeMap;

use chrono::NaiveDate;

use raw::{
    RawAfterUse, RawCheck, RawDated, RawInspection, RawItem, RawLaunch, RawLimits, RawLoadRule,
    RawMaterial, RawMission, RawPart, RawPressure, RawQuestion, RawSheet, RawStop, RawWearer,
};

use super::coherent;
use super::quantity::Spot;
use super::{
    AfterUse, CheckRule, Cited, Dated, Every, GearRule, InspectionLine, Item, LaunchRule,
    LimitRule, Limits, LoadRule, Material, Mission, Part, PressureRule, Question, SheetStop,
    Standard, StandardError, Towing,
};
use crate::ids::MissionId;
use crate::load::{Bound, Wearer};

/// Longest text of a sheet, bytes: a sheet travels in one signed body of at most 64 KiB, 4 KiB of
/// which are left for what stands around it.
pub const SHEET_MAX: usize = 60 * 1024;

impl Standard {
    /// Reads a boat standard from TOML text.
    ///
    /// # Errors
    ///
    /// [`StandardError`] names the line, the field, the value, what is allowed and how to put it
    /// right.
    pub fn parse(text: &str) -> Result<Self, StandardError> {
        if text.len() > SHEET_MAX {
            let spot = Spot {
                place: "sheet",
                field: "length",
            };
            let value = format!("{} bytes", text.len());
            return Err(spot.refuse(
                &value,
                "a sheet has at most 60 KiB: shorten labels or sources",
            ));
        }
        let raw: RawSheet = toml::from_str(text).map_err(|error| StandardError::Unreadable {
            what: "boat standard",
            detail: error.to_string().trim_end().to_owned(),
        })?;
        let standard = from_raw(raw)?;
        coherent::check(&standard)?;
        Ok(standard)
    }
}

fn from_raw(raw: RawSheet) -> Result<Standard, StandardError> {
    Ok(Standard {
        model: raw.model,
        label: raw.label,
        revision: raw.revision,
        class: raw.class,
        missions: raw
            .missions
            .into_iter()
            .map(mission)
            .collect::<Result<_, _>>()?,
        crew_min: raw.crew_min,
        operator_level: raw.operator_level,
        parts: all(raw.part, part)?,
        items: all(raw.item, item)?,
        inspections: all(raw.inspection, inspection)?,
        questions: all(raw.question, question)?,
        after_use: raw.after_use.into_iter().map(after_use).collect(),
        check: check(raw.check)?,
        rig_minutes: raw.rig_minutes,
        first_in: BTreeMap::new(),
        limits: raw.limits.map(limit_rule).transpose()?.unwrap_or_default(),
        length_mm: optional(&raw.length, |text| {
            let spot = Spot {
                place: "sheet",
                field: "length",
            };
            spot.length_mm(text)
        })?,
        launch: raw.launch.map(launch_rule).transpose()?,
        load: load_rule(&raw.load)?,
        propulsion: raw.propulsion,
        waters: raw.waters,
        signals: raw.signals.map(carried::signals).transpose()?,
        fuel: raw.fuel.map(carried::fuel).transpose()?,
        stops: raw.stop.into_iter().map(stop).collect(),
    })
}

fn stop(raw: RawStop) -> SheetStop {
    SheetStop {
        id: raw.id,
        label: raw.label,
        parts: raw.parts,
        lines: raw.lines,
        also: raw.also,
    }
}

/// Longest launch, minutes: four hours, with a craft carried piece by piece.
const LAUNCH_MINUTES_MAX: u32 = 240;

fn launch_rule(raw: RawLaunch) -> Result<LaunchRule, StandardError> {
    for (field, minutes) in [
        ("ramp_minutes", raw.ramp_minutes),
        ("bank_minutes", raw.bank_minutes),
    ] {
        let spot = Spot {
            place: "launch",
            field,
        };
        if let Some(minutes) = minutes.filter(|minutes| *minutes > LAUNCH_MINUTES_MAX) {
            return Err(spot.refuse(&minutes.to_string(), "give from 0 to 240 minutes"));
        }
    }
    Ok(LaunchRule {
        bank: raw.bank,
        ramp_minutes: raw.ramp_minutes,
        bank_minutes: raw.bank_minutes,
        cited: Cited {
            basis: raw.basis,
            source: raw.source,
        },
    })
}

/// Seats that somebody lying down takes when the sheet does not say: common practice, no source.
const LYING_SEATS: u32 = 3;

/// More seats than anybody lying down takes.
const LYING_SEATS_MAX: u32 = 8;

fn load_rule(raw: &RawLoadRule) -> Result<LoadRule, StandardError> {
    let lying_seats = raw.lying_seats.unwrap_or(LYING_SEATS);
    if !(1..=LYING_SEATS_MAX).contains(&lying_seats) {
        let spot = Spot {
            place: "load",
            field: "lying_seats",
        };
        return Err(spot.refuse(&lying_seats.to_string(), "give from 1 to 8 seats"));
    }
    Ok(LoadRule {
        plate_counts: raw.plate_counts,
        lying_seats,
        crew_jackets: raw.crew_jackets,
    })
}

fn all<R, T>(
    raw: Vec<R>,
    one: impl Fn(R) -> Result<T, StandardError>,
) -> Result<Vec<T>, StandardError> {
    raw.into_iter().map(one).collect()
}

fn mission((id, raw): (MissionId, RawMission)) -> Result<(MissionId, Mission), StandardError> {
    let mission = Mission {
        label: raw.label,
        crew_min: raw.crew_min,
        operator_level: raw.operator_level,
        limits: limits(id.as_str(), &raw.wind, &raw.current, raw.tow)?,
    };
    Ok((id, mission))
}

fn limit_rule(raw: RawLimits) -> Result<LimitRule, StandardError> {
    Ok(LimitRule {
        every: limits("limits", &raw.wind, &raw.current, raw.tow)?,
        cited: Some(Cited {
            basis: raw.basis,
            source: raw.source,
        }),
    })
}

fn limits(
    place: &str,
    wind: &Option<String>,
    current: &Option<String>,
    tow: Option<Towing>,
) -> Result<Limits, StandardError> {
    let at = |field| Spot { place, field };
    Ok(Limits {
        wind_mm_s: optional(wind, |text| at("wind").speed_mm_s(text))?,
        current_mm_s: optional(current, |text| at("current").speed_mm_s(text))?,
        tow,
    })
}

fn check(raw: RawCheck) -> Result<CheckRule, StandardError> {
    let at = |field| Spot {
        place: "check",
        field,
    };
    Ok(CheckRule {
        every_days: at("every").days(&raw.every)?,
        grace_days: at("grace").days(&raw.grace)?,
        minutes: raw.minutes,
        released: raw.released,
        count_owed: raw.count_owed,
        cited: Cited {
            basis: raw.basis,
            source: raw.source,
        },
    })
}

fn after_use(raw: RawAfterUse) -> AfterUse {
    AfterUse {
        id: raw.id,
        label: raw.label,
        water: raw.water,
        owed: raw.owed,
        severity: raw.severity,
        minutes: raw.minutes,
        cited: Cited {
            basis: raw.basis,
            source: raw.source,
        },
    }
}

fn part(raw: RawPart) -> Result<Part, StandardError> {
    let pressure = raw
        .pressure
        .map(|pressure| pressure_rule(raw.id.as_str(), &pressure))
        .transpose()?;
    Ok(Part {
        id: raw.id,
        label: raw.label,
        joined_to: raw.joined_to,
        between_runs: raw.between_runs,
        pressure,
        gear: raw.gear.map(|gear| GearRule {
            effect: gear.missing,
        }),
        cited: Cited {
            basis: raw.basis,
            source: raw.source,
        },
    })
}

fn pressure_rule(place: &str, raw: &RawPressure) -> Result<PressureRule, StandardError> {
    let at = |field| Spot { place, field };
    Ok(PressureRule {
        low_pa: at("low").pressure_pa(&raw.low)?,
        nominal_pa: at("nominal").pressure_pa(&raw.nominal)?,
        high_pa: at("high").pressure_pa(&raw.high)?,
        implausible_below_pa: at("implausible_below").pressure_pa(&raw.implausible_below)?,
        implausible_above_pa: at("implausible_above").pressure_pa(&raw.implausible_above)?,
        relief_pa: raw
            .relief
            .as_deref()
            .map(|text| at("relief").pressure_pa(text))
            .transpose()?,
        relief_line: raw.relief_line.clone(),
        iced: raw.iced,
        volume_ml: optional(&raw.volume, |text| at("volume").volume_ml(text))?,
        stand_s: at("stand").time_s(&raw.stand)?,
        settle_s: at("settle").time_s(&raw.settle)?,
        soft: raw.soft,
        top_up_minutes: raw.top_up_minutes,
        read_minutes: raw.read_minutes,
    })
}

fn item(raw: RawItem) -> Result<Item, StandardError> {
    let place = raw.id.as_str();
    let at = |field| Spot { place, field };
    Ok(Item {
        dated: raw
            .dated
            .as_ref()
            .map(|dated| dates(place, dated))
            .transpose()?,
        count_days: optional(&raw.count_every, |text| at("count_every").days(text))?,
        mass_g: optional(&raw.mass, |text| at("mass").mass_g(text))?,
        weighs_as: raw.weighs_as,
        wearer: raw
            .wearer
            .as_ref()
            .map(|raw| wearer(place, raw))
            .transpose()?,
        from_length_mm: optional(&raw.from_length, |text| at("from_length").length_mm(text))?,
        asked_from: optional(&raw.asked_from, |text| day(at("asked_from"), text))?,
        high_pressure: raw.high_pressure,
        stroke_ml: optional(&raw.stroke, |text| at("stroke").volume_ml(text))?,
        air_up_to_pa: optional(&raw.air_up_to, |text| at("air_up_to").pressure_pa(text))?,
        id: raw.id,
        label: raw.label,
        count: raw.count,
        missions: raw.missions,
        count_for: raw.count_for,
        alternatives: raw.alternatives,
        short: raw.short,
        severity: raw.severity,
        adds_air: raw.adds_air,
        count_minutes: raw.count_minutes,
        signal: raw.signal.map(carried::signal),
        fits: carried::fits(raw.fits),
        needs: raw.needs,
        without: raw.without,
        not_for: raw.not_for,
        between_runs: raw.between_runs,
        cited: Cited {
            basis: raw.basis,
            source: raw.source,
        },
    })
}

/// Body weights of a label: `from` and `to` belong to it, `over` and `under` do not.
fn wearer(place: &str, raw: &RawWearer) -> Result<Wearer, StandardError> {
    let spot = Spot {
        place,
        field: "wearer",
    };
    let bound = |included: &Option<String>, left_out: &Option<String>| {
        let (text, is_included) = match (included, left_out) {
            (Some(_), Some(text)) => {
                let limit = "two ends on one side: give from or over, and to or under";
                return Err(spot.refuse(text, limit));
            }
            (Some(text), None) => (text, true),
            (None, Some(text)) => (text, false),
            (None, None) => return Ok(None),
        };
        let mass_g = u64::from(spot.mass_g(text)?);
        Ok(Some(Bound {
            mass_g,
            is_included,
        }))
    };
    let low = bound(&raw.from, &raw.over)?;
    let high = bound(&raw.to, &raw.under)?;
    match (low, high) {
        (None, None) => Err(spot.refuse("empty", "give from or over, to or under, or both")),
        (Some(low), Some(high)) if low.mass_g >= high.mass_g => {
            let value = format!("{} g to {} g", low.mass_g, high.mass_g);
            Err(spot.refuse(&value, "the lighter end comes first: swap or correct them"))
        }
        (low, high) => Ok(Wearer { low, high }),
    }
}

fn dates(place: &str, raw: &RawDated) -> Result<Dated, StandardError> {
    let at = |field| Spot { place, field };
    Ok(Dated {
        life_months: optional(&raw.life, |text| at("life").months(text))?,
        soon_days: at("soon").days(&raw.soon)?,
        undated_counts: raw.undated_counts,
    })
}

fn inspection(raw: RawInspection) -> Result<InspectionLine, StandardError> {
    let place = raw.id.as_str();
    let at = |field| Spot { place, field };
    let engine = |field, text: &str| at(field).time_s(text).map(u64::from);
    let run_least_s = optional(&raw.run_least, |text| at("run_least").time_s(text))?;
    Ok(InspectionLine {
        every: optional(&raw.every, |text| every(at("every"), text))?,
        every_engine_s: optional(&raw.every_engine, |text| engine("every_engine", text))?,
        soon_engine_s: optional(&raw.soon_engine, |text| engine("soon_engine", text))?.unwrap_or(0),
        hard_use: raw.hard_use,
        grace_days: at("grace").days(&raw.grace)?,
        soon_days: at("soon").days(&raw.soon)?,
        asked_from: optional(&raw.asked_from, |text| day(at("asked_from"), text))?,
        uses: materials(place, raw.uses)?,
        id: raw.id,
        label: raw.label,
        part: raw.part,
        hold: raw.hold,
        clears_immersion: raw.clears_immersion,
        run_least_s,
        overdue: raw.overdue,
        never: raw.never,
        failed: raw.failed,
        severity: raw.severity,
        minutes: raw.minutes,
        cited: Cited {
            basis: raw.basis,
            source: raw.source,
        },
    })
}

/// Most of one thing that one inspection uses up.
const USES_MAX: u32 = 100;

fn materials(place: &str, raw: Vec<RawMaterial>) -> Result<Vec<Material>, StandardError> {
    let spot = Spot {
        place,
        field: "uses",
    };
    let mut uses: Vec<Material> = Vec::new();
    for RawMaterial { item, label, count } in raw {
        if uses.iter().any(|known| known.item == item) {
            return Err(spot.refuse(item.as_str(), "is named twice: give one count for it"));
        }
        if !(1..=USES_MAX).contains(&count) {
            return Err(spot.refuse(&count.to_string(), "give a count from 1 to 100"));
        }
        uses.push(Material { item, label, count });
    }
    Ok(uses)
}

fn question(raw: RawQuestion) -> Result<Question, StandardError> {
    let at = |field| Spot {
        place: raw.id.as_str(),
        field,
    };
    Ok(Question {
        asked_from: optional(&raw.asked_from, |text| day(at("asked_from"), text))?,
        id: raw.id,
        label: raw.label,
        part: raw.part,
        missions: raw.missions,
        no: raw.no,
        severity: raw.severity,
        no_is_fault: raw.no_is_fault,
        unanswered: raw.unanswered,
        between_runs: raw.between_runs,
        minutes: raw.minutes,
        cited: Cited {
            basis: raw.basis,
            source: raw.source,
        },
    })
}

fn optional<T>(
    text: &Option<String>,
    read: impl FnOnce(&str) -> Result<T, StandardError>,
) -> Result<Option<T>, StandardError> {
    text.as_deref().map(read).transpose()
}

fn every(spot: Spot<'_>, text: &str) -> Result<Every, StandardError> {
    if text.contains("month") {
        return spot.months(text).map(Every::Months);
    }
    match spot.days(text)? {
        0 => Err(spot.refuse(
            text,
            "give at least 1 day, or whole months such as \"12 months\"",
        )),
        days => Ok(Every::Days(days)),
    }
}

fn day(spot: Spot<'_>, text: &str) -> Result<NaiveDate, StandardError> {
    NaiveDate::parse_from_str(text, "%Y-%m-%d")
        .map_err(|_| spot.refuse(text, "give a day such as \"2026-01-31\""))
}
