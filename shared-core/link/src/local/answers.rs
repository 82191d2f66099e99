//! Answers as the local service gives them: as JSON, as messages, as text for a terminal.

use sponson_proto::answer::v1::Question;
use sponson_proto::service::v1::AskReply;
use sponson_show::{json, table};

use crate::answer;
use crate::ask::Given;

/// An answer in all its forms.
pub(super) fn reply(question: &Question, given: &Given) -> AskReply {
    let Given { answer, ctx, .. } = given;
    let one = !question.craft.trim().is_empty();
    let text = match answer.craft.first().filter(|_| one) {
        Some(craft) => table::craft_report(craft, &answer.asked, ctx),
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
        text,
        notes: Vec::new(),
    }
}
