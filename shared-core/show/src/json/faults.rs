//! What keeps failing in the form, described field by field in `faults-schema.md`.

use serde::Serialize;
use sponson_readiness::ids::FaultId;
use sponson_readiness::moment::Moment;

use crate::caution;
use crate::failing::{
    DecidedSaid, Failing, FaultSaid, Figures, GroupSaid, Number, RepairSaid, StepSaid, ToDoSaid,
    fault_name,
};
use crate::units::print;

/// Name and version of the form.
pub const FAULTS_SCHEMA: &str = "sponson.faults/1";

#[derive(Serialize)]
pub(super) struct FaultsForm<'a> {
    schema: &'static str,
    as_of: String,
    from: Option<String>,
    by: &'static str,
    per: &'static str,
    figures_text: &'a str,
    craft: Option<CraftForm<'a>>,
    text: &'a str,
    usual: UsualForm<'a>,
    groups: Vec<GroupForm<'a>>,
    what_to_do: Vec<ToDoForm<'a>>,
    to_decide: usize,
    decided: Vec<DecidedForm<'a>>,
    faults: Vec<FaultForm<'a>>,
    repairs: Vec<RepairForm<'a>>,
    notes: &'a [String],
    caution: &'static str,
}

#[derive(Serialize)]
struct CraftForm<'a> {
    craft: &'a str,
    id: String,
}

#[derive(Serialize)]
struct UsualForm<'a> {
    text: &'a str,
    figures: &'a Figures,
}

#[derive(Serialize)]
struct GroupForm<'a> {
    group: &'a str,
    label: &'a str,
    text: &'a str,
    said: &'static str,
    stands_out: bool,
    count: u32,
    units: u32,
    exposure: &'a Number,
    trend: &'static str,
    trend_text: &'a str,
    figures: &'a Figures,
    mcf: &'a [StepSaid],
    mcf_of_rest: &'a [StepSaid],
    faults: Vec<String>,
}

#[derive(Serialize)]
struct FaultForm<'a> {
    fault: String,
    craft: Option<CraftForm<'a>>,
    gear: Option<&'a str>,
    part: &'a str,
    place: &'a str,
    class: &'a str,
    severity: &'static str,
    found_at: String,
    station: Option<&'a str>,
    member: Option<&'a str>,
    repairs: Vec<String>,
    signed_off_at: Option<String>,
    again: Option<AgainForm<'a>>,
}

#[derive(Serialize)]
struct AgainForm<'a> {
    repair: String,
    days: &'a Number,
}

#[derive(Serialize)]
struct RepairForm<'a> {
    repair: String,
    at: String,
    craft: Option<CraftForm<'a>>,
    part: &'a str,
    method: &'a str,
    glue_batch: Option<&'a str>,
    member: Option<&'a str>,
    faults: Vec<String>,
    held: &'static str,
    days: &'a Number,
    text: &'a str,
}

#[derive(Serialize)]
struct ToDoForm<'a> {
    action: &'static str,
    text: &'a str,
    about: &'a str,
    reasons: &'a [String],
    rule: &'a str,
    setting: &'a str,
    evidence: Vec<String>,
    decided: Option<DecidedForm<'a>>,
    faults_since: u32,
    waits: bool,
}

#[derive(Serialize)]
struct DecidedForm<'a> {
    event: String,
    at: String,
    member: Option<&'a str>,
    action: &'static str,
    text: &'a str,
    faults: Vec<String>,
}

pub(super) fn form(failing: &Failing) -> FaultsForm<'_> {
    FaultsForm {
        schema: FAULTS_SCHEMA,
        as_of: print::rfc3339(failing.as_of),
        from: failing.from.and_then(known),
        by: failing.by,
        per: failing.per,
        figures_text: &failing.figures_text,
        craft: failing.craft.as_ref().map(|(id, craft)| CraftForm {
            craft,
            id: id.to_string(),
        }),
        text: &failing.summary,
        usual: UsualForm {
            text: &failing.usual.line,
            figures: &failing.usual.figures,
        },
        groups: failing.groups.iter().map(group).collect(),
        what_to_do: failing.to_do.iter().map(to_do).collect(),
        to_decide: failing.waiting(),
        decided: failing.decided.iter().map(decided).collect(),
        faults: failing.faults.iter().map(fault).collect(),
        repairs: failing.repairs.iter().map(repair).collect(),
        notes: &failing.notes,
        caution: caution(),
    }
}

fn group(one: &GroupSaid) -> GroupForm<'_> {
    GroupForm {
        group: &one.key,
        label: &one.label,
        text: &one.line,
        said: one.said,
        stands_out: one.stands_out,
        count: one.count,
        units: one.units,
        exposure: &one.exposure,
        trend: one.trend_said,
        trend_text: &one.trend,
        figures: &one.figures,
        mcf: &one.steps,
        mcf_of_rest: &one.rest_steps,
        faults: names(&one.faults),
    }
}

fn fault(one: &FaultSaid) -> FaultForm<'_> {
    FaultForm {
        fault: fault_name(one.fault),
        craft: one.craft.map(|id| CraftForm {
            craft: &one.number,
            id: id.to_string(),
        }),
        gear: given(&one.gear),
        part: one.part.as_str(),
        place: &one.place,
        class: &one.class,
        severity: one.severity,
        found_at: print::rfc3339(one.found),
        station: given(&one.station),
        member: given(&one.member),
        repairs: one.repairs.iter().map(ToString::to_string).collect(),
        signed_off_at: one.over.and_then(known),
        again: one.again.as_ref().map(|again| AgainForm {
            repair: again.repair.to_string(),
            days: &again.days,
        }),
    }
}

fn repair(one: &RepairSaid) -> RepairForm<'_> {
    RepairForm {
        repair: one.repair.to_string(),
        at: print::rfc3339(one.at),
        craft: one.craft.map(|id| CraftForm {
            craft: &one.number,
            id: id.to_string(),
        }),
        part: &one.part,
        method: &one.method,
        glue_batch: given(&one.glue_batch),
        member: given(&one.member),
        faults: names(&one.faults),
        held: one.held,
        days: &one.days,
        text: &one.text,
    }
}

fn to_do(one: &ToDoSaid) -> ToDoForm<'_> {
    ToDoForm {
        action: one.action,
        text: &one.title,
        about: &one.about,
        reasons: &one.reasons,
        rule: &one.rule,
        setting: &one.setting,
        evidence: names(&one.evidence),
        decided: one.decided.as_ref().map(decided),
        faults_since: one.since,
        waits: one.waits(),
    }
}

fn decided(one: &DecidedSaid) -> DecidedForm<'_> {
    DecidedForm {
        event: one.event.to_string(),
        at: print::rfc3339(one.at),
        member: given(&one.member),
        action: one.action,
        text: &one.text,
        faults: names(&one.faults),
    }
}

fn names(faults: &[FaultId]) -> Vec<String> {
    faults.iter().map(|fault| fault_name(*fault)).collect()
}

fn given(text: &str) -> Option<&str> {
    (!text.is_empty()).then_some(text)
}

fn known(at: Moment) -> Option<String> {
    print::is_known(at).then(|| print::rfc3339(at))
}
