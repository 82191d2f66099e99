//! `assign`: sends a craft to an incident.

use clap::Args;
use sponson_proto::event::v1::{Kind, Role};
use sponson_show::clean;
use sponson_show::terminal::Exit;

use crate::assigning::{Sender, Shown};
use crate::catalogue::subject;
use crate::commands::ready::Launch;
use crate::error::CommandError;
use crate::session::{Record, Session};

/// Assign a craft to an incident. Shows its report first and what speaks against going, keeps both
/// with who sent it and why, and never refuses.
///
/// A craft that is assigned already goes from there to the new incident. What was shown is read again
/// with 'sent'. Advice only: local procedure, the maker's manual and the person in charge decide.
#[derive(Args, Debug)]
pub struct AssignArgs {
    /// Number of the craft.
    pub craft: String,
    /// Name or number of the incident.
    pub incident: String,
    /// Launch and moment.
    #[command(flatten)]
    pub launch: Box<Launch>,
    /// Why this craft is sent there, in words.
    #[arg(long, value_name = "WORDS")]
    pub why: Option<String>,
    /// Anything else, in words.
    #[arg(long)]
    pub note: Option<String>,
}

/// Records the assignment.
///
/// # Errors
/// When the craft is not known, a value cannot be, or the service refuses.
pub async fn run(args: &AssignArgs, session: &mut Session<'_>) -> Result<Exit, CommandError> {
    let catalogue = session.catalogue().await?;
    let craft = catalogue.craft(&args.craft)?;
    let mut question = args.launch.question(&catalogue)?;
    question.craft = catalogue.asked(craft);
    let reply = session.ask(question.clone()).await?;
    let shown = Shown {
        question,
        reply,
        listed: None,
    };
    session.terminal().talk(&shown.reply.text)?;
    against(&shown, session)?;
    unnamed(session).await?;
    let sender = Sender {
        member: session.member().to_owned(),
        why: args.why.clone(),
        note: args.note.clone(),
    };
    let message = shown.assigned(&args.incident);
    let mut record = Record::about([subject(craft)]);
    record.texts = sender.texts();
    record.texts.extend(shown.texts());
    let event = session.record(Kind::Assigned, &message, record).await?;
    let said = format!(
        "{}: assigned to {}",
        clean(&craft.number),
        clean(&message.incident)
    );
    session.recorded(&said, &event)?;
    Ok(Exit::Fine)
}

fn against(shown: &Shown, session: &mut Session<'_>) -> Result<(), CommandError> {
    let against = shown.against();
    for said in &against {
        let line = format!("speaks against going: {said}");
        session.terminal().talk(&line)?;
    }
    if !against.is_empty() {
        let line = "it is recorded all the same: whoever sends it decides";
        session.terminal().talk(line)?;
    }
    Ok(())
}

/// Says what lacks for others to know who did it, and whether it counts.
pub(super) async fn unnamed(session: &mut Session<'_>) -> Result<(), CommandError> {
    if session.member().is_empty() {
        let line = "nobody is named as the one who decided: give --member NUMBER, or set member in \
                    settings.toml; it is recorded all the same";
        session.terminal().talk(line)?;
    }
    let about = session.about().await?;
    let may = |role: &i32| [Role::Coordinator as i32, Role::Lead as i32].contains(role);
    // The county's own key has no station, and every role.
    if !about.station.is_empty() && !about.roles.iter().any(may) {
        let line = "this device has neither the coordinator's role nor the lead's: what it records \
                    of assignments stays unconfirmed until the lead gives it the role";
        session.terminal().talk(line)?;
    }
    Ok(())
}
