//! A county's past as lines of text, a day and what happened:
//!
//! ```text
//! 0 craft 1 river-raft b7 pvc          registered (model, batch, fabric; - for none)
//! 0 gear 50 outboard m3                a motor
//! 0 fitted 50 1                        gear 50 on craft 1
//! 40 fault f1 1 floor tear major port 1200 top
//! 40 fault f2 50/1 motor leak major    found on gear 50, on craft 1
//! 50 repair f1,f2 patch glue-4
//! 60 over f1
//! 70 use 1 | 70 meter 1 36 | 70 at 1 2 (station) | 90 ended 1
//! 80 decided send-to-maker f1
//! ```
//!
//! A `?` before a line: nobody vouches for the fault. Times may be fractions of a day.

use std::collections::BTreeMap;

use sponson_readiness::event::{
    Author, CountyHold, CylinderMarks, Face, GearKind, LeadAction, PartPlace, PlaceSide, Severity,
    Use,
};
use sponson_readiness::history::{
    CraftPast, Decided, FaultPast, GearPast, History, HoldPast, MeterPast, RepairPast, UsePast,
};
use sponson_readiness::ids::{EventId, FaultId, ModelId, PartId, SubjectId};
use sponson_readiness::keeps_failing::{Asked, Grouping, KeepsFailing, keeps_failing};
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::{Policy, Standard};

pub(crate) const DAY_MS: f64 = 86_400_000.0;

pub(crate) fn id(n: u8) -> SubjectId {
    SubjectId::from_bytes([n; 16])
}

#[expect(clippy::cast_possible_truncation, reason = "days of a test")]
pub(crate) fn day(day: f64) -> Moment {
    Moment((day * DAY_MS) as i64)
}

/// Event that a word names.
pub(crate) fn event(word: &str) -> EventId {
    let mut bytes = [0; 32];
    bytes[..word.len()].copy_from_slice(word.as_bytes());
    EventId::from_bytes(bytes)
}

pub(crate) fn fault(word: &str) -> FaultId {
    FaultId {
        event: event(word),
        ordinal: 0,
    }
}

/// The word of a fault.
pub(crate) fn word(id: &FaultId) -> String {
    let bytes = id.event.as_bytes().iter().copied();
    bytes.take_while(|byte| *byte > 0).map(char::from).collect()
}

pub(crate) fn words(ids: &[FaultId]) -> Vec<String> {
    ids.iter().map(word).collect()
}

fn by() -> Author {
    Author {
        key: [0; 32],
        station: None,
        member: String::new(),
    }
}

/// Reads a county that is asked about at `until`.
pub(crate) fn county(until: f64, text: &str) -> History {
    let mut history = History::empty(day(until));
    for line in text.lines().map(str::trim).filter(|line| !line.is_empty()) {
        let (is_vouched, line) = line
            .strip_prefix('?')
            .map_or((true, line), |line| (false, line));
        let words: Vec<&str> = line.split_whitespace().collect();
        let at = day(words[0].parse().expect(line));
        match words[1..] {
            ["craft", n, model, batch, fabric] => {
                add_craft(&mut history, at, n, [model, batch, fabric])
            }
            ["gear", n, model, batch] => add_gear(&mut history, at, n, [model, batch]),
            ["fitted", gear, on] => gear_mut(&mut history, gear).on.push((at, Some(number(on)))),
            ["fault", name, on, part, class, severity, ref place @ ..] => {
                let found = found(at, name, on, part, class, severity, place);
                add_fault(
                    &mut history,
                    FaultPast {
                        confirmed: is_vouched,
                        ..found
                    },
                );
            }
            ["repair", faults, method, ref glue @ ..] => {
                add_repair(
                    &mut history,
                    at,
                    faults,
                    method,
                    glue.first().unwrap_or(&""),
                );
            }
            ["over", faults] => {
                for name in faults.split(',') {
                    let over = (at, event(&format!("over-{faults}")));
                    each(&mut history, name, |fault| fault.over = Some(over));
                }
            }
            ["use", n] => craft_mut(&mut history, n).uses.push(UsePast {
                event: event("use"),
                at,
                by: by(),
                used: Use::default(),
            }),
            ["meter", n, hours] => {
                let hours: u64 = hours.parse().expect(line);
                craft_mut(&mut history, n).meters.push(MeterPast {
                    event: event("meter"),
                    at,
                    gear: None,
                    engine_s: hours * 3_600,
                });
            }
            ["at", n, station] => craft_mut(&mut history, n)
                .stations
                .push((at, number(station))),
            ["ended", n] => craft_mut(&mut history, n).ended = Some(at),
            ["decided", action, faults] => history.decisions.push(decided(at, action, faults)),
            ["held", model, batch] => history.holds.push(held(at, model, batch)),
            _ => panic!("{line}"),
        }
    }
    history
}

fn number(word: &str) -> SubjectId {
    id(word.parse().expect(word))
}

fn craft_mut<'a>(history: &'a mut History, n: &str) -> &'a mut CraftPast {
    history.crafts.get_mut(&number(n)).expect(n)
}

fn gear_mut<'a>(history: &'a mut History, n: &str) -> &'a mut GearPast {
    history.gear.get_mut(&number(n)).expect(n)
}

fn said(word: &str) -> String {
    word.replace('-', "_").trim_matches('_').replace('_', "-")
}

fn add_craft(history: &mut History, at: Moment, n: &str, [model, batch, fabric]: [&str; 3]) {
    let craft = craft(number(n), at, model, &said(batch), &said(fabric));
    history.crafts.insert(craft.id, craft);
}

/// A craft to which nothing happened.
pub(crate) fn craft(
    id: SubjectId,
    at: Moment,
    model: &str,
    batch: &str,
    fabric: &str,
) -> CraftPast {
    CraftPast {
        fabric: fabric.to_owned(),
        batch: batch.to_owned(),
        ..CraftPast::registered(id, &id.to_string(), ModelId::from(model), at)
    }
}

fn add_gear(history: &mut History, at: Moment, n: &str, [model, batch]: [&str; 2]) {
    let gear = GearPast {
        id: number(n),
        number: n.to_owned(),
        kind: GearKind::Motor,
        model: said(model),
        batch: said(batch),
        made: None,
        cylinder: CylinderMarks::default(),
        registered: at,
        ended: None,
        stations: Vec::new(),
        on: Vec::new(),
        meters: Vec::new(),
        faults: Vec::new(),
        repairs: Vec::new(),
        sign_offs: Vec::new(),
        inspections: Vec::new(),
        gauges: Vec::new(),
        out: Vec::new(),
        unvouched: Vec::new(),
    };
    history.gear.insert(gear.id, gear);
}

fn found(
    at: Moment,
    name: &str,
    on: &str,
    part: &str,
    class: &str,
    severity: &str,
    place: &[&str],
) -> FaultPast {
    let (gear, craft) = match on.split_once('/') {
        Some((gear, craft)) => (Some(number(gear)), number(craft)),
        None => (None, number(on)),
    };
    FaultPast {
        id: fault(name),
        craft: Some(craft),
        gear,
        part: PartId::from(part),
        place: spot(place),
        class: class.to_owned(),
        severity: match severity {
            "disabling" => Severity::Disabling,
            "restrictive" => Severity::Restrictive,
            "major" => Severity::Major,
            "minor" => Severity::Minor,
            _ => panic!("{severity}"),
        },
        found: at,
        station: None,
        by: by(),
        engine_s: None,
        repairs: Vec::new(),
        over: None,
        confirmed: true,
    }
}

pub(crate) fn spot(words: &[&str]) -> PartPlace {
    let mut place = PartPlace::default();
    for word in words {
        match *word {
            "port" => place.side = Some(PlaceSide::Port),
            "starboard" => place.side = Some(PlaceSide::Starboard),
            "top" => place.face = Some(Face::Top),
            "bottom" => place.face = Some(Face::Bottom),
            mm => place.from_transom_mm = Some(mm.parse().expect(mm)),
        }
    }
    place
}

/// As a history tells it: with the craft on which it was found, and with the gear that it is on.
pub(crate) fn add_fault(history: &mut History, fault: FaultPast) {
    if let Some(gear) = fault.gear {
        let gear = history.gear.get_mut(&gear).expect("the gear");
        gear.faults.push(fault.clone());
    }
    let craft = fault.craft.expect("a craft");
    let craft = history.crafts.get_mut(&craft).expect("the craft");
    craft.faults.push(fault);
}

fn each(history: &mut History, name: &str, change: impl Fn(&mut FaultPast)) {
    let of_crafts = history
        .crafts
        .values_mut()
        .flat_map(|craft| &mut craft.faults);
    let of_gear = history.gear.values_mut().flat_map(|gear| &mut gear.faults);
    let named = of_crafts.chain(of_gear).filter(|one| one.id == fault(name));
    named.for_each(change);
}

fn add_repair(history: &mut History, at: Moment, faults: &str, method: &str, glue: &str) {
    let first = faults.split(',').next().expect("a fault");
    let craft = history.fault(&fault(first)).expect("it was found").craft;
    let craft = history
        .crafts
        .get_mut(&craft.expect("a craft"))
        .expect("it");
    let done = format!("repair-{}", craft.repairs.len());
    let named = craft.faults.iter().find(|one| one.id == fault(first));
    let part = named.expect("found before").part.clone();
    craft.repairs.push(RepairPast {
        event: event(&format!("{done}-{first}")),
        at,
        faults: faults.split(',').map(fault).collect(),
        part,
        method: method.to_owned(),
        glue_batch: glue.to_owned(),
        by: by(),
    });
}

fn decided(at: Moment, action: &str, faults: &str) -> Decided {
    Decided {
        event: event("decided"),
        at,
        by: by(),
        action: match action {
            "send-to-maker" => LeadAction::SendToMaker,
            "watch" => LeadAction::Watch,
            _ => panic!("{action}"),
        },
        faults: faults.split(',').map(fault).collect(),
        subjects: Vec::new(),
        part: None,
        place: PartPlace::default(),
        model: String::new(),
        batch: String::new(),
    }
}

fn held(at: Moment, model: &str, batch: &str) -> HoldPast {
    HoldPast {
        event: event("held"),
        at,
        by: by(),
        hold: CountyHold {
            model: said(model),
            batch: said(batch),
            part: String::new(),
            missions: Vec::new(),
        },
        lifted: None,
    }
}

pub(crate) fn policy(changed: &[(&str, &str)]) -> Policy {
    let mut text = Policy::default_text().to_owned();
    for (from, to) in changed {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    Policy::parse(&text).expect("the settings")
}

/// The sheets that come with the program.
pub(crate) fn sheets() -> BTreeMap<ModelId, Standard> {
    let built_in = sponson_readiness::standard::built_in();
    let sheets = built_in.map(|(_, text)| Standard::parse(text).expect("a sheet"));
    sheets
        .into_iter()
        .map(|sheet| (sheet.model.clone(), sheet))
        .collect()
}

pub(crate) fn ask(history: &History, asked: &Asked) -> KeepsFailing {
    keeps_failing(history, &BTreeMap::new(), &policy(&[]), asked)
}

pub(crate) fn by_grouping(history: &History, grouping: Grouping) -> KeepsFailing {
    ask(history, &Asked::all(grouping))
}
