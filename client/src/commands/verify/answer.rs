//! `verify --answer`: whether an answer that somebody signed is the one that this copy of the log
//! gives.

use std::path::Path;

use sponson_link::limits::SIGNED_ANSWER_BYTES_MAX;
use sponson_proto::service::v1::{AnswerVerdict, CheckAnswerRequest};
use sponson_show::clean;
use sponson_show::terminal::Exit;

use super::proof::read;
use crate::error::CommandError;
use crate::session::Session;

/// Checks a signed answer.
///
/// # Errors
/// When it is none, or does not hold.
pub(super) async fn check(file: &Path, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let request = CheckAnswerRequest {
        file: read(file, SIGNED_ANSWER_BYTES_MAX)?.into(),
    };
    let reply = session.service().check_answer(request).await?.into_inner();
    let (head, exit) = match reply.verdict() {
        AnswerVerdict::Same => (
            "The same: this copy of the log gives this answer.",
            Exit::Fine,
        ),
        AnswerVerdict::NotChecked => (
            "Not checked: too little is held here to give this answer again.",
            Exit::Judged,
        ),
        AnswerVerdict::Differs | AnswerVerdict::Unspecified => ("It does not hold.", Exit::Refused),
    };
    let mut lines = vec![head.to_owned()];
    lines.extend(reply.said.iter().map(|line| clean(line)));
    lines.extend(
        reply
            .found
            .iter()
            .map(|line| format!("  - {}", clean(line))),
    );
    session.terminal().result(&lines.join("\n"))?;
    Ok(exit)
}
