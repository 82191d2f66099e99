//! Answers as the local service gives them: as JSON, as messages, as text for a terminal.

use prost::Message;
use sponson_proto::answer::v1::Question;
use sponson_proto::service::v1::{
    AskReply, AskRequest, AskSignedReply, CheckAnswerReply, PlanKitMovesReply, PlanKitMovesRequest,
};
use sponson_readiness::kit_moves::Proven;
use sponson_replica::{Now, Replica};
use sponson_show::{csv, html, json, table};
use tonic::Code;

use super::notes;
use crate::answer;
use crate::ask::Given;
use crate::given::{self, sign_answer};
use crate::kit_moves::{self, Planned};
use crate::limits::{LOCAL_MESSAGE_BYTES_MAX, SIGNED_ANSWER_BYTES_MAX};
use crate::refusal::{self, Refusal};

/// Signs an answer with its inputs.
pub(super) fn signed(
    replica: &Replica,
    question: &Question,
    given: &Given,
    (now, program): (&Now, &str),
) -> AskSignedReply {
    // Words about what was known then have no local time but the county's.
    let offset = given.known.map_or(now.utc_offset_min, |_| 0);
    let file = sign_answer(replica, given, offset, program);
    AskSignedReply {
        reply: Some(reply(question, given)),
        file: file.into(),
    }
}

/// Checks a signed answer.
pub(super) fn check(replica: &mut Replica, file: &[u8]) -> Result<CheckAnswerReply, Refusal> {
    given::check(replica, file).map_err(|error| {
        Refusal::new(
            Code::InvalidArgument,
            "SIGNED_ANSWER_REFUSED",
            error.to_string(),
            "it shows nothing",
        )
    })
}

/// Plans kit moves, in all forms.
pub(super) fn kit_moves(
    replica: &mut Replica,
    request: &PlanKitMovesRequest,
    now: &Now,
) -> Result<PlanKitMovesReply, Refusal> {
    let Planned { moves, ctx } = kit_moves::plan(replica, request, now)?;
    Ok(PlanKitMovesReply {
        text: table::kit_moves_report(&moves, &ctx),
        json: json::kit_moves(&moves, &ctx),
        craft: moves.solved.worth.craft,
        proven: moves.solved.proven != Proven::No,
        notes: notes::of(replica, now.unix_ms),
    })
}

/// An answer in all its forms.
pub(super) fn reply(question: &Question, given: &Given) -> AskReply {
    let Given { answer, ctx, .. } = given;
    let one = !question.craft.trim().is_empty();
    let as_of = answer.asked.as_of;
    let alone = answer.craft.first().filter(|_| one);
    let text = match alone {
        Some(craft) => {
            let report = table::craft_report(craft, &answer.asked, ctx);
            table::as_if_text(answer, ctx) + &report
        }
        None => table::county_report(answer, ctx),
    };
    let text = match given.known {
        Some(_) => format!("{}\n{text}", table::known_by_text(answer)),
        None => text,
    };
    AskReply {
        json: json::to_string(answer, ctx),
        answer: Some(answer::to_wire(answer, ctx)),
        evidence_text: table::evidence_report(answer, ctx),
        disagreements_text: table::disagreements_report(answer, ctx),
        disagreements_json: json::disagreements(answer, ctx),
        in_service_text: alone.map_or_else(String::new, |craft| {
            table::in_service_report(craft, as_of, ctx)
        }),
        in_service_json: alone
            .map_or_else(String::new, |craft| json::in_service(craft, as_of, ctx)),
        callout_text: table::callout_report(answer, ctx),
        text,
        notes: given.notes.clone(),
        ..AskReply::default()
    }
}

/// Adds the forms that are made only for whoever asks for them.
pub(super) fn add_forms(
    request: &AskRequest,
    given: &Given,
    reply: &mut AskReply,
) -> Result<(), Refusal> {
    reply.csv = csv(&request.csv, given)?;
    if request.report {
        reply.report_html = html::report_file(&given.answer, &given.ctx, &reply.notes);
    }
    Ok(())
}

/// Refuses an answer that no message holds.
pub(super) fn fits(reply: &impl Message) -> Result<(), Refusal> {
    let remedy = "ask for one craft, or leave out the report and lists";
    refusal::fits(
        "the answer",
        reply.encoded_len(),
        LOCAL_MESSAGE_BYTES_MAX,
        remedy,
    )
}

/// Refuses a signed answer that nobody could check.
pub(super) fn fits_signed(reply: &AskSignedReply) -> Result<(), Refusal> {
    let (bytes, bytes_max) = (reply.file.len(), SIGNED_ANSWER_BYTES_MAX);
    refusal::fits("the signed answer", bytes, bytes_max, "ask for one craft")?;
    fits(reply)
}

/// The sections of an answer that are wanted as CSV, in that order.
fn csv(wanted: &[String], given: &Given) -> Result<Vec<String>, Refusal> {
    let sections = csv::Section::ALL.len();
    if wanted.len() > sections {
        return Err(Refusal::field(
            format!(
                "csv names {} sections; at most {sections} are allowed",
                wanted.len()
            ),
            "name each section once",
        ));
    }
    let table = |word: &String| {
        let mut all = csv::Section::ALL.into_iter();
        let section = all.find(|section| section.id() == word);
        let section = section.ok_or_else(|| {
            let known = csv::Section::ALL.map(csv::Section::id).join(", ");
            Refusal::field(
                format!("csv section '{word}' is not known to this service"),
                format!("ask for {known}"),
            )
        })?;
        Ok(section.table(&given.answer, &given.ctx))
    };
    wanted.iter().map(table).collect()
}
