//! What keeps failing as tables: faults, repairs, what to do.

use sponson_readiness::ids::FaultId;

use super::cell::{Cell, Table, list, moment, yes_no};
use crate::failing::{DecidedSaid, Failing, FaultSaid, RepairSaid, ToDoSaid, fault_name};

/// A list of what keeps failing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FaultsList {
    /// Every fault that was counted.
    Faults,
    /// Every repair, and whether it held.
    Repairs,
    /// What to do, the most urgent first.
    WhatToDo,
}

impl FaultsList {
    /// Every list.
    pub const ALL: [Self; 3] = [Self::Faults, Self::Repairs, Self::WhatToDo];

    /// The stable word.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::Faults => "faults",
            Self::Repairs => "repairs",
            Self::WhatToDo => "what_to_do",
        }
    }

    /// The list as a table.
    #[must_use]
    pub fn table(self, failing: &Failing) -> String {
        match self {
            Self::Faults => faults(failing),
            Self::Repairs => repairs(failing),
            Self::WhatToDo => what_to_do(failing),
        }
    }
}

const FAULTS: [&str; 16] = [
    "fault",
    "craft",
    "craft_id",
    "gear",
    "part",
    "place",
    "class",
    "severity",
    "found_at",
    "station",
    "member",
    "repairs",
    "signed_off_at",
    "failed_again",
    "repair_that_did_not_hold",
    "held_days",
];

fn begun(failing: &Failing, columns: &[&'static str]) -> Table {
    Table::new(columns, [("as_of", moment(failing.as_of))])
}

fn faults(failing: &Failing) -> String {
    let mut all = begun(failing, &FAULTS);
    for one in &failing.faults {
        fault(&mut all, one);
    }
    all.into_text()
}

fn fault(all: &mut Table, one: &FaultSaid) {
    let again = one.again.as_ref();
    all.line([
        fault_name(one.fault).into(),
        one.number.as_str().into(),
        one.craft.map(|id| id.to_string()).into(),
        one.gear.as_str().into(),
        one.part.as_str().into(),
        one.place.as_str().into(),
        one.class.as_str().into(),
        one.severity.into(),
        moment(one.found),
        one.station.as_str().into(),
        one.member.as_str().into(),
        list(one.repairs.iter().map(ToString::to_string)),
        one.over.map_or(Cell::Empty, moment),
        yes_no(again.is_some()),
        again.map(|again| again.repair.to_string()).into(),
        again.map(|again| again.days.to_string()).into(),
    ]);
}

fn repairs(failing: &Failing) -> String {
    let columns = [
        "repair",
        "at",
        "craft",
        "craft_id",
        "part",
        "method",
        "glue_batch",
        "member",
        "faults",
        "held",
        "days",
    ];
    let mut all = begun(failing, &columns);
    for one in &failing.repairs {
        repair(&mut all, one);
    }
    all.into_text()
}

fn repair(all: &mut Table, one: &RepairSaid) {
    all.line([
        one.repair.to_string().into(),
        moment(one.at),
        one.number.as_str().into(),
        one.craft.map(|id| id.to_string()).into(),
        one.part.as_str().into(),
        one.method.as_str().into(),
        one.glue_batch.as_str().into(),
        one.member.as_str().into(),
        names(&one.faults),
        one.held.into(),
        one.days.to_string().into(),
    ]);
}

fn what_to_do(failing: &Failing) -> String {
    let columns = [
        "rank",
        "action",
        "what",
        "about",
        "reasons",
        "rule",
        "setting",
        "evidence",
        "decided",
        "decided_at",
        "decided_by",
    ];
    let mut all = begun(failing, &columns);
    for (rank, one) in (1_usize..).zip(&failing.to_do) {
        to_do(&mut all, rank, one);
    }
    all.into_text()
}

fn to_do(all: &mut Table, rank: usize, one: &ToDoSaid) {
    let decided: Option<&DecidedSaid> = one.decided.as_ref();
    all.line([
        rank.into(),
        one.action.into(),
        one.title.as_str().into(),
        one.about.as_str().into(),
        list(one.reasons.iter().cloned()),
        one.rule.as_str().into(),
        one.setting.as_str().into(),
        names(&one.evidence),
        decided.map(|it| it.action).into(),
        decided.map_or(Cell::Empty, |it| moment(it.at)),
        decided.map(|it| it.member.as_str()).into(),
    ]);
}

fn names(faults: &[FaultId]) -> Cell {
    list(faults.iter().map(|fault| fault_name(*fault)))
}
