//! Disagreements in words: what differs, who says what, which counts until then, and what settles
//! it, with the command to type.

use sponson_readiness::answer::{
    Differ, Disagreement, Measure, Said, Settle, Stated, Subject, Until,
};
use sponson_readiness::event::Trust;
use sponson_readiness::ids::{FaultId, SubjectId};

use super::{measure_text, subject_text};
use crate::clean::clean;
use crate::context::{Context, EVIDENCE_DIGITS};
use crate::units::print;

/// Digits by which a thing or an event is named in a command.
const NAME_DIGITS: usize = 8;

/// What differs, behind the number of the thing.
#[must_use]
pub fn differ_text(one: &Disagreement, ctx: &Context) -> String {
    let it = subject_text(&one.about, ctx);
    let what = match one.differ {
        Differ::FaultAndSignOff => "a fault, and a sign-off that had not seen it",
        Differ::DefectTwice => "what may be one defect, written down more than once",
        Differ::NoThenYes => "answered 'no', which is a fault, and then or elsewhere otherwise",
        Differ::OutAndReturned => "out of service, and a return that had not seen it",
        Differ::AssignedTwice => {
            "assigned to more than one incident by coordinators who did not know of each other"
        }
        Differ::AssignedAndOut => {
            "assigned to an incident, and declared out of service: neither had seen the other"
        }
        Differ::AssignedAndReleased => {
            "assigned to an incident, and released from it: neither had seen the other"
        }
        Differ::Readings => "readings differ",
        Differ::Counts => "counts differ",
        Differ::KitMoved => "counted without having seen that a bag of it was moved away",
        Differ::Answers => "answers differ",
        Differ::Inspections => "one says passed, one says failed",
        Differ::Fuel => "stations differ about the fuel in one tank",
        Differ::Stowage => "stations differ about how it is kept",
        Differ::PlacedTwice | Differ::FoundTwice => "stations differ about where it is",
        Differ::Number => "stations differ about its number",
        Differ::NumberTwice => "one number on more than one craft: they cannot be told apart",
        Differ::Model => "stations differ about its model",
    };
    match one.about {
        Subject::Craft | Subject::Gear(..) => what.to_owned(),
        Subject::Part(..) | Subject::Line(..) | Subject::Fault(..) | Subject::Station(..) => {
            format!("{it}: {what}")
        }
    }
}

/// One side: who says what, when, and in which entry; on which device, where another side comes
/// from another device of the same station.
#[must_use]
pub fn stated_text(side: &Stated, one: &Disagreement, ctx: &Context) -> String {
    let origin = &side.origin;
    let author = &origin.author;
    let shares_station = one.sides.iter().any(|other| {
        let other = &other.origin.author;
        other.station == author.station && other.key != author.key
    });
    let device = if shares_station {
        format!(", device {}", key_name(&author.key))
    } else {
        String::new()
    };
    let station = author.station.map_or_else(
        || "not from a station".to_owned(),
        |station| ctx.station(station),
    );
    let member = clean(&author.member);
    let gap = if member.is_empty() { "" } else { ", " };
    let claimed = origin.interval.claimed;
    let when = if print::is_known(claimed) {
        ctx.local(claimed)
    } else {
        "at a time that is not known".to_owned()
    };
    let doubt = match origin.trust {
        Trust::Trusted => "",
        Trust::Unconfirmed(_) => ", unconfirmed",
    };
    format!(
        "{station}{gap}{member}{device}, {when}{doubt}: {} (entry {:.*})",
        side_text(side, one, ctx),
        EVIDENCE_DIGITS,
        origin.event.to_string()
    )
}

/// What a side states; of an assignment, where to.
pub(crate) fn side_text(side: &Stated, one: &Disagreement, ctx: &Context) -> String {
    let value = measure_text(&side.value, ctx);
    let assigns = matches!(
        one.differ,
        Differ::AssignedTwice | Differ::AssignedAndOut | Differ::AssignedAndReleased
    );
    if assigns && matches!(side.value, Measure::Word(_)) {
        format!("assigned to {value}")
    } else {
        value
    }
}

/// What counts until it is settled.
#[must_use]
pub fn until_text(one: &Disagreement, ctx: &Context) -> String {
    match one.until {
        Until::Side(at) => match one.sides.get(at) {
            Some(side) => format!("the worse counts: {}", measure_text(&side.value, ctx)),
            None => "the worse counts".to_owned(),
        },
        Until::FaultOpen if one.differ == Differ::DefectTwice => "each is open".to_owned(),
        Until::FaultOpen => "the fault is open: a sign-off closes only what it names".to_owned(),
        Until::OutOfService => "it is out of service".to_owned(),
        Until::Assigned if one.differ == Differ::AssignedTwice => {
            "assigned to each, so not free: find out which of them it goes to".to_owned()
        }
        Until::Assigned => "it is assigned, so not free".to_owned(),
        Until::Units(1) => "1 counts here: the count less what was moved".to_owned(),
        Until::Units(units) => format!("{units} count here: the count less what was moved"),
        Until::Nowhere => "it counts at neither".to_owned(),
        Until::Unproven if one.differ == Differ::PlacedTwice => {
            "not offered from either without saying so: go and look".to_owned()
        }
        Until::Unproven => "nothing shows that it is ready: go and look".to_owned(),
        Until::Each => "each is as ready as it was".to_owned(),
    }
}

/// What counts, as the end of a sentence about the sides; for findings, which do not hold it.
pub(super) fn settled_tail(settle: Option<&Settle>) -> &'static str {
    match settle {
        Some(Settle::SignOff(..)) => "open until signed off",
        Some(Settle::Return(_)) => "out of service until then",
        Some(Settle::Release(_) | Settle::Assign(_)) => "it is assigned, so not free",
        Some(Settle::Place(_)) => "it counts at neither",
        Some(Settle::Renumber(_) | Settle::SameAs(_) | Settle::Lead) => "the lead decides",
        Some(Settle::Check(_) | Settle::Inspect(..)) | None => "the worse counts",
    }
}

/// What somebody who has seen every side can do about it.
#[must_use]
pub fn settle_text(settle: &Settle) -> String {
    let what = match settle {
        Settle::Check(_) => "look again and record it",
        Settle::SignOff(_, faults) if faults.len() > 1 => {
            "when they are one and it is over, sign off each; else only those that are over"
        }
        Settle::SignOff(..) => "when it is over, sign it off by name",
        Settle::Return(_) => "when it is fit, return it to service",
        Settle::Release(_) => "release it from where it does not go",
        Settle::Assign(_) => "assign it anew to where it goes, which ends the others",
        Settle::Inspect(..) => "do it again and record the result",
        Settle::Place(_) => "see where it is and record it",
        Settle::Renumber(ids) if ids.len() > 1 => "when they are two, give one another number",
        Settle::Renumber(_) => "record the number that is painted on it",
        Settle::SameAs(_) => "when they are one boat, have the lead join them",
        Settle::Lead => "ask the boat-team lead",
    };
    match settle_command(settle) {
        Some(command) => format!("{what}: {command}"),
        None => what.to_owned(),
    }
}

/// The command to type; capitals stand for what the person fills in.
#[must_use]
pub fn settle_command(settle: &Settle) -> Option<String> {
    Some(match settle {
        Settle::Check(craft) => format!("sponson check {} --from FILE", quoted(craft)),
        Settle::SignOff(craft, faults) => {
            let names: Vec<String> = faults.iter().map(fault_name).collect();
            format!("sponson sign-off {} {}", quoted(craft), names.join(" "))
        }
        Settle::Return(craft) => format!("sponson back {}", quoted(craft)),
        Settle::Release(craft) => {
            format!("sponson release {} --from INCIDENT", quoted(craft))
        }
        Settle::Assign(craft) => format!("sponson assign {} INCIDENT", quoted(craft)),
        Settle::Inspect(craft, line) => {
            format!(
                "sponson inspect {} {} RESULT",
                quoted(craft),
                clean(&line.0)
            )
        }
        Settle::Place(thing) => format!("sponson move {} PLACE", quoted(thing)),
        Settle::Renumber(ids) => {
            format!(
                "sponson number {} NUMBER",
                quoted(&subject_name(ids.first()?))
            )
        }
        Settle::SameAs(ids) => {
            let names = ids.iter().take(2).map(|id| quoted(&subject_name(id)));
            let names: Vec<String> = names.collect();
            format!("sponson-county same-as {}", names.join(" "))
        }
        Settle::Lead => return None,
    })
}

/// What a side states, in words.
pub(super) fn said_text(said: Said) -> String {
    match said {
        Said::Yes => "yes".to_owned(),
        Said::No => "no".to_owned(),
        Said::SignedOff => "signed off".to_owned(),
        Said::OutOfService(reason) => format!("out of service, {}", reason.id()),
        Said::Returned => "back in service".to_owned(),
        Said::Released => "released from it".to_owned(),
        Said::MovedAway(units) => format!("{units} moved away"),
        Said::Passed => "passed".to_owned(),
        Said::Failed => "failed".to_owned(),
    }
}

/// The short name of a fault, as commands take it.
fn fault_name(id: &FaultId) -> String {
    format!("{:.NAME_DIGITS$}-{}", id.event.to_string(), id.ordinal)
}

/// The short name of a thing, for when its number does not tell.
fn subject_name(id: &SubjectId) -> String {
    format!("#{:.NAME_DIGITS$}", id.to_string())
}

/// The beginning of a device's key.
fn key_name(key: &[u8; 32]) -> String {
    let digits = key.iter().take(NAME_DIGITS / 2);
    digits.map(|byte| format!("{byte:02x}")).collect()
}

/// A word as a shell takes it.
fn quoted(word: &str) -> String {
    let word = clean(word).replace('\'', "");
    let plain = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.');
    if !word.is_empty() && word.chars().all(plain) {
        word
    } else {
        format!("'{word}'")
    }
}
