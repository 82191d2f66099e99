//! Placing a craft in service: the steps from delivered to ready, ticked off by the events that prove
//! each.
//!
//! What stands open is taken from the answer's own findings, each of which belongs to one step: so the
//! list never says done where the answer says not ready, and once every step is done the answer says
//! ready. Two steps ask for more than readiness does: that a reading is settled, and that operators
//! are named. The steps are common practice, no source; what each wants has its source in the sheet.

use super::facts::{Facts, MOTOR};
use super::sides::{is_trusted, trusted};
use crate::answer::{Effect, Finding, Rule, Step, StepId, StepState, Subject, ToDo};
use crate::event::AirSource;
use crate::ids::LineId;
use crate::record::{Origin, Sides};
use crate::standard::Part;

/// Questions and inspections of valves, the same in every sheet.
const VALVES: [&str; 4] = ["valve-caps", "valves", "relief-valves", "o-rings"];
/// Question of the motor's safety line, the same in every sheet.
const SAFETY_LINE: &str = "safety-line";
/// Question of the painted numbers, the same in every sheet.
const NUMBERS: &str = "numbers";
/// Question of the capacity plate, the same in every sheet.
const PLATE: &str = "plate";

/// Steps by rule; a rule that stands nowhere belongs to its family, else to the last look round.
const OF_RULE: [(StepId, &[Rule]); 7] = [
    (
        StepId::Registered,
        &[
            Rule::NoStandard,
            Rule::MissionNotInStandard,
            Rule::Condemned,
        ],
    ),
    (StepId::Plate, &[Rule::PlateUnknown, Rule::LoadOver]),
    (StepId::Placed, &[Rule::PlaceDisputed]),
    (StepId::FirstInflation, &[Rule::PressureNotRead]),
    (
        StepId::Motor,
        &[
            Rule::GearMissing,
            Rule::MotorOverPlate,
            Rule::MotorImmersed,
            Rule::MotorOnManual,
        ],
    ),
    (
        StepId::FullCheck,
        &[
            Rule::NeverChecked,
            Rule::CheckStale,
            Rule::UsedSinceCheck,
            Rule::OwedAfterUse,
            Rule::LineNo,
            Rule::LineNotAnswered,
        ],
    ),
    (
        StepId::Operators,
        &[
            Rule::CrewNotKnown,
            Rule::CrewShort,
            Rule::OperatorNotNamed,
            Rule::OperatorLevelShort,
            Rule::OperatorLevelLapsed,
        ],
    ),
];

/// Families of rules, by how their words begin.
const OF_FAMILY: [(&str, StepId); 5] = [
    ("pressure", StepId::ReCheck),
    ("kit", StepId::Kit),
    ("signals", StepId::Kit),
    ("jacket", StepId::Kit),
    ("inspection", StepId::Inspections),
];

/// The steps for one craft; those that a craft of its sort does not have are left out.
pub(super) fn steps(facts: &Facts<'_>, why: &[Finding]) -> Vec<Step> {
    StepId::ALL
        .iter()
        .filter(|step| applies(facts, **step))
        .map(|step| one(facts, *step, why))
        .collect()
}

fn applies(facts: &Facts<'_>, step: StepId) -> bool {
    match step {
        StepId::FirstInflation | StepId::ReCheck => air_parts(facts).next().is_some(),
        StepId::FilledByHand => without_relief(facts).next().is_some(),
        StepId::HoldTest => hold_lines(facts).next().is_some(),
        StepId::Valves => VALVES.iter().any(|id| knows(facts, id)),
        StepId::Motor => has_motor(facts),
        StepId::SafetyLine => knows(facts, SAFETY_LINE),
        StepId::Numbers => knows(facts, NUMBERS),
        StepId::Registered
        | StepId::Plate
        | StepId::Placed
        | StepId::Kit
        | StepId::Inspections
        | StepId::FullCheck
        | StepId::NothingOpen
        | StepId::Operators => true,
    }
}

fn one(facts: &Facts<'_>, step: StepId, why: &[Finding]) -> Step {
    let mine = why.iter().filter(|finding| step_of(facts, finding) == step);
    let open: Vec<Finding> = mine
        .filter(|finding| keeps_open(finding))
        .cloned()
        .collect();
    let proof = proof(facts, step);
    let state = match (&proof, open.is_empty()) {
        (_, false) | (Proof::Missing, true) => StepState::Open,
        (Proof::By(origin), true) => StepState::Done {
            event: origin.event,
            at: origin.interval.earliest(facts.now),
        },
        (Proof::NotNeeded, true) => StepState::Clear,
    };
    let to_do: std::collections::BTreeSet<&ToDo> =
        open.iter().flat_map(|finding| &finding.to_do).collect();
    let minutes = to_do
        .iter()
        .try_fold(0_u32, |sum, one| Some(sum.saturating_add(one.minutes?)))
        .filter(|_| !to_do.is_empty());
    Step {
        step,
        state,
        open,
        minutes,
    }
}

/// What keeps a step open: what does anything to the craft, and of the notes those that the list asks
/// more for.
fn keeps_open(finding: &Finding) -> bool {
    let asked_here = [
        Rule::PressureProvisional,
        Rule::CrewNotKnown,
        Rule::OperatorNotNamed,
    ]
    .contains(&finding.rule);
    finding.effect > Effect::Note || asked_here
}

/// The step that a finding belongs to: by the line that it is about, else by its rule.
fn step_of(facts: &Facts<'_>, finding: &Finding) -> StepId {
    if let Subject::Line(line, _) = &finding.subject
        && let Some(step) = step_of_line(facts, line)
    {
        return step;
    }
    let mut listed = OF_RULE.iter();
    if let Some((step, _)) = listed.find(|(_, rules)| rules.contains(&finding.rule)) {
        return *step;
    }
    let name = finding.rule.id();
    let begins = |word: &&(&str, StepId)| name.starts_with(word.0);
    let mut families = OF_FAMILY.iter();
    families.find(begins).map_or(StepId::NothingOpen, |it| it.1)
}

fn step_of_line(facts: &Facts<'_>, line: &LineId) -> Option<StepId> {
    if hold_lines(facts).any(|hold| hold == line) {
        return Some(StepId::HoldTest);
    }
    let id = line.as_str();
    if VALVES.contains(&id) {
        return Some(StepId::Valves);
    }
    match id {
        SAFETY_LINE => return Some(StepId::SafetyLine),
        NUMBERS => return Some(StepId::Numbers),
        PLATE => return Some(StepId::Plate),
        _ => {}
    }
    let inspections = facts.standard.inspections.iter();
    let inspections = inspections.map(|line| (&line.id, &line.part));
    let questions = facts.standard.questions.iter();
    let mut lines = inspections.chain(questions.map(|line| (&line.id, &line.part)));
    let (_, part) = lines.find(|(known, _)| *known == line)?;
    let of_motor = part.as_ref().is_some_and(|part| part.as_str() == MOTOR);
    of_motor.then_some(StepId::Motor)
}

/// What proves a step.
enum Proof {
    By(Origin),
    NotNeeded,
    Missing,
}

impl Proof {
    fn or_else(self, other: impl FnOnce() -> Self) -> Self {
        if let Self::Missing = self {
            other()
        } else {
            self
        }
    }
}

fn proof(facts: &Facts<'_>, step: StepId) -> Proof {
    let record = facts.record;
    match step {
        StepId::Registered | StepId::Plate => newest([&record.craft]),
        StepId::Placed => newest([&record.place]).or_else(|| newest([&record.craft])),
        StepId::FirstInflation | StepId::ReCheck => every(air_parts(facts).map(|part| {
            let read = record.readings.get(&part.id);
            newest(read.map(|read| &read.standing))
        })),
        StepId::FilledByHand => every(without_relief(facts).map(|part| by_hand(facts, part))),
        StepId::HoldTest => every(hold_lines(facts).map(|id| inspected(facts, id))),
        StepId::Valves | StepId::SafetyLine | StepId::Numbers => {
            let all = VALVES.into_iter().chain([SAFETY_LINE, NUMBERS]);
            let known = all.filter(|id| {
                let of_step = step_of_line(facts, &LineId::from(*id)) == Some(step);
                of_step && knows(facts, id)
            });
            every(known.map(|id| stated(facts, &LineId::from(id))))
        }
        StepId::Motor => match facts.motor() {
            Some(motor) => newest([&motor.place]),
            None => Proof::Missing,
        },
        StepId::Kit => {
            let counts = record.counts.values();
            newest(counts)
        }
        StepId::FullCheck => newest(record.checks.get(&crate::event::Extent::Full)),
        StepId::Inspections | StepId::NothingOpen => Proof::NotNeeded,
        StepId::Operators => operators(facts),
    }
}

/// The newest trusted side of all.
fn newest<'a, T: 'a>(all: impl IntoIterator<Item = &'a Sides<T>>) -> Proof {
    let origins = all.into_iter().flat_map(trusted).map(|side| &side.origin);
    last(origins)
}

fn last<'a>(origins: impl Iterator<Item = &'a Origin>) -> Proof {
    match origins.max_by_key(|origin| (origin.interval.claimed, origin.event)) {
        Some(origin) => Proof::By(origin.clone()),
        None => Proof::Missing,
    }
}

/// All of them, shown by the newest.
fn every(all: impl Iterator<Item = Proof>) -> Proof {
    let mut origins = Vec::new();
    for proof in all {
        match proof {
            Proof::By(origin) => origins.push(origin),
            Proof::NotNeeded => {}
            Proof::Missing => return Proof::Missing,
        }
    }
    last(origins.iter()).or_else(|| Proof::NotNeeded)
}

/// Filled by hand or foot pump, as all say who said how.
fn by_hand(facts: &Facts<'_>, part: &Part) -> Proof {
    let Some(read) = facts.record.readings.get(&part.id) else {
        return Proof::Missing;
    };
    let other = trusted(&read.filled).any(|side| match side.value {
        AirSource::HandPump | AirSource::FootPump => false,
        AirSource::ElectricPump
        | AirSource::Cylinder
        | AirSource::BreathingSet
        | AirSource::Compressor => true,
    });
    if other {
        return Proof::Missing;
    }
    newest([&read.filled])
}

fn inspected(facts: &Facts<'_>, line: &LineId) -> Proof {
    newest(facts.record.inspections.get(line))
}

/// Answered or inspected, whichever the line is.
fn stated(facts: &Facts<'_>, line: &LineId) -> Proof {
    inspected(facts, line).or_else(|| newest(facts.record.answers.get(line)))
}

/// The station's statement, where it names an operator.
fn operators(facts: &Facts<'_>) -> Proof {
    let station = super::place::stations(facts.record);
    let records = station.iter().filter_map(|id| facts.county.records.get(id));
    let named = records.flat_map(|record| &record.crews).filter(|side| {
        let as_of = facts.asked.as_of;
        let covers = side.value.from <= as_of && as_of < side.value.until;
        covers && is_trusted(&side.origin) && !side.value.operators.is_empty()
    });
    last(named.map(|side| &side.origin))
}

fn air_parts<'a>(facts: &Facts<'a>) -> impl Iterator<Item = &'a Part> {
    let parts = facts.standard.parts.iter();
    parts.filter(|part| part.pressure.is_some())
}

fn without_relief<'a>(facts: &Facts<'a>) -> impl Iterator<Item = &'a Part> {
    air_parts(facts).filter(|part| {
        let rule = part.pressure.as_ref();
        rule.is_some_and(|rule| rule.relief_pa.is_none())
    })
}

fn hold_lines<'a>(facts: &Facts<'a>) -> impl Iterator<Item = &'a LineId> {
    let lines = facts.standard.inspections.iter();
    lines
        .filter(|line| line.hold.is_some())
        .map(|line| &line.id)
}

fn has_motor(facts: &Facts<'_>) -> bool {
    let mut parts = facts.standard.parts.iter();
    parts.any(|part| part.id.as_str() == MOTOR)
}

fn knows(facts: &Facts<'_>, id: &str) -> bool {
    let questions = facts.standard.questions.iter().map(|line| &line.id);
    let inspections = facts.standard.inspections.iter().map(|line| &line.id);
    questions
        .chain(inspections)
        .any(|known| known.as_str() == id)
}
