//! Signals, fuel and what fits, from the form as written.

use std::collections::{BTreeMap, BTreeSet};

use serde::Deserialize;

use super::optional;
use super::raw::SeverityWord;
use crate::answer::Basis;
use crate::event::Severity;
use crate::ids::{LineId, MissionId};
use crate::standard::quantity::Spot;
use crate::standard::{
    Cited, Fits, FuelRule, RuleEffect, Signal, SignalBy, Signals, StandardError, Waters,
};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawSignals {
    label: String,
    #[serde(default)]
    missions: BTreeSet<MissionId>,
    #[serde(default)]
    waters: BTreeSet<Waters>,
    day_from: Option<String>,
    day: RuleEffect,
    night: RuleEffect,
    #[serde(with = "SeverityWord")]
    severity: Severity,
    basis: Basis,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawSignal {
    by: SignalBy,
    units: u32,
    launcher: Option<LineId>,
}

#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawFits {
    #[serde(default)]
    fabric: Vec<String>,
    #[serde(default)]
    connector: Vec<String>,
    #[serde(default)]
    motor: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RawFuel {
    label: String,
    least: String,
    #[serde(default)]
    least_for: BTreeMap<MissionId, String>,
    tank: Option<String>,
    mix: Option<u32>,
    short: RuleEffect,
    unknown: Option<RuleEffect>,
    #[serde(with = "SeverityWord")]
    severity: Severity,
    basis: Basis,
    source: String,
}

pub(super) fn signals(raw: RawSignals) -> Result<Signals, StandardError> {
    let at = |field| Spot {
        place: "signals",
        field,
    };
    Ok(Signals {
        day_from_mm: optional(&raw.day_from, |text| at("day_from").length_mm(text))?,
        label: raw.label,
        missions: raw.missions,
        waters: raw.waters,
        day: raw.day,
        night: raw.night,
        severity: raw.severity,
        cited: Cited {
            basis: raw.basis,
            source: raw.source,
        },
    })
}

pub(super) fn signal(raw: RawSignal) -> Signal {
    Signal {
        by: raw.by,
        units: raw.units,
        launcher: raw.launcher,
    }
}

pub(super) fn fits(raw: RawFits) -> Fits {
    Fits {
        fabric: raw.fabric,
        connector: raw.connector,
        motor: raw.motor,
    }
}

pub(super) fn fuel(raw: RawFuel) -> Result<FuelRule, StandardError> {
    let at = |field| Spot {
        place: "fuel",
        field,
    };
    let of_missions = raw
        .least_for
        .into_iter()
        .map(|(mission, text)| Ok((mission, at("least_for").volume_ml(&text)?)));
    Ok(FuelRule {
        least_for_ml: of_missions.collect::<Result<_, StandardError>>()?,
        least_ml: at("least").volume_ml(&raw.least)?,
        tank_ml: optional(&raw.tank, |text| at("tank").volume_ml(text))?,
        label: raw.label,
        mix: raw.mix,
        short: raw.short,
        unknown: raw.unknown,
        severity: raw.severity,
        cited: Cited {
            basis: raw.basis,
            source: raw.source,
        },
    })
}
