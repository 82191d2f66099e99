//! What can be done about a finding, as an instruction.

use sponson_readiness::answer::{Action, Subject, ToDo};
use sponson_readiness::ids::{LineId, PartId};

use super::{label_or, subject_text, words_of};
use crate::context::Context;
use crate::units::print;

/// A to-do as one instruction, with its minutes. `subject` is what the finding is about: its
/// words name the part or line where the to-do is about the same one.
#[must_use]
pub fn to_do_text(to_do: &ToDo, subject: &Subject, ctx: &Context) -> String {
    let action = action_text(&to_do.action, subject, ctx);
    match to_do.minutes {
        Some(minutes) => format!("{action} ({minutes} min)"),
        None => action,
    }
}

/// The same behind a sentence that has named the subject: `bring 1 more`.
pub(crate) fn to_do_short(to_do: &ToDo, subject: &Subject, ctx: &Context) -> String {
    let short = match (&to_do.action, subject) {
        (Action::Count(item), Subject::Line(id, _)) if item == id => Some("count them".to_owned()),
        (Action::Bring(item, number), Subject::Line(id, _)) if item == id => {
            Some(format!("bring {number} more"))
        }
        (Action::Inspect(line), Subject::Line(id, _)) if line == id => {
            Some("do it and record it".to_owned())
        }
        (Action::Look(line), Subject::Line(id, _)) if line == id => Some("look at it".to_owned()),
        (Action::ReadGauge(part), Subject::Part(id, _)) if part == id => {
            Some("read the gauge".to_owned())
        }
        (Action::FindLeak(part), Subject::Part(id, _)) if part == id => {
            Some("find out why: soap its valves and seams".to_owned())
        }
        (Action::BringToAtHome(part, pa), Subject::Part(id, _)) if part == id => Some(format!(
            "bring it to {} once it is back in the bay",
            print::pressure(*pa, ctx.units)
        )),
        (Action::BringTo(part, pa), Subject::Part(id, _)) if part == id => Some(format!(
            "bring it to {} now, where the craft stands",
            print::pressure(*pa, ctx.units)
        )),
        _ => None,
    };
    match (short, to_do.minutes) {
        (Some(short), Some(minutes)) => format!("{short} ({minutes} min)"),
        (Some(short), None) => short,
        (None, _) => to_do_text(to_do, subject, ctx),
    }
}

fn action_text(action: &Action, subject: &Subject, ctx: &Context) -> String {
    match action {
        Action::ReadGauge(part) => format!("read the gauge at {}", part_text(part, subject)),
        Action::FindLeak(part) => format!(
            "find out why {} is soft: soap its valves and seams",
            part_text(part, subject)
        ),
        Action::BringTo(part, pa) => format!(
            "bring {} to {} now, where the craft stands",
            part_text(part, subject),
            print::pressure(*pa, ctx.units)
        ),
        Action::BringToAtHome(part, pa) => format!(
            "bring {} to {} once the craft is back in the bay",
            part_text(part, subject),
            print::pressure(*pa, ctx.units)
        ),
        Action::Count(item) => format!("count: {}", line_text(item, subject)),
        Action::Bring(item, number) => format!("bring {number} more: {}", line_text(item, subject)),
        Action::Inspect(line) => format!("do and record: {}", line_text(line, subject)),
        Action::Look(line) => format!("look at: {}", line_text(line, subject)),
        Action::Refuel => "fill up with fresh fuel, mixed as the motor takes it".to_owned(),
        Action::FullCheck => "do a full check".to_owned(),
        Action::RepairAndSignOff(_) => {
            "repair it, then have somebody entitled sign it off".to_owned()
        }
        Action::WaitUntil(moment) => format!("wait until {}", ctx.local(*moment)),
        Action::SettlePlace(_) => match subject {
            Subject::Gear(..) => {
                format!("see where {} is and record it", subject_text(subject, ctx))
            }
            Subject::Craft
            | Subject::Part(..)
            | Subject::Line(..)
            | Subject::Fault(..)
            | Subject::Station(..) => "see where it is and record it".to_owned(),
        },
        Action::Settle(settle) => super::settle_text(settle),
        Action::Rig => "rig it".to_owned(),
        Action::ReadCylinder(_) => match subject {
            Subject::Gear(..) => format!("read the gauge of {}", subject_text(subject, ctx)),
            Subject::Craft
            | Subject::Part(..)
            | Subject::Line(..)
            | Subject::Fault(..)
            | Subject::Station(..) => "read the cylinder's gauge".to_owned(),
        },
        Action::CountBag(_) => format!(
            "count all that is in {}, and note its new seal",
            subject_text(subject, ctx)
        ),
        Action::Recharge => "have it charged".to_owned(),
        Action::Requalify => "have it requalified, and record when".to_owned(),
        Action::AskStation => "ask whoever declared it".to_owned(),
        Action::RecordPlate => "record the maker's plate".to_owned(),
        Action::Upgrade => "upgrade this device".to_owned(),
        Action::AskLead => "ask the boat-team lead".to_owned(),
        Action::SignOffByAnother(_) => "have somebody sign it off who did not repair it".to_owned(),
        Action::Report => "report it to whoever is in charge".to_owned(),
        Action::SayCrews(station) => format!(
            "have {} say what crews it can raise, and until when",
            ctx.station(*station)
        ),
    }
}

fn part_text(part: &PartId, subject: &Subject) -> String {
    match subject {
        Subject::Part(id, label) | Subject::Fault(_, id, _, label) if id == part => {
            label_or(label, id.as_str())
        }
        Subject::Craft
        | Subject::Part(..)
        | Subject::Line(..)
        | Subject::Fault(..)
        | Subject::Gear(..)
        | Subject::Station(..) => words_of(part.as_str()),
    }
}

fn line_text(line: &LineId, subject: &Subject) -> String {
    match subject {
        Subject::Line(id, label) if id == line => label_or(label, id.as_str()),
        Subject::Craft
        | Subject::Part(..)
        | Subject::Line(..)
        | Subject::Fault(..)
        | Subject::Gear(..)
        | Subject::Station(..) => words_of(line.as_str()),
    }
}
