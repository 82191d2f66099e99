//! Stops of a craft, with all of its lines: those that the sheet names, else those that its parts
//! make.

use std::collections::BTreeSet;

use super::{Aboard, Stop, StopLabel, at_stop, bags};
use crate::ids::{LineId, PartId, StopId};
use crate::standard::{Also, Standard};

/// Id of the part that a motor serves as, the same in every sheet.
pub(super) const MOTOR: &str = "motor";

/// Id of the part that a trailer serves as, the same in every sheet.
pub(super) const TRAILER: &str = "trailer";

/// A stop before its lines are laid out.
pub(super) struct Planned {
    id: StopId,
    label: StopLabel,
    pub(super) parts: Vec<PartId>,
    pub(super) lines: Vec<LineId>,
    pub(super) also: BTreeSet<Also>,
}

/// Every stop of a craft, those with nothing to look at among them.
pub(super) fn all(standard: &Standard, aboard: &Aboard) -> Vec<Stop> {
    let mut planned = match standard.stops.is_empty() {
        true => of_parts(standard),
        false => of_sheet(standard),
    };
    complete(standard, &mut planned);
    let mut stops = Vec::new();
    for plan in planned {
        let lines = at_stop::lines(standard, aboard, &plan);
        let has_bags = plan.also.contains(&Also::Bags);
        stops.push(Stop {
            id: plan.id,
            label: plan.label,
            lines,
        });
        if has_bags {
            stops.extend(bags::stops(standard, aboard));
        }
    }
    stops
}

impl Planned {
    fn new(id: &str, label: StopLabel) -> Self {
        Self {
            id: StopId::from(id),
            label,
            parts: Vec::new(),
            lines: Vec::new(),
            also: BTreeSet::new(),
        }
    }
}

fn of_sheet(standard: &Standard) -> Vec<Planned> {
    let stops = standard.stops.iter();
    stops
        .map(|stop| Planned {
            id: stop.id.clone(),
            label: StopLabel::Sheet(stop.label.clone()),
            parts: stop.parts.clone(),
            lines: stop.lines.clone(),
            also: stop.also.iter().copied().collect(),
        })
        .collect()
}

/// The walk of a sheet that names no stops: round the parts in its own order, the motor, the
/// trailer, the kit.
fn of_parts(standard: &Standard) -> Vec<Planned> {
    let mut round = Planned::new("round", StopLabel::Round);
    let mut motor = Planned::new(MOTOR, StopLabel::Motor);
    let mut trailer = Planned::new(TRAILER, StopLabel::Trailer);
    motor.also.extend([Also::Meter, Also::Fuel]);
    for part in &standard.parts {
        let stop = match part.id.as_str() {
            MOTOR => &mut motor,
            TRAILER => &mut trailer,
            _ => &mut round,
        };
        stop.parts.push(part.id.clone());
    }
    let without_part = standard.questions.iter().filter(|line| line.part.is_none());
    round.lines.extend(without_part.map(|line| line.id.clone()));
    let mut kit = Planned::new("kit", StopLabel::Kit);
    kit.also.extend([Also::Kit, Also::Gear, Also::Bags]);
    vec![round, motor, trailer, kit]
}

/// Puts what no stop names where it belongs: a question to the stop of its part, the air to the
/// beginning, what is left to a last stop.
fn complete(standard: &Standard, planned: &mut Vec<Planned>) {
    let mut rest = Planned::new("rest", StopLabel::Rest);
    let parts: BTreeSet<PartId> = planned.iter().flat_map(|stop| stop.parts.clone()).collect();
    let lines: BTreeSet<LineId> = planned.iter().flat_map(|stop| stop.lines.clone()).collect();
    let missing = standard
        .parts
        .iter()
        .filter(|part| !parts.contains(&part.id));
    rest.parts.extend(missing.map(|part| part.id.clone()));
    for question in &standard.questions {
        if lines.contains(&question.id) {
            continue;
        }
        let of_part = |stop: &&mut Planned| {
            let part = question.part.as_ref();
            part.is_some_and(|part| stop.parts.contains(part))
        };
        let stop = planned.iter_mut().find(of_part).unwrap_or(&mut rest);
        stop.lines.push(question.id.clone());
    }
    also(planned, rest);
    let missing = standard
        .items
        .iter()
        .filter(|item| !lines.contains(&item.id));
    if let Some(kit) = planned
        .iter_mut()
        .find(|stop| stop.also.contains(&Also::Kit))
    {
        kit.lines.extend(missing.map(|item| item.id.clone()));
    }
}

fn also(planned: &mut Vec<Planned>, mut rest: Planned) {
    let named: BTreeSet<Also> = planned.iter().flat_map(|stop| stop.also.clone()).collect();
    let mut arriving = Planned::new("arriving", StopLabel::Arriving);
    let mut faults = Planned::new("faults", StopLabel::Faults);
    for also in Also::ALL {
        if named.contains(&also) {
            continue;
        }
        let of_motor = |stop: &&mut Planned| stop.parts.iter().any(|part| part.as_str() == MOTOR);
        let stop = match also {
            Also::Air | Also::Stowage => &mut arriving,
            Also::Meter | Also::Fuel => planned.iter_mut().find(of_motor).unwrap_or(&mut rest),
            Also::Kit | Also::Gear | Also::Bags => &mut rest,
            Also::Faults => &mut faults,
        };
        stop.also.insert(also);
    }
    planned.insert(0, arriving);
    planned.extend([rest, faults]);
}
