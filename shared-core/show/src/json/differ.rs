//! Disagreements in the form: alone, and as a list of the county answer.

use serde::Serialize;
use sponson_readiness::answer::{CountyAnswer, Disagreement, Settle, Until};
use sponson_readiness::event::Trust;

use crate::context::Context;
use crate::sentence::{
    differ_text, measure_text, settle_command, settle_text, subject_text, until_text,
};
use crate::units::print;

/// Name and version of the list alone.
pub const DISAGREEMENTS_SCHEMA: &str = "sponson.disagreements/1";

/// The list alone.
#[derive(Serialize)]
pub(super) struct Alone {
    schema: &'static str,
    as_of: String,
    disagreements: Vec<Differ>,
}

#[derive(Serialize)]
pub(super) struct Differ {
    subject: String,
    subject_id: String,
    craft_ids: Vec<String>,
    differ: &'static str,
    about: String,
    text: String,
    sides: Vec<Side>,
    until: Meanwhile,
    settle: Vec<ToSettle>,
}

#[derive(Serialize)]
struct Side {
    value: String,
    station: Option<String>,
    member: Option<String>,
    device: String,
    claimed_at: Option<String>,
    confirmed: &'static str,
    event: String,
}

#[derive(Serialize)]
struct Meanwhile {
    counts: &'static str,
    side: Option<usize>,
    units: Option<u32>,
    text: String,
}

#[derive(Serialize)]
struct ToSettle {
    by: &'static str,
    command: Option<String>,
    text: String,
}

pub(super) fn alone(answer: &CountyAnswer, ctx: &Context) -> Alone {
    let all = answer.disagreements.iter();
    Alone {
        schema: DISAGREEMENTS_SCHEMA,
        as_of: print::rfc3339(answer.asked.as_of),
        disagreements: all.map(|one| differ(one, ctx)).collect(),
    }
}

pub(super) fn differ(one: &Disagreement, ctx: &Context) -> Differ {
    Differ {
        subject: one.number.clone(),
        subject_id: one.subject.to_string(),
        craft_ids: one.craft.iter().map(ToString::to_string).collect(),
        differ: one.differ.id(),
        about: subject_text(&one.about, ctx),
        text: differ_text(one, ctx),
        sides: sides(one, ctx),
        until: meanwhile(one, ctx),
        settle: one.settle.iter().map(to_settle).collect(),
    }
}

fn sides(one: &Disagreement, ctx: &Context) -> Vec<Side> {
    let sides = one.sides.iter().map(|side| {
        let (origin, author) = (&side.origin, &side.origin.author);
        let claimed = origin.interval.claimed;
        Side {
            value: measure_text(&side.value, ctx),
            station: author.station.map(|id| ctx.station(id)),
            member: Some(author.member.clone()).filter(|member| !member.is_empty()),
            device: author
                .key
                .iter()
                .map(|byte| format!("{byte:02x}"))
                .collect(),
            claimed_at: print::is_known(claimed).then(|| print::rfc3339(claimed)),
            confirmed: match origin.trust {
                Trust::Trusted => "yes",
                Trust::Unconfirmed(_) => "no",
            },
            event: origin.event.to_string(),
        }
    });
    sides.collect()
}

fn meanwhile(one: &Disagreement, ctx: &Context) -> Meanwhile {
    let (side, units) = match one.until {
        Until::Side(at) => (Some(at), None),
        Until::Units(units) => (None, Some(units)),
        Until::FaultOpen
        | Until::OutOfService
        | Until::Assigned
        | Until::Nowhere
        | Until::Unproven
        | Until::Each => (None, None),
    };
    Meanwhile {
        counts: one.until.id(),
        side,
        units,
        text: until_text(one, ctx),
    }
}

fn to_settle(settle: &Settle) -> ToSettle {
    ToSettle {
        by: settle.id(),
        command: settle_command(settle),
        text: settle_text(settle),
    }
}
